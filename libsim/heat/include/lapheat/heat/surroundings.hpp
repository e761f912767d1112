// What else is hot round the coolers: air conditioning, exhaust, brakes, the engine bay, the road.
// Everything here is common practice with no source unless one is named.
#pragma once

#include <lapheat/drive/trace.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::heat {

/// A belt-driven air conditioner.
struct AirConditioning {
    double performance = 2.4;          ///< cold over shaft power with condenser air at 298 K
    double performance_slope = 0.035;  ///< lost for each kelvin above, down to 1
    Assumed performance_level{1, 0.8, 1.2, "common practice, no source"};  ///< on `performance`

    bool operator==(const AirConditioning&) const = default;
};
/// Heat (W) the condenser gives its air: shaft power (W) times one plus the performance at the
/// condenser's air temperature (K).
double condenser_heat(const AirConditioning& model, double shaft_power, double air_temperature);
/// Over a trace: shaft power is the demand times the vehicle's air_conditioning_power while the
/// engine runs, idle too. W, held.
std::vector<double> condenser_heat(const AirConditioning& model, const drive::Vehicle& vehicle,
                                   const drive::Trace& trace);

/// W of that which the condenser's air of this capacity rate (m cp, W/K) takes: all of it until the
/// compressor cuts out on pressure, with its air some 60 K hotter (assumption, 50 to 70). Within
/// 0.1 % of the heat up to 30 K of rise and 1 % up to 43 K; smooth in the flow, 0 in still air.
/// What is not rejected was not made.
double condenser_rejected(double heat, double capacity);

/// Exchange of heat by radiation between two grey bodies, W from hot to cold: sigma F A
/// (Th^4 - Tc^4) / (1/e1 + 1/e2 - 1) (Incropera et al., eq. 13.19 for large parallel plates, with F
/// the part of the colder body's area (m^2) that sees the hot one). Temperatures in K.
double radiant_heat(double hot, double cold, double area, double view = 1,
                    double hot_emissivity = 0.8, double cold_emissivity = 0.9);

/// Brakes of one axle pair as one lump on a trace, K at each knot: exact exponential in each
/// interval. Half the brake power at the front (share), the lump of discs cools with
/// conductance + slope * speed (W/K).
struct Brakes {
    double heat_capacity = 4.2e3 * 2;  ///< J/K, two discs
    double share = 0.65;               ///< of the brake power, front
    double conductance = 8;            ///< W/K at rest
    double conductance_slope = 1.6;    ///< (W/K)/(m/s)

    bool operator==(const Brakes&) const = default;
};
std::vector<double> brake_temperature(const Brakes& brakes, const drive::Trace& trace);
/// W the discs give to the air around them at a temperature (K) and car speed (m/s).
double brake_air_heat(const Brakes& brakes, double temperature, double ambient, double speed);

/// Air and sheet under the hood as a balance, W:
///     air   dT/dt = fresh cp (T_ambient - T) + sum of stacks' air + heat + g (T_sheet - T)
///     sheet dT/dt = g (T - T_sheet) + radiated - (g0 + g1 sqrt(v)) (T_sheet - T_ambient)
/// All air of the paths that end in the bay enters it, mixed: what is left of a gradient from the
/// stack's outlet to the exit is not there. Its numbers are common practice with no source, the
/// heat capacities and conductances within a factor of two, but for the air at rest:
///     m = rho 0.65 A sqrt(2 g H (T - T_ambient) / T)
/// (stack effect; ASHRAE Fundamentals 1997, ch. 25, eq. 37, as quoted elsewhere), with 0.06 m^2
/// open low down and as much along hood and wheel arches, 0.6 m higher, so 0.3 m to the level of
/// equal pressure: 0.03 kg/s at 30 K; openings of 0.03 to 0.1 m^2, judgement, are 0.015 to 0.05.
struct EngineBay {
    double at_rest = 0.03;         ///< kg/s by buoyancy with its air 30 K above ambient
    double per_speed = 0.035;      ///< kg/s for each m/s, besides what comes through the stack
    double air = 5e3;              ///< J/K of the air and what follows it at once: hoses, covers
    double sheet = 20e3;           ///< J/K of hood, inner wings and bulkhead, some 40 kg
    double air_to_sheet = 35;      ///< W/K, 4 m^2 of free convection
    double sheet_to_outside = 20;  ///< W/K at rest, 2.5 m^2
    double sheet_slope = 12;       ///< (W/K)/sqrt(m/s)
    /// Of what the manifolds radiate, down and out past the open bottom instead of to hood and
    /// wings: a third, 0.2 to 0.5; judgement, no source.
    double radiated_below = 0.35;
    Assumed fresh_level{1, 0.5, 1.67, "openings of 0.03 to 0.1 m^2; judgement"};
    Assumed exchange_level{1, 0.5, 2, "within a factor of two; common practice, no source"};
};

/// What is in doubt round the coolers, to be read or varied in place; and the same with the levels'
/// values applied.
std::vector<NamedAssumption> assumptions(AirConditioning& model);
std::vector<NamedAssumption> assumptions(EngineBay& bay);
AirConditioning at_levels(AirConditioning model);
EngineBay at_levels(EngineBay bay);
/// kg/s of fresh air that enters besides the stacks': buoyancy as the root of the rise (K; the root
/// is led smoothly through zero over 2 K), and speed (m/s).
double bay_fresh_air(const EngineBay& bay, double rise, double speed);
/// Steady temperature of the bay's air, K, with `heat` (W) given to it, air of the stacks (kg/s) at
/// its own temperature (K), and a sheet that has come to rest, for comparison with measured cars.
double bay_temperature(const EngineBay& bay, double ambient, double speed, double heat,
                       double stack_flow, double stack_temperature);

}  // namespace lapheat::heat
