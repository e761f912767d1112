// Between which temperatures nine of ten drawn cars lie, and how many of a log's readings do.
#pragma once

#include <vector>

namespace lapheat::study {

struct TraceBand {
    std::vector<double> low, high;  ///< 5 and 95 % at each point; NaN where no car was
    double inside = 0;              ///< share of the log's points between them
    double width = 0;               ///< mean over those points
};

/// `draws`: a car each, all over the points of `logged` (NaN: silent), or empty where it failed.
/// Each reading differs from its car by a normal error of that deviation. All in one unit.
[[nodiscard]] TraceBand band_of(const std::vector<std::vector<double>>& draws,
                                const std::vector<double>& logged, double deviation);

/// Deviation, K, of a reading on a scale of that step, without the model's error.
[[nodiscard]] double deviation_of_reading(double step);

}  // namespace lapheat::study
