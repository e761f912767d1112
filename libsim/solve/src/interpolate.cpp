// Boost 1.74's pchip calls isnan unqualified, which only math.h (not cmath) puts where it looks.
#include <math.h>

#include <boost/math/interpolators/pchip.hpp>
#include <cmath>
#include <functional>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/units/error.hpp>
#include <utility>

namespace lapheat::solve {
namespace {

void require_rising(const std::vector<double>& x, std::size_t at_least, const char* what) {
    if (x.size() < at_least) {
        throw Error(std::string(what) + " has too few points",
                    "at least " + std::to_string(at_least));
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (!std::isfinite(x[i]) || (i > 0 && x[i] <= x[i - 1])) {
            throw Error(
                std::string(what) + " does not rise strictly at point " + std::to_string(i + 1),
                "finite, strictly rising numbers");
        }
    }
}

void require_values(const std::vector<double>& y, std::size_t count) {
    if (y.size() != count) {
        throw Error("a table has " + std::to_string(y.size()) + " values for " +
                        std::to_string(count) + " points",
                    "one value for each point");
    }
    for (const double v : y) {
        if (!std::isfinite(v)) throw Error("a table holds a value that is not finite", "numbers");
    }
}

/// Index i with x[i] <= v < x[i + 1], kept within the table (two points or more).
std::size_t segment(const std::vector<double>& x, double v) {
    const auto above = std::upper_bound(x.begin() + 1, x.end() - 1, v);
    return static_cast<std::size_t>(above - x.begin()) - 1;
}

}  // namespace

LinearTable::LinearTable(std::vector<double> x, std::vector<double> y)
    : x_(std::move(x)), y_(std::move(y)), sum_(x_.size()) {
    require_rising(x_, 1, "a table");
    require_values(y_, x_.size());
    for (std::size_t i = 1; i < x_.size(); ++i) {
        sum_[i] = sum_[i - 1] + 0.5 * (y_[i] + y_[i - 1]) * (x_[i] - x_[i - 1]);
    }
}

double LinearTable::operator()(double x) const {
    if (x <= x_.front()) return y_.front();
    if (x >= x_.back()) return y_.back();
    const std::size_t i = segment(x_, x);
    return y_[i] + (y_[i + 1] - y_[i]) * (x - x_[i]) / (x_[i + 1] - x_[i]);
}

double LinearTable::integral_to(double x) const {
    if (x <= x_.front()) return (x - x_.front()) * y_.front();
    if (x >= x_.back()) return sum_.back() + (x - x_.back()) * y_.back();
    const std::size_t i = segment(x_, x);
    return sum_[i] + 0.5 * (y_[i] + (*this)(x)) * (x - x_[i]);
}

double LinearTable::mean(double a, double b) const {
    return b > a ? (integral_to(b) - integral_to(a)) / (b - a) : (*this)(a);
}

MonotoneCubic::MonotoneCubic(std::vector<double> x, std::vector<double> y)
    : x_(std::move(x)), y_(std::move(y)) {
    require_rising(x_, 4, "a monotone cubic");
    require_values(y_, x_.size());
    const boost::math::interpolators::pchip<std::vector<double>> cubic{std::vector<double>(x_),
                                                                       std::vector<double>(y_)};
    slope_.reserve(x_.size());
    for (const double at : x_) slope_.push_back(cubic.prime(at));
}

double MonotoneCubic::operator()(double x) const {
    if (x <= x_.front()) return y_.front();
    if (x >= x_.back()) return y_.back();
    const std::size_t i = segment(x_, x);
    const double h = x_[i + 1] - x_[i];
    const double t = (x - x_[i]) / h;
    const double u = 1 - t;
    return u * u * ((1 + 2 * t) * y_[i] + t * h * slope_[i]) +
           t * t * ((3 - 2 * t) * y_[i + 1] - u * h * slope_[i + 1]);
}

double MonotoneCubic::slope(double x) const {
    if (!inside(x)) return 0;
    const std::size_t i = segment(x_, x);
    const double h = x_[i + 1] - x_[i];
    const double t = (x - x_[i]) / h;
    return 6 * t * (1 - t) * (y_[i + 1] - y_[i]) / h + (1 - t) * (1 - 3 * t) * slope_[i] +
           t * (3 * t - 2) * slope_[i + 1];
}

UniformTable::UniformTable(double first, double last, std::vector<double> values)
    : first_(first), values_(std::move(values)) {
    if (values_.size() < 2 || !(last > first)) {
        throw Error("a uniform table needs two values and a range", "last > first");
    }
    require_values(values_, values_.size());
    last_index_ = static_cast<double>(values_.size() - 1);
    per_step_ = last_index_ / (last - first);
}

BilinearTable::BilinearTable(std::vector<double> x, std::vector<double> y, std::vector<double> z)
    : x_(std::move(x)), y_(std::move(y)), z_(std::move(z)) {
    require_rising(x_, 2, "the first axis of a map");
    require_rising(y_, 2, "the second axis of a map");
    require_values(z_, x_.size() * y_.size());
}

double BilinearTable::operator()(double x, double y) const {
    x = std::clamp(x, x_.front(), x_.back());
    y = std::clamp(y, y_.front(), y_.back());
    const std::size_t i = segment(x_, x);
    const std::size_t j = segment(y_, y);
    const double p = (x - x_[i]) / (x_[i + 1] - x_[i]);
    const double q = (y - y_[j]) / (y_[j + 1] - y_[j]);
    const double* low = &z_[i * y_.size() + j];
    const double* high = low + y_.size();
    return (1 - p) * ((1 - q) * low[0] + q * low[1]) + p * ((1 - q) * high[0] + q * high[1]);
}

bool BilinearTable::inside(double x, double y) const {
    return x >= x_.front() && x <= x_.back() && y >= y_.front() && y <= y_.back();
}

}  // namespace lapheat::solve
