// What would make a placement hold that does not: one number of the car at a time, moved as far as
// it takes (size.hpp), the car exactly as written. Tried are the numbers that the fluid's own heat
// passes: its core, the fans that blow through it, its lines, of coolant the thermostat and the
// fans' switches; and a cooler day.
#pragma once

#include <string>

#include "lapheat/units/units.hpp"

namespace lapheat::study {

struct Lever {
    std::string placement;
    std::string loop, cycle;  ///< the fluid that is most over its limit, and where
    double missing = 0;       ///< K that it is over by
    bool cored = true;        ///< a core cools that fluid
    std::string what;         ///< as `lapheat size --of` takes it; "ambient": air of that cycle
    units::Quantity quantity = units::Quantity::ratio;
    double stands = 0;   ///< SI, as the car has it
    double to = 0;       ///< SI: what makes all that it serves hold; else the best that was tried
    bool holds = false;  ///< with `to` it does
    double gained = 0;   ///< K of margin at `to`
};

/// "Steering is 17 K over its limit in timed laps".
[[nodiscard]] std::string missing_words(const Lever& lever, units::System system);
/// "Cooler width 340 mm in place of 280 mm", or how far it gets.
[[nodiscard]] std::string lever_words(const Lever& lever, units::System system);

}  // namespace lapheat::study
