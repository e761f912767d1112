#include "line_loss.hpp"

#include <cmath>
#include <numbers>

#include "lapheat/hydraulics/line.hpp"
#include "lapheat/hydraulics/parts.hpp"

namespace lapheat::model {
namespace {

// A line is taken at the temperatures of a warm car: its conductance changes by a few percent over
// the range that matters. Film at 60 °C, face at 75 °C, fluid at 95 °C.
constexpr double film = 333.15, face = 348.15, fluid_temperature = 368.15;
// Air moves along a line under a car at part of the road speed (assumption): a tenth in the engine
// bay, a third under the floor, half outside, not at all inside.
double share_of_speed(Zone s) {
    switch (s) {
        case Zone::outside:
            return 0.5;
        case Zone::under_floor:
            return 0.33;
        case Zone::engine_bay:
            return 0.1;
        case Zone::inside:
            return 0;
    }
    return 0;
}
constexpr double rest_draught = 0.2;      // m/s, never quite still round a running engine
constexpr double reference_speed = 20.0;  // m/s at which the speed's part is taken

}  // namespace

LineLoss line_conductance(const Line& line, const fluids::Liquid& fluid, double length) {
    const hydraulics::LineWall wall{.inner_diameter = line.inner_diameter,
                                    .thickness = line.wall_thickness,
                                    .conductivity = line.wall_conductivity,
                                    .heat_capacity = line.wall_heat_capacity};
    const fluids::Properties p = fluid.at(fluid_temperature);
    // Inside film at a metre a second: seldom what limits a hose.
    const double reynolds = p.density * 1.0 * line.inner_diameter / p.viscosity;
    const auto total = [&](double speed) {
        const hydraulics::LineAir air = hydraulics::line_air(318.15, 318.15, speed, film);
        return length * hydraulics::line_conductance(wall, line.length, reynolds, p.prandtl(),
                                                     p.conductivity, air, face)
                            .total;
    };
    const double still = total(rest_draught);
    const double moving = total(rest_draught + share_of_speed(line.surroundings) * reference_speed);
    return {still, (moving - still) / std::sqrt(reference_speed)};
}

}  // namespace lapheat::model
