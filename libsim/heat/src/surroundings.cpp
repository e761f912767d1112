#include <algorithm>
#include <cmath>
#include <lapheat/heat/surroundings.hpp>

namespace lapheat::heat {
namespace {
constexpr double air_heat_capacity = 1007;  // J/(kg K)
constexpr double stefan_boltzmann = 5.670374e-8;
}  // namespace

double condenser_heat(const AirConditioning& m, double shaft_power, double air_temperature) {
    const double performance = std::max(
        1.0, m.performance - m.performance_slope * std::max(0.0, air_temperature - 298.15));
    return shaft_power * (1 + performance);
}

std::vector<double> condenser_heat(const AirConditioning& m, const drive::Vehicle& vehicle,
                                   const drive::Trace& trace) {
    std::vector<double> heat(trace.size());
    for (std::size_t k = 0; k < heat.size(); ++k) {
        const double power =
            trace.engine_on[k] ? trace.ac_demand[k] * vehicle.air_conditioning_power : 0;
        heat[k] = condenser_heat(m, power, trace.ambient[k]);
    }
    return heat;
}

double radiant_heat(double hot, double cold, double area, double view, double hot_emissivity,
                    double cold_emissivity) {
    return stefan_boltzmann * view * area * (std::pow(hot, 4) - std::pow(cold, 4)) /
           (1 / hot_emissivity + 1 / cold_emissivity - 1);
}

std::vector<double> brake_temperature(const Brakes& b, const drive::Trace& trace) {
    std::vector<double> t(trace.size());
    if (t.empty()) return t;
    t[0] = trace.ambient[0];
    for (std::size_t k = 0; k + 1 < t.size(); ++k) {
        const double conductance = b.conductance + b.conductance_slope * trace.speed[k];
        const double steady = trace.ambient[k] + b.share * trace.brake_power[k] / conductance;
        const double step = trace.time[k + 1] - trace.time[k];
        t[k + 1] = steady + (t[k] - steady) * std::exp(-conductance * step / b.heat_capacity);
    }
    return t;
}

double brake_air_heat(const Brakes& b, double temperature, double ambient, double speed) {
    return (b.conductance + b.conductance_slope * speed) * (temperature - ambient);
}

double bay_temperature(const EngineBay& bay, double ambient, double speed, double heat,
                       double fan_flow, double fan_air_temperature) {
    const double fresh = bay.at_rest + bay.per_speed * std::max(0.0, speed);
    const double fan = bay.recirculated * std::max(0.0, fan_flow);
    return (fresh * ambient + fan * fan_air_temperature + heat / air_heat_capacity) / (fresh + fan);
}

double road_surface_temperature(double ambient, double sun, double speed) {
    return ambient + 0.9 * sun / (8 + 4 * (std::max(0.0, speed) + 2));
}

double under_floor_air(double ambient, double sun, double speed) {
    return ambient + (road_surface_temperature(ambient, sun, speed) - ambient) / 3;
}

}  // namespace lapheat::heat
