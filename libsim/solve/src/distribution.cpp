#include "lapheat/solve/distribution.hpp"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

#include "lapheat/units/error.hpp"

namespace lapheat::solve {
namespace {

constexpr double least_left = 1e-6;

/// The quantile of a standard normal between two ends given in standard deviations.
double between(double u, double from, double to) noexcept {
    // In the upper tail the shares are all 1 to rounding: mirror it.
    if (from > 0) return -between(1 - u, -to, -from);
    const double below = normal_share(from), above = normal_share(to);
    return std::clamp(normal_quantile(below + u * (above - below)), from, to);
}

double on_triangle(double u, double low, double mode, double high) noexcept {
    const double width = high - low, rise = (mode - low) / width;
    return u < rise ? low + width * std::sqrt(u * rise)
                    : high - width * std::sqrt((1 - u) * (1 - rise));
}

void check_normal(double spread, double from, double to) {
    if (!(spread >= 0)) throw Error("a negative or unknown spread", "a spread of 0 or more");
    const bool mirrored = from > 0;
    const double left =
        mirrored ? normal_share(-from) - normal_share(-to) : normal_share(to) - normal_share(from);
    if (spread > 0 && !(left >= least_left))
        throw Error("ends that leave nothing of the distribution", "ends about its centre");
}

}  // namespace

double normal_share(double x) noexcept { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

double normal_quantile(double u) noexcept {
    if (!(u > 0)) return -no_end;
    if (!(u < 1)) return no_end;
    return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * u);
}

double Distribution::quantile(double u) const noexcept {
    switch (kind) {
        case Kind::fixed:
            return centre;
        case Kind::uniform:
            return low + u * (high - low);
        case Kind::triangular:
            return on_triangle(u, low, centre, high);
        case Kind::log_triangular:
            return std::clamp(
                std::exp(on_triangle(u, std::log(low), std::log(centre), std::log(high))), low,
                high);
        case Kind::normal:
            return std::clamp(
                centre + spread * between(u, (low - centre) / spread, (high - centre) / spread),
                low, high);
        case Kind::log_normal:
            return std::clamp(centre * std::exp(spread * between(u, std::log(low / centre) / spread,
                                                                 std::log(high / centre) / spread)),
                              low, high);
    }
    return centre;
}

Distribution fixed(double value) noexcept {
    return {Distribution::Kind::fixed, value, 0, value, value};
}

Distribution uniform(double low, double high) {
    if (!(low <= high)) throw Error("a range whose ends are exchanged", "low <= high");
    if (low == high) return fixed(low);
    return {Distribution::Kind::uniform, 0.5 * (low + high), 0, low, high};
}

Distribution triangular(double low, double mode, double high) {
    if (!(low <= mode && mode <= high))
        throw Error("a most likely value outside its range", "low <= value <= high");
    if (low == high) return fixed(mode);
    return {Distribution::Kind::triangular, mode, 0, low, high};
}

Distribution log_triangular(double low, double mode, double high) {
    Distribution out = triangular(low, mode, high);
    if (!(low > 0)) throw Error("a factor of 0 or less", "0 < low <= value <= high");
    if (!out.sharp()) out.kind = Distribution::Kind::log_triangular;
    return out;
}

Distribution normal(double mean, double deviation, double low, double high) {
    if (deviation == 0) return fixed(std::clamp(mean, low, high));
    check_normal(deviation, (low - mean) / deviation, (high - mean) / deviation);
    return {Distribution::Kind::normal, mean, deviation, low, high};
}

Distribution log_normal(double median, double log_deviation, double low, double high) {
    if (!(median > 0)) throw Error("a median of 0 or less", "a median above 0");
    if (log_deviation == 0) return fixed(std::clamp(median, low, high));
    check_normal(log_deviation, std::log(std::max(low, 0.0) / median) / log_deviation,
                 std::log(high / median) / log_deviation);
    return {Distribution::Kind::log_normal, median, log_deviation, std::max(low, 0.0), high};
}

}  // namespace lapheat::solve
