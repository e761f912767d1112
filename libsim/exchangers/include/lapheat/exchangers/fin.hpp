// Fin efficiency: how much of a fin works as if it were as hot as its root.
//
// Lengths in m, conductivity in W/(m K), film coefficient in W/(m² K); results are fractions.
// Fins of constant thickness, tip insulated (for fins between two tubes that is the middle, by
// symmetry, exactly).
#pragma once

namespace lapheat::exchangers {

/// 1/m: sqrt(2 h / (k t)), for a fin much longer along the flow than thick. Shah & Sekulić (4.62).
[[nodiscard]] double fin_parameter(double film_coefficient, double conductivity,
                                   double thickness) noexcept;

/// tanh(m l)/(m l), straight fin of length `length` from root to insulated tip.
[[nodiscard]] double straight_fin_efficiency(double parameter, double length) noexcept;

/// Annular fin from `root_radius` to `tip_radius`, insulated tip: Schmidt 1949 (Refrig. Eng. 57,
/// 351), within 1.6 % of the Bessel solution for efficiencies above 0.5 and radius ratios to 3.
[[nodiscard]] double annular_fin_efficiency(double parameter, double root_radius,
                                            double tip_radius) noexcept;

/// Radius of the annular fin that is as good as one tube's share of a plate fin: rectangle for
/// tubes in line, hexagon for staggered ones. Schmidt 1949, as in Shah & Sekulić, section 4.3.
/// `transverse` is the tube pitch across the air, `longitudinal` along it.
[[nodiscard]] double plate_fin_equivalent_radius(double root_radius, double transverse,
                                                 double longitudinal, bool staggered) noexcept;

/// 1 - (A_fin/A)(1 - eta_fin): efficiency of a surface of which `fin_share` is fin.
[[nodiscard]] double surface_efficiency(double fin_share, double fin_efficiency) noexcept;

}  // namespace lapheat::exchangers
