// An approximation to the exponential with one pole: what linearly implicit steps follow a linear
// right-hand side with.
//
// e^(x z) is P(z) / (1 - gamma z)^5 to the fifth power of z, for any share x of a step; with this
// gamma P has four powers at x = 1 and the step is L-stable (Norsett 1974; Hairer & Wanner, Solving
// Ordinary Differential Equations II, IV.6, Table 6.4).
#pragma once

#include <array>
#include <cstddef>

namespace lapheat::solve::detail::one_pole {

inline constexpr std::size_t order = 5;
/// A root of L(1/gamma) = 0, L the Laguerre polynomial of that order.
inline constexpr double gamma = 0.27805384113652493;

using Weights = std::array<double, order>;

/// b_j with x phi_1(x z) = sum of b_j (1 - gamma z)^-j, j = 1 ... 5, up to the fourth power of z in
/// e^(x z) = 1 + x z phi_1(x z), and to the fifth at x = 1.
constexpr Weights weights(double x) {
    Weights denominator{};  // (1 - gamma z)^5, without its last power
    denominator[0] = 1;
    for (std::size_t j = 0; j + 1 < order; ++j)
        denominator[j + 1] =
            -gamma * denominator[j] * static_cast<double>(order - j) / static_cast<double>(j + 1);
    // (denominator e^(x z) - denominator) / z, to its fourth power ...
    Weights numerator{};
    for (std::size_t k = 1; k <= order; ++k) {
        double power = 1;
        for (std::size_t i = k; i-- > 0;) {
            power *= x / static_cast<double>(k - i);
            numerator[k - 1] += denominator[i] * power;
        }
    }
    // ... but that P's fifth power makes what is infinitely fast die away early in the step.
    double fading = 1 - x, pole = gamma;
    for (int squared = 0; squared < 4; ++squared) fading *= fading;
    for (std::size_t j = 1; j < order; ++j) pole *= gamma;
    numerator[order - 1] = (1 - fading) * pole;
    // ... in powers of u = 1 - gamma z, by Horner's rule at z = (1 - u) / gamma.
    Weights in_u{};
    for (std::size_t k = order; k-- > 0;) {
        for (std::size_t j = order; j-- > 0;)
            in_u[j] = (in_u[j] - (j > 0 ? in_u[j - 1] : 0)) / gamma;
        in_u[0] += numerator[k];
    }
    Weights out{};
    for (std::size_t j = 0; j < order; ++j) out[j] = in_u[order - 1 - j];
    return out;
}

}  // namespace lapheat::solve::detail::one_pole
