// Parts with sizes as sold, made into elements of a network.
//
// Loss coefficients are on the velocity at the diameter of the returned element. Those of bends
// are totals: the bend's own length need not be counted again as pipe.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "lapheat/hydraulics/elements.hpp"
#include "lapheat/units/diagnostic.hpp"

namespace lapheat::hydraulics {

/// m from a dash number: sixteenths of an inch (SAE J517's size code). Dash 6 is 3/8 in,
/// 9.525 mm. Range 1 to 64; throws lapheat::Error outside.
double dash_diameter(int dash);

/// Roughness (m) of what lines are made of. Rubber and smooth plastic hose 1e-6 to 1e-5;
/// drawn tube 1.5e-6 (Moody 1944); commercial steel 4.57e-5 (same).
inline constexpr double rubber_hose_roughness = 5e-6, drawn_tube_roughness = 1.5e-6,
                        steel_pipe_roughness = 4.57e-5;

/// A smooth bend: `radius_ratio` = bend radius over inner diameter (1 to 20, held at the ends),
/// `angle` in degrees (0 to 180). K: Crane TP-410 (2009), p. A-30, friction of full turbulence
/// times the tabulated ratio, at the roughness given (Crane's own: steel_pipe_roughness); other
/// angles by Idelchik, Handbook of Hydraulic Resistance, diagram 6-1 (factor A1). K1: Hooper
/// 1981, 500, 800 and 1000 at 45, 90 and 180 degrees.
MinorLoss bend(double inner_diameter, double radius_ratio, double angle,
               double roughness = steel_pipe_roughness);

/// A fitting by name with the two-K coefficients of Hooper, Chem. Eng. 88 (1981) no. 17, p. 96:
/// K = K1/Re + K∞(1 + 1/D[in]).
struct FittingEntry {
    std::string_view name;
    double laminar_coefficient, loss_coefficient;
    bool scaled;  ///< multiply by 1 + 1/D[in]
    std::string_view source;
    bool tee = false;
};
std::span<const FittingEntry> fitting_table();

/// elbow_90, elbow_90_long, elbow_45, elbow_180, tee_run, tee_branch, ball_valve, gate_valve,
/// globe_valve, swing_check, lift_check, adapter, barb_straight, quick_disconnect, tank_entry,
/// tank_exit. Throws lapheat::Error that lists the names.
MinorLoss fitting(std::string_view name, double diameter);

/// Sudden changes of section; the element's diameter is the smaller one. Expansion: Borda and
/// Carnot, (1 − β²)²; contraction: 0.5(1 − β²), Idelchik diagram 4-9 and Crane p. A-26. Laminar
/// part of the contraction: Hooper, Chem. Eng. 95 (1988) no. 16, p. 89.
MinorLoss sudden_expansion(double small_diameter, double large_diameter);
MinorLoss sudden_contraction(double large_diameter, double small_diameter);

/// A barbed end or adapter with a bore narrower than the hose: in and out again, both on the
/// bore. A hose has one at each end.
MinorLoss barb(double hose_diameter, double bore);

/// A vent's or bleed's sharp-edged hole: K = 2.7 on its own diameter, Idelchik diagram 4-18
/// (thin edge, hole small against the wall).
MinorLoss orifice(double diameter);

/// A filter by one measured point. Filter media are creeping flow: laminar share 0.8 by default
/// (common practice, no source).
MeasuredLoss filter(double flow, double pressure_loss, double density, double viscosity,
                    double laminar_share = 0.8);

/// A poppet (thermostat) that lifts off a seat: free area is the smaller of the cylinder
/// π·d·lift and the seat's circle. `bleed_diameter` is that of the vent hole with its jiggle pin.
double poppet_area(double seat_diameter, double lift);
Valve thermostat(double seat_diameter, double full_lift, double bleed_diameter);

/// What is wrong with a line for a flow (m³/s, at the moment that matters: of least margin), or
/// none: …_line_fast, without subject. A coolant hose is never told to be wider than the necks of
/// radiators and engines: main hoses 1 1/4 to 1 3/4 inch, heater hoses 3/4 inch (common practice,
/// no source). Suction lines above 1.5 m/s, oil return and cooler lines above 3 m/s, coolant hoses
/// above 3 m/s, pressure lines above 6 m/s wear or starve (common practice, no source).
enum class LineUse { suction, cooler, coolant, pressure };
std::optional<Diagnostic> line_warning(LineUse use, std::string_view name, double inner_diameter,
                                       double flow);

}  // namespace lapheat::hydraulics
