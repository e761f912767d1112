// The Odeint stepper of this room: Dormand-Prince 5(4) over std::vector<double>, with an algebra
// the compiler can vectorise and an error norm with a tolerance for each state.
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

  private:
    double relative_ = 0;
    State absolute_;
};

using DormandPrince =
    boost::numeric::odeint::runge_kutta_dopri5<State, double, State, double, Algebra,
                                               boost::numeric::odeint::default_operations>;
using Controlled = boost::numeric::odeint::controlled_runge_kutta<DormandPrince, ErrorNorm>;

}  // namespace lapheat::solve::detail
