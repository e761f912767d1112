// Bias and spread of the library's relations, as the checks against the world found them: made by
// validation/report.py of the rows in validation/README.md, never by hand. The only place in the
// project that states them.
#pragma once

#include "lapheat/solve/relation.hpp"

namespace lapheat::solve {

/// ln(ours / outside) of the points compared: its mean and standard deviation. Of temperatures
/// (in_kelvin) ours - outside, K.
enum class Basis {
    none,         ///< nothing outside measures the relation by itself
    outside,      ///< measured or published rows
    from_memory,  ///< published rows written without a page open
    own_data,     ///< only what the relation was fitted to: the spread flatters
};

struct Scatter {
    Basis basis = Basis::none;
    double bias = 0;
    double spread = 0;
    int rows = 0;            ///< checks the points come from; 0: nothing outside measures it
    int points = 0;
    bool in_kelvin = false;
};

[[nodiscard]] constexpr Scatter scatter(Relation relation) noexcept {
    switch (relation) {
        case Relation::glycol_density:
            return {Basis::outside, 0.00302, 0.00306, 3, 24};
        case Relation::glycol_specific_heat:
            return {Basis::outside, 0.00033, 0.00801, 2, 18};
        case Relation::glycol_conductivity:
            return {Basis::outside, -0.00668, 0.0139, 2, 18};
        case Relation::glycol_viscosity:
            return {Basis::outside, -0.0241, 0.0428, 2, 18};
        case Relation::glycol_boiling:
            return {Basis::from_memory, -0.0729, 0.59, 2, 7, true};
        case Relation::glycol_freezing:
            return {Basis::outside, 1.08, 0.942, 1, 4, true};
        case Relation::oil_density:
            return {Basis::from_memory, -0.0073, 0, 1, 1};
        case Relation::oil_specific_heat:
            return {Basis::from_memory, -0.0287, 0.0138, 1, 3};
        case Relation::oil_conductivity:
            return {Basis::from_memory, -0.0988, 0.0128, 1, 3};
        case Relation::oil_viscosity:
            return {Basis::from_memory, 0.0335, 0, 1, 1};
        case Relation::air_density:
            return {Basis::from_memory, -0.000112, 0, 1, 1};
        case Relation::air_specific_heat:
            return {Basis::from_memory, -0.00198, 0, 1, 1};
        case Relation::air_conductivity:
            return {Basis::from_memory, 0.00154, 0.0111, 1, 3};
        case Relation::air_viscosity:
            return {Basis::from_memory, 0.00365, 0.00151, 1, 3};
        case Relation::standard_atmosphere:
            return {Basis::from_memory, -1.46e-05, 3.03e-05, 2, 4};
        case Relation::effectiveness:
            return {Basis::outside, 1.3e-05, 0, 1, 1};
        case Relation::duct_film_laminar:
            return {Basis::outside, 0.0359, 0.00986, 1, 6};
        case Relation::duct_film_turbulent:
            return {Basis::outside, 0.191, 0.0226, 1, 3};
        case Relation::duct_loss_laminar:
            return {Basis::outside, -0.0589, 0.0436, 1, 6};
        case Relation::duct_loss_turbulent:
            return {Basis::outside, 0.0544, 0.0135, 1, 3};
        case Relation::louvred_film:
            return {Basis::outside, -0.019, 0.145, 1, 48};
        case Relation::louvred_friction:
            return {Basis::outside, -0.3, 0.255, 1, 48};
        case Relation::plain_plate_film:
            return {Basis::outside, 0.0251, 0.139, 1, 2};
        case Relation::strip_film:
            return {Basis::own_data, 0.0314, 0.131, 10, 121};
        case Relation::strip_friction:
            return {Basis::own_data, 0.0185, 0.125, 10, 136};
        case Relation::round_fin_film:
            return {Basis::outside, -0.0482, 0.171, 3, 37};
        case Relation::round_fin_friction:
            return {Basis::outside, 0.284, 0.182, 4, 44};
        case Relation::flat_tube_film:
            return {Basis::outside, -0.221, 0.0723, 1, 15};
        case Relation::flat_tube_friction:
            return {Basis::outside, -0.106, 0.0643, 1, 15};
        case Relation::core_entrance_exit:
            return {Basis::from_memory, -0.075, 0, 1, 1};
        case Relation::pipe_friction:
            return {Basis::outside, 0.00375, 0, 1, 1};
        case Relation::fitting_loss:
            return {Basis::outside, -0.486, 0.649, 4, 28};
        case Relation::fan_curve:
            return {Basis::outside, -0.199, 0.0593, 1, 5};
        case Relation::fan_affinity:
            return {Basis::from_memory, 4.49e-07, 2.31e-06, 1, 6};
        case Relation::opening_loss:
            return {Basis::from_memory, -0.000282, 0.00782, 2, 4};
        case Relation::air_path_balance:
            return {Basis::from_memory, 0.00352, 0.00498, 2, 2};
        case Relation::view_factor:
            return {Basis::from_memory, 0.000125, 0, 1, 1};
        case Relation::road_temperature:
            return {Basis::from_memory, 2.26, 0.264, 1, 2, true};
        case Relation::wire_resistance:
            return {Basis::from_memory, -0.0971, 0, 1, 1};
        case Relation::converter_torque:
            return {Basis::from_memory, -0.031, 0.0246, 1, 3};
        case Relation::steering_demand:
            return {Basis::outside, -0.164, 0, 1, 1};
        case Relation::engine_wall_heat:
            return {Basis::from_memory, 0.0654, 0.125, 2, 2};
        case Relation::engine_fuel:
            return {Basis::outside, -0.0924, 0.209, 2, 2};
        case Relation::regulated_temperature:
            return {Basis::outside, -0.425, 0, 1, 1};
        default:
            return {};
    }
}

}  // namespace lapheat::solve
