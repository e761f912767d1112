// What a table of draws says by itself: shares with their doubt, how much of an outcome's variance
// each number carries, and what it would be worth to know a number before one decides. Nothing is
// run again for it, hence "given data".
//
// A number's effect is a polynomial in its rank (shifted Legendre up to degree 8, the degree chosen
// for each outcome by the criterion of Schwarz 1978, degree 0 among
// them); its variance is corrected for the degrees of freedom spent, so a number without effect
// gets 0 and not the noise of the draws.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace lapheat::solve {

/// A value, and the ends of the interval that holds it in 90 of 100 cases unless it says otherwise.
struct Estimate {
    double value = 0, low = 0, high = 0;
};

/// The share `hits / of` with the interval of Wilson 1927 ("Probable inference"), by default of
/// 95 %. It is that of plain draws; a Latin hypercube is never worse than plain draws one fewer
/// (Owen 1997, from memory). {0, 0, 1} for none.
[[nodiscard]] Estimate share(std::size_t hits, std::size_t of, double coverage = 0.95);

/// The value below which a share `p` of the sample lies, between neighbours by a straight line.
/// Not a number for an empty sample.
[[nodiscard]] double quantile(std::span<const double> sample, double p);

struct GivenData {
    int degree = 8;  ///< highest of the polynomials, 1 to 8; one for each 16 rows at most
    /// Of how many columns the largest will be picked: one counts if the criterion finds it better
    /// than none among so many (Chen & Chen 2008). 1: as if it had been the only one.
    std::size_t among = 1;
    std::size_t resamples = 200;  ///< of the bootstrap; 0: no intervals (low = high = value)
    double coverage = 0.9;
    std::uint64_t key = 0;  ///< of the resampling
};

using Columns = std::span<const std::vector<double>>;

/// First-order index of each column of `x` for the outcome `y`: Var(E[y | x_i]) / Var(y), the share
/// of the variance that would go if x_i were known (Sobol' 1993). Intervals: bootstrap over the
/// rows, percentiles about the estimate (basic bootstrap), within 0 to 1. All 0 for a constant y.
/// Throws Error for columns of unequal length or fewer than 20 rows.
[[nodiscard]] std::vector<Estimate> first_order(Columns x, std::span<const double> y,
                                                const GivenData& options = {});

/// The same of columns that are independent of each other, as drawn numbers are: the effects are
/// fitted together, the largest first, each to what the others leave (an additive model by
/// backfitting: Hastie & Tibshirani 1986; a column enters by the criterion of Chen & Chen 2008, so
/// that of many columns without effect next to none does). Sharper by far where many columns share
/// the variance. Errors as first_order().
[[nodiscard]] std::vector<Estimate> first_order_together(Columns x, std::span<const double> y,
                                                         const GivenData& options = {});

/// The share of y's variance that goes with x in a straight line, upwards: the square of their
/// correlation (Pearson 1896), 0 where it is below 0 or either is constant; interval as
/// first_order(). Throws Error for unequal length or fewer than 20 rows.
[[nodiscard]] Estimate determination(std::span<const double> x, std::span<const double> y,
                                     const GivenData& options = {});

/// One of several alternatives is taken; u[d][n] is what alternative d gives in draw n.
struct Decision {
    std::size_t best = 0;  ///< alternative of the highest mean
    Estimate regret;       ///< what it falls short of the best of each draw, on the mean
};
[[nodiscard]] Decision decide(Columns u, const GivenData& options = {});
/// The same of the alternative that is taken anyhow.
[[nodiscard]] Estimate regret(Columns u, std::size_t taken, const GivenData& options = {});

/// Expected value of partial perfect information for each column of `x`: what the mean of the
/// alternative taken would gain if x_i were known first, E[max_d E[u_d | x_i]] - max_d E[u_d]
/// (Raiffa & Schlaifer 1961), from one sample by regression (Strong, Oakley & Brennan 2014). A
/// column may as well be a number with a measurement's error on it, or what an instrument in the
/// car would have read: then it is what that measurement is worth. Never above decide().regret but
/// for noise. Errors as first_order().
[[nodiscard]] std::vector<Estimate> value_of_knowing(Columns x, Columns u,
                                                     const GivenData& options = {});

}  // namespace lapheat::solve
