// Numbers as people say them, for sentences and the page.
#pragma once

#include <string>

#include "lapheat/units/units.hpp"

namespace lapheat::study {

/// `x` in the display unit of the system: "12 K", "4.1 K", "22 °F"; few digits, for sentences.
[[nodiscard]] std::string say(double x, units::Quantity quantity, units::System system);

/// The number alone, so rounded.
[[nodiscard]] std::string say_number(double x);

/// Its unit as written for people: "°C", "L/min"; "" for a ratio.
[[nodiscard]] std::string unit_word(units::Quantity quantity, units::System system);

/// Of lines: "6.6 m", "22 ft"; "450 mm", "18 inch" below a metre or a yard.
[[nodiscard]] std::string say_length(double metres, units::System system);

/// "40 s", "12 min", "1 h 5 min".
[[nodiscard]] std::string say_time(double seconds);

/// "12 %".
[[nodiscard]] std::string percent(double share);

/// First letter in upper case (ASCII).
[[nodiscard]] std::string sentence_case(std::string text);

/// Names of loops and cores as words: underscores become spaces.
[[nodiscard]] std::string plain_name(std::string name);

}  // namespace lapheat::study
