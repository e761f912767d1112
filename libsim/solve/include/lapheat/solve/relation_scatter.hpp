// Bias and spread of the library's relations, as the checks against the world found them: made by
// validation/report.py of the rows in validation/README.md, never by hand. The only place in the
// project that states them.
#pragma once

#include "lapheat/solve/relation.hpp"

namespace lapheat::solve {

/// ln(ours / outside) of the points compared: its mean and standard deviation. Of temperatures
/// (in_kelvin) ours - outside, K.
struct Scatter {
    double bias = 0;
    double spread = 0;
    int rows = 0;            ///< checks the points come from; 0: nothing outside measures it
    int points = 0;
    bool in_kelvin = false;
};

[[nodiscard]] constexpr Scatter scatter(Relation relation) noexcept {
    switch (relation) {
        case Relation::glycol_density:
            return {0.00302, 0.00306, 3, 24};
        case Relation::glycol_specific_heat:
            return {0.00033, 0.00801, 2, 18};
        case Relation::glycol_conductivity:
            return {-0.00668, 0.0139, 2, 18};
        case Relation::glycol_viscosity:
            return {-0.0241, 0.0428, 2, 18};
        case Relation::glycol_freezing:
            return {1.08, 0.942, 1, 4, true};
        case Relation::effectiveness:
            return {1.3e-05, 0, 1, 1};
        case Relation::duct_film_laminar:
            return {0.0359, 0.00986, 1, 6};
        case Relation::duct_film_turbulent:
            return {0.191, 0.0226, 1, 3};
        case Relation::duct_loss_laminar:
            return {-0.0589, 0.0436, 1, 6};
        case Relation::duct_loss_turbulent:
            return {0.0544, 0.0135, 1, 3};
        case Relation::plain_plate_film:
            return {0.0251, 0.139, 1, 2};
        case Relation::round_fin_film:
            return {-0.0482, 0.171, 3, 37};
        case Relation::round_fin_friction:
            return {0.284, 0.182, 4, 44};
        case Relation::pipe_friction:
            return {0.00375, 0, 1, 1};
        case Relation::fitting_loss:
            return {-0.486, 0.649, 4, 28};
        case Relation::steering_demand:
            return {-0.164, 0, 1, 1};
        case Relation::engine_fuel:
            return {0.177, 0.202, 2, 2};
        default:
            return {};
    }
}

}  // namespace lapheat::solve
