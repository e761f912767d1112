#include "lapheat/hydraulics/line.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/exchangers/duct.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/hydraulics/friction.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {

LineAir line_air(double temperature, double radiant_temperature, double speed,
                 double film_temperature, double pressure) {
    const fluids::AirState film{.temperature = film_temperature, .pressure = pressure};
    return {.temperature = temperature,
            .radiant_temperature = radiant_temperature,
            .speed = speed,
            .conductivity = fluids::conductivity(film),
            .kinematic_viscosity = fluids::kinematic_viscosity(film),
            .prandtl = fluids::prandtl(film)};
}

LineConductance line_conductance(const LineWall& wall, double length, double reynolds,
                                 double prandtl, double fluid_conductivity, const LineAir& air,
                                 double surface_temperature) {
    constexpr double pi = std::numbers::pi;
    const double inner = wall.inner_diameter, outer = inner + 2 * wall.thickness;
    LineConductance c;
    const auto nusselt = exchangers::nusselt(
        {.shape = exchangers::DuctShape::round, .hydraulic_diameter = inner, .length = length},
        reynolds, prandtl);
    c.in_range = nusselt.in_range;
    c.inside = pi * nusselt.value * fluid_conductivity;
    c.wall = 2 * pi * wall.conductivity / std::log(outer / inner);

    const double excess = std::abs(surface_temperature - air.temperature);
    const double film = 0.5 * (surface_temperature + air.temperature);
    const double nu = air.kinematic_viscosity, pr = air.prandtl;
    const double rayleigh =
        constants::gravity / film * excess * outer * outer * outer * pr / (nu * nu);
    const double natural_root = 0.60 + 0.387 * std::pow(rayleigh, 1.0 / 6) /
                                           std::pow(1 + std::pow(0.559 / pr, 9.0 / 16), 8.0 / 27);
    const double natural = natural_root * natural_root;
    const double re = air.speed * outer / nu;
    const double forced = 0.3 + 0.62 * std::sqrt(re) * std::cbrt(pr) /
                                    std::pow(1 + std::pow(0.4 / pr, 2.0 / 3), 0.25) *
                                    std::pow(1 + std::pow(re / 282000, 5.0 / 8), 0.8);
    c.in_range = c.in_range && rayleigh <= 1e12 && (re * pr >= 0.2 || re == 0);
    const double both =
        std::cbrt(natural * natural * natural + (re > 0 ? forced * forced * forced : 0));
    const double convection = pi * both * air.conductivity;
    // Radiation goes to another temperature than convection; the two together act as one
    // conductance to a mean temperature of the surroundings weighted by both.
    const double t2 = surface_temperature * surface_temperature;
    const double r2 = air.radiant_temperature * air.radiant_temperature;
    const double radiation = pi * outer * wall.emissivity * constants::stefan_boltzmann *
                             (t2 + r2) * (surface_temperature + air.radiant_temperature);
    c.outside = convection + radiation;
    c.surroundings =
        (convection * air.temperature + radiation * air.radiant_temperature) / c.outside;
    c.total = 1 / (1 / c.inside + 1 / c.wall + 1 / c.outside);
    c.stored = wall.heat_capacity * pi / 4 * (outer * outer - inner * inner);
    return c;
}

double line_loss(const LineWall& wall, double length, double reynolds, double prandtl,
                 double fluid_conductivity, const LineAir& air, double fluid_temperature) {
    // The face's temperature from the series of conductances, a contraction: natural convection
    // and radiation change little with it.
    double surface = 0.5 * (fluid_temperature + air.temperature), loss = 0;
    for (int i = 0; i < 50; ++i) {
        const LineConductance c =
            line_conductance(wall, length, reynolds, prandtl, fluid_conductivity, air, surface);
        loss = c.total * (fluid_temperature - c.surroundings);
        const double next = c.surroundings + loss / c.outside;
        const double change = std::abs(next - surface);
        surface = next;
        if (change < 1e-3) break;
    }
    return loss;
}

}  // namespace lapheat::hydraulics
