// What a person says to a question of `lapheat new`, as a car's file writes it.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/scenario/key.hpp"

namespace lapheat::app {

struct Answer {
    std::string text;  ///< as a file has it, without quotation marks
    /// What else it tells: keys of the same table, and their values.
    std::vector<std::pair<std::string, std::string>> besides = {};
    std::string note = {};  ///< for the comment beside it: how it was understood; may be empty
    bool taken = false;     ///< a unit was found for it, which he who said it should hear
};

/// "yes" of a boolean, "two" or "V8" of a count, "stacked plates" or a year of an era of a choice,
/// "125 kW at 6000 rev/min" of a peak power, "6000" of a redline, which is in nothing but rev/min.
/// What is none of these comes back as it was said.
[[nodiscard]] Answer understood(const scenario::Key& key, std::string_view said);

/// Why a file's text is none of the key's values; empty if it is one.
[[nodiscard]] std::string wrong(const scenario::Key& key, const std::string& text);

/// The units in which the trade writes a quantity; none for most.
[[nodiscard]] std::span<const std::string_view> trade_units(units::Quantity quantity);
/// Is this what cars have (or, where nothing says, all that the key allows)?
[[nodiscard]] bool as_cars_have(const scenario::Key& key, const std::string& text);
/// "in lb or kg? Write 3300 lb" of a number without a unit that could be in several, or in none;
/// empty of anything else.
[[nodiscard]] std::string unit_wanted(const scenario::Key& key, std::string_view said);

}  // namespace lapheat::app
