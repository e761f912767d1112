// Long lines: how late and how smeared a temperature arrives, and what the air takes on the way.
// Pure functions; the model's cells are built on them.
#pragma once

#include <span>

namespace lapheat::hydraulics {

// --- Delay -----------------------------------------------------------------------------------

/// s for a volume (m³) to be passed at a flow (m³/s).
double transit_time(double volume, double flow);

/// Outlet temperature (K) of plug flow at `time`: the inlet's at the moment when the fluid now
/// leaving came in, found from the volume that has passed. `times` (s) rise; flow (m³/s, ≥ 0)
/// and inlet temperature (K) go straight between them; before the first, `initial`. Exact.
double plug_flow_outlet(std::span<const double> times, std::span<const double> flow,
                        std::span<const double> inlet, double volume, double initial, double time);

/// A chain of n well-mixed cells (first-order upwind) answers a step like an Erlang
/// distribution: mean delay exact, variance delay²/n (s²). Levenspiel, Chemical Reaction
/// Engineering, tanks in series, eq. 18.1.
double cell_variance(double delay, int cells);

/// m²/s of dispersion the cells put in beyond nature: velocity·length/(2·cells), from
/// variance = 2·D·length/velocity³.
double cell_dispersion(double velocity, double length, int cells);

/// m²/s of axial dispersion in nature, Taylor, Proc. R. Soc. A 219 (1953) 186 (laminar,
/// a²u²/(48·D_heat), valid once heat has spread over the section) and 223 (1954) 446
/// (turbulent, 10.1·a·u·√(f/8)). `heat_diffusivity` in m²/s.
double natural_dispersion(double velocity, double inner_diameter, double reynolds,
                          double darcy_friction, double heat_diffusivity);

/// Cells for which a step arrives with a standard deviation of at most `smear` of the delay
/// (0–1): 1/smear², at least 1.
int cells_for(double smear);

/// Share of a step that has left a chain of n cells at a time (Erlang's distribution), 0–1.
double cell_step_response(double time, double delay, int cells);

// --- Heat ------------------------------------------------------------------------------------

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

/// Steady outlet temperature (K) of a line: air + (inlet − air)·exp(−UA/(m·c)).
double steady_outlet(double inlet, double surroundings, double conductance, double mass_flow,
                     double specific_heat);

/// W/m lost by one metre of line at a fluid temperature, the outer face's temperature iterated
/// to 1e-3 K; negative where the surroundings are hotter.
double line_loss(const LineWall& wall, double length, double reynolds, double prandtl,
                 double fluid_conductivity, const LineAir& air, double fluid_temperature);

}  // namespace lapheat::hydraulics
