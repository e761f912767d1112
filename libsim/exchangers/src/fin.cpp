#include "lapheat/exchangers/fin.hpp"

#include <algorithm>
#include <cmath>

namespace lapheat::exchangers {
double annular_fin_length(double root_radius, double tip_radius) noexcept {
    return (tip_radius - root_radius) * (1 + 0.35 * std::log(tip_radius / root_radius));
}

double plate_fin_equivalent_radius(double root_radius, double transverse, double longitudinal,
                                   bool staggered) noexcept {
    // Half-distances from the tube's centre to the sides of its cell, the shorter first.
    const double across = transverse / 2;
    const double along =
        staggered ? std::hypot(transverse / 2, longitudinal) / 2 : longitudinal / 2;
    const double m = std::min(across, along);
    const double beta = std::max(across, along) / m;
    const double radius =
        staggered ? 1.27 * m * std::sqrt(beta - 0.3) : 1.28 * m * std::sqrt(beta - 0.2);
    return std::max(radius, root_radius);
}

}  // namespace lapheat::exchangers
