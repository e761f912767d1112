#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::solve;

namespace {

/// Columns of standard normal draws.
template <class Points = ScrambledPoints>
std::vector<std::vector<double>> normals(std::size_t columns, std::uint32_t rows,
                                         std::uint64_t series) {
    std::vector<std::uint64_t> keys;
    for (std::size_t d = 0; d < columns; ++d) keys.push_back(mixed(series, std::to_string(d)));
    const Points points(keys);
    std::vector<std::vector<double>> out(columns);
    std::vector<double> u(columns);
    for (std::uint32_t n = 0; n < rows; ++n) {
        points.point(n, u);
        for (std::size_t d = 0; d < columns; ++d) out[d].push_back(normal_quantile(u[d]));
    }
    return out;
}

/// E[max(0, X)] of a normal X.
double positive_part(double mean, double sd) {
    const double z = mean / sd;
    return sd * std::exp(-0.5 * z * z) / std::sqrt(2 * 3.14159265358979323846) +
           mean * normal_share(z);
}

/// Width of the 90 % interval of a share told by the square of a correlation of n plain draws
/// (Stuart & Ord, Kendall's Advanced Theory, 1987: its deviation is 2 r (1 - r^2) / sqrt(n)).
double plain_width(double share, double n) {
    return 2 * 1.645 * 2 * std::sqrt(share) * (1 - share) / std::sqrt(n);
}

}  // namespace

TEST_CASE("a share's interval is Wilson's, and stays between nothing and all") {
    // By hand: 81 of 263 at 95 % gives 0.2553 to 0.3662 (Newcombe 1998, table I, method 3).
    const Estimate e = share(81, 263);
    CHECK(e.low == Approx(0.2553).margin(5e-5));
    CHECK(e.high == Approx(0.3662).margin(5e-5));
    CHECK(share(0, 20).low == 0);
    CHECK(share(0, 20).high == Approx(0.1611).margin(1e-4));
    CHECK(share(20, 20).high == 1);
    CHECK(share(0, 0).high == 1);
}

TEST_CASE("a number without effect carries nothing of the variance") {
    const auto x = normals(42, 500, 3);
    std::vector<double> y;
    for (std::size_t n = 0; n < 500; ++n) y.push_back(2 * x[0][n] + x[1][n] * x[1][n]);
    GivenData quick;
    quick.resamples = 50;
    const auto s = first_order(x, y, quick);
    CHECK(s[0].value == Approx(4.0 / 6).margin(0.05));
    CHECK(s[1].value == Approx(2.0 / 6).margin(0.05));
    double rest = 0;
    for (std::size_t d = 2; d < x.size(); ++d) {
        CHECK(s[d].low == 0);
        rest += s[d].value;
    }
    CHECK(rest < 0.15);  // forty chances; the noise of forty straight fits is 40/500
    for (const Estimate& e : s) {
        CHECK(e.low <= e.value);
        CHECK(e.value <= e.high);
    }
}

TEST_CASE("nothing can be said of an outcome that does not move, or of columns of one value") {
    const auto x = normals(1, 64, 1);
    CHECK(first_order(x, std::vector<double>(64, 4.0))[0].high == 0);
    const std::vector<std::vector<double>> same{std::vector<double>(64, 1.0)};
    CHECK(first_order(same, x[0])[0].value == 0);
    CHECK_THROWS_AS(first_order(x, std::vector<double>(63, 4.0)), Error);
    CHECK_THROWS_AS(first_order(normals(1, 10, 1), std::vector<double>(10, 1.0)), Error);
    CHECK(std::isnan(quantile({}, 0.5)));
}

TEST_CASE("nine of ten intervals hold the true index") {
    // y = x0 + x1 + x2/2, shares 4/9, 4/9, 1/9; 90 % intervals over 60 keys of 250 draws.
    int held = 0, asked = 0;
    const double truth[] = {4.0 / 9, 4.0 / 9, 1.0 / 9};
    double width[3] = {};
    for (std::uint64_t series = 0; series < 60; ++series) {
        const auto x = normals(3, 250, 100 + series);
        std::vector<double> y;
        for (std::size_t n = 0; n < 250; ++n) y.push_back(x[0][n] + x[1][n] + 0.5 * x[2][n]);
        GivenData options;
        options.key = series;
        const auto s = first_order(x, y, options);
        for (std::size_t d = 0; d < 3; ++d, ++asked) {
            held += s[d].low <= truth[d] && truth[d] <= s[d].high ? 1 : 0;
            width[d] += (s[d].high - s[d].low) / 60;
        }
    }
    // Evenly spread draws lie nearer than the plain ones that the bootstrap imitates.
    CHECK(held >= 0.88 * asked);
    // And not because they hold anything.
    for (std::size_t d = 0; d < 3; ++d) {
        INFO(d << ": " << width[d] << ", of plain draws " << plain_width(truth[d], 250));
        CHECK(width[d] > 0.6 * plain_width(truth[d], 250));
        CHECK(width[d] < 1.4 * plain_width(truth[d], 250));
    }
}

TEST_CASE("fitted together, forty numbers of few draws give up next to no room to noise") {
    const auto x = normals(42, 128, 31);
    std::vector<double> y;
    for (std::size_t n = 0; n < 128; ++n)
        y.push_back(2 * x[0][n] + x[1][n] * x[1][n] + x[2][n] + 0.3 * x[3][n]);
    const auto s = first_order_together(x, y);
    const double total = 4 + 2 + 1 + 0.09;
    CHECK(s[0].value == Approx(4 / total).margin(0.04));
    CHECK(s[1].value == Approx(2 / total).margin(0.06));
    CHECK(s[2].value == Approx(1 / total).margin(0.04));
    double rest = 0;
    for (std::size_t d = 4; d < x.size(); ++d) rest += s[d].value;
    CHECK(rest < 0.02);
}

TEST_CASE("nine of ten intervals hold the true index when fitted together, too") {
    int held = 0, asked = 0, none = 0;
    const double truth[] = {1 / 3.25, 1 / 3.25, 0.25 / 3.25, 0};
    double width[3] = {};
    for (std::uint64_t series = 0; series < 40; ++series) {
        const auto x = normals(12, 200, 300 + series);
        std::vector<double> y;
        for (std::size_t n = 0; n < 200; ++n)
            y.push_back(x[0][n] + x[1][n] + 0.5 * x[2][n] + x[3][n] * x[4][n]);
        GivenData options;
        options.key = series;
        options.resamples = 100;
        const auto s = first_order_together(x, y, options);
        for (std::size_t d = 0; d < 3; ++d, ++asked) {
            held += s[d].low <= truth[d] && truth[d] <= s[d].high ? 1 : 0;
            width[d] += (s[d].high - s[d].low) / 40;
        }
        none += s[3].low == 0 ? 1 : 0;
    }
    INFO(held << " of " << asked << ", none said of what is none " << none);
    CHECK(held >= 0.85 * asked);
    CHECK(none >= 0.85 * 40);
    // With the other numbers' part taken away an interval is no wider than by one alone.
    for (std::size_t d = 0; d < 3; ++d) {
        INFO(d << ": " << width[d] << ", of plain draws alone " << plain_width(truth[d], 200));
        CHECK(width[d] < plain_width(truth[d], 200));
    }
}

TEST_CASE("what goes with a line upwards is the square of the correlation") {
    const auto x = normals(2, 512, 77);
    std::vector<double> y, down;
    for (std::size_t n = 0; n < 512; ++n) {
        y.push_back(3 * x[0][n] + 4 * x[1][n] + 7);
        down.push_back(-y.back());
    }
    const Estimate e = determination(x[0], y);
    CHECK(e.value == Approx(9.0 / 25).margin(0.02));
    CHECK(e.low < 9.0 / 25);
    CHECK(e.high > 9.0 / 25);
    CHECK(determination(y, y).value == Approx(1));
    CHECK(determination(x[0], down).value == 0);
    CHECK(determination(std::vector<double>(512, 2.0), y).value == 0);
    CHECK_THROWS_AS(determination(x[0], std::vector<double>(511, 1.0)), Error);
}

TEST_CASE("the largest of sixty readings that tell nothing is not called telling") {
    int asked = 0, alone = 0, among = 0;
    for (std::uint64_t series = 0; series < 20; ++series) {
        auto x = normals<SpreadPoints>(61, 64, 900 + series);
        const std::vector<double> y = x.back();
        x.pop_back();
        GivenData options;
        options.resamples = 0;
        const auto largest = [&] {
            double most = 0;
            for (const Estimate& e : first_order(x, y, options)) most = std::max(most, e.value);
            return most;
        };
        ++asked;
        alone += largest() >= 0.1;
        options.among = x.size();
        among += largest() >= 0.1;
    }
    INFO("taken alone " << alone << ", among sixty " << among << ", of " << asked);
    CHECK(alone >= 10);
    CHECK(among <= 2);
}

TEST_CASE("what is worth knowing is what turns the choice, not what moves both alike") {
    // A margin of 8 + 6 a + b against 7 + 6 a + 3 c: a moves both most and decides nothing.
    const auto x = normals(4, 1024, 11);
    std::vector<std::vector<double>> u(2);
    for (std::size_t n = 0; n < 1024; ++n) {
        u[0].push_back(8 + 6 * x[0][n] + x[1][n]);
        u[1].push_back(7 + 6 * x[0][n] + 3 * x[2][n]);
    }
    const auto worth = value_of_knowing(x, u);
    CHECK(worth[0].value < 0.02);
    CHECK(worth[1].value == Approx(positive_part(-1, 1)).margin(0.02));
    CHECK(worth[2].value == Approx(positive_part(-1, 3)).margin(0.05));
    CHECK(worth[3].value < 0.02);
    CHECK(worth[2].low <= positive_part(-1, 3));
    CHECK(worth[2].high >= positive_part(-1, 3));
    const Decision d = decide(u);
    CHECK(d.best == 0);
    CHECK(d.regret.value == Approx(positive_part(-1, std::sqrt(10.0))).margin(0.05));
    for (const Estimate& e : worth) CHECK(e.value <= d.regret.value);
}

TEST_CASE("a coarse instrument is worth less than a fine one") {
    const auto x = normals(3, 1024, 12);
    std::vector<std::vector<double>> u(2), read(2);
    for (std::size_t n = 0; n < 1024; ++n) {
        u[0].push_back(0.5);
        u[1].push_back(3 * x[0][n] + x[1][n]);
        read[0].push_back(x[0][n] + 0.2 * x[2][n]);
        read[1].push_back(x[0][n] + 1.0 * x[2][n]);
    }
    const auto worth = value_of_knowing(read, u);
    // Normal prior 1, error e: what is left to learn of 3 x has deviation 3 / sqrt(1 + e²).
    CHECK(worth[0].value == Approx(positive_part(-0.5, 3 / std::sqrt(1.04))).margin(0.05));
    CHECK(worth[1].value == Approx(positive_part(-0.5, 3 / std::sqrt(2.0))).margin(0.08));
}

TEST_CASE("two placements whose chances are known in closed form") {
    // A: 6 + 4 a, B: 5 + 4 b with correlation by a shared 3 c. P(A holds) = Phi(6/5),
    // P(A beats B) = Phi(1 / sqrt(32)).
    const std::uint32_t rows = 2048;
    const auto x = normals(3, rows, 21);
    std::size_t holds = 0, better = 0;
    for (std::size_t n = 0; n < rows; ++n) {
        const double a = 6 + 4 * x[0][n] + 3 * x[2][n], b = 5 + 4 * x[1][n] + 3 * x[2][n];
        holds += a >= 0 ? 1 : 0;
        better += a > b ? 1 : 0;
    }
    CHECK(share(holds, rows).value == Approx(normal_share(1.2)).margin(0.01));
    CHECK(share(better, rows).value == Approx(normal_share(1 / std::sqrt(32.0))).margin(0.01));
}
