#include <algorithm>
#include <cmath>
#include <lapheat/fluids/liquids.hpp>
#include <lapheat/heat/engine.hpp>

namespace lapheat::heat {

double friction_factor(const EngineModel& model, double oil_temperature) {
    static const fluids::Liquid oil = fluids::by_name("engine_oil");
    const double ratio = oil.viscosity(oil_temperature) / oil.viscosity(model.oil_reference);
    return std::min(4.0, std::pow(ratio, model.oil_exponent));
}

EngineHeat engine_heat(const EngineModel& model, const drive::Trace& trace) {
    validate(model);
    const std::size_t n = trace.size();
    EngineHeat h;
    for (auto* column : {&h.fuel, &h.brake, &h.coolant, &h.oil, &h.exhaust, &h.surface,
                         &h.cold_fuel, &h.cold_coolant, &h.cold_oil, &h.cold_exhaust,
                         &h.cold_surface, &h.gas_flow, &h.exhaust_temperature}) {
        column->resize(n);
    }
    h.flags.resize(n);
    for (std::size_t k = 0; k < n; ++k) {
        const double speed = trace.engine_on[k] ? trace.engine_speed[k] : 0;
        const double ambient = trace.ambient[k];
        const EnginePoint p = engine_point(model, speed, trace.engine_power[k], ambient);
        h.fuel[k] = p.fuel;
        h.brake[k] = p.brake;
        h.coolant[k] = p.coolant;
        h.oil[k] = p.oil;
        h.exhaust[k] = p.exhaust;
        h.surface[k] = p.surface;
        h.cold_fuel[k] = p.cold_fuel;
        h.cold_coolant[k] = p.cold_coolant;
        h.cold_oil[k] = p.cold_oil;
        h.cold_exhaust[k] = p.cold_exhaust;
        h.cold_surface[k] = p.cold_surface;
        h.gas_flow[k] = p.gas_flow;
        h.exhaust_temperature[k] = p.exhaust_temperature;
        h.flags[k] = p.flags;
        if (k + 1 < n)
            h.fuel_mass += p.fuel / model.heating_value * (trace.time[k + 1] - trace.time[k]);
    }
    return h;
}

}  // namespace lapheat::heat
