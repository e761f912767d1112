// The kinds of parts of a run, and what makes each.
#pragma once

#include <numbers>
#include <span>

#include "read_parts.hpp"

namespace lapheat::scenario {

using PartKind = KindOf<model::PartBody (*)(Reader&, const PartContext&)>;

/// What fluid passes: hoses, fittings, valves, cores.
[[nodiscard]] std::span<const PartKind> passage_kinds();
/// What holds fluid, moves it or decides its way: volumes, pumps, thermostats.
[[nodiscard]] std::span<const PartKind> machine_kinds();

/// Where a line or a tank lives: the air that touches it.
extern const Table where_table;
model::Zone read_where(Reader& r);

/// Area of a circle by its diameter.
constexpr double circle(double diameter) { return std::numbers::pi / 4 * diameter * diameter; }

}  // namespace lapheat::scenario
