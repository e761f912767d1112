// Rectangular grids of pipes, invented, for the checks against reference libraries and the
// benchmarks: fed at one corner, drawn from at every other node.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "lapheat/hydraulics/network.hpp"

namespace lapheat::validation {

struct GridPipe {
    int from, to;
    double length, diameter, roughness;  // m
};

struct Grid {
    std::vector<GridPipe> pipes;
    std::vector<double> outflow;  // kg/s of each node, the first feeds
};

inline Grid make_grid(int width, int height, double draw = 0.02) {
    Grid g;
    g.outflow.assign(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), draw);
    g.outflow[0] = 0;
    unsigned state = 12345;
    const auto next = [&] { return (state = state * 1664525u + 1013904223u) / 4294967296.0; };
    const auto pipe = [&](int from, int to) {
        const double size = std::floor(next() * 4);
        g.pipes.push_back({from, to, 1 + 9 * next(), 0.02 + 0.01 * size, 1e-5});
    };
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            if (x + 1 < width) pipe(y * width + x, y * width + x + 1);
            if (y + 1 < height) pipe(y * width + x, (y + 1) * width + x);
        }
    for (double& q : g.outflow)
        if (q > 0) q *= 0.5 + next();
    return g;
}

/// The grid as a network. `body` makes the element of a pipe.
template <class Body>
hydraulics::NetworkDescription describe(const Grid& g, Body body) {
    hydraulics::NetworkDescription d;
    for (std::size_t i = 0; i < g.outflow.size(); ++i)
        d.nodes.push_back(
            {.name = std::to_string(i),
             .kind = i == 0 ? hydraulics::Node::Kind::fixed : hydraulics::Node::Kind::junction,
             .outlet = true});
    for (std::size_t i = 0; i < g.pipes.size(); ++i) {
        const GridPipe& p = g.pipes[i];
        d.branches.push_back({.name = "p" + std::to_string(i),
                              .from = std::to_string(p.from),
                              .to = std::to_string(p.to),
                              .elements = {{"pipe", body(p)}}});
    }
    return d;
}

inline hydraulics::NetworkDescription describe(const Grid& g) {
    return describe(g, [](const GridPipe& p) {
        return hydraulics::ElementBody(hydraulics::Pipe{p.length, p.diameter, p.roughness});
    });
}

}  // namespace lapheat::validation
