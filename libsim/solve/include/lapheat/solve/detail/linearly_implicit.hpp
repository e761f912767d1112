// A linearly implicit step of two stages, as a controlled stepper of Boost.Odeint.
//
// The method ROS2 of Verwer, Spee, Blom & Hundsdorfer (SIAM J. Sci. Comput. 20, 1999, 1456):
//
//   (I − γ h A) k1 = f(y),  (I − γ h A) k2 = f(y + h k1) − 2 k1,  y + h (3 k1 + k2) / 2
//
// with γ = 1 − 1/√2. Second order whatever A is; L-stable where A is the Jacobian. Hence A may
// leave out what is slow. A linear sum that f keeps, and whose weights A maps to zero, the step
// keeps.
//
// Error: e = h (k1 + k2) / 2 is the difference to a method of first order; (I − γ h A)^-1 e − e is
// of third order and damped where the system is stiff. On y' = λ y it is 1.6 to 1.8 times the error
// of the step for −2 ≤ h λ ≤ −0.5, hence the factor. It is blind to what A leaves out: where A is
// zero it is zero, however large the step. What A left out is seen in the two derivatives of a step,
// d = h (f(y + h k1) − f(y)) − h² A k1, the second order's worth of it; d |e| / |h k1|, of third
// order, is added, and d itself at most. On y' = λ y with A = 0 that is 3 to 6 times the error of the
// step: what is slow is followed for long, and its errors add up.
#pragma once

#include <boost/numeric/odeint/stepper/controlled_step_result.hpp>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <cmath>
#include <lapheat/solve/detail/stepper.hpp>
#include <lapheat/solve/sparse_matrix.hpp>
#include <utility>

namespace lapheat::solve::detail {

/// System: a pair of f(y, dydt, t) and slopes(y, A, t), which fills a SparseMatrix.
class LinearlyImplicit {
  public:
    using state_type = State;
    using deriv_type = State;
    using value_type = double;
    using time_type = double;
    using stepper_category = boost::numeric::odeint::controlled_stepper_tag;

    explicit LinearlyImplicit(ErrorNorm norm = {}) : norm_(std::move(norm)) {}

    /// As Odeint asks of a controlled stepper: y, t and h move on if the step is accepted, else h
    /// only.
    template <class Pair>
    boost::numeric::odeint::controlled_step_result try_step(Pair system, State& y, double& t,
                                                            double& h) {
        first_.resize(y.size());
        out_.resize(y.size());
        fresh_ = true;
        system.first(y, first_, t);
        const auto result = try_step(system, y, first_, t, out_, first_, h);
        if (result == boost::numeric::odeint::success) y.swap(out_);
        return result;
    }

    /// The same from a known derivative, to another place. The slopes are asked for once for each
    /// `y` that fresh() announces; a step tried again is factored anew only.
    template <class Pair>
    boost::numeric::odeint::controlled_step_result try_step(Pair system, const State& y,
                                                            const State& dydt, double& t,
                                                            State& out, State& /*dydt_out*/,
                                                            double& h) {
        const std::size_t n = y.size();
        if (a_.size() != n) a_ = SparseMatrix(n);
        if (fresh_) {
            a_.clear();
            system.second(y, a_, t);
            fresh_ = false;
        }
        for (State* s : {&k1_, &k2_, &error_, &left_out_}) s->resize(n);
        if (!factor_.factor(a_, gamma * h)) return refuse(h);
        k1_ = dydt;
        factor_.solve(k1_.data());
        for (std::size_t i = 0; i < n; ++i) out[i] = y[i] + h * k1_[i];
        system.first(out, k2_, t + h);
        for (std::size_t i = 0; i < n; ++i) {
            // A k1 is (k1 − f) / (γ h), by the first stage.
            left_out_[i] = h * (k2_[i] - dydt[i]) - h * (k1_[i] - dydt[i]) / gamma;
            k2_[i] -= 2 * k1_[i];
        }
        factor_.solve(k2_.data());
        for (std::size_t i = 0; i < n; ++i) {
            error_[i] = 0.5 * h * (k1_[i] + k2_[i]);
            out[i] = y[i] + h * (1.5 * k1_[i] + 0.5 * k2_[i]);
        }
        filtered_ = error_;
        factor_.solve(filtered_.data());
        for (std::size_t i = 0; i < n; ++i) {
            const double moved = std::abs(h * k1_[i]), size = std::abs(error_[i]);
            const double part = size < moved ? size / moved : 1;
            error_[i] = std::abs(share * (filtered_[i] - error_[i])) +
                        left_out_share * std::abs(left_out_[i]) * part;
        }
        Algebra algebra;
        const double size = norm_.error(algebra, out, dydt, error_, h);
        if (size > 1) {
            h *= std::max(0.2, 0.9 * std::pow(size, -1.0 / 3));
            return boost::numeric::odeint::fail;
        }
        t += h;
        fresh_ = true;
        if (size < 0.5) h *= std::min(5.0, 0.9 * std::pow(std::max(size, 1e-6), -1.0 / 3));
        return boost::numeric::odeint::success;
    }

    LinearlyImplicit& stepper() { return *this; }

    /// The next step starts from another state or right-hand side than where the last one ended.
    void fresh() { fresh_ = true; }

    /// State within the last step: second order, with the step's own stages.
    void calc_state(double t, State& y, const State& y0, const State& /*d0*/, double t0,
                    const State& /*y1*/, const State& /*d1*/, double t1) const {
        const double h = t1 - t0, x = (t - t0) / h;
        const double b2 = (0.5 * x * x - gamma * x) / (1 - 2 * gamma), b1 = x + b2;
        for (std::size_t i = 0; i < y.size(); ++i) y[i] = y0[i] + h * (b1 * k1_[i] + b2 * k2_[i]);
    }

    /// Of the last step tried: the state with the largest error against what is allowed.
    [[nodiscard]] std::size_t worst_state() const { return norm_.worst(error_); }
    [[nodiscard]] const ShiftedFactor& factor() const { return factor_; }
    [[nodiscard]] const SparseMatrix& slopes() const { return a_; }

  private:
    static constexpr double gamma = 0.29289321881345248;  // 1 − 1/√2
    static constexpr double share = 0.6;
    static constexpr double left_out_share = 1;

    static boost::numeric::odeint::controlled_step_result refuse(double& h) {
        h *= 0.2;
        return boost::numeric::odeint::fail;
    }

    ErrorNorm norm_;
    SparseMatrix a_;
    ShiftedFactor factor_;
    State k1_, k2_, error_, filtered_, left_out_, first_, out_;
    bool fresh_ = true;
};

}  // namespace lapheat::solve::detail
