#include "drives.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace lapheat::study {

std::vector<CyclePtr> shared_cycles(const scenario::Scenario& scenario) {
    std::vector<CyclePtr> out;
    for (const drive::Cycle& cycle : scenario.cycles)
        out.push_back(std::make_shared<const drive::Cycle>(cycle));
    return out;
}

FluidOutcome outcome_of(const model::Verdict& v) {
    FluidOutcome o;
    o.margin = static_cast<float>(v.margin);
    o.peak = static_cast<float>(v.peak);
    o.holds = v.holds();
    o.flow = static_cast<float>(v.flow);
    if (!v.core.empty() && !v.in_coolant) {
        o.air_rise = static_cast<float>(v.air_inlet - v.ambient);
        o.air_flow = static_cast<float>(v.air_flow);
    }
    return o;
}

model::Options without_series(model::Options run) {
    run.keep_series = false;
    run.progress = nullptr;
    run.cancel = nullptr;
    run.start = nullptr;
    return run;
}

model::Options drawn(model::Options run) {
    run.tolerance *= 10;
    run.sample_interval *= 2;
    run.fluids_only = true;
    return run;
}

model::Options coarse(model::Options run) {
    run.averaged = 7;
    run.tolerance *= 15;
    run.air_slack = 3;
    run.sample_interval *= 4;
    return run;
}

model::Result drive(const model::Model& model, const drive::Cycle& cycle, model::Options run,
                    const TaskWatch& watch, const model::Start* near) {
    run.cancel = &watch.stop;
    if (near != nullptr) run.start = model::settled_start(model, cycle, run, near);
    return model::simulate(model, cycle, run);
}

StartPtr start_near(const model::Model& model, const drive::Cycle& cycle, model::Options run,
                    const TaskWatch& watch) {
    run.cancel = &watch.stop;
    try {
        return model::settled_start(model, cycle, run);
    } catch (const Error&) {
        if (watch.stop) throw;
        return nullptr;
    }
}

LeastMargin least_margin(const model::Result& result, const std::vector<std::string>& fluids) {
    LeastMargin out;
    for (const model::Verdict& v : result.verdicts) {
        if (!fluids.empty() && std::find(fluids.begin(), fluids.end(), v.loop) == fluids.end())
            continue;
        // What boils under its cap does not hold, whatever its limit says.
        const double margin = v.holds() ? v.margin : std::min(v.margin, -1e-3);
        out.holds = out.holds && v.holds();
        if (margin < out.margin) {
            out.margin = margin;
            out.loop = v.loop;
        }
    }
    return out;
}

void check_fluids(const model::Car& car, const std::vector<std::string>& fluids) {
    std::vector<std::string> known;
    for (const model::Loop& loop : car.loops) known.push_back(loop.name);
    for (const std::string& fluid : fluids)
        if (std::find(known.begin(), known.end(), fluid) == known.end())
            throw Error(fmt::format("this car has no fluid '{}'", fluid),
                        fmt::format("one of {}", fmt::join(known, ", ")), {}, "--fluid");
}

std::string told(const Error& e) {
    // Problems of files say by themselves what each of them expected.
    const bool whole = dynamic_cast<const scenario::Errors*>(&e) != nullptr;
    return whole || e.expected().empty() ? e.what()
                                         : fmt::format("{}; expected {}", e.what(), e.expected());
}

}  // namespace lapheat::study
