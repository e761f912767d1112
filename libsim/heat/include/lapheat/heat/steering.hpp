// Hydraulic power steering as a source of heat: an engine-driven vane pump with flow control and
// relief valve, an open-centre rotary valve and a rack or box.
//
// All shaft power ends on one of these paths, at every instant and exactly (W):
//   shaft = work + rack_friction + throttling + relief + flow_control + leakage + line +
//   pump_friction
// - work: turns the wheels against the tyres, leaves the fluid.
// - throttling: controlled flow at load pressure through the steering valve, not used by the rack.
//   Holding a corner costs this without any work being done.
// - relief: the same, once pressure stands at the relief setting (wheel at its lock, scrub too
// heavy).
// - flow_control: what the pump displaces beyond the controlled flow goes round inside the pump at
//   pump pressure; it grows with engine speed, and with load pressure: a slalom pays both.
// - line: controlled flow through valve, hoses, rack and cooler with no load (back pressure).
// Relations: Merritt, Hydraulic Control Systems (1967), chapters 4 and 5 (open centre, displacement
// pumps); Pfeffer & Harrer, Steering Handbook (2017), hydraulic steering. Both from memory.
#pragma once

#include <lapheat/drive/trace.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::heat {

struct SteeringModel {
    bool hydraulic = true;              ///< false: no pump, all zero
    double displacement = 1.527887e-6;  ///< m^3/rad of the pump (9.6 cm^3 a turn); 1e-6 to 3e-6
    double speed_ratio = 1.2;           ///< pump over engine speed
    double controlled_flow = 1.4e-4;    ///< m^3/s to the rack, 0.8 to 2e-4
    double relief_pressure = 8.5e6;     ///< Pa, 6 to 12 MPa
    double control_pressure = 4e5;      ///< Pa over the flow-control orifice while it controls
    double back_pressure =
        3e5;  ///< Pa of the open circuit at controlled flow, warm; 0 where a network works it out
    double leakage = 3e-13;       ///< m^3/(s Pa), warm
    double pump_friction = 0.35;  ///< N m at the pump shaft

    double piston_area = 9e-4;      ///< m^2 of the assist cylinder
    double arm = 0.14;              ///< m, rack force times this is the torque on both kingpins
    double assist = 0.85;           ///< part of the load that oil carries, the driver the rest
    double rack_efficiency = 0.85;  ///< seals and gears
    double lock_holding = 0.5;  ///< part of time at the lock in which the driver holds against it

    // Lumps (common practice, no source)
    double fluid_volume = 1.0e-3;     ///< m^3 in all, without cooler and long lines
    double pump_metal = 2.5e3;        ///< J/K pump and reservoir
    double rack_metal = 4.0e3;        ///< J/K touched by fluid
    double conductance = 3.5;         ///< W/K pump, rack and hoses to air at rest
    double conductance_slope = 0.15;  ///< (W/K)/(m/s)

    /// On lock_holding, which stays within 0 to 1; see at_levels().
    Assumed holding_level{1, 0.4, 1.8, "drivers differ; common practice, no source"};

    bool operator==(const SteeringModel&) const = default;
};

/// What is in doubt of a steering, to be read or varied in place; and the model with the level's
/// value applied.
std::vector<NamedAssumption> assumptions(SteeringModel& model);
SteeringModel at_levels(SteeringModel model);

/// Throws Error, with the name of the quantity as key.
void validate(const SteeringModel& model);

/// What is asked of the steering at one instant.
struct SteeringDemand {
    double engine_speed = 0;     ///< rad/s
    double kingpin_torque = 0;   ///< N m, both wheels, not negative
    double road_wheel_rate = 0;  ///< rad/s, not negative
    double held_at_lock = 0;     ///< part of the time held hard against the lock, 0 to 1
};

enum SteeringFlag : unsigned char {
    pump_catch = 1,  ///< the rack asks for more flow than the pump gives: the driver feels it
    at_relief = 2,   ///< pressure stands at the relief setting some of the time
};

/// Flows, pressures and paths at one instant.
struct SteeringPoint {
    double flow = 0;           ///< m^3/s delivered to the valve
    double rack_flow = 0;      ///< m^3/s into the cylinder
    double pressure = 0;       ///< Pa at the pump's outlet
    double load_pressure = 0;  ///< Pa over the cylinder
    double shaft = 0;          ///< W
    double work = 0;           ///< W to the tyres by the oil
    double rack_friction = 0, throttling = 0, relief = 0, flow_control = 0, leakage = 0, line = 0,
           pump_friction = 0;  ///< W, heat
    unsigned char flags = 0;
    [[nodiscard]] double heat() const { return shaft - work; }
    [[nodiscard]] double pump_heat() const {
        return flow_control + leakage + pump_friction + relief;
    }
    [[nodiscard]] double rack_heat() const { return rack_friction + throttling; }
};
SteeringPoint steering_point(const SteeringModel& model, const SteeringDemand& demand);

/// Heats of a trace in W, each held over its interval. Where in the loop they enter:
struct SteeringHeat {
    std::vector<double> pump;      ///< flow control, leakage, relief, friction: in the pump
    std::vector<double> rack;      ///< throttling and friction: at rack or box
    std::vector<double> line;      ///< along valve, hoses and cooler
    std::vector<double> flow;      ///< m^3/s delivered
    std::vector<double> pressure;  ///< Pa at the pump
    std::vector<double> shaft;     ///< W
    std::vector<unsigned char> flags;
    /// J by path over the trace, or over the stretch asked for.
    struct Energy {
        double shaft = 0, work = 0, rack_friction = 0, throttling = 0, relief = 0, flow_control = 0,
               leakage = 0, line = 0, pump_friction = 0;
        [[nodiscard]] double heat() const { return shaft - work; }
    } energy;
};
/// `begin`, `end`: s, the stretch over which `energy` is summed; both 0: the whole trace.
SteeringHeat steering_heat(const SteeringModel& model, const drive::Vehicle& vehicle,
                           const drive::Trace& trace, double begin = 0, double end = 0);

}  // namespace lapheat::heat
