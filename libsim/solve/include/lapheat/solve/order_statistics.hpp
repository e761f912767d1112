// Where among sorted draws a quantile of what was drawn from lies, whatever its distribution.
#pragma once

#include <cstddef>

namespace lapheat::solve {

/// Ranks from 0 among n sorted draws.
struct QuantileRanks {
    std::size_t low = 0, at = 0, high = 0;
};

/// `at`: the draw below which as many lie as the share `below` (0 to 1) of n allows, rounded down.
/// From `low` to `high` the quantile lies in 95 of 100 cases, outside of either in 2.5 at most,
/// while there are draws enough: binomial counts, rounded outwards (Conover, Practical
/// Nonparametric Statistics, 1999, section 3.2; from memory). All alike for n of 1. Throws Error
/// for none, and for what is no share.
[[nodiscard]] QuantileRanks quantile_ranks(std::size_t n, double below);

}  // namespace lapheat::solve
