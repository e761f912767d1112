// Every number of a car that has a range: what its places, its engine, its cores, fans, pumps and
// the rest assume, or what a relation leaves in doubt. Whoever asks "would the answer change?"
// varies these.
#pragma once

#include <string>
#include <vector>

#include "lapheat/model/description.hpp"

namespace lapheat::model {

/// Two entries with the same `of` and `name` are one number that stands in two places (two air
/// paths in one kind of place, two circuits of one core, a thermostat's valve and its bypass disc).
struct CarAssumption {
    std::string of;         ///< "under the floor on a crossmember", "engine", "radiator"
    const char* name = "";  ///< "ram recovery"
    Assumed* number = nullptr;
    NamedAssumption::Meaning meaning = NamedAssumption::Meaning::share;
};

/// Points into `car`, in the order of its air paths, engine, links, cores, fans with their
/// switches, loops with their pumps and thermostats, driveline, exhaust, bay and what else is on
/// board. Numbers that nothing of this car uses are not among them (the compressor's without a
/// condenser, the converter's of a clutch).
///
/// Not here, because a cycle holds them and not the car: grip and effort of timed laps (their
/// speeds are solved when the cycle is read), the weather, the sun.
[[nodiscard]] std::vector<CarAssumption> assumptions(Car& car);

/// The car with the values of all its levels applied to the numbers they stand for, the levels
/// neutral then; compile() does this. Numbers that laws read as they are (of places, the engine,
/// links, the exhaust) stay.
[[nodiscard]] Car at_levels(Car car);

}  // namespace lapheat::model
