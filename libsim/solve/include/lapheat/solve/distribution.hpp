// What a number may be, as one of a few marginal distributions, each by its quantile: a draw is the
// quantile of a point between 0 and 1, so that good points (draws.hpp) make good draws.
#pragma once

#include <cstdint>
#include <limits>

namespace lapheat::solve {

/// Made by the functions below; in the unit of the number it is of.
struct Distribution {
    enum class Kind : std::uint8_t {
        fixed,
        uniform,
        triangular,
        log_triangular,
        normal,
        log_normal
    };
    Kind kind = Kind::fixed;
    double centre = 0;  ///< fixed value, mode, mean or median before truncation
    double spread = 0;  ///< standard deviation; of the logarithm for log_normal
    double low = 0, high = 0;

    /// The value that a share `u` of all cases does not exceed, 0 < u < 1.
    [[nodiscard]] double quantile(double u) const noexcept;
    /// Can be only one value.
    [[nodiscard]] bool sharp() const noexcept { return kind == Kind::fixed; }
};

inline constexpr double no_end = std::numeric_limits<double>::infinity();

[[nodiscard]] Distribution fixed(double value) noexcept;
/// All between the ends alike: nothing but the ends is known (JCGM 100:2008, 4.3.7). Throws Error
/// unless low <= high.
[[nodiscard]] Distribution uniform(double low, double high);
/// Ends and what is most likely are known (JCGM 100:2008, 4.3.9). Throws Error unless
/// low <= mode <= high.
[[nodiscard]] Distribution triangular(double low, double mode, double high);
/// Triangular in the logarithm: a factor that is as likely half as double. Throws Error unless
/// 0 < low <= mode <= high.
[[nodiscard]] Distribution log_triangular(double low, double mode, double high);
/// Cut off below `low` and above `high`, what is left scaled up. Throws Error for a negative spread
/// or ends that leave less than a millionth.
[[nodiscard]] Distribution normal(double mean, double deviation, double low = -no_end,
                                  double high = no_end);
/// exp of a normal of mean ln(median): a factor that is as likely twice as half. Throws Error as
/// normal() does, and for a median that is not above 0.
[[nodiscard]] Distribution log_normal(double median, double log_deviation, double low = 0,
                                      double high = no_end);

/// Share of a standard normal below x, and its inverse.
[[nodiscard]] double normal_share(double x) noexcept;
[[nodiscard]] double normal_quantile(double u) noexcept;

}  // namespace lapheat::solve
