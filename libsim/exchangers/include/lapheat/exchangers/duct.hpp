// Flow inside a tube, a flat tube or the gap between plates: Nusselt number and friction factor
// from creeping cold oil to turbulent hot water, without a jump.
//
// Friction factors are Darcy's (four times Fanning's). Lengths in m. Re, Nu and Pr are built on
// the hydraulic diameter, four times the flow area over the wetted perimeter. Formulas are for
// smooth walls, constant wall temperature (the lower of the two usual limits) and the mean over
// the length. Every function is total: a Reynolds number of zero gives the laminar limit.
#pragma once

namespace lapheat::exchangers {

enum class DuctShape {
    round,      ///< circular tube
    rectangle,  ///< rectangle or flat tube, by its aspect ratio; 0: parallel plates
};

/// The inside of one straight duct.
struct Duct {
    DuctShape shape = DuctShape::round;
    double hydraulic_diameter = 0.01;  ///< m
    double length = 1;                 ///< m, from one header to the next
    double aspect = 0;                 ///< short side over long side, 0 to 1; rectangles only
};

/// A number from a correlation and whether its arguments lay in the published range.
struct Correlated {
    double value = 0;
    bool in_range = true;
};

// --- developed laminar flow: Shah & London, Laminar Flow Forced Convection in Ducts (1978) ------

/// Darcy friction factor times Re: 64 in a tube, 96 between plates, the polynomial of Shah &
/// London (their eq. 341) in between, within 0.05 %.
[[nodiscard]] double laminar_friction_constant(const Duct& duct) noexcept;

/// Nusselt number at constant wall temperature: 3.657 in a tube, 7.541 between plates,
/// polynomial in between, within 0.1 %.
[[nodiscard]] double laminar_nusselt_constant_temperature(const Duct& duct) noexcept;

// --- entrance -------------------------------------------------------------------------------

/// Mean Nusselt number of laminar flow that starts developing at the inlet, both temperature and
/// velocity: VDI Heat Atlas G1 (Gnielinski 1989) for the tube; for rectangles the same sum of cubes
/// with Shah & London's developed value and Lévêque's term scaled by the wall shear (Martin 2002).
/// Range: Re below 2300, Pr 0.7 to 5000 (and far below in Re Pr d/l).
[[nodiscard]] double laminar_nusselt(const Duct& duct, double reynolds, double prandtl) noexcept;

/// Apparent Darcy friction factor times Re of developing laminar flow, inlet momentum included:
/// Shah 1978 (J. Fluids Eng. 100, 177), within 2.5 %.
[[nodiscard]] double apparent_friction_constant(const Duct& duct, double reynolds) noexcept;

// --- turbulent ------------------------------------------------------------------------------

/// Darcy friction factor of smooth tubes: Konakov 1946, as in VDI Heat Atlas G1; 1e4 < Re < 1e6.
[[nodiscard]] double friction_konakov(double reynolds) noexcept;

/// Nusselt number of turbulent flow: Gnielinski as in VDI Heat Atlas G1, Konakov's friction;
/// 1e4 < Re < 1e6, 0.1 < Pr < 1000, d/l < 1.
[[nodiscard]] double nusselt_turbulent(double reynolds, double prandtl,
                                       double diameter_over_length = 0) noexcept;

// --- all regimes ----------------------------------------------------------------------------

/// Mean Nusselt number at any Reynolds number: laminar_nusselt() to 2300, nusselt_turbulent() from
/// 1e4, in between linear in Re between the two (Gnielinski 1995; VDI Heat Atlas G1). In range for
/// Re < 1e6 and 0.6 < Pr < 1e5 (cold oil is far beyond the 1000 of the turbulent formula, but then
/// laminar).
[[nodiscard]] Correlated nusselt(const Duct& duct, double reynolds, double prandtl) noexcept;

/// Apparent Darcy friction factor at any Reynolds number: Churchill 1977 (Chem. Eng. 84 (24) 91),
/// its laminar term replaced by the duct's own developing one; `roughness` relative to the
/// hydraulic diameter. One smooth expression; pressure drop rises with flow throughout.
[[nodiscard]] double friction_factor(const Duct& duct, double reynolds,
                                     double roughness = 0) noexcept;

// --- headers
// ----------------------------------------------------------------------------------------

/// Velocity-head loss on entering ducts that leave `sigma` of the header's area free, flat
/// velocity profile (the profile's own development is in the apparent friction factor); and on
/// leaving them, where the profile counts. Kays 1950, as in Kays & London, Compact Heat Exchangers,
/// figs. 5-2 to 5-5. The exit coefficient is positive for a loss, negative for a recovery.
[[nodiscard]] double contraction_loss(double sigma) noexcept;
[[nodiscard]] double expansion_loss(const Duct& duct, double sigma, double reynolds) noexcept;

}  // namespace lapheat::exchangers
