#include "ending.hpp"

#include <algorithm>
#include <array>

namespace lapheat::model {

Ending ending_of(const std::vector<double>& time, const std::vector<double>& temperature) {
    constexpr double least_rise = 0.3, surest = 0.9;
    if (time.size() < 4) return {};
    const double end = time.back();
    const double window = std::clamp((end - time.front()) / 6, 60.0, 600.0);
    if (end - time.front() < 3 * window) return {};
    std::array<double, 4> highest{};  // [0] all before, then the three windows
    for (std::size_t i = 0; i < time.size(); ++i) {
        const double back = (end - time[i]) / window;
        // A window has its end, not its beginning: three points then lie a window apart.
        const std::size_t w = back >= 3 ? 0 : back >= 2 ? 1 : back >= 1 ? 2 : 3;
        highest[w] = std::max(highest[w], temperature[i]);
    }
    const auto [before, first, second, third] = highest;
    if (!(third - second > least_rise && second >= first && third >= before)) return {};
    Ending out;
    out.rate = (third - second) / window;
    const double q = second > first ? (third - second) / (second - first) : 1;
    if (q < surest) out.limit = third + (third - second) * q / (1 - q);
    return out;
}

}  // namespace lapheat::model
