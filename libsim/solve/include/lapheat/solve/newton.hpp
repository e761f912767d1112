// Damped Newton iteration for small dense systems f(x) = 0, with a report.
#pragma once

#include <functional>
#include <span>

namespace lapheat::solve {

/// Fills `residual` (as long as x) at x. A residual that is not finite shortens the step.
using Residual = std::function<void(std::span<const double> x, std::span<double> residual)>;

struct NewtonOptions {
    double residual_tolerance = 1e-10;  ///< largest |residual| accepted
    double step_tolerance = 1e-14;      ///< relative step below which there is no progress left
    int max_iterations = 50;
    double smallest_damping = 1.0 / 1024;  ///< of a Newton step, by halving
};

struct NewtonReport {
    bool converged = false;
    int iterations = 0;
    int residual_calls = 0;    ///< with those for the Jacobian
    double residual = 0;       ///< largest |residual| at the end
    double least_damping = 1;  ///< smallest fraction of a Newton step that was taken
    bool singular = false;     ///< the Jacobian lost rank on the way
};

/// Improves x in place. The Jacobian is taken by forward differences and factored with full
/// pivoting; a step is halved until the sum of squared residuals falls (Dennis & Schnabel,
/// Numerical Methods for Unconstrained Optimization and Nonlinear Equations, chapter 6).
/// Does not throw for want of convergence: the report says so.
NewtonReport damped_newton(const Residual& f, std::span<double> x,
                           const NewtonOptions& options = {});

}  // namespace lapheat::solve
