// Friction of flow in pipes over all regimes, and the table that makes it cheap.
//
// A passage of fixed shape loses pressure by a law of one variable: with x = mass flow over
// viscosity, pressure loss = (viscosity²/density)·Φ(x) (similarity of Euler and Reynolds
// numbers). A LossCurve holds Φ; it serves pipes and cores alike, at any fluid temperature.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <functional>
#include <vector>

#include "lapheat/solve/flow_network.hpp"

namespace lapheat::hydraulics {

/// Ends of the zone between laminar and turbulent flow. Moody (1944) draws its critical zone
/// from 2000 to 4000; powers of two let a table of octaves end on them exactly.
inline constexpr double laminar_end = 2048, turbulent_start = 4096;

/// Darcy friction factor of turbulent flow, the root of Colebrook (1939), eq. 1:
/// 1/√f = −2 log10(ε/(3.7 D) + 2.51/(Re √f)). `reynolds` > 0 (meant above 4000),
/// `relative_roughness` ε/D from 0 to 0.05. Solved to rounding.
double colebrook(double reynolds, double relative_roughness);

/// The law this library uses: 64/Re up to laminar_end, Colebrook from turbulent_start, between
/// them a cubic in f·Re² that joins both with their slopes. `reynolds` > 0.
double darcy_friction(double reynolds, double relative_roughness);

/// Φ(x), once differentiable and rising: cubics on eighths of octaves between `first` and
/// the end of the table, below it linear plus quadratic through zero, above it quadratic.
struct LossCurve {
    using Segment = std::array<double, 4>;  ///< value = c0 + t(c1 + t(c2 + t c3))
    static constexpr int mantissa_bits = 3;
    static constexpr int shift = 52 - mantissa_bits;

    std::int64_t base = 0;          ///< number of the octave's eighth where the table starts
    std::vector<Segment> segments;  ///< below, the table, above

    /// Number of the eighth of an octave in which x > 0 lies; 1 more for the next.
    static std::int64_t slot(double x) noexcept {
        return static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(x) >> shift);
    }
    /// Where slot n starts.
    static double start(std::int64_t n) noexcept {
        return std::bit_cast<double>(static_cast<std::uint64_t>(n) << shift);
    }
};

using Loss = solve::BranchLoss;

/// Φ and dΦ/dx at x ≥ 0, for a table of `count` segments (LossCurve::segments) at `segments`.
inline Loss evaluate(const LossCurve::Segment* segments, std::int64_t count, std::int64_t base,
                     double x) noexcept {
    const std::int64_t slot = LossCurve::slot(x);
    std::int64_t index = slot - base + 1;
    double t = x;
    if (index <= 0) {
        index = 0;
    } else if (index >= count - 1) {
        index = count - 1;
        t = x - LossCurve::start(base + count - 2);
    } else {
        t = x - LossCurve::start(slot);
    }
    const auto& c = segments[index];
    return {c[0] + t * (c[1] + t * (c[2] + t * c[3])), c[1] + t * (2 * c[2] + t * 3 * c[3])};
}
inline Loss evaluate(const LossCurve& curve, double x) noexcept {
    return evaluate(curve.segments.data(), static_cast<std::int64_t>(curve.segments.size()),
                    curve.base, x);
}

/// f·Re² of a round pipe against Re, within 1e-6 of darcy_friction up to Re = 1.3e8.
LossCurve pipe_curve(double relative_roughness);

/// Φ of any fixed passage from a function that gives its pressure loss (Pa) for a mass flow
/// (kg/s) at one density (kg/m³) and viscosity (Pa s), sampled from `least` to `most` mass
/// flow (kg/s). Throws lapheat::Error if the loss does not rise with the flow.
LossCurve sampled_curve(const std::function<double(double)>& pressure_loss, double density,
                        double viscosity, double least, double most);

}  // namespace lapheat::hydraulics
