#include "lapheat/solve/level.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/solve/relation_scatter.hpp"

namespace lapheat::solve {

Assumed level_of(Relation relation) {
    const Scatter s = scatter(relation);
    if (s.in_kelvin || s.basis == Basis::none)
        return {1, 0.8, 1.25, "nothing outside measures it; common practice, no source"};
    Assumed level{1, std::min(1.0, std::exp(-s.bias - 2 * s.spread)),
                  std::max(1.0, std::exp(-s.bias + 2 * s.spread)),
                  "bias and scatter of the relation in validation/"};
    if (s.basis == Basis::judged) level.source = "a judged spread of the relation, see validation/";
    if (s.basis == Basis::own_data) level.source = "scatter of the relation about its own data";
    return level;
}

Assumed level_of(Relation one, Relation other) {
    Assumed a = level_of(one);
    const Assumed b = level_of(other);
    a.low = std::min(a.low, b.low);
    a.high = std::max(a.high, b.high);
    return a;
}

}  // namespace lapheat::solve
