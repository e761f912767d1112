// A linearly implicit step, as a controlled stepper of Boost.Odeint.
//
// What the slopes A know of f is followed to the fifth order, what they leave out to the second,
// whatever A is (an exponential W-method, as of Hochbruck, Lubich & Selhofer, SIAM J. Sci. Comput.
// 19, 1998, 1552, with an approximation of one pole in place of the exponential):
//
//   (I − γ h A) v1 = f(y),  (I − γ h A) vj = v(j−1),  U = y + h Σ bj vj  (one_pole.hpp has the bj)
//   d = f(U) − f(y) − A (U − y),  (I − γ h A) w = d,  y + h Σ bj vj + h w / 2
//
// Two calls of f and one factor a step. L-stable where A is the Jacobian. A linear sum that f
// keeps, and whose weights A maps to zero, the step keeps.
//
// Error of the linear part: h⁴ A⁴ (I − γ h A)^-6 f, of fifth order and damped where the system is
// stiff; on y' = λ y with its factor 20 to 3 times the error of the step for −0.5 ≥ h λ ≥ −4. It is
// blind to what A leaves out. That is seen in d: with e what the increment differs from h v1 by,
// h d |e| / |h v1|, of third order, is added, and h d itself at most. On y' = λ y with A = 0 that
// is three times the error of the step: what is slow is followed for long, and its errors add up.
#pragma once

#include <array>
#include <boost/numeric/odeint/stepper/controlled_step_result.hpp>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <cmath>
#include <lapheat/solve/detail/one_pole.hpp>
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
        for (State* s : {&linear_, &left_out_, &error_}) s->resize(n);
        for (State& v : v_) v.resize(n);
        if (!factor_.factor(a_, gamma * h)) return refuse(h);
        v_[0] = dydt;
        factor_.solve(v_[0].data());
        for (std::size_t j = 1; j < v_.size(); ++j) {
            v_[j] = v_[j - 1];
            factor_.solve(v_[j].data());
        }
        combine(at_end, linear_, n);
        for (std::size_t i = 0; i < n; ++i) out[i] = y[i] + h * linear_[i];
        system.first(out, left_out_, t + h);
        for (std::size_t i = 0; i < n; ++i) {
            // h A v_j is (v_j - v_(j-1)) / gamma, and so A times the whole increment is this.
            double sloped = 0, before = dydt[i];
            for (std::size_t j = 0; j < order; ++j) {
                sloped += at_end[j] * (v_[j][i] - before);
                before = v_[j][i];
            }
            left_out_[i] -= dydt[i] + sloped / gamma;
            error_[i] = left_out_[i];
        }
        factor_.solve(left_out_.data());
        for (std::size_t i = 0; i < n; ++i) {
            // With what was left out: of a state that A does not know it is all that bends it.
            const double moved = std::abs(v_[0][i]);
            const double bent = std::abs(linear_[i] + 0.5 * left_out_[i] - v_[0][i]);
            const double part = bent < moved ? bent / moved : 1;
            out[i] += 0.5 * h * left_out_[i];
            const double fourth = v_[1][i] - 4 * v_[2][i] + 6 * v_[3][i] - 4 * v_[4][i] + v_[5][i];
            error_[i] = h * (share * std::abs(fourth) + std::abs(error_[i]) * part);
        }
        Algebra algebra;
        const double size = norm_.error(algebra, out, dydt, error_, h);
        if (size > 1) {
            // Far out, where the step damps, its error falls with a power of h between one and two.
            h *= std::max(0.2, 0.9 * std::pow(size, -0.6));
            return boost::numeric::odeint::fail;
        }
        t += h;
        fresh_ = true;
        if (size < 0.5) h *= std::min(5.0, 0.9 * std::pow(std::max(size, 1e-6), -0.25));
        return boost::numeric::odeint::success;
    }

    LinearlyImplicit& stepper() { return *this; }

    /// The next step starts from another state or right-hand side than where the last one ended.
    void fresh() { fresh_ = true; }

    /// State within the last step, by the same pole.
    void calc_state(double t, State& y, const State& y0, const State& /*d0*/, double t0,
                    const State& /*y1*/, const State& /*d1*/, double t1) const {
        const double h = t1 - t0, x = (t - t0) / h;
        const Weights b = one_pole::weights(x);
        for (std::size_t i = 0; i < y.size(); ++i) {
            double sum = 0.5 * x * x * left_out_[i];
            for (std::size_t j = 0; j < order; ++j) sum += b[j] * v_[j][i];
            y[i] = y0[i] + h * sum;
        }
    }

    /// Of the last step tried: the state with the largest error against what is allowed.
    [[nodiscard]] std::size_t worst_state() const { return norm_.worst(error_); }
    [[nodiscard]] const ShiftedFactor& factor() const { return factor_; }
    [[nodiscard]] const SparseMatrix& slopes() const { return a_; }

  private:
    static constexpr std::size_t order = one_pole::order;
    static constexpr double gamma = one_pole::gamma;
    using Weights = one_pole::Weights;
    static constexpr Weights at_end = one_pole::weights(1);
    static constexpr double share = 0.005 / (gamma * gamma * gamma * gamma);

    void combine(const Weights& b, State& out, std::size_t n) const {
        for (std::size_t i = 0; i < n; ++i) {
            double sum = 0;
            for (std::size_t j = 0; j < order; ++j) sum += b[j] * v_[j][i];
            out[i] = sum;
        }
    }

    static boost::numeric::odeint::controlled_step_result refuse(double& h) {
        h *= 0.2;
        return boost::numeric::odeint::fail;
    }

    ErrorNorm norm_;
    SparseMatrix a_;
    ShiftedFactor factor_;
    std::array<State, order + 1> v_;
    State linear_, left_out_, error_, first_, out_;
    bool fresh_ = true;
};

}  // namespace lapheat::solve::detail
