#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/units/error.hpp>

#include "fit_detail.hpp"
#include "rated_detail.hpp"

namespace lapheat::exchangers {

Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                const std::vector<Rating>& points) {
    if (points.empty()) throw Error(who(shape) + ": a table without points", "one point or more");
    // Start from the point in the middle of the flows, where the assumed split errs least.
    std::vector<std::size_t> order(points.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    const auto size = [&](std::size_t i) {
        return points[i].duty.first_flow * points[i].duty.second_flow;
    };
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return size(a) < size(b); });
    auto [core, split_assumption] = rate_one(shape, first, second, points[order[order.size() / 2]]);
    if (points.size() == 1) return core;
    std::vector<FitPoint> measured;
    measured.reserve(points.size());
    for (const Rating& p : points) {
        (void)rating_state(shape, first, second, p.duty, p.heat);  // names an impossible point
        measured.push_back({p.duty, p.heat, 0, p.first_drop, p.second_drop});
    }
    FitResult fit = fit_core(core, first, second, measured);
    core = std::move(fit.core);
    // Measured points that tell the sides apart put an end to the assumed split.
    if (fit.separable && split_assumption >= 0)
        core.assumptions.erase(core.assumptions.begin() + split_assumption);
    const std::vector<std::string> found = describe_fit(fit);
    core.assumptions.insert(core.assumptions.end(), found.begin(), found.end());
    core.uncertainty = std::max(shape.uncertainty, fit.worst);
    core.levels.conductance = conductance_level(core.uncertainty);
    core.envelope = envelope_of(measured);
    return core;
}

Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                const RatingMap& map) {
    if (map.heat.size() != map.first_flow.size() * map.second_flow.size()) {
        throw Error(fmt::format("{}: the map has {} heats", who(shape), map.heat.size()),
                    fmt::format("{}, one for each pair of flows",
                                map.first_flow.size() * map.second_flow.size()));
    }
    std::vector<Rating> points;
    points.reserve(map.heat.size());
    std::size_t i = 0;
    for (const double f : map.first_flow) {
        for (const double s : map.second_flow) {
            Rating r;
            r.duty = {f, map.first_inlet, s, map.second_inlet};
            r.heat = map.heat[i++];
            points.push_back(r);
        }
    }
    return rated_core(shape, first, second, points);
}

Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                const std::vector<ConductancePoint>& points) {
    check(shape.arrangement);
    std::vector<Rating> ratings;
    ratings.reserve(points.size());
    for (const ConductancePoint& p : points) {
        const Duty& d = p.duty;
        const double span = d.first_inlet - d.second_inlet;
        if (!(p.ua > 0 && d.first_flow > 0 && d.second_flow > 0 && span != 0)) {
            throw Error(
                who(shape) + ": a conductance point without UA, flow or temperature difference",
                "UA and both flows above 0, inlet temperatures apart");
        }
        // Heat that this UA moves, with cp at the mean temperatures.
        double mean1 = d.first_inlet, mean2 = d.second_inlet, heat = 0;
        for (int i = 0; i < 60; ++i) {
            const double c1 = d.first_flow * first.at(mean1).specific_heat;
            const double c2 = d.second_flow * second.at(mean2).specific_heat;
            const double least = std::min(c1, c2);
            heat = span * least *
                   effectiveness(shape.arrangement, p.ua / least, least / std::max(c1, c2),
                                 c1 <= c2 ? Smaller::first : Smaller::second);
            mean1 = d.first_inlet - 0.5 * heat / c1;
            mean2 = d.second_inlet + 0.5 * heat / c2;
        }
        Rating r;
        r.duty = d;
        r.heat = heat;
        ratings.push_back(r);
    }
    return rated_core(shape, first, second, ratings);
}

}  // namespace lapheat::exchangers
