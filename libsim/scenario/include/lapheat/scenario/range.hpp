// The values a quantity may take, in SI units.
#pragma once

#include <limits>

namespace lapheat::scenario {

struct Range {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    bool low_allowed = true;
    bool high_allowed = true;

    /// NaN is in no range. A bound that may be had may be written in any unit: "-50 degC" comes out
    /// a rounding below 223.15 K.
    [[nodiscard]] constexpr bool holds(double x) const noexcept {
        const auto rounding = [](double bound) { return 1e-14 * (bound < 0 ? -bound : bound); };
        return (low_allowed ? x >= low - rounding(low) : x > low) &&
               (high_allowed ? x <= high + rounding(high) : x < high);
    }
};

inline constexpr Range any_value{};
inline constexpr Range positive{.low = 0.0, .low_allowed = false};
inline constexpr Range not_negative{.low = 0.0};
inline constexpr Range fraction{.low = 0.0, .high = 1.0};
/// 0 excluded, 1 included: an efficiency one divides by.
inline constexpr Range efficiency{.low = 0.0, .high = 1.0, .low_allowed = false};

constexpr Range at_least(double low) noexcept { return {.low = low}; }
constexpr Range above(double low) noexcept { return {.low = low, .low_allowed = false}; }
constexpr Range between(double low, double high) noexcept { return {.low = low, .high = high}; }

}  // namespace lapheat::scenario
