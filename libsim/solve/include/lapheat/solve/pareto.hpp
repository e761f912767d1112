// Weights that turn draws from one distribution into draws from another, kept from being ruled by
// the few largest, and by how much they can be trusted.
//
// The largest weights are replaced by the expected order statistics of a generalised Pareto
// distribution fitted to them. Its shape k says whether there are enough draws: below 0.5 the
// weights have a variance and sums converge as usual, up to 0.7 they still do in practice, beyond
// that the draws do not cover what they are to stand for (Vehtari, Simpson, Gelman, Yao & Gabry,
// Pareto smoothed importance sampling, J. Mach. Learn. Res. 25 (2024) 72, from memory; the fit is
// that of Zhang & Stephens, Technometrics 51 (2009) 316, with k drawn to 0.5 as by ten more values
// there, from memory).
#pragma once

#include <span>
#include <vector>

namespace lapheat::solve {

/// A generalised Pareto distribution of what is above 0: P(X > x) = (1 + k x / scale)^(-1/k).
struct ParetoTail {
    double k = 0, scale = 1;
    /// The value below which a share `p` in (0, 1) lies.
    [[nodiscard]] double quantile(double p) const;
};

/// Fitted to a sample of at least five positive values, ascending. Throws Error for fewer. Without
/// the pull to 0.5 with `plain`.
[[nodiscard]] ParetoTail fitted_tail(std::span<const double> ascending, bool plain = false);

struct SmoothedWeights {
    std::vector<double> share;  ///< of each draw, their sum 1
    double k = 0;               ///< shape of the tail; infinite for fewer than 25 draws
    double effective = 0;       ///< 1 / sum of squared shares: plain draws worth as much
};

/// From the logarithms of weights, up to a constant; not finite ones get none. All in one is given
/// back for no draws.
[[nodiscard]] SmoothedWeights smoothed_weights(std::span<const double> log_weights);

}  // namespace lapheat::solve
