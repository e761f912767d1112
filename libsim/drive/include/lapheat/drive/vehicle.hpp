// The car as the drive room sees it: what resists, what drives, what sits between them.
// Everything in SI: kg, m, s, N, W, Pa, rad. Knows nothing of temperatures.
#pragma once

#include <lapheat/drive/converter.hpp>
#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::drive {

/// Brake torque of the engine at full load, and what it drags when the throttle is shut.
struct Engine {
    std::vector<double> speed;        ///< rad/s, ascending; linear between, held below the first
    std::vector<double> full_torque;  ///< N m at the crank, accessories not yet taken off
    double idle_speed = 70;           ///< rad/s
    double redline = 600;             ///< rad/s; torque falls to zero within 3 % above it
    double displacement = 0.0055;     ///< m^3, four-stroke
    double inertia = 0.25;            ///< kg m^2, crank, flywheel or flexplate, converter pump
    bool boosted = false;             ///< true: holds its full torque in thin and hot air
    /// Mean effective pressure of motoring with closed throttle, p0 + p1 speed (Pa, Pa s/rad):
    /// Heywood (1988), eq. 13.6, total motored friction 0.97 + 0.15 n + 0.05 n^2 bar with n in 1000
    /// rev/min (from memory), made straight over 600 to 5500 rev/min, and 0.7 bar of
    /// closed-throttle pumping (common practice, no source).
    double motoring_pressure = 1.45e5;
    double motoring_pressure_slope = 430;

    bool operator==(const Engine&) const = default;
};

/// A full-load curve through two known points: torque peak and power peak (W). From 0.75 of the
/// peak torque at idle by a parabola to the torque peak, by a monotone cubic to the power peak,
/// then falling twice as steeply as constant power would (common practice, no source). Throws Error
/// unless idle < peak torque speed < peak power speed <= redline.
Engine engine_from_peaks(double peak_torque, double peak_torque_speed, double peak_power,
                         double peak_power_speed, double redline, double idle_speed,
                         double displacement);

/// Gears between coupling and driven wheels.
struct Gearbox {
    std::vector<double> ratio;       ///< forward gears, first is lowest
    std::vector<double> efficiency;  ///< of each forward gear's mesh, 0.9 to 1
    double reverse_ratio = 2.0;
    double reverse_efficiency = 0.94;
    double final_drive = 3.5;
    double final_drive_efficiency = 0.97;  ///< hypoid 0.95 to 0.97
    double spin_torque = 2.0;              ///< N m at the input: open clutches, bearings, churning
    double spin_torque_slope = 0.01;       ///< N m s/rad more with input speed
    double pump_torque = 5.0;              ///< N m at the engine: oil pump against line pressure
    double pump_torque_slope = 0.01;       ///< N m s/rad more with engine speed

    bool operator==(const Gearbox&) const = default;
};

/// A friction clutch in place of a converter: slips at launch, else solid.
struct Clutch {
    double launch_speed =
        180.118;  ///< rad/s (1720 rev/min) of the engine while slipping at full load; idle at none

    bool operator==(const Clutch&) const = default;
};

/// When an automatic changes gear. Turbine speeds in rad/s, load from 0 to 1 of peak power.
/// From gear g it shifts up when the turbine passes up(load), and back to g when the turbine in
/// gear g would turn below hysteresis * up(load): the rule cannot hunt at constant load.
struct ShiftRule {
    double light_speed = 188.496;  ///< up-shift at no load, 1800 rev/min
    double full_speed = 544.543;   ///< up-shift at full load, 5200 rev/min
    double hysteresis = 0.72;      ///< down-shift over up-shift speed
    double dwell = 1.5;            ///< s between shifts; a kick-down does not wait
    double shift_time = 0.3;       ///< s without tractive force at full load (laps)
    bool lockup = false;           ///< has a lock-up clutch
    int lockup_gear = 3;           ///< lowest gear with lock-up, first is 1
    double lockup_speed =
        149.749;  ///< rad/s (1430 rev/min) of the turbine above which it locks; opens at 0.85 of it
    double lockup_load = 0.45;  ///< opens above this load; locks again below 0.8 of it

    bool operator==(const ShiftRule&) const = default;
};

enum class Coupling { converter, clutch };
enum class DrivenAxle { rear, front, both };

struct Vehicle {
    double mass = 1500;             ///< kg, with people and fuel
    double rotating_factor = 1.04;  ///< wheels and shafts as added mass; engine apart
    double frontal_area = 2.0;      ///< m^2
    double drag_coefficient = 0.40;
    double rolling = 0.012;        ///< rolling resistance over load at rest
    double rolling_slope = 0;      ///< s/m
    double rolling_square = 4e-6;  ///< s^2/m^2
    Assumed rolling_level{1, 0.8, 1.3, "road tyres, 0.010 to 0.016; common practice, no source"};
    double trailer_drag_area = 2.0;  ///< m^2 drag area added while a trailer is on
    double trailer_rolling = 0.012;
    double tyre_radius = 0.32;           ///< m, rolling
    double tyre_pressure = 2.2e5;        ///< Pa above ambient
    double wheelbase = 2.75;             ///< m
    double centre_height = 0.52;         ///< m, centre of mass
    double front_share = 0.54;           ///< of the weight on the front axle at rest
    double grip_long = 0.95;             ///< friction coefficient, braking and driving
    double grip_lat = 0.90;              ///< friction coefficient, cornering
    double cornering_stiffness = 1.4e5;  ///< N/rad, all tyres; cornering drag (m a_y)^2 / this
    double understeer = 0.004;           ///< rad of road wheel per m/s^2 of lateral acceleration
    double steering_ratio = 16;          ///< steering wheel over road wheel angle
    double steering_lock = 9.424778;     ///< rad (540 degrees) of the steering wheel to lock
    double steering_trail = 0.035;       ///< m, caster and pneumatic trail together
    DrivenAxle driven = DrivenAxle::rear;
    double accessory_power = 600;  ///< W at the crank: alternator, water pump, at all speeds
    double accessory_torque = 3;   ///< N m at the crank besides: belt fan, steering pump idling
    double air_conditioning_power = 3500;  ///< W at the crank at air-conditioning demand 1
    Engine engine;
    Gearbox gearbox;
    Coupling coupling = Coupling::converter;
    Converter converter;
    Clutch clutch;
    ShiftRule shift;

    bool operator==(const Vehicle&) const = default;
};

/// What is in doubt of a vehicle, to be read or varied in place; and the vehicle with the levels'
/// values applied. A cycle of timed laps is driven once, when it is read, and keeps its speeds.
std::vector<NamedAssumption> assumptions(Vehicle& vehicle);
Vehicle at_levels(Vehicle vehicle);

/// Throws Error, with the name of the quantity as key, for a car that cannot be driven.
void validate(const Vehicle& vehicle);

/// Full-load torque left in air of a temperature (K) at an altitude (m), over that at sea level and
/// 298.15 K: (p/p0)^1.2 (298.15/T)^0.6, the power correction of ISO 1585 for spark ignition (from
/// memory) turned round; 1 for a boosted engine.
double air_factor(const Engine& engine, double temperature, double altitude);

/// Full-load torque at a speed, N m, at sea level and 298.15 K; zero from 1.03 of the redline.
double full_torque(const Engine& engine, double speed);

/// Torque needed to turn the engine with closed throttle, N m, positive.
double motoring_torque(const Engine& engine, double speed);

/// Highest brake power over the curve, W.
double peak_power(const Engine& engine);

/// The speed at which full throttle (or a part of it, 0 to 1) is held by the converter with the car
/// standing, rad/s. Torque is the part of the way from motoring to full torque.
double stall_speed(const Vehicle& vehicle, double throttle = 1.0);

/// Largest force at the driven wheels (N) at a road speed (m/s), over the gears below redline, by
/// the engine alone (no grip limit, no inertia of the engine), and the gear that gives it.
struct Traction {
    double force = 0;
    int gear = 1;
    double engine_speed = 0;  ///< rad/s
};
Traction best_traction(const Vehicle& vehicle, double speed);

}  // namespace lapheat::drive
