#include <algorithm>
#include <cmath>
#include <lapheat/heat/engine.hpp>
#include <numbers>

#include <lapheat/solve/relation.hpp>
#include "require.hpp"

namespace lapheat::heat {
namespace {

using std::numbers::pi;

constexpr double rpm_1000 = 1000 * 2 * pi / 60;  // rad/s

// Gas at the mean gas temperature of Taylor's chart (866 K): air, Incropera et al., Table A.4.
constexpr double gas_viscosity = 3.89e-5;    // Pa s
constexpr double gas_conductivity = 0.0604;  // W/(m K)
// Mean specific heat of burned stoichiometric gas from 298 K to T, a + b T in J/(kg K): within 0.5
// % of nitrogen, carbon dioxide and steam of the JANAF tables at 600, 1000 and 1400 K, from memory.
constexpr double exhaust_heat_a = 1015, exhaust_heat_b = 0.144;
constexpr double exhaust_hottest = 1450;  // K

struct Geometry {
    double bore, piston_area;
};
Geometry geometry(const EngineModel& m) {
    const double each = m.displacement / m.cylinders;
    const double bore = m.bore > 0 ? m.bore : std::cbrt(4 * each / pi);
    return {bore, pi / 4 * bore * bore};
}

/// Swept volume of a four-stroke in a second, m^3/s: a mean effective pressure times this is power.
double swept(const EngineModel& m, double speed) { return m.displacement * speed / (4 * pi); }

double load_of(const EngineModel& m, double brake_pressure) {
    return std::clamp(brake_pressure / m.full_load_pressure, 0.0, 1.0);
}

double efficiency(const EngineModel& m, double speed, double load) {
    const double near_idle =
        std::clamp((1.6 * m.idle_speed - speed) / (0.5 * m.idle_speed), 0.0, 1.0) * (1 - load);
    const double retard = m.retard + m.idle_retard * near_idle;
    const double slow = std::max(0.5, 1 - m.low_speed_loss * rpm_1000 / speed);
    return m.indicated_efficiency * slow * std::max(0.3, 1 - m.retard_loss * retard * retard);
}

double equivalence(const EngineModel& m, double load) {
    return 1 + (m.full_load_equivalence - 1) * std::clamp((load - 0.75) / 0.25, 0.0, 1.0);
}

/// Heat from gas to walls by the relation of Taylor & Toong, bounded at light load.
double wall_heat(const EngineModel& m, double available, EnginePoint& p) {
    const auto [bore, area] = geometry(m);
    p.reynolds = p.gas_flow / m.cylinders * bore / (area * gas_viscosity);
    if (p.reynolds < 1000) p.flags |= below_correlation;
    const double nusselt = m.nusselt_coefficient * std::pow(p.reynolds, m.nusselt_exponent);
    const double q = m.wall_heat_level.value *
                     solve::perturbed(solve::Relation::engine_wall_heat,
                                      m.cylinders * area * gas_conductivity / bore * nusselt *
                                          (m.gas_temperature - m.wall_reference));
    const double bound = m.wall_limit * available;
    if (bound <= 0) return 0;
    const double ratio = q / bound;
    return q / std::pow(1 + ratio * ratio * ratio * ratio, 0.25);
}

double friction_to_oil(const EngineModel& m) {
    return 1 - m.friction_to_coolant - m.friction_to_exhaust;
}

/// No fuel: what turns the engine is friction and pumping, and nothing else is hot.
void motored(const EngineModel& m, double friction, double pumping, EnginePoint& p) {
    const double scale = -p.brake / (friction + pumping);
    p.friction = friction * scale;
    p.pumping = pumping * scale;
    p.coolant = m.friction_to_coolant * p.friction;
    p.oil = friction_to_oil(m) * p.friction;
}

void fired(const EngineModel& m, double speed, double brake_pressure, EnginePoint& p) {
    const double load = load_of(m, brake_pressure);
    const double indicated = std::max(0.0, p.brake + p.friction + p.pumping);
    const double eta = efficiency(m, speed, load);
    const double phi = equivalence(m, load);
    p.fuel = solve::perturbed(solve::Relation::engine_fuel, indicated / eta * phi);
    if (!m.fuel_map.empty()) {
        p.fuel = m.fuel_map(speed, brake_pressure);
        if (!m.fuel_map.inside(speed, brake_pressure)) p.flags |= outside_map;
    }
    p.unburned = p.fuel * (1 - (1 - m.unburned) / phi);
    p.gas_flow = p.fuel / m.heating_value * (1 + m.air_fuel_ratio / phi);
    const double walls = wall_heat(m, p.fuel - p.unburned - indicated, p);
    p.surface = m.wall_to_surface * walls;
    p.oil = m.wall_to_oil * walls + friction_to_oil(m) * p.friction;
    p.coolant =
        (1 - m.wall_to_oil - m.wall_to_surface) * walls + m.friction_to_coolant * p.friction;
    if (!m.coolant_map.empty()) {
        p.coolant = m.coolant_map(speed, brake_pressure);
        if (!m.coolant_map.inside(speed, brake_pressure)) p.flags |= outside_map;
    }
    if (!m.oil_map.empty()) {
        p.oil = m.oil_map(speed, brake_pressure);
        if (!m.oil_map.inside(speed, brake_pressure)) p.flags |= outside_map;
    }
    // More friction at the same brake power: more fuel, and wall heat as fuel^exponent.
    p.cold_fuel = p.friction / eta * phi;
    const double more_walls = p.fuel > 0 ? m.nusselt_exponent * walls * p.cold_fuel / p.fuel : 0;
    p.cold_coolant =
        (1 - m.wall_to_oil - m.wall_to_surface) * more_walls + m.friction_to_coolant * p.friction;
    p.cold_oil = m.wall_to_oil * more_walls + friction_to_oil(m) * p.friction;
    p.cold_surface = m.wall_to_surface * more_walls;
    p.cold_exhaust = p.cold_fuel - p.cold_coolant - p.cold_oil - p.cold_surface;
}

/// K of gas that was heated from `from` by `heat` J/kg: (a + b T)(T - from) = heat.
double heated(double heat, double from) {
    const double linear = exhaust_heat_a - exhaust_heat_b * from;
    const double free = exhaust_heat_a * from + heat;
    return (std::sqrt(std::max(0.0, linear * linear + 4 * exhaust_heat_b * free)) - linear) /
           (2 * exhaust_heat_b);
}

void exhaust_state(double speed, double intake, const EngineModel& m, EnginePoint& p) {
    p.exhaust = solve::perturbed(solve::Relation::engine_exhaust,
                                 p.fuel - p.brake - p.coolant - p.oil - p.surface);
    if (p.gas_flow <= 0) p.gas_flow = 0.35 * 1.18 * swept(m, speed);  // air through a shut throttle
    const double sensible = p.exhaust - p.unburned;
    p.exhaust_temperature = heated(sensible / p.gas_flow, intake);
    if (sensible < 0 || p.exhaust_temperature > exhaust_hottest) {
        p.flags |= exhaust_clipped;
        p.exhaust_temperature = std::clamp(p.exhaust_temperature, intake, exhaust_hottest);
    }
}

}  // namespace

void validate(const EngineModel& m) {
    require_within(m.displacement, 1e-4, 0.02, "displacement", units::Quantity::volume);
    require_within(m.cylinders, 1, 16, "cylinders");
    require_within(m.bore, 0, 0.2, "bore", units::Quantity::length);
    require_within(m.idle_speed, 40, 250, "idle_speed", units::Quantity::angular_speed);
    require_within(m.full_load_pressure, 3e5, 35e5, "full_load_pressure",
                   units::Quantity::pressure);
    require_within(m.indicated_efficiency, 0.2, 0.55, "indicated_efficiency");
    require_within(m.heating_value, 15e6, 50e6, "heating_value", units::Quantity::specific_energy);
    require_within(m.air_fuel_ratio, 5, 20, "air_fuel_ratio");
    require_within(m.full_load_equivalence, 1, 1.5, "full_load_equivalence");
    require_within(m.unburned, 0, 0.2, "unburned");
    require_within(m.retard, -10, 40, "spark_retard");
    require_within(m.idle_retard, 0, 40, "idle_spark_retard");
    require_within(m.friction_p0, 0, 5e5, "friction_p0", units::Quantity::pressure);
    require_within(m.friction_level.value, 0.2, 3, "friction_level");
    require_within(m.wall_heat_level.value, 0.3, 3, "wall_heat_level");
    require_within(m.nusselt_coefficient, 1, 40, "nusselt_coefficient");
    require_within(m.nusselt_exponent, 0.5, 1, "nusselt_exponent");
    require_within(m.gas_temperature, m.wall_reference + 100, 1500, "gas_temperature",
                   units::Quantity::temperature);
    require_within(m.wall_limit, 0.1, 0.95, "wall_limit");
    require_within(m.wall_to_oil + m.wall_to_surface, 0, 0.6, "wall_to_oil");
    require_within(m.friction_to_coolant, 0, 1, "friction_to_coolant");
    require_within(m.friction_to_exhaust, 0, 1 - m.friction_to_coolant, "friction_to_exhaust");
    require_within(m.exhaust_pipe_diameter, 0.02, 0.2, "exhaust_pipe_diameter",
                   units::Quantity::length);
    require_within(m.exhaust_pipes, 1, 16, "exhaust_pipes");
}

void set_era(EngineModel& m, Era era) {
    const EngineModel modern;
    m.era = era;
    m.friction_p0 = modern.friction_p0;
    m.friction_p1 = modern.friction_p1;
    m.friction_p2 = modern.friction_p2;
    m.nusselt_coefficient = modern.nusselt_coefficient;
    m.friction_level = modern.friction_level;
    m.wall_heat_level = modern.wall_heat_level;
    m.wall_limit = modern.wall_limit;
    if (era == Era::modern) return;
    m.friction_p0 = 0.97e5;
    m.friction_p1 = 143.2;
    m.friction_p2 = 0.4559;
    m.nusselt_coefficient = 10.4;
    m.wall_limit =
        0.70;  // then coolant and oil take 2 to 3 times brake power at light load (Heywood)
    // Barnes-Moss's band as Heywood draws it, and Taylor & Toong's points about their line: both
    // from memory.
    m.friction_level = {1, 0.85, 1.15, "band of the published parabola, from memory"};
    m.wall_heat_level = {1, 0.8, 1.25, "scatter of Taylor & Toong's points, from memory"};
}

std::vector<NamedAssumption> assumptions(EngineModel& m) {
    return {{"heat to coolant and oil", &m.wall_heat_level}, {"friction", &m.friction_level}};
}

EngineModel engine_model(double displacement, int cylinders, double peak_torque, Era era) {
    EngineModel m;
    set_era(m, era);
    m.displacement = displacement;
    m.cylinders = cylinders;
    m.full_load_pressure = 4 * pi * peak_torque / displacement;
    // Smaller engines idle faster and breathe through one pipe (common practice, no source).
    m.idle_speed = displacement > 4e-3 ? 70 : 84;
    m.exhaust_pipes = cylinders > 6 ? 2 : 1;
    m.exhaust_pipe_diameter = 0.036 * std::pow(displacement / m.exhaust_pipes / 1e-3, 0.4);
    validate(m);
    return m;
}

double friction_pressure(const EngineModel& m, double speed) {
    return m.friction_level.value *
           solve::perturbed(solve::Relation::engine_friction,
                            m.friction_p0 + speed * (m.friction_p1 + speed * m.friction_p2));
}

EnginePoint engine_point(const EngineModel& m, double speed, double brake_power,
                         double intake_temperature) {
    EnginePoint p;
    p.exhaust_temperature = intake_temperature;
    if (speed <= 0) return p;
    p.brake = brake_power;
    const double volume = swept(m, speed);
    const double brake_pressure = brake_power / volume;
    p.friction = friction_pressure(m, speed) * volume;
    p.pumping = m.throttled_pumping * (1 - load_of(m, brake_pressure)) * volume;
    if (m.fuel_cut && p.brake < 0 && p.brake + p.friction + p.pumping <= 0) {
        motored(m, p.friction, p.pumping, p);
    } else {
        fired(m, speed, brake_pressure, p);
    }
    exhaust_state(speed, intake_temperature, m, p);
    return p;
}

double wall_factor(const EngineModel& m, double coolant_temperature) {
    return std::max(
        0.0, (m.gas_temperature - coolant_temperature) / (m.gas_temperature - m.wall_reference));
}

double oil_to_block(const BlockConductance& b, double speed, bool running) {
    if (!running) return b.standing_share * b.conductance;
    const double thrown = b.speed_exponent == 0
                              ? 1.0
                              : std::pow(std::max(0.0, speed) / block_speed, b.speed_exponent);
    return b.conductance * (b.standing_share + (1 - b.standing_share) * thrown);
}

EngineLumps engine_lumps(const EngineModel& m, bool aluminium_block) {
    const double litres = m.displacement * 1e3;
    const double mass = (aluminium_block ? 0.8 : 1.0) * (55 + 32 * litres);
    // Mean specific heat of the mix of iron, steel and aluminium, J/(kg K).
    const double specific_heat = aluminium_block ? 720 : 560;
    EngineLumps l;
    l.jacket_metal = 0.40 * mass * specific_heat;
    l.oil_metal = 0.35 * mass * specific_heat;
    l.jacket_volume = (1.2 + 1.3 * litres) * 1e-3;
    l.oil_volume = (2.5 + 0.5 * litres) * 1e-3;
    l.wall_conductance = 900 * litres;
    l.wall_flow = 0.45 * litres;
    l.still_conductance = 60 * litres;
    l.oil_to_coolant = 90 * litres;
    l.surface_conductance = 4 * std::pow(litres, 2.0 / 3);
    l.surface_conductance_slope = 0.35 * std::pow(litres, 2.0 / 3);
    return l;
}

}  // namespace lapheat::heat
