// What a reading takes down beside the values: defaults that were used, doubts that a file states.
#pragma once

#include <string>

#include "lapheat/scenario/problems.hpp"
#include "lapheat/scenario/range.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::scenario {

/// What is taken when a key is absent, written as a file would write it, and why.
struct Default {
    std::string value;
    std::string why = {};
};

/// A default that was used, for the list of assumptions in the result.
struct Assumption {
    FilePlace place;  ///< of the table that lacks the key
    std::string key;
    std::string value;
    std::string why;
};

/// A number of a file that says how far it may be off: "28 mm +- 1 mm".
struct StatedDoubt {
    FilePlace place;
    std::string path;  ///< "fans.left.free_flow"; of an item of an array "…[2]"
    units::Quantity quantity = units::Quantity::ratio;
    double value = 0;       ///< SI
    double half = 0;        ///< SI; no more than that off in 95 of 100 cases
    Range range;            ///< that the key allows
    bool of_cycle = false;  ///< a cycle's file states it, whose name leads the path
};

}  // namespace lapheat::scenario
