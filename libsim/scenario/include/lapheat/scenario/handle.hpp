// Numbers of a car that a builder means by one name and varies as one: "core width", "fan flow",
// "line bore", "thermostat", "switch temperature", or the path of any number.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/scenario/scenario.hpp"

namespace lapheat::scenario {

struct Handle {
    std::string name;   ///< as it was asked for
    std::string words;  ///< "width of the core cooler"
    Quantity quantity = Quantity::ratio;
    double value = 0;    ///< as the car has it, SI; of several that differ, the first
    Range range;         ///< SI, that all its keys allow
    bool whole = false;  ///< a count
    bool alike = true;   ///< false: its numbers differ as the car stands

    /// How it is sold, for the next size up.
    enum class Sold { any, hose, thermostat };
    Sold sold = Sold::any;

    /// A number that goes with it: plus + times the handle's value.
    struct Follows {
        std::string path;
        double plus = 0, times = 1;
    };
    std::vector<Follows> numbers;

    /// What its numbers become, for car_with().
    [[nodiscard]] std::vector<std::pair<std::string, double>> at(double x) const;
};

/// A builder's words, or the path of a number of the scenario ("fans.left.free_flow"). Words may
/// begin with what they are of: "radiator width", "cooler fan flow", "transmission line bore",
/// "upper hose length"; without, they are of the cooler, where it has such a part. Throws Error for
/// what is neither, what the car has not, and what is no number, with what is near.
[[nodiscard]] Handle handle(const Scenario& scenario, std::string_view asked);

/// The number of that path, as `numbers` of the car has it; nullptr for none.
[[nodiscard]] const Number* number_at(const Scenario& scenario, std::string_view path);

/// The handle of a number within a table, by its key there: of "cores.cooler" and "width" that of
/// cores.cooler.width. Where nothing follows it is the number alone. Throws Error as handle().
[[nodiscard]] Handle handle_within(const Scenario& scenario, const std::string& table,
                                   const std::string& key);

/// Tables that a part to buy stands for, "cores.cooler" for "cooler", each fan of "radiator fan",
/// each line of "line", each switch of "switch", "loops.coolant" for "cap" ... Throws Error for a
/// word that is none of these, and for a car that has no such part.
[[nodiscard]] std::vector<std::string> tables_of_part(const Scenario& scenario,
                                                      std::string_view part);

}  // namespace lapheat::scenario
