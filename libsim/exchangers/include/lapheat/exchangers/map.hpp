// A core's performance map over flows and temperatures, as flat arrays for tables and plots.
#pragma once

#include <cstddef>
#include <vector>

#include "lapheat/exchangers/rate.hpp"

namespace lapheat::exchangers {

struct MapAxes {
    std::vector<double> first_flow;    ///< kg/s
    std::vector<double> second_flow;   ///< kg/s
    std::vector<double> first_inlet;   ///< K
    std::vector<double> second_inlet;  ///< K
};

/// What to improve first: the greatest resistance, or, once the effectiveness exceeds 0.9, the
/// flow of the stream with the smaller capacity rate, which then carries nearly all it can.
enum class Bottleneck : unsigned char { first_side, wall, second_side, first_flow, second_flow };

/// All arrays have one entry per point, last axis fastest: [first_flow][second_flow][first_inlet]
/// [second_inlet].
struct PerformanceMap {
    MapAxes axes;
    std::vector<double> heat;  ///< W
    std::vector<double> effectiveness;
    std::vector<double> ntu;
    std::vector<double> ua;             ///< W/K
    std::vector<double> first_drop;     ///< Pa
    std::vector<double> second_drop;    ///< Pa
    std::vector<double> first_outlet;   ///< K
    std::vector<double> second_outlet;  ///< K
    std::vector<double> first_share;    ///< of the total resistance
    std::vector<double> wall_share;
    std::vector<double> second_share;
    std::vector<Bottleneck> limit;
    std::vector<unsigned> flags;  ///< CoreFlag

    [[nodiscard]] std::size_t index(std::size_t first_flow, std::size_t second_flow,
                                    std::size_t first_inlet,
                                    std::size_t second_inlet) const noexcept {
        return ((first_flow * axes.second_flow.size() + second_flow) * axes.first_inlet.size() +
                first_inlet) *
                   axes.second_inlet.size() +
               second_inlet;
    }
};

/// Name for people, e.g. "air side" or "liquid side" (of an air-cooled core).
[[nodiscard]] const char* describe(Bottleneck limit, bool second_is_air = true);

/// Rates the core at every point. Throws Error for an empty axis, a flow that is not positive or
/// more than 10 million points.
[[nodiscard]] PerformanceMap performance_map(const Core& core, const Medium& first,
                                             const Medium& second, MapAxes axes);

}  // namespace lapheat::exchangers
