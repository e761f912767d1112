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

std::chrono::milliseconds patience(Progress::As as) {
    return std::chrono::milliseconds(as == Progress::As::bar ? 1000 : 10'000);
}
std::chrono::milliseconds between_draws(Progress::As as) {
    return std::chrono::milliseconds(as == Progress::As::bar ? 100 : 10'000);
}

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

std::string progress_words(std::string_view what, double fraction, double seconds_left) {
    std::string out = fmt::format("lapheat: {}: {} %", what,
                                  static_cast<int>(std::clamp(fraction, 0.0, 1.0) * 100.0));
    if (seconds_left >= 0.0 && std::isfinite(seconds_left)) out += ", " + time_text(seconds_left);
    return out + '\n';
}

Progress::Progress(std::string what, std::size_t total, bool quiet)
    : Progress(std::move(what), total, terminal_width(),
               quiet ? std::function<void(const std::string&)>() : to_stderr, Clock::now,
               ::isatty(STDERR_FILENO) != 0 ? As::bar : As::lines) {}

Progress::Progress(std::string what, std::size_t total, std::size_t width,
                   std::function<void(const std::string&)> draw,
                   std::function<Clock::time_point()> now, As as)
    : what_(std::move(what)),
      total_(total),
      width_(width),
      draw_(std::move(draw)),
      as_(as),
      now_(std::move(now)),
      start_(now_()),
      drawn_(start_ + patience(as) - between_draws(as)) {}

Progress::~Progress() { done(); }

void Progress::add(std::size_t steps) {
    const std::lock_guard<std::mutex> guard(lock_);
    steps_ += steps;
    if (!draw_ || total_ == 0) return;
    const auto now = now_();
    if (now - drawn_ >= between_draws(as_)) redraw(now);
}

void Progress::redraw(Clock::time_point now) {
    drawn_ = now;
    shown_ = as_ == As::bar;
    const double fraction = static_cast<double>(steps_) / static_cast<double>(total_);
    const double spent = std::chrono::duration<double>(now - start_).count();
    const double left = steps_ > 0 ? std::max(0.0, spent * (1.0 / fraction - 1.0)) : -1.0;
    if (as_ == As::lines) return draw_(progress_words(what_, fraction, left));
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
