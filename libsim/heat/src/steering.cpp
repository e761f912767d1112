#include <algorithm>
#include <cmath>
#include <lapheat/heat/steering.hpp>

#include <lapheat/solve/relation.hpp>
#include "require.hpp"

namespace lapheat::heat {
namespace {

/// All powers of the pump and valve at one load pressure, for a part of the time.
void add_state(const SteeringModel& m, double weight, double pump_flow, double rack_flow,
               double load_pressure, double shaft_speed, SteeringPoint& p) {
    const bool relieving = load_pressure >= m.relief_pressure;
    load_pressure = std::min(load_pressure, m.relief_pressure);
    // Less flow than the control wants: the orifice and the circuit see less pressure, turbulent.
    const double wanted = std::min(pump_flow, m.controlled_flow);
    const double part = m.controlled_flow > 0 ? wanted / m.controlled_flow : 0;
    const double orifice = m.control_pressure * part * part;
    const double back = m.back_pressure * part * part;
    const double at_pump = load_pressure + back + orifice;
    const double leak = std::min(m.leakage * at_pump, 0.5 * wanted);
    const double delivered = std::min(pump_flow - leak, m.controlled_flow);
    const double turned = pump_flow - leak - delivered;  // round the flow control, in the pump
    rack_flow = std::min(rack_flow, delivered);
    const double spare = delivered - rack_flow;

    const double rack = load_pressure * rack_flow;
    p.work += weight * m.rack_efficiency * rack;
    p.rack_friction += weight * (1 - m.rack_efficiency) * rack;
    (relieving ? p.relief : p.throttling) += weight * load_pressure * spare;
    p.flow_control += weight * (at_pump * turned + orifice * delivered);
    p.leakage += weight * at_pump * leak;
    p.line += weight * back * delivered;
    p.pump_friction += weight * m.pump_friction * shaft_speed;
    p.shaft += weight * (at_pump * pump_flow + m.pump_friction * shaft_speed);
    p.flow += weight * delivered;
    p.rack_flow += weight * rack_flow;
    p.pressure += weight * at_pump;
    p.load_pressure += weight * load_pressure;
    if (relieving && weight > 0) p.flags |= at_relief;
}

}  // namespace

std::vector<NamedAssumption> assumptions(SteeringModel& m) {
    if (!m.hydraulic) return {};
    return {{"holding against the lock", &m.holding_level, NamedAssumption::Meaning::level}};
}

SteeringModel at_levels(SteeringModel m) {
    m.lock_holding = std::clamp(m.lock_holding * m.holding_level.value, 0.0, 1.0);
    m.holding_level = exact_level;
    return m;
}

void validate(const SteeringModel& m) {
    if (!m.hydraulic) return;
    require_within(m.displacement, 1e-7, 1e-5, "pump_displacement", units::Quantity::displacement);
    require_within(m.speed_ratio, 0.3, 3, "pump_speed_ratio");
    require_within(m.controlled_flow, 1e-5, 1e-3, "controlled_flow", units::Quantity::volume_flow);
    require_within(m.relief_pressure, 1e6, 2e7, "relief_pressure", units::Quantity::pressure);
    require_within(m.control_pressure, 0, 2e6, "control_pressure", units::Quantity::pressure);
    require_within(m.back_pressure, 0, 3e6, "back_pressure", units::Quantity::pressure);
    require_within(m.leakage, 0, 1e-11, "leakage");
    require_within(m.pump_friction, 0, 5, "pump_friction", units::Quantity::torque);
    require_within(m.piston_area, 1e-4, 1e-2, "piston_area", units::Quantity::area);
    require_within(m.arm, 0.03, 0.4, "arm", units::Quantity::length);
    require_within(m.assist, 0, 1, "assist");
    require_within(m.rack_efficiency, 0.3, 1, "rack_efficiency");
    require_within(m.lock_holding, 0, 1, "lock_holding");
}

SteeringPoint steering_point(const SteeringModel& m, const SteeringDemand& d) {
    SteeringPoint p;
    if (!m.hydraulic || d.engine_speed <= 0) return p;
    const double shaft_speed = m.speed_ratio * d.engine_speed;
    const double pump_flow =
        solve::perturbed(solve::Relation::steering_heat, m.displacement * shaft_speed);
    const double load = m.assist * d.kingpin_torque / (m.arm * m.piston_area * m.rack_efficiency);
    const double rack_flow = m.piston_area * m.arm * d.road_wheel_rate;
    const double held = std::clamp(d.held_at_lock, 0.0, 1.0);
    add_state(m, 1 - held, pump_flow, rack_flow, load, shaft_speed, p);
    add_state(m, held, pump_flow, 0, m.relief_pressure, shaft_speed, p);
    if (rack_flow > std::min(pump_flow, m.controlled_flow)) p.flags |= pump_catch;
    return p;
}

SteeringHeat steering_heat(const SteeringModel& m, const drive::Vehicle& vehicle,
                           const drive::Trace& trace, double begin, double end) {
    validate(m);
    const bool whole = begin == 0 && end == 0;
    const std::size_t n = trace.size();
    SteeringHeat h;
    for (auto* column : {&h.pump, &h.rack, &h.line, &h.flow, &h.pressure, &h.shaft}) {
        column->resize(n);
    }
    h.flags.resize(n);
    for (std::size_t k = 0; k < n; ++k) {
        const bool at_lock = std::abs(trace.steering_angle[k]) > 0.98 * vehicle.steering_lock;
        const SteeringPoint p = steering_point(
            m, {trace.engine_on[k] ? trace.engine_speed[k] : 0, std::abs(trace.kingpin_torque[k]),
                std::abs(trace.steering_rate[k]) / vehicle.steering_ratio,
                at_lock ? m.lock_holding : 0});
        h.pump[k] = p.pump_heat();
        h.rack[k] = p.rack_heat();
        h.line[k] = p.line;
        h.flow[k] = p.flow;
        h.pressure[k] = p.pressure;
        h.shaft[k] = p.shaft;
        h.flags[k] = p.flags;
        if (k + 1 == n) break;
        const double from = whole ? trace.time[k] : std::max(trace.time[k], begin);
        const double to = whole ? trace.time[k + 1] : std::min(trace.time[k + 1], end);
        const double step = std::max(0.0, to - from);
        auto& e = h.energy;
        e.shaft += step * p.shaft;
        e.work += step * p.work;
        e.rack_friction += step * p.rack_friction;
        e.throttling += step * p.throttling;
        e.relief += step * p.relief;
        e.flow_control += step * p.flow_control;
        e.leakage += step * p.leakage;
        e.line += step * p.line;
        e.pump_friction += step * p.pump_friction;
    }
    return h;
}

}  // namespace lapheat::heat
