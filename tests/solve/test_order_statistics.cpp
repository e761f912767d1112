#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/solve/order_statistics.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat::solve;

namespace {

/// The chance that at most k of n draws lie below the quantile that a share p lies below.
double at_most(std::size_t k, std::size_t n, double p) {
    double sum = 0;
    for (std::size_t i = 0; i <= k; ++i)
        sum += std::exp(std::lgamma(n + 1.0) - std::lgamma(i + 1.0) - std::lgamma(n - i + 1.0) +
                        i * std::log(p) + (n - i) * std::log1p(-p));
    return sum;
}

}  // namespace

TEST_CASE("the ranks about a quantile hold it as often as they say") {
    // By the binomial's own sums: of 20 draws fewer than 6 lie below the median in 2.1 % of cases,
    // fewer than 7 in 5.8 %, more than 14 in 2.1 %, more than 13 in 5.8 %: the sixth and the
    // fifteenth (Conover's table of it, and any other).
    const QuantileRanks median = quantile_ranks(20, 0.5);
    CHECK(median.low == 5);
    CHECK(median.at == 10);
    CHECK(median.high == 14);
    // One in ten of fifty: 5 lie below; none in 0.5 % of cases, fewer than 2 in 3.4 %, more than 9
    // in 2.5 %, more than 8 in 5.8 %.
    const QuantileRanks tenth = quantile_ranks(50, 0.1);
    CHECK(tenth.low == 0);
    CHECK(tenth.at == 5);
    CHECK(tenth.high == 9);
}

TEST_CASE("no rank nearer to a quantile would do at either side, and the sides are alike") {
    for (const std::size_t n : {5U, 20U, 40U, 64U, 100U, 512U})
        for (const double below : {0.05, 0.1, 0.3, 0.5, 0.9}) {
            const QuantileRanks r = quantile_ranks(n, below);
            INFO(n << " draws, " << below << ": " << r.low << " to " << r.high);
            // The draw of rank k lies above the quantile if no more than k lie below it.
            if (r.low > 0) CHECK(at_most(r.low, n, below) <= 0.025);
            CHECK(at_most(r.low + 1, n, below) > 0.025);
            if (r.high + 1 < n) CHECK(1 - at_most(r.high, n, below) <= 0.025);
            CHECK(1 - at_most(r.high - 1, n, below) > 0.025);
            // Counted from the other end it is the other quantile.
            const QuantileRanks mirrored = quantile_ranks(n, 1 - below);
            CHECK(mirrored.low == n - 1 - r.high);
            CHECK(mirrored.high == n - 1 - r.low);
        }
}

TEST_CASE("ranks of a quantile stay among the draws there are") {
    for (const std::size_t n : {1U, 2U, 3U, 500U})
        for (const double below : {0.0, 0.1, 0.5, 1.0}) {
            const QuantileRanks r = quantile_ranks(n, below);
            CHECK(r.low <= r.at);
            CHECK(r.at <= r.high);
            CHECK(r.high < n);
        }
    CHECK_THROWS_AS(quantile_ranks(0, 0.1), lapheat::Error);
    CHECK_THROWS_AS(quantile_ranks(5, 1.5), lapheat::Error);
}
