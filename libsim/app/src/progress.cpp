#include "progress.hpp"

#include <fmt/core.h>

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

namespace lapheat::app {
namespace {

constexpr auto patience = std::chrono::seconds(1);
constexpr auto between_draws = std::chrono::milliseconds(100);

std::size_t terminal_width() {
    winsize size{};
    const bool known = ::ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0;
    return known ? size.ws_col : 80;
}

void to_stderr(const std::string& text) {
    std::fputs(text.c_str(), stderr);
    std::fflush(stderr);
}

std::string time_text(double seconds) {
    const long whole = std::lround(std::ceil(seconds));
    if (whole < 120) return fmt::format("{} s left", whole);
    return fmt::format("{} min left", (whole + 59) / 60);
}

}  // namespace

std::string progress_line(std::string_view what, double fraction, double seconds_left,
                          std::size_t width) {
    constexpr std::size_t longest_bar = 40;
    constexpr std::size_t shortest_bar = 5;
    fraction = std::clamp(fraction, 0.0, 1.0);
    const std::string percent = fmt::format("{}", static_cast<int>(fraction * 100.0));
    std::string words = "] " + std::string(3 - percent.size(), ' ') + percent + " %";
    if (seconds_left >= 0.0 && std::isfinite(seconds_left)) words += "  " + time_text(seconds_left);
    if (words.size() + 1 + shortest_bar > width) return (percent + " %").substr(0, width);
    const std::size_t room = width - words.size() - 1;
    if (what.size() + 2 + shortest_bar <= room) words.append("  ").append(what);
    const std::size_t bar = std::min(longest_bar, width - words.size() - 1);
    const auto filled = static_cast<std::size_t>(fraction * static_cast<double>(bar));
    std::string line = "[" + std::string(filled, '=');
    if (filled < bar) line += ">" + std::string(bar - filled - 1, ' ');
    return line + words;
}

Progress::Progress(std::string what, std::size_t total, bool quiet)
    : Progress(std::move(what), total, terminal_width(),
               !quiet && ::isatty(STDERR_FILENO) != 0 ? to_stderr
                                                      : std::function<void(const std::string&)>(),
               Clock::now) {}

Progress::Progress(std::string what, std::size_t total, std::size_t width,
                   std::function<void(const std::string&)> draw,
                   std::function<Clock::time_point()> now)
    : what_(std::move(what)),
      total_(total),
      width_(width),
      draw_(std::move(draw)),
      now_(std::move(now)),
      start_(now_()),
      drawn_(start_ + patience - between_draws) {}

Progress::~Progress() { done(); }

void Progress::add(std::size_t steps) {
    const std::lock_guard<std::mutex> guard(lock_);
    steps_ += steps;
    if (!draw_ || total_ == 0) return;
    const auto now = now_();
    if (now - drawn_ >= between_draws) redraw(now);
}

void Progress::redraw(Clock::time_point now) {
    drawn_ = now;
    shown_ = true;
    const double fraction = static_cast<double>(steps_) / static_cast<double>(total_);
    const double spent = std::chrono::duration<double>(now - start_).count();
    const double left = steps_ > 0 ? std::max(0.0, spent * (1.0 / fraction - 1.0)) : -1.0;
    // One column is kept free: a full line would wrap on some terminals.
    const std::size_t width = width_ > 1 ? width_ - 1 : width_;
    draw_("\r" + progress_line(what_, fraction, left, width) + "\x1b[K");
}

void Progress::done() {
    const std::lock_guard<std::mutex> guard(lock_);
    if (shown_) draw_("\r\x1b[K");
    shown_ = false;
    draw_ = nullptr;
}

}  // namespace lapheat::app
