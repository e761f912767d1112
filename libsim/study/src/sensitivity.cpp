#include "lapheat/study/sensitivity.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <utility>

#include "internal.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/parallel.hpp"

namespace lapheat::study {
namespace {

using scenario::Scenario;

/// One number, shared by all placements that have it.
struct Key {
    std::string of, name;

    bool operator==(const Key& other) const { return of == other.of && name == other.name; }
};

/// The first number of that name, if the car has it.
std::optional<Assumed> find(model::Car& car, const Key& key) {
    for (const model::CarAssumption& a : model::assumptions(car))
        if (key == Key{a.of, a.name}) return *a.number;
    return std::nullopt;
}

void set(model::Car& car, const Key& key, double value) {
    for (const model::CarAssumption& a : model::assumptions(car))
        if (key == Key{a.of, a.name}) a.number->value = value;
}

/// In the order of the placements and of their assumptions; those that are open only.
std::vector<Key> all_keys(const std::vector<Scenario>& placements) {
    std::set<std::pair<std::string, std::string>> seen;
    std::vector<Key> keys;
    for (const Scenario& s : placements) {
        model::Car car = s.car;
        for (const model::CarAssumption& a : model::assumptions(car))
            if (a.number->high > a.number->low && seen.insert({a.of, a.name}).second)
                keys.push_back({a.of, a.name});
    }
    return keys;
}

struct Trial {
    Key key;
    std::size_t placement = 0;
    double step = 0;   ///< of the value
    double swing = 0;  ///< K
};

std::size_t worst_cycle(const Comparison& c, std::size_t p) {
    std::size_t worst = 0;
    for (std::size_t i = 1; i < c.cycles.size(); ++i)
        if (c.at(p, i).worst_margin < c.at(p, worst).worst_margin) worst = i;
    return worst;
}

ParallelOptions quiet(const CompareOptions& options) {
    ParallelOptions out{options.threads, options.run, nullptr, options.cancel};
    out.run.keep_series = false;
    return out;
}

/// One run for each assumption and placement, toward the farther end of its range.
std::vector<Trial> screen(const std::vector<Scenario>& placements, const Comparison& c,
                          const CompareOptions& options) {
    std::vector<Trial> trials;
    for (const Key& key : all_keys(placements))
        for (std::size_t p = 0; p < placements.size(); ++p) {
            model::Car car = placements[p].car;
            const auto number = find(car, key);
            if (!number || number->high <= number->low) continue;
            const double up = number->high - number->value, down = number->low - number->value;
            trials.push_back({key, p, std::abs(up) >= std::abs(down) ? up : down});
        }
    std::vector<std::shared_ptr<const drive::Cycle>> cycles;
    for (std::size_t p = 0; p < placements.size(); ++p)
        cycles.push_back(
            std::make_shared<const drive::Cycle>(placements[p].cycles[worst_cycle(c, p)]));
    ParallelOptions parallel = quiet(options);
    if (options.progress) parallel.progress = [&](double done) { options.progress(0.5 * done); };
    run_each(
        trials.size(),
        [&](std::size_t i) {
            model::Car car = placements[trials[i].placement].car;
            set(car, trials[i].key, find(car, trials[i].key)->value + trials[i].step);
            return Job{model::compile(car), cycles[trials[i].placement]};
        },
        [&](std::size_t i, model::Result&& result) {
            Trial& t = trials[i];
            model::Car car = placements[t.placement].car;
            const auto number = find(car, t.key);
            const auto* v = results::tightest(result, c.left_out);
            const double base = c.at(t.placement, worst_cycle(c, t.placement)).worst_margin;
            if (v && t.step != 0)
                t.swing = std::abs((v->margin - base) / t.step) * (number->high - number->low);
        },
        parallel);
    return trials;
}

/// The comparison with one assumption at one value.
Comparison with(const std::vector<Scenario>& placements, const Comparison& base, const Key& key,
                double value, const CompareOptions& options,
                const std::function<void(double)>& progress) {
    std::vector<Job> jobs;
    std::vector<std::size_t> where;
    for (std::size_t p = 0; p < placements.size(); ++p) {
        model::Car car = placements[p].car;
        if (!find(car, key)) continue;
        set(car, key, value);
        const auto model = model::compile(car);
        for (std::size_t k = 0; k < base.cycles.size(); ++k) {
            jobs.push_back({model, std::make_shared<const drive::Cycle>(placements[p].cycles[k])});
            where.push_back(p * base.cycles.size() + k);
        }
    }
    ParallelOptions parallel = quiet(options);
    parallel.progress = progress;
    std::vector<model::Result> results = run_all(jobs, parallel);
    Comparison out;
    out.placements = base.placements;
    out.cycles = base.cycles;
    out.cars = base.cars;
    out.served = base.served;
    out.left_out = base.left_out;
    out.doubt = base.doubt;
    out.faults = base.faults;
    for (const CycleOutcome& o : base.outcomes) {
        CycleOutcome copy;  // without the series: only verdicts rank
        copy.placement = o.placement;
        copy.cycle = o.cycle;
        copy.result.verdicts = o.result.verdicts;
        copy.result.fan_energy = o.result.fan_energy;
        out.outcomes.push_back(std::move(copy));
    }
    for (std::size_t i = 0; i < results.size(); ++i)
        out.outcomes[where[i]].result = std::move(results[i]);
    rank(out, options.system);
    return out;
}

double margin_in(const Comparison& c, const std::string& placement) {
    for (const Ranked& r : c.ranking)
        if (r.placement == placement) return r.worst_margin;
    return not_asked;
}

}  // namespace

std::vector<Sensitivity> sensitivities(const std::vector<Scenario>& placements,
                                       Comparison& comparison, const CompareOptions& options,
                                       std::size_t count) {
    // Of each assumption, the placement that it moves most.
    std::vector<Trial> largest;
    for (const Trial& t : screen(placements, comparison, options)) {
        auto it = std::find_if(largest.begin(), largest.end(),
                               [&](const Trial& other) { return other.key == t.key; });
        if (it == largest.end())
            largest.push_back(t);
        else if (t.swing > it->swing)
            *it = t;
    }
    std::stable_sort(largest.begin(), largest.end(),
                     [](const Trial& a, const Trial& b) { return a.swing > b.swing; });
    if (largest.size() > count) largest.resize(count);
    if (!largest.empty()) {
        comparison.doubt = std::max(0.5 * largest.front().swing, margin_doubt);
        rank(comparison, options.system);
    }

    std::vector<Sensitivity> out;
    for (std::size_t i = 0; i < largest.size(); ++i) {
        const Trial& t = largest[i];
        model::Car car = placements[t.placement].car;
        const Assumed number = *find(car, t.key);
        Sensitivity s;
        s.place = t.key.of;
        s.assumption = t.key.name;
        s.value = number.value;
        s.low = number.low;
        s.high = number.high;
        s.source = number.source;
        s.placement = comparison.placements[t.placement];
        s.swing = t.swing;
        const auto progress = [&](double from) {
            return [&options, i, from, n = largest.size()](double done) {
                if (options.progress)
                    options.progress(0.5 + 0.5 * (static_cast<double>(i) + from + 0.5 * done) /
                                               static_cast<double>(n));
            };
        };
        const Comparison low =
            with(placements, comparison, t.key, number.low, options, progress(0));
        const Comparison high =
            with(placements, comparison, t.key, number.high, options, progress(0.5));
        s.margin_low = margin_in(low, s.placement);
        s.margin_high = margin_in(high, s.placement);
        s.winner_low = low.ranking.front().placement;
        s.winner_high = high.ranking.front().placement;
        const std::string& winner = comparison.ranking.front().placement;
        s.changes_winner = s.winner_low != winner || s.winner_high != winner;
        const auto ties = [&](const Comparison& end) {
            return end.ranking.front().worst_margin - margin_in(end, winner) <= end.doubt;
        };
        s.only_ties = s.changes_winner && ties(low) && ties(high);
        out.push_back(std::move(s));
    }
    return out;
}

}  // namespace lapheat::study
