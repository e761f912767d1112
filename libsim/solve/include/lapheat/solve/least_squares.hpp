// Nonlinear least squares with bounds, by Ceres Solver (trust region, Levenberg-Marquardt), for
// functions that are dear and give no derivatives: Jacobians by differences, all points of one
// asked for at once so that the caller may work on them side by side. Who has derivatives gives
// them.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "lapheat/solve/matrix.hpp"

namespace lapheat::solve {

/// All residuals at each of several points: residuals[i] belongs to points[i]; each as long as the
/// others. An empty one says that there is no answer at that point.
using Residuals =
    std::function<std::vector<std::vector<double>>(const std::vector<std::vector<double>>& points)>;

struct LeastSquaresOptions {
    std::vector<double> low, high;  ///< bounds of each parameter; empty: none
    /// Difference step of each parameter, absolute; empty: cube root of the machine's epsilon times
    /// its size (central differences).
    std::vector<double> step;
    bool central = true;  ///< two points a parameter; else one
    /// In place of differences: residuals by parameters at a point.
    std::function<Matrix(const std::vector<double>& at)> jacobian;
    int iterations = 100;      ///< at most
    double tolerance = 1e-12;  ///< relative change of the sum of squares at which it ends
    const std::atomic<bool>* cancel = nullptr;
};

struct LeastSquares {
    std::vector<double> parameters;
    double sum_of_squares = 0;  ///< of the residuals there
    bool converged = false;
    int iterations = 0;
    std::size_t evaluations = 0;  ///< points asked for
    std::string ended;            ///< Ceres' words for why
    Matrix jacobian;              ///< residuals by parameters, there
    std::vector<double> residuals;

    /// (J^T J)^-1: the covariance of the parameters when residuals are of unit variance (Seber &
    /// Wild, Nonlinear Regression, 1989, eq. 2.16; from memory). Directions that the residuals do
    /// not tell are left out (pseudo-inverse at 1e-12 of the largest).
    [[nodiscard]] Matrix covariance() const;
};

/// From `start`, which must have an answer and lie within the bounds. Throws Error for what is not
/// so, for lengths that differ, and when cancelled.
[[nodiscard]] LeastSquares least_squares(const Residuals& residuals,
                                         const std::vector<double>& start,
                                         const LeastSquaresOptions& options = {});

/// A residual r in units of its standard deviation, made gentle beyond `knee`: its square becomes
/// rho = 2 k^2 (sqrt(1 + (r/k)^2) - 1), which grows straight (Charbonnier et al., IEEE Trans. Image
/// Process. 6 (1997) 298, from memory; called soft L1). Returns the root of rho with r's sign.
[[nodiscard]] double gentle(double residual, double knee);
/// Its derivative by the residual: 1 at none, falling with the root of it.
[[nodiscard]] double gentle_slope(double residual, double knee);

}  // namespace lapheat::solve
