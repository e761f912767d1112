// Notes and sources carry numbers in the units that they were written in: "by buoyancy, its air 30
// K above ambient", "85 bar", "1.5 and 1.75 inch". To a reader they are shown in his.
#pragma once

#include <string>
#include <string_view>

#include "lapheat/units/units.hpp"

namespace lapheat::units {

/// The note with every "number unit" (and "number to number unit") in the units of `system`, to as
/// many significant digits as stood there, but at least two; what is in the system already, or has
/// no unit of either, stays. "K" and "kelvin" are differences, "degC" is a temperature. For notes
/// of ours alone: what a person wrote is shown as written.
[[nodiscard]] std::string restated(std::string_view note, System system);

}  // namespace lapheat::units
