// Long lines: what the air takes on the way. Pure functions; the model's cells are built on them.
#pragma once

namespace lapheat::hydraulics {

struct LineWall {
    double inner_diameter = 0;     ///< m
    double thickness = 0.004;      ///< m
    double conductivity = 0.3;     ///< W/(m K): rubber about 0.3, steel about 50
    double heat_capacity = 1.8e6;  ///< J/(m³ K) of wall material
    double emissivity = 0.9;       ///< of the outer face
};

/// The air that touches a line, at film temperature.
struct LineAir {
    double temperature = 293.15;           ///< K
    double radiant_temperature = 293.15;   ///< K of what the line sees; a hot exhaust's share
                                           ///< enters as a mean of fourth powers
    double speed = 0;                      ///< m/s across the line
    double conductivity = 0.0257;          ///< W/(m K)
    double kinematic_viscosity = 1.53e-5;  ///< m²/s
    double prandtl = 0.71;
};
/// Dry air with its properties at a film temperature (K) and pressure (Pa), see fluids/air.hpp.
LineAir line_air(double temperature, double radiant_temperature, double speed,
                 double film_temperature, double pressure = 101325);

/// Conductances of one metre of line, W/(m K).
struct LineConductance {
    double inside = 0;        ///< fluid to inner face
    double wall = 0;          ///< through the wall
    double outside = 0;       ///< outer face to air and surroundings, convection plus radiation
    double total = 0;         ///< in series
    double surroundings = 0;  ///< K, of air and radiation weighted by their conductances
    double stored = 0;        ///< J/(m K) of the wall
    bool in_range = true;     ///< every correlation inside its range
};

/// `surface_temperature` (K) of the outer face sets natural convection and radiation: a guess
/// within 20 K is enough, or see line_loss. Inside: exchangers::nusselt. Outside: natural,
/// Churchill & Chu, IJHMT 18 (1975) 1049; forced, Churchill & Bernstein, J. Heat Transfer 99
/// (1977) 300; both together as the cube root of the sum of cubes (common practice, see
/// Incropera, section 9.9); radiation to radiant_temperature.
LineConductance line_conductance(const LineWall& wall, double length, double reynolds,
                                 double prandtl, double fluid_conductivity, const LineAir& air,
                                 double surface_temperature);

/// W/m lost by one metre of line at a fluid temperature, the outer face's temperature iterated
/// to 1e-3 K; negative where the surroundings are hotter.
double line_loss(const LineWall& wall, double length, double reynolds, double prandtl,
                 double fluid_conductivity, const LineAir& air, double fluid_temperature);

}  // namespace lapheat::hydraulics
