// Tables of one and two variables. Outside its range a table holds its end value; `inside` tells
// whether an argument was in range, so that callers can flag it.
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

namespace lapheat::solve {

/// Straight lines between points.
class LinearTable {
  public:
    LinearTable() = default;
    /// x strictly rising, at least one point, as many y; otherwise Error.
    LinearTable(std::vector<double> x, std::vector<double> y);

    [[nodiscard]] double operator()(double x) const;
    /// The mean of the table over [a, b], a <= b: exact, so that averaged inputs keep their sum.
    [[nodiscard]] double mean(double a, double b) const;
    [[nodiscard]] bool inside(double x) const { return x >= x_.front() && x <= x_.back(); }
    [[nodiscard]] bool empty() const { return x_.empty(); }
    [[nodiscard]] std::span<const double> x() const { return x_; }
    [[nodiscard]] std::span<const double> y() const { return y_; }

  private:
    [[nodiscard]] double integral_to(double x) const;
    std::vector<double> x_, y_, sum_;
};

/// Monotone cubic through points (Fritsch & Carlson, SIAM J. Numer. Anal. 17, 1980, 238; slopes
/// from Boost.Math's pchip): no overshoot, continuous slope.
class MonotoneCubic {
  public:
    MonotoneCubic() = default;
    /// x strictly rising, at least four points, as many y; otherwise Error.
    MonotoneCubic(std::vector<double> x, std::vector<double> y);

    [[nodiscard]] double operator()(double x) const;
    [[nodiscard]] double slope(double x) const;  ///< 0 outside the range
    [[nodiscard]] bool inside(double x) const { return x >= x_.front() && x <= x_.back(); }

  private:
    std::vector<double> x_, y_, slope_;
};

/// Straight lines on a grid of even steps: a lookup is one multiplication and no search.
class UniformTable {
  public:
    UniformTable() = default;
    /// At least two values from `first` to `last` > first; otherwise Error.
    UniformTable(double first, double last, std::vector<double> values);

    /// Samples f at `count` >= 2 even points.
    template <class F>
    static UniformTable sample(F&& f, double first, double last, std::size_t count) {
        std::vector<double> values(count);
        for (std::size_t i = 0; i < count; ++i) {
            values[i] =
                f(first + (last - first) * static_cast<double>(i) / static_cast<double>(count - 1));
        }
        return {first, last, std::move(values)};
    }

    [[nodiscard]] double operator()(double x) const {
        const double p = std::clamp((x - first_) * per_step_, 0.0, last_index_);
        const auto i = std::min(static_cast<std::size_t>(p), values_.size() - 2);
        const double f = p - static_cast<double>(i);
        return values_[i] + f * (values_[i + 1] - values_[i]);
    }
    [[nodiscard]] bool inside(double x) const {
        const double p = (x - first_) * per_step_;
        return p >= 0 && p <= last_index_;
    }

  private:
    double first_ = 0, per_step_ = 0, last_index_ = 0;
    std::vector<double> values_;
};

/// Bilinear table z(x, y), row by row: z[i * y.size() + j] belongs to x[i], y[j].
class BilinearTable {
  public:
    BilinearTable() = default;
    /// x and y strictly rising with two points or more, x.size() * y.size() values; else Error.
    BilinearTable(std::vector<double> x, std::vector<double> y, std::vector<double> z);

    [[nodiscard]] double operator()(double x, double y) const;
    [[nodiscard]] bool inside(double x, double y) const;
    [[nodiscard]] bool empty() const { return z_.empty(); }

  private:
    std::vector<double> x_, y_, z_;
};

}  // namespace lapheat::solve
