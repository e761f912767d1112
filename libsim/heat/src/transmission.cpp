#include <algorithm>
#include <cmath>
#include <lapheat/heat/transmission.hpp>

#include "require.hpp"

namespace lapheat::heat {

std::vector<NamedAssumption> assumptions(TransmissionModel& m) {
    using M = NamedAssumption::Meaning;
    if (!m.automatic) return {{"heat from case to air", &m.case_level, M::level}};
    return {{"flow through the cooler circuit", &m.cooler_flow_level, M::level},
            {"heat from case to air", &m.case_level, M::level},
            {"heat from converter to case", &m.housing_level, M::level}};
}

TransmissionModel at_levels(TransmissionModel m) {
    m.cooler_flow *= m.cooler_flow_level.value;
    m.cooler_idle_flow *= m.cooler_flow_level.value;
    m.case_conductance *= m.case_level.value;
    m.case_conductance_slope *= m.case_level.value;
    m.converter_to_case *= m.housing_level.value;
    m.cooler_flow_level = m.case_level = m.housing_level = exact_level;
    return m;
}

void validate(const TransmissionModel& m) {
    require_within(m.gear_to_fluid, 0, 1, "gear_to_fluid");
    require_within(m.cooler_flow, 0, 1e-3, "cooler_flow", units::Quantity::volume_flow);
    require_within(m.cooler_idle_flow, 0, m.cooler_flow, "cooler_idle_flow",
                   units::Quantity::volume_flow);
    require_within(m.idle_speed, 20, 250, "idle_speed", units::Quantity::angular_speed);
    require_within(m.cooler_flow_speed, m.idle_speed + 1, 1000, "cooler_flow_speed",
                   units::Quantity::angular_speed);
    require_within(m.cooler_pressure, 1e4, 3e6, "cooler_pressure", units::Quantity::pressure);
    require_within(m.locked_share, 0, 1, "locked_share");
    require_within(m.reference_viscosity, 1e-4, 1, "reference_viscosity",
                   units::Quantity::dynamic_viscosity);
    require_within(m.viscosity_exponent, 0, 1, "viscosity_exponent");
    require_within(m.converter_volume, 0, 0.02, "converter_volume", units::Quantity::volume);
    require_within(m.sump_volume, 1e-4, 0.05, "sump_volume", units::Quantity::volume);
    require_within(m.case_metal, 0, 1e6, "case_metal");
    require_within(m.case_conductance, 0, 500, "case_conductance");
    require_within(m.converter_share, 0, 1, "converter_share");
    require_within(m.converter_to_case, 0, 500, "converter_to_case");
    require_within(m.leakage, 0, 0.9, "leakage");
}

double cooler_flow(const TransmissionModel& m, double engine_speed, double viscosity, bool locked) {
    if (!m.automatic || engine_speed <= 0) return 0;
    // Straight through the two known points, proportional to speed below idle.
    double flow = m.cooler_idle_flow * engine_speed / m.idle_speed;
    if (engine_speed > m.idle_speed) {
        const double part = (engine_speed - m.idle_speed) / (m.cooler_flow_speed - m.idle_speed);
        flow = m.cooler_idle_flow + (m.cooler_flow - m.cooler_idle_flow) * std::min(1.0, part);
    }
    if (locked) flow *= m.locked_share;
    const double thinner = m.reference_viscosity / viscosity;
    if (thinner <= 1) return flow * std::pow(thinner, m.viscosity_exponent);
    const double leaked = m.leakage * std::min(1.0, m.idle_speed / engine_speed) * (thinner - 1);
    return flow * std::max(0.1, 1 - leaked);
}

TransmissionHeat transmission_heat(const TransmissionModel& m, const drive::Trace& trace) {
    validate(m);
    const std::size_t n = trace.size();
    TransmissionHeat h;
    for (auto* column : {&h.converter, &h.sump, &h.housing, &h.axle, &h.cooler_flow}) {
        column->resize(n);
    }
    double converter_energy = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const double gears = trace.gear_loss[k];
        h.sump[k] = m.gear_to_fluid * gears + trace.pump_drag[k];
        h.housing[k] = (1 - m.gear_to_fluid) * gears;
        if (m.automatic) {
            h.converter[k] = trace.converter_loss[k];
            h.sump[k] += trace.shift_loss[k];
        } else {
            h.housing[k] += trace.converter_loss[k] + trace.shift_loss[k];
        }
        h.axle[k] = trace.axle_loss[k];
        h.cooler_flow[k] = cooler_flow(m, trace.engine_on[k] ? trace.engine_speed[k] : 0,
                                       m.reference_viscosity, trace.lockup[k] != 0);
        if (k + 1 < n) {
            const double step = trace.time[k + 1] - trace.time[k];
            h.energy += step * (h.converter[k] + h.sump[k] + h.housing[k]);
            converter_energy += step * h.converter[k];
        }
    }
    h.converter_share = h.energy > 0 ? converter_energy / h.energy : 0;
    return h;
}

}  // namespace lapheat::heat
