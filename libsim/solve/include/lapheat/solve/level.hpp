// A factor on what a relation gives: 1 as it stands, with the range that the checks against the
// world leave.
#pragma once

#include <lapheat/units/assumed.hpp>

#include "lapheat/solve/relation.hpp"

namespace lapheat::solve {

/// 1 with the ends exp(-bias - 2 spread) and exp(-bias + 2 spread) of relation_scatter.hpp (the
/// spread being one standard deviation), widened until it holds 1: a bias is part of the doubt, not
/// mended. For a relation in kelvin or without figures 0.8 to 1.25 (common practice, no source).
[[nodiscard]] Assumed level_of(Relation relation);

/// Both ranges together: of a flow that may be either laminar or turbulent.
[[nodiscard]] Assumed level_of(Relation one, Relation other);

}  // namespace lapheat::solve
