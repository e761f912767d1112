#include <algorithm>
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

TEST_CASE("of many coordinates each block and each doubling of it fills every interval once") {
    const SpreadPoints points(keys(100));
    std::vector<double> u(100);
    for (const std::uint32_t count : {64u, 128u, 256u, 1024u}) {
        std::vector<std::vector<int>> held(100, std::vector<int>(count, 0));
        for (std::uint32_t i = 0; i < count; ++i) {
            points.point(i, u);
            for (std::size_t d = 0; d < u.size(); ++d) {
                REQUIRE(u[d] > 0);
                REQUIRE(u[d] < 1);
                ++held[d][static_cast<std::size_t>(u[d] * count)];
            }
        }
        int others = 0;
        for (const auto& of : held)
            others += static_cast<int>(
                std::count_if(of.begin(), of.end(), [](int times) { return times != 1; }));
        CHECK(others == 0);
    }
}

TEST_CASE("no number of a hundred is the twin of another in the first 64 draws") {
    // Quarters of one coordinate against quarters of another: counts of 16 cells of 4 expected, by
    // Pearson's X^2. Its 9 degrees of freedom give 9 on the mean, and 33.7 in one pair of ten
    // thousand (NIST/SEMATECH e-Handbook, 1.3.6.7.4, from memory; of pairings at random, which is
    // what these are). A twin has 192.
    const auto largest = [](const auto& points) {
        const std::size_t n = points.dimensions();
        std::vector<std::vector<int>> quarter(n);
        std::vector<double> u(n);
        for (std::uint32_t i = 0; i < 64; ++i) {
            points.point(i, u);
            for (std::size_t d = 0; d < n; ++d) quarter[d].push_back(static_cast<int>(4 * u[d]));
        }
        double most = 0, sum = 0;
        for (std::size_t a = 0; a < n; ++a)
            for (std::size_t b = 0; b < a; ++b) {
                double cells[4][4] = {}, squares = 0;
                for (std::size_t i = 0; i < 64; ++i) cells[quarter[a][i]][quarter[b][i]] += 1;
                for (const auto& row : cells)
                    for (const double c : row) squares += (c - 4) * (c - 4) / 4;
                most = std::max(most, squares);
                sum += squares;
            }
        return std::pair(most, 2 * sum / static_cast<double>(n * (n - 1)));
    };
    const auto [most, mean] = largest(SpreadPoints(keys(100)));
    CHECK(most < 45);
    CHECK(mean == Approx(9).margin(0.5));
    // What it replaces for draws of cars: pairs that lie on few lines.
    CHECK(largest(ScrambledPoints(keys(100))).first == Approx(192));
}

TEST_CASE(
    "a point of many coordinates is the same whatever others there are, and uniform over keys") {
    std::vector<double> a(3), b(5);
    const std::vector<std::uint64_t> some{11, 12, 13}, more{9, 11, 12, 13, 14};
    for (const std::uint32_t i : {0u, 63u, 64u, 70'000u}) {
        SpreadPoints(some).point(i, a);
        SpreadPoints(more).point(i, b);
        for (std::size_t d = 0; d < 3; ++d) CHECK(a[d] == b[d + 1]);
    }
    double sum = 0, squares = 0;
    std::vector<double> u(1);
    for (std::uint64_t k = 0; k < 4000; ++k) {
        SpreadPoints({mixed(k)}).point(5, u);
        sum += u[0], squares += u[0] * u[0];
    }
    CHECK(sum / 4000 == Approx(0.5).margin(4 * 0.2887 / std::sqrt(4000.0)));
    CHECK(squares / 4000 == Approx(1.0 / 3).margin(4 * 0.2981 / std::sqrt(4000.0)));
}
