// Monotone interpolation between points, for builders.
#pragma once

#include <functional>
#include <vector>

namespace lapheat::fluids {

/// Through all points (x rising, two or more), never beyond its two neighbours (Fritsch & Carlson
/// 1980, by Boost.Math), so that noisy data raise no waves. Continued by straight lines.
[[nodiscard]] std::function<double(double)> monotone(std::vector<double> x, std::vector<double> y);

}  // namespace lapheat::fluids
