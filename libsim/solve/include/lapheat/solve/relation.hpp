// The relations of physics that the library rests on, one name each.
//
// The checks against the world say which of them a row measures, relation_scatter.hpp holds what
// those rows found of it (bias and spread), and validation/sensitivity.py multiplies each by a few
// per cent and lists the rows that notice. For that a relation hands its result through
// perturbed(), which is nothing at all unless the library is compiled with LAPHEAT_PERTURB.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace lapheat::solve {

enum class Relation : std::uint8_t {
    none,
    // fluids
    water_density,
    water_specific_heat,
    water_conductivity,
    water_viscosity,
    water_boiling,
    glycol_density,
    glycol_specific_heat,
    glycol_conductivity,
    glycol_viscosity,
    glycol_boiling,
    glycol_freezing,
    oil_density,
    oil_specific_heat,
    oil_conductivity,
    oil_viscosity,
    air_density,
    air_specific_heat,
    air_conductivity,
    air_viscosity,
    humid_saturation,
    standard_atmosphere,
    // exchangers
    effectiveness,
    duct_film_laminar,
    duct_film_turbulent,
    duct_loss_laminar,
    duct_loss_turbulent,
    louvred_film,
    louvred_friction,
    plain_plate_film,
    plain_plate_friction,
    wavy_plate_film,
    wavy_plate_friction,
    strip_film,
    strip_friction,
    round_fin_film,
    round_fin_friction,
    flat_tube_film,
    flat_tube_friction,
    fin_efficiency,
    core_entrance_exit,
    // hydraulics
    pipe_friction,
    bend_loss,
    fitting_loss,
    pump_affinity,
    // airflow
    fan_curve,
    fan_affinity,
    opening_loss,
    air_path_balance,
    view_factor,
    radiation,
    road_temperature,
    wire_resistance,
    // drive
    road_load,
    converter_torque,
    converter_capacity,
    steering_demand,
    // heat
    engine_wall_heat,
    engine_friction,
    engine_fuel,
    engine_exhaust,
    fluid_life,
    steering_heat,
    // model
    warm_up,
    regulated_temperature,
    count
};

struct RelationName {
    Relation relation;
    std::string_view name;   ///< as the tables and sensitivity.py call it
    std::string_view words;  ///< for a reader
};

inline constexpr std::size_t relation_count = static_cast<std::size_t>(Relation::count);

/// In the order of the enumeration; a test holds the two together.
inline constexpr std::array<RelationName, relation_count> relation_names{{
    {Relation::none, "", ""},
    {Relation::water_density, "water_density", "density of water"},
    {Relation::water_specific_heat, "water_specific_heat", "specific heat of water"},
    {Relation::water_conductivity, "water_conductivity", "conductivity of water"},
    {Relation::water_viscosity, "water_viscosity", "viscosity of water"},
    {Relation::water_boiling, "water_boiling", "saturation of water"},
    {Relation::glycol_density, "glycol_density", "density of glycol mixes"},
    {Relation::glycol_specific_heat, "glycol_specific_heat", "specific heat of glycol mixes"},
    {Relation::glycol_conductivity, "glycol_conductivity", "conductivity of glycol mixes"},
    {Relation::glycol_viscosity, "glycol_viscosity", "viscosity of glycol mixes"},
    {Relation::glycol_boiling, "glycol_boiling", "boiling of glycol mixes"},
    {Relation::glycol_freezing, "glycol_freezing", "freezing of glycol mixes"},
    {Relation::oil_density, "oil_density", "density of oils"},
    {Relation::oil_specific_heat, "oil_specific_heat", "specific heat of oils"},
    {Relation::oil_conductivity, "oil_conductivity", "conductivity of oils"},
    {Relation::oil_viscosity, "oil_viscosity", "viscosity line of oils"},
    {Relation::air_density, "air_density", "density of air"},
    {Relation::air_specific_heat, "air_specific_heat", "specific heat of air"},
    {Relation::air_conductivity, "air_conductivity", "conductivity of air"},
    {Relation::air_viscosity, "air_viscosity", "viscosity of air"},
    {Relation::humid_saturation, "humid_saturation", "saturation pressure in humid air"},
    {Relation::standard_atmosphere, "standard_atmosphere", "pressure against altitude"},
    {Relation::effectiveness, "effectiveness", "effectiveness of the arrangements"},
    {Relation::duct_film_laminar, "duct_film_laminar", "laminar film in ducts"},
    {Relation::duct_film_turbulent, "duct_film_turbulent", "turbulent film in ducts"},
    {Relation::duct_loss_laminar, "duct_loss_laminar", "laminar loss in ducts"},
    {Relation::duct_loss_turbulent, "duct_loss_turbulent", "turbulent loss in ducts"},
    {Relation::louvred_film, "louvred_film", "film of louvred fins"},
    {Relation::louvred_friction, "louvred_friction", "friction of louvred fins"},
    {Relation::plain_plate_film, "plain_plate_film", "film of plain plate fins on round tubes"},
    {Relation::plain_plate_friction, "plain_plate_friction", "friction of the same"},
    {Relation::wavy_plate_film, "wavy_plate_film", "film of wavy plate fins on round tubes"},
    {Relation::wavy_plate_friction, "wavy_plate_friction", "friction of the same"},
    {Relation::strip_film, "strip_film", "film of offset strip fins"},
    {Relation::strip_friction, "strip_friction", "friction of offset strip fins"},
    {Relation::round_fin_film, "round_fin_film", "film of round fins"},
    {Relation::round_fin_friction, "round_fin_friction", "friction of round fins"},
    {Relation::flat_tube_film, "flat_tube_film", "film of flat tubes through continuous fins"},
    {Relation::flat_tube_friction, "flat_tube_friction", "friction of the same"},
    {Relation::fin_efficiency, "fin_efficiency", "efficiency of fins"},
    {Relation::core_entrance_exit, "core_entrance_exit", "entrance and exit of a core"},
    {Relation::pipe_friction, "pipe_friction", "friction of pipes and hoses"},
    {Relation::bend_loss, "bend_loss", "loss of bends"},
    {Relation::fitting_loss, "fitting_loss", "loss of fittings"},
    {Relation::pump_affinity, "pump_affinity", "pump against speed"},
    {Relation::fan_curve, "fan_curve", "fan from two numbers"},
    {Relation::fan_affinity, "fan_affinity", "fan against speed"},
    {Relation::opening_loss, "opening_loss", "loss of grilles, gaps and openings"},
    {Relation::air_path_balance, "air_path_balance", "flow through an air path"},
    {Relation::view_factor, "view_factor", "view factor"},
    {Relation::radiation, "radiation", "radiation between parts"},
    {Relation::road_temperature, "road_temperature", "road in the sun"},
    {Relation::wire_resistance, "wire_resistance", "resistance of wires"},
    {Relation::road_load, "road_load", "road load"},
    {Relation::converter_torque, "converter_torque", "torque ratio of the converter"},
    {Relation::converter_capacity, "converter_capacity", "capacity of the converter"},
    {Relation::steering_demand, "steering_demand", "torque at the steering"},
    {Relation::engine_wall_heat, "engine_wall_heat", "heat to the engine's walls"},
    {Relation::engine_friction, "engine_friction", "friction of the engine"},
    {Relation::engine_fuel, "engine_fuel", "fuel of the engine"},
    {Relation::engine_exhaust, "engine_exhaust", "heat in the exhaust"},
    {Relation::fluid_life, "fluid_life", "life of transmission fluid"},
    {Relation::steering_heat, "steering_heat", "heat of the steering"},
    {Relation::warm_up, "warm_up", "warm-up of the whole car"},
    {Relation::regulated_temperature, "regulated_temperature",
     "temperature held by the thermostat"},
}};

#ifdef LAPHEAT_PERTURB
/// The factor that the environment variable LAPHEAT_PERTURB ("name:1.05") puts on a relation.
[[nodiscard]] double perturbation(Relation relation) noexcept;
template <class Number>
[[nodiscard]] Number perturbed(Relation relation, Number value) noexcept {
    return value * perturbation(relation);
}
#else
template <class Number>
[[nodiscard]] constexpr Number perturbed(Relation, Number value) noexcept {
    return value;
}
#endif

}  // namespace lapheat::solve
