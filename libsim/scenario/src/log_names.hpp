// Which signal a column's name tells of.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lapheat/scenario/log.hpp"

namespace lapheat::scenario {

struct NameMatch {
    Signal signal;
    int score = 0;  ///< words of the name that the signal's words meet
};
/// Best first; equal scores in the order of the registry.
[[nodiscard]] std::vector<NameMatch> matches(std::string_view name);
/// "time", "Zeit", "timestamp" …
[[nodiscard]] bool tells_time(std::string_view name);
/// A unit that log_unit() or UDUNITS knows, or an empty pair of brackets.
[[nodiscard]] bool is_unit(std::string_view text);

struct NameAndUnit {
    std::string name, unit;
};
/// "Engine RPM [rpm]", "coolant (°C)", "speed km/h", "oil_degF", "load []".
[[nodiscard]] NameAndUnit parted(std::string_view heading);

}  // namespace lapheat::scenario
