// Air-side pressure drop of a core as three numbers, so that the network can be solved without
// asking for a surface correlation at every step.
//
//     rho dp = a mu m + c sqrt(mu m) m + b m |m|         (written for m >= 0; odd in m)
//
// The three terms are the laws a core can follow: creeping or developed laminar flow (friction
// factor ~ 1/Re), boundary layers restarted at every louvre or fin (f ~ 1/sqrt(Re), Chang & Wang
// 1997 find exponents near -0.5), and entrance, exit and form losses (f constant). With
// non-negative coefficients the drop always grows with flow, which makes the network's solution
// unique.
#pragma once

#include <functional>
#include <span>

namespace lapheat::airflow {

/// A fitted air resistance. Mass flow counts over the core's whole face; a stream that crosses a
/// fraction f of the face with flow m loses what the whole core loses at m / f.
struct Resistance {
    double laminar = 0;    ///< a >= 0, 1/m^3
    double boundary = 0;   ///< c >= 0, m^-3.5
    double quadratic = 0;  ///< b >= 0, 1/m^4
    double min_flow = 0;   ///< kg/s, least flow of the fit
    double max_flow = 0;   ///< kg/s, greatest flow of the fit; flows beyond it are flagged
    double fit_error = 0;  ///< greatest relative error of the drop over the fitted range, -
};

/// Pressure drop, Pa, at `mass_flow` (kg/s, any sign), `density` (kg/m^3) and `viscosity` (Pa s).
double pressure_drop(const Resistance& resistance, double mass_flow, double density,
                     double viscosity);

/// Fits any drop(mass_flow) -> Pa, given at one density and viscosity, by least squares of the
/// relative error at `samples` flows spaced evenly in their logarithm, coefficients held at >= 0.
/// Throws Error for an empty range or a drop that is not positive.
Resistance fit_resistance(const std::function<double(double)>& drop, double min_flow,
                          double max_flow, double density, double viscosity, int samples = 25);

/// The same through measured points (kg/s, Pa), at least two.
Resistance fit_resistance(std::span<const double> mass_flow, std::span<const double> drop,
                          double density, double viscosity);

/// A form loss: `coefficient` times the dynamic pressure in `area` (m^2). Grilles, ducts, bends,
/// louvres, sudden changes of area (Idelchik, Handbook of Hydraulic Resistance).
struct Loss {
    double coefficient = 0;  ///< -, >= 0
    double area = 0;         ///< m^2, > 0
};

/// b of the three-term form for a loss, 1/m^4: K / (2 A^2).
double quadratic(const Loss& loss);

/// Loss of a gap or leak seen as a sharp-edged slot with discharge coefficient 0.6:
/// K = 1 / Cd^2 (Idelchik; common practice).
Loss gap(double area);

/// Loss coefficient, on the open area's velocity, of a grille or mesh with sharp edges that leaves
/// `open_fraction` (0 < s <= 1) of a duct free: (0.707 sqrt(1 - s) + 1 - s)^2, the thick-less
/// perforated plate of Idelchik, diagram 8-1 (from memory).
double grille_coefficient(double open_fraction);

}  // namespace lapheat::airflow
