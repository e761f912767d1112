// Would the winner change? What a car assumes about its places and its engine are the least certain
// numbers of a comparison; here the three that matter most are taken to the ends of their ranges.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lapheat/scenario/scenario.hpp"

namespace lapheat::study {

struct CompareOptions;
struct Comparison;

/// One assumption at both ends of its range, all placements that share it together.
struct Sensitivity {
    std::string place;       ///< whose it is: "under the floor on a crossmember", "engine"
    std::string assumption;  ///< "engine-bay share at rest"
    double value = 0, low = 0, high = 0;  ///< dimensionless, or m/s of a fading speed
    std::string source;                   ///< "assumption", or where the range is from
    std::string placement;                ///< the placement whose worst margin it moves most
    double swing = 0;  ///< K, (high − low) · |d margin / d value| of that placement
    double margin_low = 0, margin_high = 0;  ///< K, that placement's worst margin at the ends
    std::string winner_low, winner_high;     ///< first in the ranking at the ends
    bool changes_winner = false;
    bool only_ties = false;  ///< it changes, but the winner still ties with the one put first
};

/// Ranks all place assumptions by `swing` (one run each in a placement's worst cycle), then runs
/// the `count` largest at both ends over all cycles and ranks the placements anew. `comparison` is
/// that of the same placements and options; half of the largest swing becomes its doubt if
/// that is more, and it is ranked anew. Throws Error as compare() does.
[[nodiscard]] std::vector<Sensitivity> sensitivities(
    const std::vector<scenario::Scenario>& placements, Comparison& comparison,
    const CompareOptions& options, std::size_t count = 3);

}  // namespace lapheat::study
