// One field of a logger's file: a number with or without a unit, nothing, or a stamp.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace lapheat::scenario {

struct LogNumber {
    double value = 0;
    std::string_view unit;  ///< glued to it: "82C" → "C"; empty if none
};

/// Without blanks and quotes at its ends.
[[nodiscard]] std::string_view unquoted(std::string_view text);
/// Is it a way to write that there is no value: "", "-", "NaN", "n/a", "null"?
[[nodiscard]] bool is_nothing(std::string_view field);
/// "74,50%" with a decimal comma; "1,050.5" (groups of three) without; "on" and "off" are 1 and 0.
[[nodiscard]] std::optional<LogNumber> log_number(std::string_view field, bool decimal_comma);

/// Seconds of a stamp: a plain number as it is, "19:17:19.418" from midnight, a date with a time
/// since 1970, "03:02.5" minutes and seconds.
struct LogStamp {
    enum class Kind { number, clock, date };
    Kind kind = Kind::number;
    double seconds = 0;
};
[[nodiscard]] std::optional<LogStamp> log_stamp(std::string_view field, bool decimal_comma);

/// A logger's way to write a unit as UDUNITS has it: "°C", "℃", "C" → "degC"; "kmh" → "km/h".
/// Others come back as they are, without blanks.
[[nodiscard]] std::string log_unit(std::string_view text);

}  // namespace lapheat::scenario
