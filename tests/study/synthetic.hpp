// Comparisons made up of margins alone, to see the ranking rule by itself. All invented.
#pragma once

#include <string>
#include <vector>

#include "lapheat/study/compare.hpp"

namespace synthetic {

using namespace lapheat;

inline model::Verdict verdict(const std::string& loop, double margin, double time_over = 0) {
    model::Verdict v;
    v.loop = loop;
    v.role = model::role_named(loop);
    v.limit = 400;
    v.margin = margin;
    v.peak = v.limit - margin;
    v.time_over = margin < 0 ? time_over : 0;
    v.core = loop + " core";
    v.core_heat = 3000;
    v.air_inlet = 320;
    v.air_flow = 0.2;
    v.flow = 1e-4;
    v.share_air = 0.7;
    v.share_liquid = 0.3;
    v.effectiveness = 0.4;
    v.core_inlet = v.air_inlet + 40;
    v.core_flow = 1e-4;
    v.core_capacity = 175;
    v.core_resistance = 0.008;
    return v;
}

/// Adds a placement with one outcome for each cycle from its fluids' verdicts.
inline void add(study::Comparison& c, const std::string& name,
                const std::vector<std::vector<model::Verdict>>& cycles, double fan_energy = 0,
                double hose = 0) {
    c.placements.push_back(name);
    for (std::size_t k = 0; k < cycles.size(); ++k) {
        if (c.cycles.size() <= k) c.cycles.push_back("cycle " + std::to_string(k + 1));
        study::CycleOutcome o;
        o.placement = name;
        o.cycle = c.cycles[k];
        o.result.verdicts = cycles[k];
        o.result.fan_energy = fan_energy / static_cast<double>(cycles.size());
        c.outcomes.push_back(o);
    }
    model::Car car;
    car.name = "invented car";
    car.placement = name;
    if (hose > 0) {
        model::Line line;
        line.length = hose;
        line.inner_diameter = 0.0095;
        model::Part part;
        part.name = "hose";
        part.body = line;
        model::Run run;
        run.parts.push_back(part);
        model::Loop loop;
        loop.name = "transmission";
        loop.role = model::LoopRole::transmission;
        loop.runs.push_back(run);
        car.loops.push_back(loop);
    }
    c.cars.push_back(car);
    c.left_out = {"engine_oil"};
    c.served = {"coolant", "transmission", "steering"};
}

inline std::vector<std::string> order(study::Comparison& c) {
    study::rank(c);
    std::vector<std::string> names;
    for (const auto& r : c.ranking) names.push_back(r.placement);
    return names;
}

}  // namespace synthetic
