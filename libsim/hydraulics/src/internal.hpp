// Steps of build(), in their order.
#pragma once

#include <memory>

#include "lapheat/hydraulics/network.hpp"

namespace lapheat::hydraulics {

/// Lists every node and numbers the branches' ends.
void settle_nodes(Network& n);
/// Sizes of every part.
void check_parts(const Network& n);
/// Elevations of the nodes and rises of the parts; a rise left over around a loop is an error.
void settle_rises(Network& n);
/// Loose ends, separate parts, loops without a pump, deadheads. Adds warnings.
void check_graph(Network& n);
/// Without a fixed node the first becomes the reference.
void settle_reference(Network& n);

}  // namespace lapheat::hydraulics
