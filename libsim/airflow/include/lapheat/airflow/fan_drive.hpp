// What turns a fan and what feeds it: drives, soft start, thermal switch, wiring, alternator.
//
// An electric fan motor with permanent magnets, in shares of its rated voltage at full speed:
//     u = e n + ((1 - e) + w) n^2 rho / rho_ref
// e is the back-EMF's share (speed), the rest is the current's drop in the winding; current goes
// as torque, n^2 rho; w is the drop in wires, relay and connectors at rated current over rated
// voltage. So a thin wire costs speed, and thin air gives some of it back.
#pragma once

#include <string>
#include <vector>

namespace lapheat::airflow {

enum class DriveKind { on_off, two_stage, two_stage_resistor, pulse_width, viscous_clutch, belt };

struct FanDrive {
    DriveKind kind = DriveKind::on_off;
    double low_stage = 0.6;               ///< speed fraction of a two-stage fan's first stage
    double rated_voltage = 13.0;          ///< V at the motor for full speed
    double rated_current = 15.0;          ///< A at full speed and reference density
    double back_emf = 0.75;               ///< e, assumption, 0.6..0.9
    double wiring_resistance = 0.0;       ///< ohm, there and back, with relay and connectors
    double controller_efficiency = 0.95;  ///< pulse width only; assumption, 0.9..0.98
    double spin_up = 0.5;                 ///< s, time constant; soft start 2..5 s, assumption
    double run_down = 2.0;                ///< s, assumption
    // Engine-driven fans: full speed is the curve's speed.
    double pulley_ratio = 1.2;     ///< fan hub speed / engine speed
    double full_speed = 230.0;     ///< rad/s
    double engaged = 0.85;         ///< fan / hub speed, clutch closed; common practice, 0.8..0.9
    double idling = 0.25;          ///< fan / hub speed, clutch open; common practice, 0.15..0.35
    double clutch_begins = 338.0;  ///< K of the air behind the radiator, assumption, 328..348
    double clutch_closed = 353.0;  ///< K, assumption, 343..363
};

/// Speed and supply current of an electric fan, or speed of an engine-driven one.
struct DriveState {
    double speed = 0;    ///< fraction of full speed, steady
    double current = 0;  ///< A from the supply, 0 for engine-driven fans
    double voltage = 0;  ///< V at the motor
};

/// Steady state for a command 0..1 (on_off: on from 0.5; two_stage: low from 0.25, full from 0.75;
/// pulse_width: duty, off below 0.1; engine-driven: ignored), supply voltage (V), air density
/// over the curve's reference density, engine speed (rad/s), and air temperature behind the
/// radiator (K).
DriveState drive_state(const FanDrive& drive, double command, double supply_voltage,
                       double density_ratio, double engine_speed, double air_temperature);

/// Speed fraction after `time` seconds on the way from `speed` to `target`: first-order lag, exact.
double spin(const FanDrive& drive, double speed, double target, double time);

/// Where a fan's switch or sensor sits decides which temperature it feels.
enum class SensorPlace { radiator_inlet_tank, radiator_outlet_tank, cylinder_head, line };

struct ThermalSwitch {
    SensorPlace place = SensorPlace::radiator_outlet_tank;
    double on = 368.0;   ///< K
    double off = 363.0;  ///< K, below `on`: the hysteresis
    double lag = 5.0;    ///< s, of the sensor in its well; assumption, 2..15
};

/// On above `on`, off below `off`, in between as it was. Throws Error if off >= on.
bool switched(const ThermalSwitch& thermal_switch, bool was_on, double temperature);

/// Guidance for feeding a load of `current` amperes. Not an installation standard.
struct WireGuide {
    double fuse = 0;        ///< A, next blade or bolt-in size (ISO 8820) above current / 0.75
    double area = 0;        ///< mm^2 of copper, next size (ISO 6722) that carries the fuse's
                            ///< rating and keeps the drop
    double resistance = 0;  ///< ohm there and back, copper at 60 C
    double drop = 0;        ///< V at the current
    std::string caution;    ///< to be shown with the numbers
};

/// `length` is one way, m; the return is taken as long. `allowed_drop` V, default 0.5 (common
/// practice, no source). Throws Error outside 0 < current <= 75 A, 0 < length <= 15 m.
WireGuide wire_guide(double current, double length, double allowed_drop = 0.5);

/// Output against speed in the form ISO 8854 rates: current at 1500 and at 6000 rpm of the rotor.
struct Alternator {
    double rated_current = 90;  ///< A at 6000 rpm of the rotor
    double idle_share = 0.34;   ///< current at 1500 rpm / rated, hot; 0.25..0.45 by a service
                                ///< text: 0.6 at 1800 rpm of the rotor, hot 20 to 30 % less
    double efficiency = 0.55;   ///< electrical over shaft power, belt included; 0.45..0.65, common
                                ///< practice
    double cut_in = 105.0;      ///< rad/s of the rotor (1000 rpm), common practice
    double pulley_ratio = 2.7;  ///< rotor / engine speed, common practice, 2.2..3

    bool operator==(const Alternator&) const = default;
};

/// I = I_end (1 - exp(-(w - w0)/w1)), warm, through both rated points; solved once, then cheap.
struct AlternatorCurve {
    double end = 0;           ///< A that it nears at high speed
    double cut_in = 0;        ///< rad/s of the rotor, w0
    double constant = 1;      ///< rad/s, w1
    double pulley_ratio = 1;  ///< rotor / engine speed
    /// A at engine speed rad/s.
    [[nodiscard]] double at(double engine_speed) const;
};

/// Throws Error for numbers out of range.
AlternatorCurve alternator_curve(const Alternator& alternator);

}  // namespace lapheat::airflow
