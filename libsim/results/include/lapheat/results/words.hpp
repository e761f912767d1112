// Numbers and names as people say and read them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lapheat/units/units.hpp"

namespace lapheat::results {

// For sentences: few digits, the unit behind.

/// `x` in the display unit of the system: "12 K", "4.1 K", "22 °F".
[[nodiscard]] std::string say(double x, units::Quantity quantity, units::System system);
/// The number alone, so rounded; "not known", "unlimited".
[[nodiscard]] std::string say_number(double x);
/// To `digits` digits, without zeros after the point, the unit behind: "0.15", "1.26 inch",
/// "12.4 °F"; of an area below 0.02 m2 in cm² or in².
[[nodiscard]] std::string figure(double x, units::Quantity quantity, units::System system,
                                 int digits = 3);
/// Of lines: "6.6 m", "22 ft"; "450 mm", "18 inch" below a metre or a yard.
[[nodiscard]] std::string say_length(double metres, units::System system);
/// "40 s", "12 min", "1 h 5 min".
[[nodiscard]] std::string say_time(double seconds);
/// "12 %".
[[nodiscard]] std::string percent(double share);

// For tables: as many decimals as asked for.

/// "112.4"; "nan", "inf". What rounds to nothing has no sign.
[[nodiscard]] std::string fixed(double x, int decimals);
/// "+0.123", "-0.040".
[[nodiscard]] std::string signed_fixed(double x, int decimals);
/// In display units, without the unit.
[[nodiscard]] std::string in_units(double si, units::Quantity quantity, units::System system,
                                   int decimals);
/// "3:07", "1:02:30": minutes and seconds, with hours when there are any.
[[nodiscard]] std::string clock(double seconds);

// Units and names.

/// The display unit as written for people: "°C", "L/min", "kg/m³"; "" for a ratio.
[[nodiscard]] std::string unit_word(units::Quantity quantity, units::System system);
/// "peak, °C": a heading.
[[nodiscard]] std::string with_unit(const std::string& words, units::Quantity quantity,
                                    units::System system);
/// First letter in upper case (ASCII).
[[nodiscard]] std::string sentence_case(std::string text);
/// Names of loops and cores as words: underscores become spaces.
[[nodiscard]] std::string plain_name(std::string name);
/// A key as a file that lies over another writes it, items of a list by their number: "fans.1.on"
/// of "fans[1].on"; what is quoted stays.
[[nodiscard]] std::string key_over(std::string_view key);
/// "a, b and c".
[[nodiscard]] std::string listed(const std::vector<std::string>& parts);

/// m in the unit that lines are cut in: metres, or feet of 0.3048 m.
[[nodiscard]] double far_unit(units::System system) noexcept;

}  // namespace lapheat::results
