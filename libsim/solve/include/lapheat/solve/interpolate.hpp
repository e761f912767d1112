// Tables of one and two variables. Outside its range a table holds its end value; `inside` tells
// whether an argument was in range, so that callers can flag it.
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

namespace lapheat::solve {

/// Straight lines between points: `x` strictly rising, one point or more, as many `y`; held at its
/// ends.
[[nodiscard]] inline double between(std::span<const double> x, std::span<const double> y,
                                    double at) {
    if (at <= x.front()) return y.front();
    if (at >= x.back()) return y.back();
    const auto i = static_cast<std::size_t>(std::upper_bound(x.begin(), x.end(), at) - x.begin());
    return y[i - 1] + (at - x[i - 1]) / (x[i] - x[i - 1]) * (y[i] - y[i - 1]);
}

/// Bilinear table z(x, y), row by row: z[i * y.size() + j] belongs to x[i], y[j].
class BilinearTable {
  public:
    BilinearTable() = default;
    /// x and y strictly rising with two points or more, x.size() * y.size() values; else Error.
    BilinearTable(std::vector<double> x, std::vector<double> y, std::vector<double> z);

    [[nodiscard]] double operator()(double x, double y) const;
    [[nodiscard]] bool inside(double x, double y) const;
    [[nodiscard]] bool empty() const { return z_.empty(); }
    bool operator==(const BilinearTable&) const = default;

  private:
    std::vector<double> x_, y_, z_;
};

}  // namespace lapheat::solve
