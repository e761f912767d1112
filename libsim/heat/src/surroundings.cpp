#include <algorithm>
#include <cmath>
#include <lapheat/heat/surroundings.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/constants.hpp>

namespace lapheat::heat {
namespace {
constexpr double air_heat_capacity = 1007;  // J/(kg K)
using constants::stefan_boltzmann;
}  // namespace

std::vector<NamedAssumption> assumptions(AirConditioning& m) {
    return {
        {"cold for the compressor's power", &m.performance_level, NamedAssumption::Meaning::level}};
}

AirConditioning at_levels(AirConditioning m) {
    m.performance *= m.performance_level.value;
    m.performance_level = exact_level;
    return m;
}

std::vector<NamedAssumption> assumptions(EngineBay& b) {
    using M = NamedAssumption::Meaning;
    return {{"fresh air", &b.fresh_level, M::level},
            {"exchange with hood and wings", &b.exchange_level, M::level}};
}

EngineBay at_levels(EngineBay b) {
    b.at_rest *= b.fresh_level.value;
    b.per_speed *= b.fresh_level.value;
    b.air_to_sheet *= b.exchange_level.value;
    b.sheet_to_outside *= b.exchange_level.value;
    b.sheet_slope *= b.exchange_level.value;
    b.fresh_level = b.exchange_level = exact_level;
    return b;
}

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

double condenser_rejected(double heat, double capacity) {
    constexpr double most_rise = 60;  // K
    if (heat <= 0 || capacity <= 0) return 0;
    const double x = heat / (most_rise * capacity);
    const double x4 = x * x * x * x;
    return heat / std::sqrt(std::sqrt(std::sqrt(1 + x4 * x4)));
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

double bay_fresh_air(const EngineBay& bay, double rise, double speed) {
    constexpr double reference = 30, smooth = 2;  // K
    const double warm = std::max(0.0, rise);
    // sqrt(x^2 / (x + s)): the root far above s, straight and small below it.
    const double root = std::sqrt(warm * warm / ((warm + smooth) * reference));
    return bay.at_rest * root + bay.per_speed * std::max(0.0, speed);
}

double bay_temperature(const EngineBay& bay, double ambient, double speed, double heat,
                       double stack_flow, double stack_temperature) {
    const double outer = bay.sheet_to_outside + bay.sheet_slope * std::sqrt(std::max(0.0, speed));
    const double sheet = bay.air_to_sheet * outer / (bay.air_to_sheet + outer);
    const double stack = std::max(0.0, stack_flow) * air_heat_capacity;
    const auto gained = [&](double t) {
        const double fresh = bay_fresh_air(bay, t - ambient, speed) * air_heat_capacity;
        return heat + stack * (stack_temperature - t) - (fresh + sheet) * (t - ambient);
    };
    // What leaves rises with the temperature.
    const double low = std::min(ambient, stack > 0 ? stack_temperature : ambient);
    const double high = std::max(ambient, stack > 0 ? stack_temperature : ambient) + 1000;
    return solve::bracketed_root(gained, low, high, 1e-10).x;
}

}  // namespace lapheat::heat
