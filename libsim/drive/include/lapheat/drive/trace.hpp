// What the car does over a cycle: speeds, torques and the power at every link of the driveline.
//
// Entry k of every column is the mean over the interval from time[k] to time[k+1] (held, not
// interpolated); the last entry repeats the one before. Means, because then every sum of
// power times interval is the energy exactly, kinetic energy included. Two balances hold at every
// k:
//   engine_power = accessory_power + pump_drag + engine_inertia_power + shift_loss
//                  + converter_loss + gear_loss + axle_loss + wheel_power
//   wheel_power + shortfall = rolling_power + drag_power + cornering_power + grade_power
//                             + inertia_power + brake_power
#pragma once

#include <cstddef>
#include <cstdint>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <string>
#include <vector>

namespace lapheat::drive {

struct Trace {
    std::string name;
    std::vector<double> time;                                           ///< s, knots of the cycle
    std::vector<double> speed;                                          ///< m/s
    std::vector<double> acceleration;                                   ///< m/s^2
    std::vector<double> grade, altitude, ambient, humidity, sun, wind;  ///< as in Cycle
    std::vector<double> ac_demand, trailer_mass;                        ///< as in Cycle
    std::vector<std::uint8_t> engine_on;
    std::vector<Selector> selector;
    std::vector<std::int8_t> gear;     ///< forward gear, 0 neutral or park, -1 reverse
    std::vector<std::uint8_t> lockup;  ///< 1: converter locked, or clutch closed

    std::vector<double> engine_speed;   ///< rad/s, 0 when off
    std::vector<double> engine_torque;  ///< N m, brake torque at the crank
    std::vector<double> engine_power;   ///< W, brake power at the crank; negative when motored
    std::vector<double> throttle;       ///< 0 to 1, from motoring to full torque
    std::vector<double> turbine_speed;  ///< rad/s, gearbox input
    std::vector<double> converter_speed_ratio;  ///< turbine over pump

    std::vector<double> accessory_power;       ///< W, with air conditioning
    std::vector<double> pump_drag;             ///< W, transmission oil pump
    std::vector<double> engine_inertia_power;  ///< W, into the engine's rotating parts
    std::vector<double> shift_loss;            ///< W, in shift clutches as the engine changes speed
    std::vector<double> converter_loss;        ///< W, in the converter or the slipping clutch
    std::vector<double> gear_loss;             ///< W, mesh and spin of the gearbox
    std::vector<double> axle_loss;             ///< W, final drive
    std::vector<double> wheel_power;           ///< W, at the driven wheels

    std::vector<double> rolling_power, drag_power, cornering_power, grade_power;  ///< W
    std::vector<double> inertia_power;  ///< W, mass and wheels
    std::vector<double> brake_power;    ///< W, heat in the brakes, not negative
    std::vector<double> shortfall;      ///< W asked of the wheels that the engine cannot give

    std::vector<double> steering_angle;        ///< rad of the steering wheel, positive left
    std::vector<double> steering_rate;         ///< rad/s of the steering wheel
    std::vector<double> kingpin_torque;        ///< N m, both front wheels, resisting the turn
    std::vector<double> lateral_acceleration;  ///< m/s^2
    std::vector<double> front_axle_load;       ///< N
    std::vector<Phase> phases;

    [[nodiscard]] std::size_t size() const { return time.size(); }
};

/// Energies over a trace (J) and the worst error of the two balances, as a fraction of the energy
/// the engine moved (sum of |engine power| and |wheel power| over time).
struct TraceSummary {
    double duration = 0, distance = 0;  ///< s, m
    double engine_work = 0, converter_loss = 0, gear_loss = 0, axle_loss = 0, pump_drag = 0;
    double brake_heat = 0, shortfall = 0, steering_work = 0;
    double shortfall_time = 0;   ///< s with more than 1 W missing
    double over_speed_time = 0;  ///< s above the redline: the gear asked for is too low
    double driveline_closure = 0, road_closure = 0;
    int shifts = 0;
};
TraceSummary summarize(const Trace& trace, const Vehicle& vehicle);

/// Backward-looking: the speed of the cycle is driven exactly; force, gear, converter and engine
/// follow at each interval. What the engine cannot do is `shortfall`, what it gives too much (idle
/// creep) the brakes take. About 0.2 us for each knot. Throws Error on an invalid car or cycle.
Trace backward(const Vehicle& vehicle, const Cycle& cycle);
/// The same into a trace whose memory is used again; half the time for many runs.
void backward(const Vehicle& vehicle, const Cycle& cycle, Trace& into);

/// The driver of the forward-looking car: feed-forward of the road load and a PI on speed.
struct DriverModel {
    double proportional = 2.0;  ///< 1/s, acceleration asked per m/s of speed error
    double integral = 0.2;      ///< 1/s^2
    double engine_time = 0.2;   ///< s, within which the engine is asked to reach a new speed
    double step = 0.01;         ///< s, step of the integration
};

/// Forward-looking: a driver follows the cycle's speed, car and engine are integrated; he asks for
/// no more at the wheels than driven_grip() and the friction ellipse let through. The trace
/// has the cycle's knots, `speed` is what was reached. Agrees with `backward` on cycles the car can
/// follow (tests/drive): distance within 0.2 % (0.8 %
/// between cones at the tyres' limit, where nothing is left to catch up with); engine work within 1
/// % on the road, 5 % between cones, where the engine's own inertia is a large part of it.
Trace forward(const Vehicle& vehicle, const Cycle& cycle, const DriverModel& driver = {});

}  // namespace lapheat::drive
