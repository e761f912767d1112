// Root of a function of one variable inside a bracket: Algorithm 748 (Alefeld, Potra & Shi, ACM
// Trans. Math. Softw. 21, 1995, 327) from Boost.Math.
#pragma once

#include <fmt/core.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::solve {

struct Root {
    double x = 0;      ///< middle of the last bracket
    double width = 0;  ///< of the last bracket
    int calls = 0;     ///< of the function
};

/// Root of f in [a, b], bracketed to `width` (absolute, in the unit of x). Throws Error if f has
/// the same sign at both ends or is not finite there, or if 200 calls do not suffice.
template <class F>
Root bracketed_root(F&& f, double a, double b, double width) {
    int calls = 2;
    const double fa = f(a);
    const double fb = f(b);
    if (fa == 0) return {a, 0, calls};
    if (fb == 0) return {b, 0, calls};
    if (!(fa * fb < 0)) {
        throw Error("no change of sign between " + fmt::format("{:.6g}", a) + " and " +
                        fmt::format("{:.6g}", b),
                    "a bracket with the root inside");
    }
    std::uintmax_t limit = 200;
    const auto [l, r] = boost::math::tools::toms748_solve(
        [&](double x) {
            ++calls;
            return f(x);
        },
        a, b, fa, fb, [width](double lo, double hi) { return std::abs(hi - lo) <= width; }, limit);
    if (std::abs(r - l) > width && r != l && std::abs(r - l) > 1e-14 * std::abs(r)) {
        throw Error("root not found to the width asked for within 200 calls", "a wider tolerance");
    }
    return {0.5 * (l + r), std::abs(r - l), calls};
}

}  // namespace lapheat::solve
