#include "lapheat/exchangers/fin.hpp"

#include <algorithm>
#include <cmath>
#include "lapheat/solve/relation.hpp"

namespace lapheat::exchangers {
namespace {

double tanh_over(double x) noexcept {
    return solve::perturbed(solve::Relation::fin_efficiency,
                            x < 1e-4 ? 1 - x * x / 3 : std::tanh(x) / x);
}

}  // namespace

double fin_parameter(double film_coefficient, double conductivity, double thickness) noexcept {
    return std::sqrt(2 * film_coefficient / (conductivity * thickness));
}

double straight_fin_efficiency(double parameter, double length) noexcept {
    return tanh_over(parameter * length);
}

double annular_fin_efficiency(double parameter, double root_radius, double tip_radius) noexcept {
    const double ratio = std::max(tip_radius / root_radius, 1.0);
    return tanh_over(parameter * root_radius * (ratio - 1) * (1 + 0.35 * std::log(ratio)));
}

double plate_fin_equivalent_radius(double root_radius, double transverse, double longitudinal,
                                   bool staggered) noexcept {
    // Half-distances from the tube's centre to the sides of its cell, the shorter first.
    const double across = transverse / 2;
    const double along =
        staggered ? std::hypot(transverse / 2, longitudinal) / 2 : longitudinal / 2;
    const double m = std::min(across, along);
    const double beta = std::max(across, along) / m;
    const double radius =
        staggered ? 1.27 * m * std::sqrt(beta - 0.3) : 1.28 * m * std::sqrt(beta - 0.2);
    return std::max(radius, root_radius);
}

double surface_efficiency(double fin_share, double fin_efficiency) noexcept {
    return 1 - fin_share * (1 - fin_efficiency);
}

}  // namespace lapheat::exchangers
