// The engine as a source of heat: fuel from brake power, and where the fuel's energy goes.
//
// At every instant, in W and exact to rounding:
//   fuel = brake + coolant + oil + exhaust + surface
// Fuel follows from brake, friction and pumping mean effective pressures over an indicated
// efficiency (a Willans line that bends; Guzzella & Onder, Introduction to Modeling and Control of
// Internal Combustion Engine Systems, 2.5). Heat from the gas to the walls has the form of Taylor &
// Toong as Heywood gives it (Internal Combustion Engine Fundamentals, 1988, section 12.4: Nu = C
// Re^0.75 with piston area, bore and a mean gas temperature; from memory). Friction ends in coolant
// and oil. Exhaust takes what is left. A user's own maps replace any of these.
//
// C and friction are of an era, see Era. What is published or said of engines of our time, weighed
// row by row in validation/heat/check_engine_evidence.cpp, asks for C between 5 and 11: the default
// is its weighted geometric mean, and its scatter of a third is the range of wall_heat_level. The
// exponent that it asks for by itself is 0.74 with a standard error of 0.10.
#pragma once

#include <cstdint>
#include <lapheat/drive/trace.hpp>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::heat {

/// Of which engines friction and wall heat are.
enum class Era {
    modern,  ///< since about 1995: compact chambers, low-friction pistons, thin oil
    classic  ///< until about 1980: Taylor & Toong's C = 10.4, friction of Barnes-Moss
};

struct EngineModel {
    Era era = Era::modern;         ///< set_era() changes what hangs on it
    double displacement = 0.0055;  ///< m^3, four-stroke, spark ignition; 1e-4 to 0.02
    int cylinders = 8;
    double bore = 0;                   ///< m; 0: as large as the stroke
    double idle_speed = 70;            ///< rad/s
    double full_load_pressure = 10e5;  ///< Pa, brake mean effective pressure at full load

    // Fuel
    double indicated_efficiency = 0.38;  ///< at best spark and stoichiometric, fast; 0.2 to 0.55
    double low_speed_loss =
        0.06;  ///< part of it lost at 1000 rev/min, as 1/speed (common practice, no source)
    double heating_value = 44.0e6;  ///< J/kg, gasoline (Heywood, Table D.4, from memory)
    double air_fuel_ratio = 14.6;   ///< stoichiometric, by mass (the same)
    double full_load_equivalence =
        1.12;                     ///< fuel/air over stoichiometric at full load, from 3/4 load up
    double unburned = 0.02;       ///< part of the fuel's energy leaving unburned at stoichiometric
    double retard = 0;            ///< degrees of crank later than best torque, everywhere
    double idle_retard = 12;      ///< degrees more at idle; fades by 1.6 idle speed and with load
    double retard_loss = 3.5e-4;  ///< efficiency lost by retard squared, 1/deg^2: about 3.5 % at 10
                                  ///< and 14 % at 20 degrees (Heywood, Fig. 15-3, from memory)
    bool fuel_cut = true;         ///< no fuel on overrun

    /// Friction, motored at full throttle: p0 + p1 w + p2 w^2 in Pa, w in rad/s. Modern: 0.60 +
    /// 0.08 n + 0.025 n^2 bar with n in 1000 rev/min, a parabola through what is known of engines
    /// of our time (validation/heat, "Engine friction": idle fuel of two cars, a strip-down, a
    /// printed balance; they lie between 0.73 and 1.3 of it). Classic: 0.97 + 0.15 n + 0.05 n^2
    /// (Heywood, eq. 13.6a, from memory).
    double friction_p0 = 0.60e5, friction_p1 = 76.39, friction_p2 = 0.22797;
    /// Over the era's friction. The range is the scatter of that evidence.
    Assumed friction_level{1, 0.77, 1.30, "scatter of measured friction of the era"};
    double throttled_pumping =
        0.6e5;  ///< Pa at no load, falling to 0 at full load (common practice, no source)
    double oil_exponent =
        0.24;  ///< friction over viscosity (Shayler, Leong & Murphy, SAE 2005-01-1702, from memory)
    double oil_reference = 363.15;  ///< K, oil temperature at which the friction above holds

    // Heat
    double nusselt_coefficient = 7.6, nusselt_exponent = 0.75;  ///< C: classic 10.4
    /// Over the era's heat to the walls. The range is the scatter of that evidence.
    Assumed wall_heat_level{1, 0.76, 1.32, "scatter of published heat balances of the era"};
    double gas_temperature =
        866;  ///< K, mean gas temperature of Taylor's chart near stoichiometric (from memory)
    double wall_reference = 363.15;  ///< K, coolant temperature of the heats below
    double wall_limit = 0.90;   ///< most of the heat not turned to work that walls take: ours, acts
                                ///< at light load; with it part and full load ask for one C
    double wall_to_oil = 0.08;  ///< part of wall heat to oil, through the pistons
    double wall_to_surface = 0.05;  ///< part of wall heat that leaves hot metal straight to the air
    double friction_to_coolant = 0.35;  ///< rings and liner; the rest to oil (Heywood, chapter 13:
                                        ///< pistons and rings about half of rubbing friction)
    double friction_to_exhaust =
        0.15;  ///< the motored friction holds gas exchange at full throttle, 0.15 to 0.25 of some
               ///< 1.4 bar (Heywood, chapter 13, from memory), which heats no oil
    // Exhaust
    double exhaust_pipe_diameter = 0.057;  ///< m
    int exhaust_pipes = 2;

    // A user's own maps over speed (rad/s) and brake mean effective pressure (Pa); empty: not used.
    solve::BilinearTable fuel_map;     ///< W
    solve::BilinearTable coolant_map;  ///< W, warm
    solve::BilinearTable oil_map;      ///< W, warm

    bool operator==(const EngineModel&) const = default;
};

/// Throws Error, with the name of the quantity as key, for a model that makes no sense.
void validate(const EngineModel& model);

/// An engine known by what its owner knows: displacement (m^3), cylinders, and peak torque (N m).
EngineModel engine_model(double displacement, int cylinders, double peak_torque,
                         Era era = Era::modern);

/// Friction, wall heat and their ranges as of an era.
void set_era(EngineModel& model, Era era);

/// The numbers of an engine that nobody measured on this one, to be read or varied in place.
std::vector<NamedAssumption> assumptions(EngineModel& model);

enum EngineFlag : std::uint8_t {
    below_correlation = 1,  ///< Reynolds number under 1000: light load, wall_limit rules
    outside_map = 2,        ///< a user's map was read beyond its edge
    exhaust_clipped = 4,    ///< maps leave too little or too much for the exhaust
};

/// One operating point. Heats in W with coolant at wall_reference and oil at oil_reference.
struct EnginePoint {
    double fuel = 0, brake = 0, coolant = 0, oil = 0, exhaust = 0, surface = 0;
    double friction = 0, pumping = 0, unburned = 0;  ///< W; friction and pumping are in the heats
    /// What colder oil adds, for each unit of (friction_factor - 1): extra fuel burned to keep the
    /// brake power, and where it goes. fuel = coolant + oil + exhaust + surface here too.
    double cold_fuel = 0, cold_coolant = 0, cold_oil = 0, cold_exhaust = 0, cold_surface = 0;
    double gas_flow = 0;             ///< kg/s, air and fuel
    double exhaust_temperature = 0;  ///< K, gas at the ports
    double reynolds = 0;
    std::uint8_t flags = 0;
};
/// Speed in rad/s, brake power in W (negative when motored), intake air in K. At rest: zeros.
EnginePoint engine_point(const EngineModel& model, double speed, double brake_power,
                         double intake_temperature = 298.15);

/// Friction mean effective pressure, warm, Pa, friction_level included.
double friction_pressure(const EngineModel& model, double speed);

/// Friction over warm friction at an oil temperature (K): (viscosity ratio)^oil_exponent with the
/// engine oil of the fluids room; 1 at oil_reference, at most 4.
double friction_factor(const EngineModel& model, double oil_temperature);

/// Heat to the walls with the coolant at a temperature (K) over that at wall_reference:
/// (T_gas - T) / (T_gas - T_reference). What walls do not take, the exhaust does.
double wall_factor(const EngineModel& model, double coolant_temperature);

/// The points of a trace, each held over its interval as the trace's columns are.
struct EngineHeat {
    std::vector<double> fuel, brake, coolant, oil, exhaust, surface;  ///< W, warm
    std::vector<double> cold_fuel, cold_coolant, cold_oil, cold_exhaust,
        cold_surface;                         ///< W, see above
    std::vector<double> gas_flow;             ///< kg/s
    std::vector<double> exhaust_temperature;  ///< K
    std::vector<std::uint8_t> flags;          ///< EngineFlag
    double fuel_mass = 0;                     ///< kg over the trace, warm
};
EngineHeat engine_heat(const EngineModel& model, const drive::Trace& trace);

/// Heat from oil through the block to the coolant: iron conducts always, and the film that the
/// crank throws and the pump sends grows with the engine's speed,
///   G = conductance (standing_share + (1 - standing_share) (speed / block_speed)^speed_exponent).
/// A laminar film's exponent is 0.5, a turbulent one's 0.8; between them, ours.
constexpr double block_speed = 314.159265;  ///< rad/s, 3000 rev/min
struct BlockConductance {
    double conductance = 0;       ///< W/K at block_speed
    double standing_share = 0.3;  ///< 0 to 1
    double speed_exponent = 0.7;  ///< 0: the same at any speed
};
double oil_to_block(const BlockConductance& block, double speed, bool running);

/// Heat capacities and conductances of an engine of the model's size, where nothing better is
/// known (common practice, no source): 55 kg and 32 kg for each litre, 40 % of it around the
/// coolant, 35 % around the oil. Mass, coolant and oil of one data sheet are met within a tenth
/// (validation/heat); nothing published was found on the shares.
struct EngineLumps {
    double jacket_metal = 0;       ///< J/K, head and upper block
    double oil_metal = 0;          ///< J/K, lower block, crank, pistons
    double jacket_volume = 0;      ///< m^3 of coolant
    double oil_volume = 0;         ///< m^3
    double wall_conductance = 0;   ///< W/K jacket metal to coolant at wall_flow, then with flow^0.8
    double wall_flow = 0;          ///< kg/s
    double still_conductance = 0;  ///< W/K with no flow (free convection, boiling apart)
    /// W/K through the block at block_speed, 90 for each litre: from oil that stands 25 to 30 K
    /// over the coolant on a circuit without a cooler (one owner's log, anecdote) with 15 to 24 kW
    /// given to the oil of 6 L at 4500 rev/min. Open from 0.6 to 1.6 of it.
    double oil_to_coolant = 0;
    double surface_conductance = 0;        ///< W/K block to under-hood air at rest
    double surface_conductance_slope = 0;  ///< W/K per root of m/s of vehicle speed
};
EngineLumps engine_lumps(const EngineModel& model, bool aluminium_block);

}  // namespace lapheat::heat
