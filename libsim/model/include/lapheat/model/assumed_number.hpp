// What a car's files leave out: numbers, each with its default and what cars have, and the rest in
// words.
#pragma once

#include <string>

#include "lapheat/units/units.hpp"

namespace lapheat::model {

/// SI. low and high are what is usual or, of a number in doubt, its range; both equal to the value
/// where no range is known.
struct AssumedNumber {
    std::string key;  ///< as a file would spell it, "vehicle.tyre_pressure"
    units::Quantity quantity = units::Quantity::ratio;
    double value = 0, low = 0, high = 0;
    std::string why;  ///< of the default, or the source of the range
};

/// Anything that was taken for granted, as it is told.
struct AssumedText {
    std::string key;   ///< as a file would spell it; empty: `text` says it all
    std::string text;  ///< what was taken, and why
    [[nodiscard]] std::string words() const { return key.empty() ? text : key + " = " + text; }
};

}  // namespace lapheat::model
