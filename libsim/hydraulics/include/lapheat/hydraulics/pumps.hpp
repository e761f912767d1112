// Pumps: curves by the points of a data sheet, affinity, cavitation, leakage.
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

/// Leakage coefficient (m³) of a pump with a known volumetric efficiency (0–1) at a speed
/// (rad/s), pressure (Pa) and viscosity (Pa s): laminar slip, Wilson (1950).
double leakage_from_efficiency(double displacement, double speed, double pressure, double viscosity,
                               double volumetric_efficiency);

}  // namespace lapheat::hydraulics
