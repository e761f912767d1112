#include <lapheat/airflow/inlet.hpp>

#include <algorithm>
#include <cmath>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/constants.hpp>
#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

using constants::stefan_boltzmann;

constexpr double air_specific_heat = 1007.0;  // J/(kg K), Incropera Table A.4, 300 K
constexpr double most_mixed = 0.95;
constexpr double condenser_trips = 60;  // K of air rise in still air, then on pressure; assumption

}  // namespace

double share(const Share& s, double air_speed, double fading_speed) {
    const double x = std::max(0.0, air_speed) / fading_speed;
    return s.at_speed + (s.at_rest - s.at_speed) * std::exp(-x * x);
}

double road_temperature(double ambient_temperature, double sun, double wind) {
    constexpr double absorptivity = 0.9, sky = 0.70, emissivity = 0.90, ground = 0.18;
    constexpr double usual_wind = 4.5;  // m/s
    if (sun <= 0) return ambient_temperature;
    const double air = ambient_temperature;
    const double moved = std::pow(std::max(std::abs(wind), usual_wind), 0.7);
    const double in = (1 - ground) * absorptivity * sun + sky * stefan_boltzmann * std::pow(air, 4);
    // Newton with the film's own slope left out: each step leaves less than a tenth.
    double t = air + 20;
    for (int i = 0; i < 30; ++i) {
        const double film = 698.24 * (0.00144 * std::pow(0.5 * (t + air), 0.3) * moved +
                                      0.00097 * std::pow(t - air, 0.3));
        const double radiated = emissivity * stefan_boltzmann * t * t * t;
        const double step = (in - film * (t - air) - radiated * t) / (film + 4 * radiated);
        t = std::max(air, t + step);
        if (std::abs(step) < 1e-9 * t) break;
    }
    return air + solve::perturbed(solve::Relation::road_temperature, t - air);
}

double under_floor_air(double ambient_temperature, double sun, double wind, double vehicle_speed) {
    return under_floor_air(ambient_temperature, road_temperature(ambient_temperature, sun, wind),
                           vehicle_speed);
}

double under_floor_air(double ambient_temperature, double road_temperature, double vehicle_speed) {
    constexpr Share road{.at_rest = 1.0 / 3, .at_speed = 0.1};
    constexpr double fading_speed = 8;  // m/s, as places below the floor
    return ambient_temperature +
           share(road, vehicle_speed, fading_speed) * (road_temperature - ambient_temperature);
}

double radiation(const Radiator& part, double part_temperature, double core_temperature) {
    if (part.view_factor <= 0 || part.area <= 0) return 0;
    const auto fourth = [](double t) { return (t * t) * (t * t); };
    const double between = 1 / part.emissivity - 1 + 1 / part.view_factor +
                           1 / part.core_emissivity - 1 +
                           part.shields * (2 / part.shield_emissivity - 1);
    return solve::perturbed(solve::Relation::radiation,
                            stefan_boltzmann * part.area *
                                (fourth(part_temperature) - fourth(core_temperature)) / between);
}

InletAir inlet(const PlaceParameters& place, const PlaceConditions& now) {
    const double speed = now.vehicle_speed + now.headwind;
    const double ambient = now.ambient_temperature;
    const auto of = [&](const Share& s) { return share(s, speed, place.fading_speed); };
    double recirculation = of(place.recirculation);
    double bay = of(place.bay) + now.bay_backflow;
    double exhaust = of(place.exhaust);
    if (place.exhaust_radiation.shields > 0) exhaust *= place.shield_keeps;
    double gearbox = of(place.gearbox);
    double road = of(place.road);

    InletAir air;
    const double sum = recirculation + bay + exhaust + gearbox + road;
    const double scale = sum > most_mixed ? most_mixed / sum : 1;
    air.shares_limited = scale < 1;
    air.core_share = scale * recirculation;
    air.bay_share = scale * bay;
    air.gearbox_share = scale * gearbox;
    air.recirculation = air.core_share * (now.core_outlet_temperature - ambient);
    air.bay = air.bay_share * (now.bay_temperature - ambient);
    air.exhaust_share = scale * exhaust;
    air.exhaust = air.exhaust_share * (now.exhaust_temperature - ambient);
    air.gearbox = air.gearbox_share * (now.gearbox_temperature - ambient);
    air.road = scale * road * (now.road_temperature - ambient);
    if (now.condenser_heat > 0) {
        const double capacity = now.air_flow * air_specific_heat;
        air.condenser = place.condenser_cover * (capacity * condenser_trips > now.condenser_heat
                                                     ? now.condenser_heat / capacity
                                                     : condenser_trips);
    }
    air.temperature = ambient + air.recirculation + air.bay + air.exhaust + air.gearbox + air.road +
                      air.condenser;
    air.radiation =
        radiation(place.exhaust_radiation, now.exhaust_temperature, now.core_temperature);
    return air;
}

double view_factor_parallel(double width, double height, double distance) {
    if (!(width > 0) || !(height > 0) || !(distance > 0))
        throw Error("a view factor needs a width, a height and a distance above zero", "> 0 m");
    constexpr double pi = 3.14159265358979323846;
    const double x = width / distance, y = height / distance;
    const double x1 = std::sqrt(1 + x * x), y1 = std::sqrt(1 + y * y);
    return solve::perturbed(
        solve::Relation::view_factor,
        2 / (pi * x * y) *
            (std::log(x1 * y1 / std::sqrt(1 + x * x + y * y)) + x * y1 * std::atan(x / y1) +
             y * x1 * std::atan(y / x1) - x * std::atan(x) - y * std::atan(y)));
}

}  // namespace lapheat::airflow
