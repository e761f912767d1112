// Fans: curve, fan laws, what a fan does when it is off, blown over, stalled or blown backwards.
//
// A curve is static pressure rise over volume flow at full speed and reference density. The fan
// laws (AMCA 201, ISO 5801) carry it elsewhere with speed fraction n and density:
//     Q ~ n,   dp ~ n^2 rho,   P ~ n^3 rho
// Beyond its ends the curve goes on as a resistance: over free flow the blades are in the way
// (free-wheeling loss), below zero flow they push against the stream. In this form the limit of
// a speed going to zero is the free-wheeling fan, so switching a fan is continuous in n.
#pragma once

#include <lapheat/units/assumed.hpp>
#include <span>
#include <vector>

namespace lapheat::airflow {

/// How the rising part of a curve (stall) is read. The network's answer uses `upper` where it is
/// the curve itself; the others serve to find the points inside a stall dip.
enum class CurveReading { upper, lower, constant };

/// A fan's curve at full speed, made by fan_curve(). Monotone cubic (Fritsch & Carlson 1980)
/// between the points, so no bump appears that the points do not have.
struct FanCurve {
    std::vector<double> flow;        ///< m^3/s, rising, first is 0 (shut-off)
    std::vector<double> pressure;    ///< Pa, static rise
    std::vector<double> power;       ///< W electrical at each flow; empty: the fan's rated power
    std::vector<double> slope;       ///< Pa/(m^3/s)
    std::vector<double> peak_right;  ///< Pa, highest pressure at any larger flow, per segment
    std::vector<double> dip_left;    ///< Pa, lowest pressure at any smaller flow, per segment
    double stall_flow = 0;           ///< m^3/s, flow of the last peak; 0 if the curve only falls
    double dip_flow = 0;             ///< m^3/s, flow of the lowest point left of that peak
    double dip_pressure = 0;         ///< Pa there
    double reference_density = 1.2;  ///< kg/m^3
};

/// Curve through points. Flow starts at 0 and rises; pressure may rise and fall but ends as its
/// lowest value, >= 0; at least two points. `power` empty or one value per point. Throws Error.
FanCurve fan_curve(std::span<const double> flow, std::span<const double> pressure,
                   std::span<const double> power = {}, double reference_density = 1.2);

/// Curve from free flow (m^3/s) and shut-off pressure (Pa) only:
/// dp / dp0 = 1 - (1 - shape) x - shape x^2, x = Q / Q0. `shape` 0 is a straight line, 1 a
/// parabola; 0.5 is an assumption (axial automotive fans lie between), range 0 to 1.
FanCurve fan_curve(double free_flow, double shut_off_pressure, double shape = 0.5,
                   double reference_density = 1.2);

struct Fan {
    FanCurve curve;
    double disc_area = 0.08;      ///< m^2, swept ring
    double locked_loss = 6.0;     ///< K of a rotor that stands, on disc velocity; assumption, 3..12
    double freewheel_loss = 2.0;  ///< K of a rotor that turns freely; assumption, 1..5
    double windmill_velocity = 4.0;    ///< m/s at which a rotor without current starts to turn;
                                       ///< assumption, 2..8
    double rated_power = 200.0;        ///< W electrical at full speed and reference density
    Assumed flow_level = exact_level;  ///< on the curve's flows, see at_levels()
};

/// Doubt of the flows of a curve by its two ends, a straight line. Against six measured axial fans
/// (24 points) a curve half way to the parabola passed 7 % too much air on the mean, 21 % at worst,
/// too much at all points but one; the line passes 5 to 9 % less than that on system curves through
/// 0.5 to 0.8 of the free flow: what is said of the line follows from these, it was not measured by
/// itself. Of a measured curve: 5 % (a test stand's grade and the car's, common practice).
inline constexpr Assumed line_flow_level{1, 0.89, 1.09,
                                         "a straight line against six measured fans, by estimate"};
inline constexpr Assumed curve_flow_level{1, 0.95, 1.05,
                                          "a measured curve; common practice, no source"};

/// The fan with its level's value applied: the curve's flows times it, at the same pressures.
[[nodiscard]] Fan at_levels(Fan fan);

/// Pressure rise and its derivative by volume flow.
struct FanPressure {
    double rise = 0;   ///< Pa
    double slope = 0;  ///< Pa/(m^3/s), <= 0 except on the rising part of a curve read as it is
};

/// Rise at volume flow (m^3/s, any sign), speed fraction n >= 0 and density (kg/m^3): the curve
/// as it is.
FanPressure fan_pressure(const Fan& fan, double flow, double speed, double density);

/// The same with the curve's rising part bridged: `upper` (highest pressure met at any larger
/// flow), `lower` (lowest at any smaller flow), `constant` (rise is `level` * n^2 * rho/rho_ref
/// whatever the flow inside the curve). All never rise with flow.
FanPressure fan_pressure(const Fan& fan, double flow, double speed, double density,
                         CurveReading reading, double level = 0);

/// A fan at work in its path.
struct FanPoint {
    double speed = 0;             ///< fraction of full speed
    double flow = 0;              ///< m^3/s through the rotor
    double mass_flow = 0;         ///< kg/s
    double rise = 0;              ///< Pa static
    double air_power = 0;         ///< W, rise * flow
    double electrical_power = 0;  ///< W
    double current = 0;           ///< A, power over supply voltage (an ideal controller); for a
                                  ///< given drive see drive_state() in fan_drive.hpp
    bool stalled = false;         ///< runs left of the curve's last peak
    bool reversed = false;        ///< air goes backwards through it
    bool overblown = false;       ///< runs, but ram pushes more than it gives: a resistance
    bool windmilling = false;     ///< without current, turned by the stream
};

/// Power at volume flow (m^3/s) and speed fraction over the rated power, both at reference density:
/// the curve's own power where it has one, else 1. Goes on level beyond the curve's ends.
double fan_load(const Fan& fan, double flow, double speed);

/// Fills a point from flow, speed and density; electrical power by the fan laws.
FanPoint fan_point(const Fan& fan, double flow, double speed, double density,
                   double supply_voltage);

}  // namespace lapheat::airflow
