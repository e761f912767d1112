// Forward-mode derivatives by NTU and C*: each formula is written once and gives its exact slopes.
#pragma once

#include <cmath>

namespace lapheat::exchangers {

struct Dual {
    double v = 0;  ///< value
    double n = 0;  ///< d/d(NTU)
    double c = 0;  ///< d/d(C*)

    constexpr Dual() = default;
    constexpr Dual(double value) : v(value) {}
    constexpr Dual(double value, double by_n, double by_c) : v(value), n(by_n), c(by_c) {}
};

inline Dual operator+(Dual a, Dual b) { return {a.v + b.v, a.n + b.n, a.c + b.c}; }
inline Dual operator-(Dual a, Dual b) { return {a.v - b.v, a.n - b.n, a.c - b.c}; }
inline Dual operator-(Dual a) { return {-a.v, -a.n, -a.c}; }
inline Dual operator*(Dual a, Dual b) {
    return {a.v * b.v, a.n * b.v + a.v * b.n, a.c * b.v + a.v * b.c};
}
inline Dual operator/(Dual a, Dual b) {
    const double q = a.v / b.v;
    return {q, (a.n - q * b.n) / b.v, (a.c - q * b.c) / b.v};
}

inline double value_of(double x) { return x; }
inline double value_of(Dual x) { return x.v; }

inline double exp_minus(double x) { return std::exp(-x); }
inline Dual exp_minus(Dual x) {
    const double e = std::exp(-x.v);
    return {e, -e * x.n, -e * x.c};
}

inline double root(double x) { return std::sqrt(x); }
inline Dual root(Dual x) {
    const double s = std::sqrt(x.v);
    return {s, 0.5 * x.n / s, 0.5 * x.c / s};
}

/// (1 - exp(-x)) / x, 1 at x = 0: the mean of exp(-x t) over t = 0…1. x >= 0.
inline double phi(double x) { return x < 1e-8 ? 1 - 0.5 * x : -std::expm1(-x) / x; }

/// Its derivative; a series where the quotient would cancel.
inline double phi_slope(double x) {
    if (x < 0.02) {
        return -1. / 2 +
               x * (1. / 3 + x * (-1. / 8 + x * (1. / 30 + x * (-1. / 144 + x * (1. / 840)))));
    }
    return (std::exp(-x) - phi(x)) / x;
}
inline Dual phi(Dual x) {
    const double s = phi_slope(x.v);
    return {phi(x.v), s * x.n, s * x.c};
}

}  // namespace lapheat::exchangers
