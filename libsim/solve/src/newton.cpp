#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <lapheat/solve/newton.hpp>
#include <lapheat/units/error.hpp>
#include <limits>

namespace lapheat::solve {
namespace {

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

std::span<double> view(Vector& v) { return {v.data(), static_cast<std::size_t>(v.size())}; }

class Newton {
  public:
    Newton(const Residual& f, std::span<double> x, const NewtonOptions& options)
        : f_(f),
          options_(options),
          x_(Eigen::Map<Vector>(x.data(), size_of(x))),
          r_(x_.size()),
          trial_(x_.size()),
          r_trial_(x_.size()),
          jacobian_(x_.size(), x_.size()) {}

    NewtonReport operator()(std::span<double> out) {
        evaluate(x_, r_);
        if (!r_.allFinite()) throw Error("residual is not finite at the first guess", "finite");
        while (!done() && report_.iterations < options_.max_iterations && improve()) {
        }
        report_.residual = r_.lpNorm<Eigen::Infinity>();
        report_.converged = done();
        std::copy(x_.begin(), x_.end(), out.begin());
        return report_;
    }

  private:
    static Eigen::Index size_of(std::span<double> x) { return static_cast<Eigen::Index>(x.size()); }

    bool done() const { return r_.lpNorm<Eigen::Infinity>() <= options_.residual_tolerance; }

    void evaluate(Vector& x, Vector& r) {
        ++report_.residual_calls;
        f_(view(x), view(r));
    }

    void fill_jacobian() {
        const double root_eps = std::sqrt(std::numeric_limits<double>::epsilon());
        trial_ = x_;
        for (Eigen::Index j = 0; j < x_.size(); ++j) {
            trial_[j] = x_[j] + root_eps * std::max(1e-3, std::abs(x_[j]));
            const double h = trial_[j] - x_[j];
            evaluate(trial_, r_trial_);
            jacobian_.col(j) = (r_trial_ - r_) / h;
            trial_[j] = x_[j];
        }
    }

    /// One damped step; false if no fraction of it helps.
    bool improve() {
        ++report_.iterations;
        fill_jacobian();
        if (!jacobian_.allFinite()) return false;
        const Eigen::FullPivLU<Matrix> lu(jacobian_);
        if (!lu.isInvertible()) report_.singular = true;
        const Vector step = lu.solve(-r_);
        const double before = r_.squaredNorm();
        for (double damping = 1; damping >= options_.smallest_damping; damping *= 0.5) {
            trial_ = x_ + damping * step;
            evaluate(trial_, r_trial_);
            // Sufficient decrease, Dennis & Schnabel equation 6.3.3 with alpha = 1e-4.
            if (r_trial_.allFinite() && r_trial_.squaredNorm() <= (1 - 2e-4 * damping) * before) {
                const bool moved =
                    (damping * step.array().abs() > options_.step_tolerance * x_.array().abs())
                        .any();
                x_ = trial_;
                r_ = r_trial_;
                report_.least_damping = std::min(report_.least_damping, damping);
                return moved;
            }
        }
        return false;
    }

    const Residual& f_;
    const NewtonOptions& options_;
    Vector x_, r_, trial_, r_trial_;
    Matrix jacobian_;
    NewtonReport report_;
};

}  // namespace

NewtonReport damped_newton(const Residual& f, std::span<double> x, const NewtonOptions& options) {
    if (x.empty()) throw Error("no unknowns", "at least one");
    return Newton(f, x, options)(x);
}

}  // namespace lapheat::solve
