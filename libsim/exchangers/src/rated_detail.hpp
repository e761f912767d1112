// What the makers of rated cores share.
#pragma once

#include <string>

#include "lapheat/exchangers/rated.hpp"

namespace lapheat::exchangers {

/// "core "name"" for messages.
std::string who(const RatedShape& shape);

/// A rating point worked out: properties at the mean temperatures, UA by the arrangement.
struct RatingState {
    StreamInput first, second;
    double mean1 = 0, mean2 = 0;  ///< K
    double least = 0, ratio = 0;  ///< W/K, -
    Smaller smaller = Smaller::first;
    double effectiveness = 0;
    double ua = 0;  ///< W/K
};

/// Throws Error when the heat cannot be.
RatingState rating_state(const RatedShape& shape, const Medium& first, const Medium& second,
                         const Duty& duty, double heat);

/// A core from one rating, and which of its assumptions is that on the split of its resistance; -1:
/// none, for the shape states it.
struct RatedCore {
    Core core;
    int split_assumption = -1;
};
RatedCore rate_one(const RatedShape& shape, const Medium& first, const Medium& second,
                   const Rating& rating);

}  // namespace lapheat::exchangers
