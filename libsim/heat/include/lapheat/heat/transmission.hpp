// The transmission as a source of heat: driveline losses of a trace, sorted by where they end.
//
// What enters the fluid, at every instant and exactly:
//   converter + sump + housing = converter_loss + shift_loss + pump_drag + gear_loss   (W)
#pragma once

#include <lapheat/drive/trace.hpp>
#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::heat {

struct TransmissionModel {
    bool automatic = true;  ///< false: dry clutch, splash oil; clutch heat goes to the housing
    double gear_to_fluid =
        0.9;  ///< part of gear and bearing loss into fluid, the rest into the case

    // Cooler circuit: the pump feeds it through converter and an orifice.
    double cooler_flow = 1.3e-4;        ///< m^3/s at cooler_flow_speed and above, warm; 0.6 to 2e-4
    double cooler_idle_flow = 0.5e-4;   ///< m^3/s at idle in gear, warm
    double cooler_flow_speed = 210;     ///< rad/s of the engine at which flow is full
    double idle_speed = 70;             ///< rad/s
    double cooler_pressure = 5e5;       ///< Pa at the outlet port when the line is blocked
    double locked_share = 0.8;          ///< of the flow left with the converter locked
    double reference_viscosity = 7e-3;  ///< Pa s at which the flows hold
    double viscosity_exponent = 0.3;    ///< flow falls with (viscosity ratio)^this when cold
    double leakage = 0.2;  ///< of the idle flow lost in pump, valves and clutches when warm, at
                           ///< idle; as 1/viscosity when hot; 0.1 to 0.4 (common practice, no
                           ///< source: line pressure at idle is checked hot because it falls)

    // Lumps (common practice, no source)
    double converter_volume = 3.5e-3;     ///< m^3 of fluid in the converter
    double sump_volume = 6.5e-3;          ///< m^3 in sump, valves and clutches
    double converter_metal = 7e3;         ///< J/K
    double case_metal = 38e3;             ///< J/K of case and gears
    double case_conductance = 11;         ///< W/K case to air at rest
    double case_conductance_slope = 2.5;  ///< (W/K)/sqrt(m/s) with car speed
    double converter_share = 0.3;         ///< of the case's outside that stands round the converter
    double converter_to_case = 8;         ///< W/K by shafts, stator support and the air of the bell
                                          ///< housing, 3 to 20

    // What is in doubt of these, as factors; see at_levels(). Common practice, no source.
    Assumed cooler_flow_level{1, 0.5, 1.5, "3.6 to 12 L/min of such cars; common practice"};
    Assumed case_level{1, 0.6, 1.6, "a case in the wind under a car; common practice"};
    Assumed housing_level{1, 0.375, 2.5, "3 to 20 W/K; common practice"};

    bool operator==(const TransmissionModel&) const = default;
};

/// What is in doubt of a transmission, to be read or varied in place; and the model with the
/// levels' values applied.
std::vector<NamedAssumption> assumptions(TransmissionModel& model);
TransmissionModel at_levels(TransmissionModel model);

/// Throws Error, with the name of the quantity as key.
void validate(const TransmissionModel& model);

/// Heats of a trace in W, each held over its interval.
struct TransmissionHeat {
    std::vector<double> converter;    ///< into the fluid in the converter: slip
    std::vector<double> sump;         ///< into the fluid in the sump: pump, gears, shifts
    std::vector<double> housing;      ///< into case and bell housing
    std::vector<double> axle;         ///< final drive, apart from the sums above
    std::vector<double> cooler_flow;  ///< m^3/s through the cooler circuit, warm, before the
                                      ///< circuit's own resistance
    double energy = 0;                ///< J over the trace, without the axle
    double converter_share = 0;       ///< of that
};
TransmissionHeat transmission_heat(const TransmissionModel& model, const drive::Trace& trace);

/// Flow (m^3/s) that pump and orifice give an open cooler circuit. Viscosity in Pa s. A circuit
/// that needs pressure p gets flow sqrt(1 - p / cooler_pressure) of it (orifice law). It is most at
/// the reference viscosity: thicker oil comes through less, as (viscosity
/// ratio)^viscosity_exponent; of thinner oil more leaks away before the orifice. A clearance passes
/// as 1/viscosity (laminar slip, Wilson 1950) and the pump gives as speed, so of the warm flow is
/// left
///     1 - leakage (idle speed / speed) (reference viscosity / viscosity - 1), at least 0.1.
double cooler_flow(const TransmissionModel& model, double engine_speed, double viscosity,
                   bool locked);

}  // namespace lapheat::heat
