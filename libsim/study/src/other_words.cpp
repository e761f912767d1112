// A comparison told again in the other system of units.
#include <algorithm>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"

namespace lapheat::study {
namespace {

bool is_plotted(const model::Series& s) {
    return s.name == "watched_temperature" || s.name == "limit" || s.name == "ambient_temperature";
}

}  // namespace

Comparison in_other_words(const Comparison& c, units::System system) {
    Comparison out;
    out.placements = c.placements;
    out.cycles = c.cycles;
    out.certainty = c.certainty;
    out.line_costs = c.line_costs;
    out.queue = c.queue;
    out.cars = c.cars;
    out.served = c.served;
    out.left_out = c.left_out;
    out.placed = c.placed;
    out.levers = c.levers;
    out.not_done = c.not_done;
    out.doubt = c.doubt;
    out.faults = c.faults;
    for (const CycleOutcome& o : c.outcomes) {
        CycleOutcome& told = out.outcomes.emplace_back(o);
        std::erase_if(told.result.series, [](const auto& s) { return !is_plotted(s); });
        if (!o.binding.empty())
            told.binding =
                results::fluid_and_what_binds(results::tightest(told.result, c.left_out), system);
    }
    rank(out, system);
    out.verdict = verdict_text(out, system);
    out.cautions = cautions(out, system);
    return out;
}

}  // namespace lapheat::study
