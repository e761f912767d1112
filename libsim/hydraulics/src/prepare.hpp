// One solve's fixed numbers of each branch, and the sweep over the branches that uses them.
#pragma once

#include <cmath>
#include <vector>

#include "lapheat/hydraulics/network.hpp"
#include "lapheat/hydraulics/solver.hpp"

namespace lapheat::hydraulics {

/// A passage with a loss curve at this solve's fluid state: loss = scale·Φ(argument·|m|).
struct CurvePassage {
    double scale, argument;
    const LossCurve::Segment* segments;
    std::int64_t count, base;
};

/// A displacement pump at this solve's speed: its pressure against mass flow, two straight
/// lines: leakage below the relief pressure, the relief valve's override above it.
struct PumpLine {
    double flow;         ///< kg/s without back pressure
    double slope;        ///< Pa/(kg/s) of leakage
    double relief_flow;  ///< kg/s at which relief starts; below it the valve spills
    double relief_pressure, relief_slope;
};

/// A spring that gives way over the first flow: pressure·m/(m + flow) for m > 0.
struct Spring {
    double pressure, flow;
};

/// Mass flow (kg/s) below which a quadratic loss is straightened, so that its slope is never
/// zero: a hundredth of a gram a second, which carries no heat to speak of.
inline constexpr double creeping = 1e-5;

/// loss(m) = constant + m·(linear + quadratic·|m|) + passages + pumps + springs, Pa.
struct Terms {
    double constant;
    double linear[2], quadratic[2];  ///< forward, reversed
    std::int32_t passages, passages_end;
    std::int32_t deliveries, deliveries_end;
    std::int32_t springs, springs_end;
    bool open;
};

struct PreparedNetwork {
    std::vector<Terms> terms;
    std::vector<CurvePassage> passages;
    std::vector<PumpLine> deliveries;
    std::vector<Spring> springs;
};

/// Makes room for any state of the network, so that prepare() never allocates.
void reserve(PreparedNetwork& p, const Network& n);

/// Folds the parts of each branch together at this state. False if an input is not finite, or
/// a density or viscosity is not positive.
bool prepare(PreparedNetwork& p, const Network& n, const Inputs& inputs);

/// The pump's two lines at a speed (rad/s) and fluid state.
PumpLine delivery(const DisplacementPump& pump, double speed, double density, double viscosity);

/// Pressure given by a displacement pump and its (negative) slope at a mass flow (kg/s).
inline Loss pump_line(const PumpLine& d, double m) noexcept {
    if (m < d.relief_flow)
        return {d.relief_pressure + (d.relief_flow - m) * d.relief_slope, -d.relief_slope};
    return {(d.flow - m) * d.slope, -d.slope};
}

/// Pressure lost and its slope at a mass flow (kg/s).
inline Loss branch_loss(const PreparedNetwork& p, const Terms& t, double m) noexcept {
    const double size = std::abs(m), sign = m < 0 ? -1.0 : 1.0;
    const int way = m < 0;
    Loss sum{t.constant + m * (t.linear[way] + t.quadratic[way] * size),
             t.linear[way] + 2 * t.quadratic[way] * size};
    if (size < creeping) {
        // m² becomes the odd cubic that meets it at `creeping` with its slope.
        const double part = size / creeping, c = t.quadratic[way] * creeping;
        sum.value = t.constant + m * (t.linear[way] + 0.5 * c * (1 + part * part));
        sum.slope = t.linear[way] + 0.5 * c * (1 + 3 * part * part);
    }
    for (std::int32_t i = t.passages; i < t.passages_end; ++i) {
        const CurvePassage& passage = p.passages[static_cast<std::size_t>(i)];
        const Loss loss =
            evaluate(passage.segments, passage.count, passage.base, passage.argument * size);
        sum.value += sign * passage.scale * loss.value;
        sum.slope += passage.scale * passage.argument * loss.slope;
    }
    for (std::int32_t i = t.deliveries; i < t.deliveries_end; ++i) {
        const Loss pump = pump_line(p.deliveries[static_cast<std::size_t>(i)], m);
        sum.value -= pump.value;
        sum.slope -= pump.slope;
    }
    for (std::int32_t i = t.springs; i < t.springs_end; ++i) {
        const Spring& s = p.springs[static_cast<std::size_t>(i)];
        if (m <= 0) continue;
        const double share = 1 / (m + s.flow);
        sum.value += s.pressure * m * share;
        sum.slope += s.pressure * s.flow * share * share;
    }
    return sum;
}

}  // namespace lapheat::hydraulics
