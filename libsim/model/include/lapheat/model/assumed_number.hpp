// A number of a car that its files leave out: a default, with what cars have.
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

}  // namespace lapheat::model
