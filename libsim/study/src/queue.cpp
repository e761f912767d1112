// What the other ways of waiting in a queue would cost: a choice of the driver's, hence no doubt
// that is drawn.
#include <algorithm>

#include "internal.hpp"
#include "lapheat/study/parallel.hpp"

namespace lapheat::study {
namespace {

struct Way {
    drive::Selector selector;
    bool engine;
    const char* words;
};
constexpr Way ways[] = {{drive::Selector::park, true, "in park"},
                        {drive::Selector::drive, true, "in drive on the brake"},
                        {drive::Selector::park, false, "with the engine off"}};

/// True for the knots of a wait at which the car stands.
std::vector<char> standing(const drive::Cycle& c) {
    std::vector<char> out(c.size(), 0);
    for (const drive::Phase& p : c.phases) {
        if (!p.waiting) continue;
        for (std::size_t i = 0; i < c.size(); ++i)
            if (c.time[i] >= p.begin && c.time[i] < p.end && c.speed[i] == 0) out[i] = 1;
    }
    return out;
}

bool drives(const drive::Cycle& c, std::size_t i, const Way& way) {
    const bool same_engine = (c.engine_on[i] != 0) == way.engine;
    return same_engine &&
           (!way.engine || c.selector[i] == way.selector ||
            (way.selector == drive::Selector::park && c.selector[i] == drive::Selector::neutral));
}

const model::Verdict* transmission(const model::Result& r) {
    const auto v = std::find_if(r.verdicts.begin(), r.verdicts.end(), [](const model::Verdict& x) {
        return x.role == model::LoopRole::transmission;
    });
    return v == r.verdicts.end() ? nullptr : &*v;
}

}  // namespace

std::vector<QueueChoice> queue_choices(const Comparison& c, const Prepared& prepared,
                                       const ParallelOptions& options) {
    if (c.ranking.empty()) return {};
    const std::size_t winner = c.index_of(c.ranking.front().placement);
    std::vector<QueueChoice> out;
    std::vector<Job> jobs;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) {
        const drive::Cycle& cycle = *prepared.cycles[winner][k];
        const std::vector<char> stands = standing(cycle);
        const auto first = std::find(stands.begin(), stands.end(), 1);
        const auto* base = transmission(c.at(winner, k).result);
        if (first == stands.end() || !base ||
            c.cars[winner].vehicle.coupling != drive::Coupling::converter)
            continue;
        const auto at = static_cast<std::size_t>(first - stands.begin());
        const auto now = std::find_if(std::begin(ways), std::end(ways),
                                      [&](const Way& way) { return drives(cycle, at, way); });
        if (now == std::end(ways)) continue;
        out.push_back({cycle.name, c.placements[winner], now->words, base->margin, true});
        for (const Way& way : ways) {
            if (&way == &*now) continue;
            drive::Cycle other = cycle;
            for (std::size_t i = 0; i < other.size(); ++i) {
                if (!stands[i]) continue;
                other.selector[i] = way.selector;
                other.engine_on[i] = way.engine ? 1 : 0;
            }
            out.push_back({cycle.name, c.placements[winner], way.words, 0, false});
            jobs.push_back(
                {prepared.models[winner], std::make_shared<const drive::Cycle>(std::move(other))});
        }
    }
    const std::vector<model::Result> results = run_all(jobs, options);
    auto result = results.begin();
    for (QueueChoice& q : out)
        if (!q.as_driven) q.margin = transmission(*result++)->margin;
    return out;
}

}  // namespace lapheat::study
