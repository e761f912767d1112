// Every number of a car with where it comes from, and the same car with other numbers.
//
// A number is `yours` (a file says it), `derived` (a file leaves it out, and a relation of
// `relations()` gave it from what the file does say) or `assumed` (the key's default). Its doubt is
// in the number itself: "28 mm +- 1 mm" of a file, a relation's spread.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "lapheat/scenario/range.hpp"
#include "lapheat/units/error.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::model {
struct Car;
}

namespace lapheat::scenario {

struct Scenario;

/// A relation by which a short description of a car becomes a whole one.
struct Derivation {
    std::string_view name;   ///< of the number it gives, "pump free flow"
    std::string_view words;  ///< what it says
    std::string_view from;   ///< what goes in
    double spread = 0;  ///< no more off in 95 of 100 cars: share of the value, K of temperatures
    std::string_view source = "common practice, no source";
};
/// All of them, each once.
[[nodiscard]] std::span<const Derivation> relations();

/// A relation takes in another one's number, to this power: where that is off, so is this.
struct Follows {
    std::string_view relation, leader;
    double power = 1;
    bool key = false;  ///< the leader is what the file says of that key of the same table
};
[[nodiscard]] std::span<const Follows> followers();

enum class Origin { yours, derived, assumed };
[[nodiscard]] const char* name(Origin origin) noexcept;

struct Number {
    std::string path;  ///< as a file spells it, "cores.radiator.fins"; items count from 1
    units::Quantity quantity = units::Quantity::ratio;
    double value = 0;  ///< SI
    double half = 0;   ///< SI, no more off in 95 of 100 cases; 0: nothing is said of its doubt
    Range range;       ///< that its key allows
    Range usual;       ///< that cars have, where the key says
    Origin origin = Origin::yours;
    const Derivation* relation = nullptr;  ///< of a derived one
    std::string why;                       ///< of an assumed one: the key's reason
    FilePlace place;                       ///< of the value; of the table that lacks it
    bool whole = false;                    ///< a count: a variant takes the nearest one
    std::string part;                      ///< of a run that it is of, by its name: "upper hose"
};

/// Its path with the part that it is of by its name, as a file that lies over this one may call it:
/// parts."upper hose".length.
[[nodiscard]] std::string path_by_name(const Number& number);

/// The scenario's car with other values (SI) of numbers, by their paths, built from the tree that
/// was read: no text, no unit is read again. Everything that is derived from them follows; the
/// cycles are not read again, so laps stay as the car that was read drives them. Throws Errors for
/// a value that its key or the part does not allow, std::logic_error for a path that is none of the
/// scenario's numbers.
[[nodiscard]] model::Car car_with(const Scenario& scenario,
                                  std::span<const std::pair<std::string, double>> numbers);

}  // namespace lapheat::scenario
