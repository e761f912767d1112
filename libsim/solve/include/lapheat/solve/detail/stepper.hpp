// The Odeint steppers of this room, over std::vector<double>, with an algebra the compiler can
// vectorise and an error norm with a tolerance for each state.
#pragma once

#include <algorithm>
#include <boost/numeric/odeint/algebra/default_operations.hpp>
#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cmath>
#include <cstddef>
#include <vector>

namespace lapheat::solve::detail {

using State = std::vector<double>;

/// Odeint's default algebra walks iterators, which GCC does not vectorise for seven arrays at
/// once. The arrays of one call never overlap here.
struct Algebra {
    template <class Op, class First, class... Rest>
    static void loop(Op op, First& first, Rest&... rest) {
        const std::size_t n = first.size();
        double* out = first.data();
        run(op, n, out, rest.data()...);
    }
    template <class Op, class... In>
    static void run(Op op, std::size_t n, double* out, const In*... in) {
#pragma GCC ivdep
        for (std::size_t i = 0; i < n; ++i) op(out[i], in[i]...);
    }
    template <class A, class B, class C, class Op>
    static void for_each3(A& a, B& b, C& c, Op op) {
        loop(op, a, b, c);
    }
    template <class A, class B, class C, class D, class Op>
    static void for_each4(A& a, B& b, C& c, D& d, Op op) {
        loop(op, a, b, c, d);
    }
    template <class A, class B, class C, class D, class E, class Op>
    static void for_each5(A& a, B& b, C& c, D& d, E& e, Op op) {
        loop(op, a, b, c, d, e);
    }
    template <class A, class B, class C, class D, class E, class F, class Op>
    static void for_each6(A& a, B& b, C& c, D& d, E& e, F& f, Op op) {
        loop(op, a, b, c, d, e, f);
    }
    template <class A, class B, class C, class D, class E, class F, class G, class Op>
    static void for_each7(A& a, B& b, C& c, D& d, E& e, F& f, G& g, Op op) {
        loop(op, a, b, c, d, e, f, g);
    }
    template <class A, class B, class C, class D, class E, class F, class G, class H, class Op>
    static void for_each8(A& a, B& b, C& c, D& d, E& e, F& f, G& g, H& h, Op op) {
        loop(op, a, b, c, d, e, f, g, h);
    }
};

/// Largest weighted error of a step. A value that is not finite counts as a very large error, so
/// that the step is refused instead of slipping through a comparison.
class ErrorNorm {
  public:
    ErrorNorm() = default;
    ErrorNorm(double relative, State absolute)
        : relative_(relative), absolute_(std::move(absolute)) {}

    template <class Deriv>
    double error(Algebra& /*algebra*/, const State& y, const Deriv& /*dydt*/, const State& e,
                 double /*dt*/) const {
        constexpr double refused = 1e30;
        double largest = 0;
        double sum = 0;
        for (std::size_t i = 0; i < y.size(); ++i) {
            const double r = std::abs(e[i]) / (absolute_[i] + relative_ * std::abs(y[i]));
            largest = std::max(largest, r);
            sum += e[i];
        }
        return std::isfinite(sum) && largest < refused ? largest : refused;
    }

    /// The state whose error is largest, by absolute tolerances.
    [[nodiscard]] std::size_t worst(const State& e) const {
        std::size_t state = 0;
        for (std::size_t i = 1; i < e.size(); ++i)
            if (std::abs(e[i]) / absolute_[i] > std::abs(e[state]) / absolute_[state]) state = i;
        return state;
    }

  private:
    double relative_ = 0;
    State absolute_;
};

using DormandPrince =
    boost::numeric::odeint::runge_kutta_dopri5<State, double, State, double, Algebra,
                                               boost::numeric::odeint::default_operations>;

/// The third-order pair of Bogacki & Shampine (Appl. Math. Lett. 2, 1989, 321) as an Odeint error
/// stepper, which Odeint itself does not have: three calls a step, first same as last. Between
/// steps the cubic through both ends and their slopes.
class BogackiShampine {
  public:
    using state_type = State;
    using deriv_type = State;
    using value_type = double;
    using time_type = double;
    using order_type = unsigned short;
    using algebra_type = Algebra;
    using operations_type = boost::numeric::odeint::default_operations;
    using resizer_type = boost::numeric::odeint::initially_resizer;
    using stepper_category = boost::numeric::odeint::explicit_error_stepper_fsal_tag;
    using wrapped_state_type = boost::numeric::odeint::state_wrapper<State>;
    using wrapped_deriv_type = wrapped_state_type;

    static order_type order() { return 3; }
    static order_type stepper_order() { return 3; }
    static order_type error_order() { return 3; }
    Algebra& algebra() { return algebra_; }

    template <class Rates>
    void do_step(Rates rates, const State& y, const State& k1, double t, State& out, State& k4,
                 double h, State& error) {
        trial_.resize(y.size());
        k2_.resize(y.size());
        k3_.resize(y.size());
        Algebra::for_each3(trial_, y, k1, Sum2(1.0, h / 2));
        rates.get()(trial_, k2_, t + h / 2);
        Algebra::for_each3(trial_, y, k2_, Sum2(1.0, 3 * h / 4));
        rates.get()(trial_, k3_, t + 3 * h / 4);
        Algebra::for_each5(out, y, k1, k2_, k3_, Sum4(1.0, 2 * h / 9, h / 3, 4 * h / 9));
        rates.get()(out, k4, t + h);
        Algebra::for_each5(error, k1, k2_, k3_, k4, Sum4(-5 * h / 72, h / 12, h / 9, -h / 8));
    }

    void calc_state(double t, State& y, const State& y0, const State& d0, double t0,
                    const State& y1, const State& d1, double t1) const {
        const double h = t1 - t0;
        const double x = (t - t0) / h;
        const double z = 1 - x;
        Algebra::for_each5(
            y, y0, d0, y1, d1,
            Sum4(z * z * (1 + 2 * x), h * x * z * z, x * x * (3 - 2 * x), -h * x * x * z));
    }

  private:
    using Sum2 = operations_type::scale_sum2<double, double>;
    using Sum4 = operations_type::scale_sum4<double, double, double, double>;
    Algebra algebra_;
    State trial_, k2_, k3_;
};

template <class Stepper>
using Controlled = boost::numeric::odeint::controlled_runge_kutta<Stepper, ErrorNorm>;

}  // namespace lapheat::solve::detail
