// Bias and spread of the library's relations, as the checks against the world found them: made by
// validation/report.py of the rows in validation/README.md, never by hand. The only place in the
// project that states them.
#pragma once

#include "lapheat/solve/relation.hpp"

namespace lapheat::solve {

/// What bias and spread of a relation rest on.
enum class Basis {
    none,         ///< no figure: not one place in the library, or not in use
    outside,      ///< measured or published rows
    own_data,     ///< only what the relation was fitted to or weighed from: the spread flatters
    from_memory,  ///< published rows written without a page open
    library,      ///< another library computes the same formula or table
    closed_form,  ///< mathematics
    judged,       ///< nothing outside measures it as cars obey it: a judged spread, no bias
};

/// bias: mean of ln(ours / outside), of temperatures (in_kelvin) ours - outside, K. spread: the
/// standard deviation to expect of the next core, fluid or part, not of the rows at hand: few rows
/// and a single source make it wide (how: validation/scatter.py; whether its bands hold:
/// validation/README.md, Calibration). What is true is then ours * exp(-bias - spread * z), or
/// ours - bias - spread * z, with z standard normal.
struct Scatter {
    Basis basis = Basis::none;
    double bias = 0;
    double spread = 0;
    int rows = 0;  ///< checks the points come from; 0: nothing outside measures it
    int points = 0;
    bool in_kelvin = false;
};

struct ScatterOf {
    Relation relation;
    Scatter scatter;
};
inline constexpr ScatterOf scatters[] = {
    {Relation::water_density, {Basis::library, 4.43e-06, 1.58e-05, 1, 12}},
    {Relation::water_specific_heat, {Basis::library, 0.000188, 0.00064, 1, 12}},
    {Relation::water_conductivity, {Basis::library, -8.39e-05, 0.00634, 1, 12}},
    {Relation::water_viscosity, {Basis::library, 6.06e-06, 0.000909, 1, 12}},
    {Relation::water_boiling, {Basis::library, -5.24e-08, 0.00182, 1, 6, true}},
    {Relation::glycol_density, {Basis::outside, 0.00256, 0.0052, 3, 24}},
    {Relation::glycol_specific_heat, {Basis::outside, 0.00033, 0.026, 2, 18}},
    {Relation::glycol_conductivity, {Basis::outside, -0.00668, 0.0383, 2, 18}},
    {Relation::glycol_viscosity, {Basis::outside, -0.0241, 0.0928, 2, 18}},
    {Relation::glycol_boiling, {Basis::from_memory, -0.0123, 1.01, 2, 7, true}},
    {Relation::glycol_freezing, {Basis::outside, 1.08, 1.77, 1, 4, true}},
    {Relation::oil_density, {Basis::from_memory, -0.0073, 0.00909, 1, 1}},
    {Relation::oil_specific_heat, {Basis::from_memory, -0.0287, 0.0403, 1, 3}},
    {Relation::oil_conductivity, {Basis::from_memory, -0.0988, 0.0907, 1, 3}},
    {Relation::oil_viscosity, {Basis::from_memory, 0.0335, 0.0455, 1, 1}},
    {Relation::air_density, {Basis::from_memory, -0.000112, 0.000909, 1, 1}},
    {Relation::air_specific_heat, {Basis::from_memory, -0.00198, 0.00273, 1, 1}},
    {Relation::air_conductivity, {Basis::from_memory, 0.00154, 0.0111, 1, 3}},
    {Relation::air_viscosity, {Basis::from_memory, 0.00365, 0.018, 1, 3}},
    {Relation::humid_saturation, {Basis::library, 0, 9.09e-07, 1, 15}},
    {Relation::standard_atmosphere, {Basis::from_memory, -1.46e-05, 0.000472, 2, 4}},
    {Relation::effectiveness, {Basis::outside, 1.3e-05, 6.64e-05, 1, 1}},
    {Relation::duct_film_laminar, {Basis::outside, 0.0359, 0.0429, 1, 6}},
    {Relation::duct_film_turbulent, {Basis::outside, 0.191, 0.175, 1, 3}},
    {Relation::duct_loss_laminar, {Basis::outside, -0.0589, 0.069, 1, 6}},
    {Relation::duct_loss_turbulent, {Basis::outside, 0.0544, 0.0513, 1, 3}},
    {Relation::louvred_film, {Basis::outside, -0.019, 0.199, 1, 48}},
    {Relation::louvred_friction, {Basis::outside, -0.3, 0.373, 1, 48}},
    {Relation::plain_plate_film, {Basis::from_memory, 0.0936, 0.16, 2, 5}},
    {Relation::plain_plate_friction, {Basis::from_memory, 0.118, 0.147, 1, 4}},
    {Relation::wavy_plate_film, {Basis::from_memory, 0.0142, 0.148, 1, 4}},
    {Relation::wavy_plate_friction, {Basis::from_memory, 0.0969, 0.154, 1, 4}},
    {Relation::strip_film, {Basis::own_data, 0.0225, 0.138, 10, 121}},
    {Relation::strip_friction, {Basis::own_data, 0.0155, 0.138, 10, 136}},
    {Relation::round_fin_film, {Basis::outside, -0.0452, 0.365, 3, 37}},
    {Relation::round_fin_friction, {Basis::outside, 0.29, 0.237, 4, 44}},
    {Relation::flat_tube_film, {Basis::outside, -0.221, 0.213, 1, 15}},
    {Relation::flat_tube_friction, {Basis::outside, -0.106, 0.116, 1, 15}},
    {Relation::fin_efficiency, {Basis::closed_form, -0.000701, 0.0248, 2, 9}},
    {Relation::core_entrance_exit, {Basis::from_memory, -0.075, 0.0682, 1, 1}},
    {Relation::pipe_friction, {Basis::outside, 0.00375, 0.00909, 1, 1}},
    {Relation::bend_loss, {Basis::judged, 0, 0.2, 1, 5}},
    {Relation::fitting_loss, {Basis::outside, -0.155, 0.782, 2, 14}},
    {Relation::pump_affinity, {Basis::judged, 0, 0.05, 1, 4}},
    {Relation::fan_curve, {Basis::outside, -0.199, 0.19, 1, 5}},
    {Relation::fan_affinity, {Basis::judged, 0, 0.03, 1, 6}},
    {Relation::opening_loss, {Basis::from_memory, 0.00316, 0.014, 2, 4}},
    {Relation::air_path_balance, {Basis::judged, 0, 0.05, 2, 2}},
    {Relation::view_factor, {Basis::from_memory, 0.000125, 0.000227, 1, 1}},
    {Relation::radiation, {Basis::closed_form, 7.39e-08, 9.09e-07, 1, 1}},
    {Relation::road_temperature, {Basis::from_memory, 2.26, 2.7, 1, 2, true}},
    {Relation::wire_resistance, {Basis::from_memory, -0.0971, 0.109, 1, 1}},
    {Relation::road_load, {Basis::closed_form, 3.98e-09, 9.09e-07, 1, 3}},
    {Relation::converter_torque, {Basis::outside, -0.0367, 0.0408, 1, 9}},
    {Relation::converter_capacity, {Basis::outside, -0.000453, 0.0777, 1, 10}},
    {Relation::steering_demand, {Basis::outside, -0.164, 0.149, 1, 1}},
    {Relation::engine_wall_heat, {Basis::own_data, 0.00263, 0.276, 9, 9}},
    {Relation::engine_friction, {Basis::own_data, 0.154, 0.42, 3, 3}},
    {Relation::engine_fuel, {Basis::outside, -0.0924, 0.203, 2, 2}},
    {Relation::engine_exhaust, {Basis::judged, 0, 0.1, 0, 0}},
    {Relation::fluid_life, {Basis::own_data, 0.00755, 0.0946, 1, 8}},
    {Relation::steering_heat, {Basis::closed_form, -7.43e-07, 0.000909, 1, 5}},
    {Relation::warm_up, {Basis::outside, -0.0135, 0.393, 9, 9}},
    {Relation::regulated_temperature, {Basis::outside, -0.788, 0.894, 1, 1, true}},
};

/// Of a relation that is not among them: none.
[[nodiscard]] constexpr Scatter scatter(Relation relation) noexcept {
    for (const ScatterOf& known : scatters)
        if (known.relation == relation) return known.scatter;
    return {};
}

}  // namespace lapheat::solve
