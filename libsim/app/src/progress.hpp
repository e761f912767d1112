// Progress on stderr: on a terminal a bar for work of over a second, elsewhere, where what is
// written stays, a line each ten seconds.
#pragma once

#include <chrono>
#include <cstddef>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>

namespace lapheat::app {

/// "[=========>          ]  45 %  12 s left  placements", at most `width` columns wide; without a
/// guess at the time left (negative) those words are left out.
[[nodiscard]] std::string progress_line(std::string_view what, double fraction, double seconds_left,
                                        std::size_t width);

/// "lapheat: placements: 45 %, 12 s left", and an end of line.
[[nodiscard]] std::string progress_words(std::string_view what, double fraction,
                                         double seconds_left);

/// A bar shows itself after a second of work, redraws at most ten times a second, and wipes its
/// line when done() is called or it is destroyed; lines begin after ten seconds and stay. add() may
/// be called from any thread.
class Progress {
  public:
    using Clock = std::chrono::steady_clock;

    enum class As { bar, lines };

    /// `total`: how many steps the work has. Nothing is shown if `quiet`.
    Progress(std::string what, std::size_t total, bool quiet = false);

    /// For tests: draws through `draw` by the time of `now`.
    Progress(std::string what, std::size_t total, std::size_t width,
             std::function<void(const std::string&)> draw, std::function<Clock::time_point()> now,
             As as = As::bar);

    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    void add(std::size_t steps = 1);
    void done();

  private:
    void redraw(Clock::time_point now);

    std::string what_;
    std::size_t total_;
    std::size_t width_;
    std::function<void(const std::string&)> draw_;  ///< empty: silent
    As as_;
    std::function<Clock::time_point()> now_;
    std::mutex lock_;
    Clock::time_point start_;
    Clock::time_point drawn_;
    std::size_t steps_ = 0;
    bool shown_ = false;
};

}  // namespace lapheat::app
