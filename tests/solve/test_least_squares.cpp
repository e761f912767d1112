#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "lapheat/solve/least_squares.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::solve;
using Values = std::vector<double>;

namespace {

/// Of the line a + b x through points with unit deviation.
Residuals line(const Values& x, const Values& y) {
    return [x, y](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& p : points) {
            Values r;
            for (std::size_t i = 0; i < x.size(); ++i) r.push_back(p[0] + p[1] * x[i] - y[i]);
            out.push_back(r);
        }
        return out;
    };
}

// Derivatives are differences: six digits.
const Values xs{0, 1, 2, 3, 4}, ys{1.1, 2.9, 5.2, 6.8, 9.1};

}  // namespace

TEST_CASE("A straight line: parameters and covariance in closed form") {
    const LeastSquares fit = least_squares(line(xs, ys), {0, 0});
    // Sums: n 5, x 10, x2 30, y 25.1, xy 70.1.
    const double b = (5 * 70.1 - 10 * 25.1) / (5 * 30 - 100), a = (25.1 - 10 * b) / 5;
    CHECK(fit.converged);
    CHECK(fit.parameters[0] == Approx(a).epsilon(1e-6));
    CHECK(fit.parameters[1] == Approx(b).epsilon(1e-6));
    const lapheat::solve::Matrix c = fit.covariance();
    CHECK(c(0, 0) == Approx(30.0 / 50).epsilon(1e-6));
    CHECK(c(1, 1) == Approx(5.0 / 50).epsilon(1e-6));
    CHECK(c(0, 1) == Approx(-10.0 / 50).epsilon(1e-6));
}

TEST_CASE("Bounds hold, also for the points that differences ask for") {
    double lowest = std::numeric_limits<double>::infinity();
    const Residuals inner = line(xs, ys);
    const Residuals watched = [&](const std::vector<Values>& points) {
        for (const Values& p : points) lowest = std::min(lowest, p[0]);
        return inner(points);
    };
    LeastSquaresOptions options;
    options.low = {2, -9}, options.high = {9, 9};
    const LeastSquares fit = least_squares(watched, {3, 0}, options);
    CHECK(fit.parameters[0] == Approx(2));
    INFO(fit.ended << ", " << fit.iterations);
    CHECK(fit.parameters[1] == Approx((70.1 - 2 * 10) / 30).epsilon(1e-6));
    CHECK(lowest >= 2);
}

TEST_CASE("A direction that the residuals do not tell has no covariance of its own") {
    const Residuals sum = [](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& p : points) out.push_back({p[0] + p[1] - 3, 2 * (p[0] + p[1]) - 6});
        return out;
    };
    const LeastSquares fit = least_squares(sum, {1, 1});
    const lapheat::solve::Matrix c = fit.covariance();
    CHECK(c(0, 0) == Approx(c(0, 1)).epsilon(1e-6));
    CHECK(c(0, 0) == Approx(1.0 / 20).epsilon(1e-6));
}

TEST_CASE("What has no answer says so") {
    const Residuals none = [](const std::vector<Values>& points) {
        return std::vector<Values>(points.size());
    };
    CHECK_THROWS_AS(least_squares(none, {1}), Error);
    CHECK_THROWS_AS(least_squares(line(xs, ys), {}), Error);
    LeastSquaresOptions options;
    options.low = {2, 2};
    CHECK_THROWS_AS(least_squares(line(xs, ys), {0, 3}, options), Error);
    std::atomic<bool> stop{true};
    LeastSquaresOptions cancelled;
    cancelled.cancel = &stop;
    CHECK_THROWS_AS(least_squares(line(xs, ys), {0, 3}, cancelled), Error);
    // A point without an answer on the way is stepped back from, not taken.
    const Residuals holes = [](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& p : points)
            out.push_back(p[0] > 5 ? Values{} : Values{std::exp(p[0]) - 20, 0.1 * p[0]});
        return out;
    };
    const LeastSquares fit = least_squares(holes, {0});
    CHECK(fit.parameters[0] == Approx(std::log(20)).margin(0.01));
}

TEST_CASE("A gentle residual is itself when small and grows as a root when large") {
    CHECK(gentle(0.01, 2) == Approx(0.01).epsilon(1e-4));
    CHECK(gentle(-0.01, 2) == Approx(-0.01).epsilon(1e-4));
    const double far = gentle(1e6, 2);
    CHECK(far * far == Approx(2 * 2 * 1e6).epsilon(1e-3));
}
