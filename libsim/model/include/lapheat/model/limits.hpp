// What a fluid must stay below.
#pragma once

#include <algorithm>
#include <string>

#include "lapheat/fluids/liquid.hpp"

namespace lapheat::model {

/// Limits of a fluid, absolute kelvin unless said otherwise, each with the note a report shows.
struct Limits {
    double caution = 0;          ///< K
    double limit = 0;            ///< K; 0 with `boiling_reserve` set: the boiling point rules
    double boiling_reserve = 0;  ///< K below boiling, see limit_temperature()
    std::string part;            ///< part whose temperature counts; empty: the hottest
    std::string note;
};

/// K at which a loop, warmed as a whole, boils: saturation at its cap's pressure (Pa above ambient;
/// 0: open) over the ambient (Pa). The expansion volume has no say: while gas is shut in with the
/// liquid its partial pressure keeps the loop above its own vapour pressure; only when the cap has
/// let the gas out is vapour alone left to hold it open (Dalton's law, hydraulics/expansion.hpp).
[[nodiscard]] inline double boiling_as_a_whole(const fluids::Liquid& fluid, double cap_pressure,
                                               double ambient_pressure) {
    return fluid.boiling_temperature(ambient_pressure + std::max(cap_pressure, 0.0));
}

/// K. The law of the margin: a limit is a property of the loop and of its surroundings, never of
/// the run: where boiling rules it is the reserve below boiling_as_a_whole(), and no more than
/// `limit` if that is given. So whatever makes a loop hotter never makes its margin larger. What a
/// run's own, lower pressure does is told by the events of boiling and cavitation; a loop that
/// boils does not hold, whatever its margin.
[[nodiscard]] inline double limit_temperature(const Limits& limits, const fluids::Liquid& fluid,
                                              double cap_pressure, double ambient_pressure) {
    if (limits.boiling_reserve <= 0 && limits.limit > 0) return limits.limit;
    const double boiling =
        boiling_as_a_whole(fluid, cap_pressure, ambient_pressure) - limits.boiling_reserve;
    return limits.limit > 0 ? std::min(boiling, limits.limit) : boiling;
}

}  // namespace lapheat::model
