#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::solve;

namespace {

std::vector<std::uint64_t> keys(std::size_t n, std::uint64_t series = 1) {
    std::vector<std::uint64_t> out;
    for (std::size_t i = 0; i < n; ++i) out.push_back(mixed(series, std::to_string(i)));
    return out;
}

}  // namespace

TEST_CASE("the first 2^m points hold one in each equal interval of every coordinate") {
    const std::size_t n = 256;
    const ScrambledPoints points(keys(100));
    std::vector<std::set<int>> hit(points.dimensions());
    std::vector<double> u(points.dimensions());
    for (std::uint32_t i = 0; i < n; ++i) {
        points.point(i, u);
        for (std::size_t d = 0; d < u.size(); ++d) {
            REQUIRE(u[d] > 0);
            REQUIRE(u[d] < 1);
            hit[d].insert(static_cast<int>(u[d] * n));
        }
    }
    for (const auto& intervals : hit) CHECK(intervals.size() == n);
}

TEST_CASE("the first two coordinates are a net: one point in each box of 1/256") {
    // Of Sobol' points the first two coordinates are a (0, m, 2)-net; scrambling keeps it.
    const ScrambledPoints points(keys(2, 7));
    for (int rows = 1; rows <= 256; rows *= 2) {
        std::set<std::pair<int, int>> boxes;
        for (std::uint32_t i = 0; i < 256; ++i) {
            double u[2];
            points.point(i, u);
            boxes.insert({static_cast<int>(u[0] * rows), static_cast<int>(u[1] * (256 / rows))});
        }
        CHECK(boxes.size() == 256);
    }
}

TEST_CASE("a coordinate keeps its points whatever the others' keys are") {
    auto some = keys(3), more = keys(3);
    more[1] = 99;
    more.push_back(5);
    double a[3], b[4];
    for (const std::uint32_t i : {0u, 5u, 1000u, 4'000'000'000u}) {
        ScrambledPoints(some).point(i, a);
        ScrambledPoints(more).point(i, b);
        CHECK(a[0] == b[0]);
        CHECK(a[1] != b[1]);
        CHECK(a[2] == b[2]);
    }
}

TEST_CASE("over the keys one point is uniform in its coordinate") {
    double sum = 0, squares = 0;
    const int n = 4000;
    for (int k = 0; k < n; ++k) {
        double u[2];
        ScrambledPoints(keys(2, static_cast<std::uint64_t>(k))).point(0, u);
        sum += u[1];
        squares += u[1] * u[1];
    }
    // Standard errors 0.0046 and 0.0047: three of them.
    CHECK(sum / n == Approx(0.5).margin(0.014));
    CHECK(squares / n == Approx(1.0 / 3).margin(0.014));
}

TEST_CASE("more coordinates than there are direction numbers are refused") {
    CHECK_THROWS_AS(ScrambledPoints(keys(ScrambledPoints::most_dimensions + 1)), Error);
    CHECK(ScrambledPoints({}).dimensions() == 0);
}

TEST_CASE("quantiles invert what their distributions say of themselves") {
    CHECK(uniform(2, 6).quantile(0.25) == 3);
    CHECK(fixed(3).quantile(0.9) == 3);
    CHECK(uniform(4, 4).sharp());
    // Triangular: below the mode lies (mode - low)/(high - low) of it.
    const Distribution t = triangular(0, 1, 4);
    CHECK(t.quantile(0.25) == Approx(1));
    CHECK(t.quantile(0.0625) == Approx(0.5));
    CHECK(t.quantile(1 - 0.75 * 0.25) == Approx(2.5));
    CHECK(triangular(1, 1, 3).quantile(0.75) == Approx(2));
    CHECK(log_triangular(0.5, 1, 2).quantile(0.5) == Approx(1));
    CHECK(log_triangular(0.5, 1, 2).quantile(0.125) == Approx(std::sqrt(0.5)));
    // Normal shares from Abramowitz & Stegun 1964, table 26.1.
    CHECK(normal_share(1) == Approx(0.841344746068543).epsilon(1e-14));
    CHECK(normal(10, 2).quantile(0.841344746068543) == Approx(12).epsilon(1e-12));
    CHECK(normal_quantile(1e-12) == Approx(-7.034483825).epsilon(1e-9));
    CHECK(log_normal(3, 0.5).quantile(0.5) == Approx(3));
    CHECK(log_normal(3, 0.5).quantile(0.841344746068543) == Approx(3 * std::exp(0.5)));
}

TEST_CASE("cut ends are kept, and what is left is scaled up") {
    const Distribution half = normal(0, 1, 0);
    CHECK(half.quantile(0.5) == Approx(0.674489750196082).epsilon(1e-12));
    const Distribution tail = normal(0, 1, 3, 4);  // by the mirrored tail
    CHECK(tail.quantile(1e-9) == Approx(3).epsilon(1e-6));
    CHECK(tail.quantile(1 - 1e-9) == Approx(4).epsilon(1e-6));
    CHECK(normal_share(-tail.quantile(0.5)) ==
          Approx(0.5 * (normal_share(-3) + normal_share(-4))).epsilon(1e-9));
    const Distribution factor = log_normal(1, 0.3, 0.5, 2);
    double last = 0;
    for (double u = 0.001; u < 1; u += 0.001) {
        const double x = factor.quantile(u);
        CHECK(x > last);
        CHECK(x >= 0.5);
        CHECK(x <= 2);
        last = x;
    }
}

TEST_CASE("a distribution that cannot be is refused") {
    CHECK_THROWS_AS(uniform(2, 1), Error);
    CHECK_THROWS_AS(triangular(0, 5, 4), Error);
    CHECK_THROWS_AS(log_triangular(0, 1, 2), Error);
    CHECK_THROWS_AS(triangular(0, std::nan(""), 4), Error);
    CHECK_THROWS_AS(normal(0, -1), Error);
    CHECK_THROWS_AS(normal(0, 1, 9, 10), Error);
    CHECK_THROWS_AS(log_normal(0, 1), Error);
}
