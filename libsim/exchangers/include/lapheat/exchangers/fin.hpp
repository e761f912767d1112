// Fin efficiency: how much of a fin works as if it were as hot as its root.
//
// Lengths in m; results are fractions. Fins of constant thickness, tip insulated (for fins between
// two tubes that is the middle, by symmetry, exactly).
#pragma once

#include <cmath>

#include "lapheat/solve/relation.hpp"

namespace lapheat::exchangers {

/// tanh(m l)/(m l) from (m l)² = 2 h l² / (k t), for a fin much longer along the flow than thick
/// (Shah & Sekulić (4.62)): h film coefficient, k conductivity, t thickness, l from root to tip.
/// Up to 1, where good fins are, Lambert's continued fraction to its ninth term, within 1e-13: a
/// third of the cost of root and exponential.
[[nodiscard]] inline double fin_efficiency(double ml2) noexcept {
    if (ml2 <= 1) {
        const double y = ml2;
        return solve::perturbed(
            solve::Relation::fin_efficiency,
            (34459425 + y * (4729725 + y * (135135 + y * (990 + y)))) /
                (34459425 + y * (16216200 + y * (945945 + y * (13860 + y * 45)))));
    }
    const double ml = std::sqrt(ml2), e = std::exp(-2 * ml);
    return solve::perturbed(solve::Relation::fin_efficiency, (1 - e) / ((1 + e) * ml));
}

/// The straight fin's length that an annular fin from `root_radius` to `tip_radius` is as good as:
/// Schmidt 1949 (Refrig. Eng. 57, 351), within 1.6 % of the Bessel solution for efficiencies above
/// 0.5 and radius ratios to 3.
[[nodiscard]] double annular_fin_length(double root_radius, double tip_radius) noexcept;

/// Radius of the annular fin that is as good as one tube's share of a plate fin: rectangle for
/// tubes in line, hexagon for staggered ones. Schmidt 1949, as in Shah & Sekulić, section 4.3.
/// `transverse` is the tube pitch across the air, `longitudinal` along it.
[[nodiscard]] double plate_fin_equivalent_radius(double root_radius, double transverse,
                                                 double longitudinal, bool staggered) noexcept;

}  // namespace lapheat::exchangers
