#include <catch2/catch.hpp>

#include "lapheat/solve/order_statistics.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat::solve;

TEST_CASE("the ranks about a quantile hold it as often as they say") {
    // By the binomial's own sums: of 20 draws fewer than 5 lie below the median in 0.6 % of cases,
    // fewer than 6 in 2.1 %, more than 14 in 2.1 %, more than 13 in 5.8 %.
    const QuantileRanks median = quantile_ranks(20, 0.5);
    CHECK(median.low == 4);
    CHECK(median.at == 10);
    CHECK(median.high == 14);
    // One in ten of fifty: 5 lie below, none in 0.5 % of cases, more than 9 in 2.5 %.
    const QuantileRanks tenth = quantile_ranks(50, 0.1);
    CHECK(tenth.at == 5);
    CHECK(tenth.low <= 1);
    CHECK(tenth.high >= 9);
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
