// A quantity with its doubt, as a person writes it beside the value.
#pragma once

#include <string_view>

#include "lapheat/units/units.hpp"

namespace lapheat::units {

/// SI. The value is off by no more than `half` either way in 95 of 100 cases.
struct Doubted {
    double value = 0;
    double half = 0;  ///< 0: nothing was said
};

/// True if the text holds "+-", "+/-" or the sign for it.
[[nodiscard]] bool says_doubt(std::string_view text) noexcept;

/// "1050 ft3/min +- 15 %", "28 mm +- 1 mm", "28 +- 1 mm", "85 degC +- 3 degF"; without a doubt as
/// parse(). A doubt in % is a share of the value, but of a value that is itself in % it is points:
/// "30 % +- 5 %" is 25 to 35 %. Throws Error as parse() does, and for a doubt below 0 or in % of a
/// temperature.
[[nodiscard]] Doubted parse_doubted(std::string_view text, Quantity quantity);

}  // namespace lapheat::units
