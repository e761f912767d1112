// Pumps: curves by the points of a data sheet, affinity, cavitation, delivery under relief.
#pragma once

#include <span>

#include "lapheat/hydraulics/elements.hpp"

namespace lapheat::hydraulics {

struct PumpPoint {
    double flow = 0;           ///< m³/s
    double pressure_rise = 0;  ///< Pa
};

struct PumpFit {
    CentrifugalPump pump;
    double worst_error = 0;  ///< largest miss of a point, as a fraction of the shut-off pressure
};

/// Least squares of the three-term curve through points measured at one speed (rad/s) and
/// density (kg/m³), none of its coefficients negative. Two points or more, with pressure falling
/// as flow grows. Throws lapheat::Error.
PumpFit fit_pump(std::span<const PumpPoint> points, double density, double speed);

/// The parabola of a shut-off pressure (Pa) and the flow at no pressure (m³/s).
CentrifugalPump parabolic_pump(double shutoff_pressure, double free_flow, double density,
                               double speed);

/// Pa at a flow (m³/s) and speed (rad/s). Obeys flow ∝ speed, head ∝ speed², exactly.
double pressure_rise(const CentrifugalPump& pump, double density, double speed, double flow);

/// W on the shaft: hydraulic power over efficiency, not below the hydraulic power of 5 % of it
/// (the disc's own friction when deadheaded is left to the caller's efficiency curve).
double shaft_power(double pressure_rise, double flow, double efficiency);

/// An electric pump: a centrifugal one with a speed of its own.
struct ElectricPump {
    CentrifugalPump pump;
    double rated_speed = 0;      ///< rad/s at full command
    double efficiency = 0.35;    ///< hydraulic over electrical power (common practice, no source)
    double least_command = 0.2;  ///< below it the motor stands
};
/// rad/s at a command from 0 to 1 (held there).
double electric_speed(const ElectricPump& pump, double command);
/// W taken from the wires at a flow (m³/s).
double electric_power(const ElectricPump& pump, double density, double command, double flow);

/// Net positive suction head required, m: (ω/ω₀)²·(still + rise·(q/q₀·ω₀/ω)²), the affinity form
/// of a curve with two points (Hydraulic Institute, ANSI/HI 9.6.1).
struct SuctionNeed {
    double still = 0;    ///< m at no flow and reference speed
    double at_flow = 0;  ///< m at reference flow and speed, ≥ still
    double flow = 0;     ///< m³/s, reference
    double speed = 0;    ///< rad/s, reference
};
double npsh_required(const SuctionNeed& need, double speed, double flow);

/// m available at the pump's inlet: absolute pressure there (atmosphere at altitude + cap's +
/// static − losses) over vapour pressure, plus the velocity's head. Crane TP-410 (2009), p. 6-7.
double npsh_available(double inlet_pressure, double vapour_pressure, double density,
                      double inlet_velocity);

/// Available less required, m; negative: the pump cavitates and its curve no longer holds.
struct SuctionState {
    double available = 0, required = 0;  ///< m
    [[nodiscard]] double margin() const noexcept { return available - required; }
};
SuctionState npsh_margin(const SuctionNeed& need, double speed, double flow, double inlet_pressure,
                         double vapour_pressure, double density, double inlet_diameter);

/// How a displacement pump's flow divides at a back pressure; all m³/s but the last.
struct Delivery {
    double swept = 0;            ///< displacement times speed
    double controlled = 0;       ///< turned back by flow control
    double leaked = 0;           ///< through clearances: leakage·Δp/viscosity
    double spilled = 0;          ///< over the relief valve
    double delivered = 0;        ///< into the line
    double pressure = 0;         ///< Pa over the pump
    double throttled_power = 0;  ///< W that turns to heat in the pump: all but delivered·pressure
    bool relief_open = false;
};

/// At a delivered flow (m³/s), as the network finds it; speed rad/s, viscosity Pa s. Flow
/// turned back by flow control is throttled from the pump's pressure (Pa) in full.
Delivery delivery_at(const DisplacementPump& pump, double speed, double viscosity,
                     double delivered);

/// The pressure (Pa) at which the pump delivers `delivered`; falls as it grows.
double delivery_pressure(const DisplacementPump& pump, double speed, double viscosity,
                         double delivered);

/// Leakage coefficient (m³) of a pump with a known volumetric efficiency (0–1) at a speed
/// (rad/s), pressure (Pa) and viscosity (Pa s): laminar slip, Wilson (1950).
double leakage_from_efficiency(double displacement, double speed, double pressure, double viscosity,
                               double volumetric_efficiency);

}  // namespace lapheat::hydraulics
