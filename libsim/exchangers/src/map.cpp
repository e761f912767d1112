#include "lapheat/exchangers/map.hpp"

#include <fmt/core.h>

#include <cmath>
#include <lapheat/units/error.hpp>
#include <string>
#include <utility>

namespace lapheat::exchangers {
namespace {

Bottleneck limit_of(const CoreOperation& o, bool first_smaller) {
    if (o.effectiveness > 0.9)
        return first_smaller ? Bottleneck::first_flow : Bottleneck::second_flow;
    if (o.resistance_second >= o.resistance_first && o.resistance_second >= o.resistance_wall) {
        return Bottleneck::second_side;
    }
    return o.resistance_first >= o.resistance_wall ? Bottleneck::first_side : Bottleneck::wall;
}

}  // namespace

const char* describe(Bottleneck limit, bool second_is_air) {
    switch (limit) {
        case Bottleneck::first_side:
            return second_is_air ? "liquid side" : "first liquid's side";
        case Bottleneck::wall:
            return "wall";
        case Bottleneck::second_side:
            return second_is_air ? "air side" : "second liquid's side";
        case Bottleneck::first_flow:
            return second_is_air ? "liquid flow" : "first liquid's flow";
        case Bottleneck::second_flow:
            return second_is_air ? "air flow" : "second liquid's flow";
    }
    return "unknown";
}

PerformanceMap performance_map(const Core& core, const Medium& first, const Medium& second,
                               MapAxes axes) {
    std::size_t points = 1;
    for (const auto* axis :
         {&axes.first_flow, &axes.second_flow, &axes.first_inlet, &axes.second_inlet}) {
        if (axis->empty())
            throw Error("an axis of the performance map is empty", "one value or more");
        points *= axis->size();
        if (points > 10'000'000)
            throw Error("the performance map is too large", "at most 10 million points");
    }
    for (const auto* axis : {&axes.first_flow, &axes.second_flow}) {
        for (const double flow : *axis) {
            if (!(flow > 0) || !std::isfinite(flow)) {
                throw Error("flow of " + fmt::format("{:.6g}", flow) + " kg/s in a performance map",
                            "above 0");
            }
        }
    }
    PerformanceMap m;
    m.axes = std::move(axes);
    for (auto* a :
         {&m.heat, &m.effectiveness, &m.ntu, &m.ua, &m.first_drop, &m.second_drop, &m.first_outlet,
          &m.second_outlet, &m.first_share, &m.wall_share, &m.second_share}) {
        a->reserve(points);
    }
    for (const double f1 : m.axes.first_flow) {
        for (const double f2 : m.axes.second_flow) {
            for (const double t1 : m.axes.first_inlet) {
                for (const double t2 : m.axes.second_inlet) {
                    const RatedOperation r = rate(core, first, second, {f1, t1, f2, t2});
                    const CoreOperation& o = r.operation;
                    m.heat.push_back(o.heat);
                    m.effectiveness.push_back(o.effectiveness);
                    m.ntu.push_back(o.ntu);
                    m.ua.push_back(o.ua);
                    m.first_drop.push_back(o.first_pressure_drop);
                    m.second_drop.push_back(o.second_pressure_drop);
                    m.first_outlet.push_back(o.first_outlet);
                    m.second_outlet.push_back(o.second_outlet);
                    m.first_share.push_back(o.resistance_first * o.ua);
                    m.wall_share.push_back(o.resistance_wall * o.ua);
                    m.second_share.push_back(o.resistance_second * o.ua);
                    m.limit.push_back(limit_of(o, f1 * r.first.properties.specific_heat <=
                                                      f2 * r.second.properties.specific_heat));
                    m.flags.push_back(o.flags);
                }
            }
        }
    }
    return m;
}

}  // namespace lapheat::exchangers
