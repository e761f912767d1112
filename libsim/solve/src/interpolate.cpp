#include <fmt/core.h>

#include <cmath>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/units/error.hpp>
#include <utility>

namespace lapheat::solve {
namespace {

void require_rising(const std::vector<double>& x, std::size_t at_least, const char* what) {
    if (x.size() < at_least) {
        throw Error(std::string(what) + " has too few points",
                    fmt::format("at least {}", at_least));
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (!std::isfinite(x[i]) || (i > 0 && x[i] <= x[i - 1])) {
            throw Error(fmt::format("{} does not rise strictly at point {}", what, i + 1),
                        "finite, strictly rising numbers");
        }
    }
}

void require_values(const std::vector<double>& y, std::size_t count) {
    if (y.size() != count) {
        throw Error(fmt::format("a table has {} values for {} points", y.size(), count),
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
