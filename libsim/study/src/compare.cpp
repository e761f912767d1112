#include "lapheat/study/compare.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "drives.hpp"
#include "internal.hpp"
#include "lapheat/model/drive_cache.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/margin.hpp"
#include "lapheat/study/parallel.hpp"
#include "lapheat/units/error.hpp"
#include "without.hpp"

namespace lapheat::study {

namespace {

/// Fills `served` and `left_out`: all are served where nothing is built differently.
void judge_by(const std::vector<model::Car>& cars, Prepared& out) {
    out.served = loops_served(cars);
    std::vector<std::string> all;
    for (const model::Car& car : cars)
        for (const model::Loop& loop : car.loops)
            if (std::find(all.begin(), all.end(), loop.name) == all.end()) all.push_back(loop.name);
    if (out.served.empty()) out.served = all;
    for (const std::string& loop : all)
        if (std::find(out.served.begin(), out.served.end(), loop) == out.served.end())
            out.left_out.push_back(loop);
    if (!out.left_out.empty()) out.placed = placed_cores(cars, out.served);
}

}  // namespace

Prepared prepare(const std::vector<scenario::Scenario>& placements) {
    if (placements.empty()) throw Error("nothing to compare", "at least one placement");
    Prepared out;
    const auto& first = placements.front().cycles;
    if (first.empty()) throw Error("no cycle to drive", "at least one cycle");
    std::set<std::string> names;
    for (const drive::Cycle& cycle : first) {
        std::string name = cycle.name;
        for (int n = 2; !names.insert(name).second; ++n)
            name = fmt::format("{} ({})", cycle.name, n);
        out.cycle_names.push_back(name);
    }
    names.clear();
    std::vector<model::Car> cars;
    for (const scenario::Scenario& s : placements) {
        std::string name = s.car.placement.empty() ? s.car.name : s.car.placement;
        const std::string plain = name;
        for (int n = 2; !names.insert(name).second; ++n) name = fmt::format("{} ({})", plain, n);
        bool same = s.cycles.size() == first.size();
        for (std::size_t c = 0; same && c < first.size(); ++c)
            same = s.cycles[c].name == first[c].name;
        if (!same)
            throw Error("'" + name + "' is driven through other cycles than the first placement",
                        "the same cycles, in the same order, for all placements");
        out.names.push_back(name);
        out.models.push_back(model::compile(s.car));
        auto& cycles = out.cycles.emplace_back();
        for (const drive::Cycle& cycle : s.cycles)
            cycles.push_back(std::make_shared<const drive::Cycle>(cycle));
        cars.push_back(s.car);
    }
    judge_by(cars, out);
    return out;
}

namespace {

const model::Verdict* coolant_verdict(const model::Result& result) {
    for (const model::Verdict& v : result.verdicts)
        if (v.role == model::LoopRole::coolant) return &v;
    return nullptr;
}

/// Coolant margin given up: what a cooler in its air, or in its tank, costs.
void count_coolant(Comparison& comparison) {
    const std::size_t cycles = comparison.cycles.size();
    for (std::size_t i = 0; i < comparison.outcomes.size(); ++i) {
        CycleOutcome& outcome = comparison.outcomes[i];
        const auto* v = coolant_verdict(outcome.result);
        if (!v) continue;
        const auto* without = without_it(comparison, i / cycles, i % cycles, v->loop);
        // Who has no cooler ahead of it may well gain; that is nothing given up.
        outcome.coolant_lost = std::max(0.0, without->margin - v->margin);
    }
}

/// Drives the cars without what is placed.
/// Gives what went wrong, once: a car that nobody has need not be drivable.
std::vector<std::string> drive_without(Comparison& comparison, const Prepared& prepared,
                                       const ParallelOptions& options) {
    if (comparison.placed.empty()) return {};
    const std::size_t cycles = comparison.cycles.size();
    std::vector<Job> jobs;
    std::vector<std::size_t> of;
    for (std::size_t p = 0; p < comparison.cars.size(); ++p)
        if (const auto car = without_cores(comparison.cars[p], comparison.placed)) {
            const auto model = model::compile(*car);
            for (std::size_t c = 0; c < cycles; ++c) {
                jobs.push_back({model, prepared.cycles[p][c]});
                of.push_back(p * cycles + c);
            }
        }
    std::vector<std::string> wrong(jobs.size()), out;
    for_all(
        jobs.size(), options.threads, options.cancel,
        [&](std::size_t i, const TaskWatch& watch) {
            model::Options run = options.run;
            run.progress = nullptr;
            run.cancel = &watch.stop;
            CycleOutcome& outcome = comparison.outcomes[of[i]];
            try {
                outcome.without = model::simulate(*jobs[i].model, *jobs[i].cycle, run).verdicts;
            } catch (const Error& e) {
                if (watch.stop) throw;
                wrong[i] = "Without its cooler the car could not be driven in " + outcome.cycle +
                           " (" + e.what() +
                           "): what a place gives up there is "
                           "counted against the best place.";
            }
        },
        nullptr);
    for (const std::string& text : wrong)
        if (!text.empty() && std::find(out.begin(), out.end(), text) == out.end())
            out.push_back(text);
    return out;
}

/// A place whose cruise does not settle on some other day keeps its margins; said in what comes
/// back.
std::vector<std::string> find_hottest(Comparison& comparison, const Prepared& prepared,
                                      const CompareOptions& options) {
    const std::size_t cycles = comparison.cycles.size();
    std::vector<std::string> wrong(comparison.outcomes.size());
    for_all(
        comparison.outcomes.size(), options.threads, options.cancel,
        [&](std::size_t i, const TaskWatch& watch) {
            model::Options run = options.run;
            run.progress = nullptr;
            run.cancel = &watch.stop;
            CycleOutcome& outcome = comparison.outcomes[i];
            try {
                const HottestAmbient found = hottest_ambient(
                    *prepared.models[i / cycles], *prepared.cycles[i / cycles][i % cycles], run,
                    prepared.left_out, outcome.worst_margin);
                outcome.hottest_ambient = found.ambient;
                outcome.hottest_beyond = found.beyond_range;
            } catch (const Error& e) {
                if (watch.stop) throw;
                wrong[i] = "The hottest day that " + outcome.placement + " holds in " +
                           outcome.cycle + " was not found: on one that was tried " + e.what() +
                           ".";
            }
        },
        options.progress);
    std::erase(wrong, std::string());
    return wrong;
}

// A draw keeps no series and starts near where the car had settled; what most comparisons take
// until their shares stand.
constexpr double draw_cost = 0.6;
constexpr std::size_t usual_draws = 600;

/// Hottest days of the draws: a margin falls with the air as it does for the car as it stands.
void find_hottest_of_draws(Comparison& out, const std::vector<scenario::Scenario>& placements) {
    for (std::size_t i = 0; i < out.outcomes.size(); ++i) {
        const CycleOutcome& o = out.outcomes[i];
        CycleCertainty& row = out.certainty->cycles[i];
        if (std::isnan(o.hottest_ambient) || o.hottest_beyond || o.worst_margin == 0) continue;
        const std::vector<double>& ambient =
            placements[i / out.cycles.size()].cycles[i % out.cycles.size()].ambient;
        const double air = *std::max_element(ambient.begin(), ambient.end());
        const double slope = (o.hottest_ambient - air) / o.worst_margin;
        row.hottest_5 = air + slope * row.margin_5;
        row.hottest_50 = air + slope * row.margin_50;
        row.hottest_95 = air + slope * row.margin_95;
    }
}

/// Gives what cannot be said of a study that was stopped before its first draw.
std::vector<std::string> draw(Comparison& out, const std::vector<scenario::Scenario>& placements,
                              const CompareOptions& options) {
    DrawTable table = options.earlier ? *options.earlier : DrawTable{};
    DrawOptions asked;
    asked.draws = *options.draws;
    asked.most = options.most_draws;
    asked.series = options.series;
    asked.threads = options.threads;
    asked.run = options.run;
    asked.cancel = options.cancel;
    const std::size_t served = out.served.size();
    asked.enough = [served](const DrawTable& t) { return enough(t, served); };
    asked.progress = [&](double done, std::size_t of) {
        if (options.progress) options.progress(done / static_cast<double>(of));
    };
    add_draws(table, placements, asked);
    if (table.draws == 0)
        return {
            "Stopped before the first car was drawn: all of this is of the cars exactly as "
            "written, and how sure it is was not found out."};
    out.certainty = shares(std::move(table), served);
    find_hottest_of_draws(out, placements);
    rank(out, options.system);
    const std::string& first = out.ranking.front().placement;
    std::vector<std::string> missing;
    std::optional<LoneEffects> alone;
    // An answer cut short has it as well: of few draws it says the most.
    if (out.certainty->cancelled) asked.cancel = nullptr;
    try {
        alone = lone_effects(out.certainty->table, placements, first, served, asked);
    } catch (const Error& e) {
        if (!asked.cancel || !*asked.cancel)
            missing.push_back("What each number does by itself to " + first +
                              " was not found out: " + told(e) + ".");
    }
    explain(*out.certainty, first, served, alone ? &*alone : nullptr);
    return missing;
}

/// The runs as outcomes, placement by placement.
void take_results(Comparison& out, std::vector<model::Result> results,
                  const CompareOptions& options) {
    for (std::size_t i = 0; i < results.size(); ++i) {
        const std::size_t p = i / out.cycles.size(), c = i % out.cycles.size();
        CycleOutcome outcome;
        outcome.placement = out.placements[p];
        outcome.cycle = out.cycles[c];
        outcome.result = std::move(results[i]);
        if (const auto* v = results::tightest(outcome.result, out.left_out)) {
            outcome.worst_margin = v->margin;
            outcome.worst_loop = v->loop;
            outcome.ambient = v->ambient;
            outcome.binding = results::fluid_and_what_binds(v, options.system);
        }
        out.outcomes.push_back(std::move(outcome));
    }
}

/// What each placement's lines cost in its worst cycle. `progress`: of placement p.
void cost_lines(Comparison& out, const Prepared& prepared, const CompareOptions& options,
                const std::function<std::function<void(double)>(std::size_t)>& progress) {
    for (std::size_t p = 0; p < out.placements.size(); ++p) {
        std::size_t worst = 0;
        for (std::size_t c = 1; c < out.cycles.size(); ++c)
            if (out.at(p, c).worst_margin < out.at(p, worst).worst_margin) worst = c;
        LineCostOptions cost;
        cost.threads = options.threads;
        cost.run = options.run;
        cost.cancel = options.cancel;
        cost.progress = progress(p);
        out.line_costs.push_back(line_costs(out.cars[p], *prepared.cycles[p][worst], cost));
    }
}

Comparison run_and_rank(const Prepared& prepared, const std::vector<scenario::Scenario>& placements,
                        const CompareOptions& options) {
    Comparison out;
    out.placements = prepared.names;
    out.cycles = prepared.cycle_names;
    out.served = prepared.served;
    out.left_out = prepared.left_out;
    out.placed = prepared.placed;
    for (const scenario::Scenario& s : placements) out.cars.push_back(s.car);
    out.faults = loops_served(out.cars).empty() &&
                 std::any_of(out.cars.begin(), out.cars.end(),
                             [](const model::Car& car) { return !car.faults.empty(); });

    std::vector<Job> jobs;
    for (std::size_t p = 0; p < prepared.models.size(); ++p)
        for (const auto& cycle : prepared.cycles[p]) jobs.push_back({prepared.models[p], cycle});
    // Shares of the work, roughly in runs: 1 for the table, 5 for ambients, 6 for what lines cost,
    // and a draw is a run of everything without series.
    const std::size_t draws = !options.draws       ? 0
                              : *options.draws > 0 ? *options.draws
                                                   : usual_draws;
    const double drawing = draw_cost * static_cast<double>(draws);
    const double total =
        1.0 + (options.hottest_ambient ? 5 : 0) + (options.line_costs ? 6 : 0) + drawing;
    const auto stage = [&](double from, double weight) {
        return [&options, from, weight, total](double done) {
            if (options.progress) options.progress((from + weight * done) / total);
        };
    };
    ParallelOptions parallel{options.threads, options.run, stage(0, 1), options.cancel};
    take_results(out, run_all(jobs, parallel), options);
    ParallelOptions aside{options.threads, options.run, nullptr, options.cancel};
    aside.run.keep_series = false;
    std::vector<std::string> not_driven = drive_without(out, prepared, aside);
    count_coolant(out);
    CompareOptions later = options;
    if (options.hottest_ambient) {
        later.progress = stage(1, 5);
        for (std::string& text : find_hottest(out, prepared, later))
            not_driven.push_back(std::move(text));
    }
    rank(out, options.system);
    const double each = 6.0 / static_cast<double>(placements.size());
    if (options.line_costs)
        cost_lines(out, prepared, options, [&](std::size_t p) {
            return stage(total - drawing - 6 + each * static_cast<double>(p), each);
        });
    if (options.levers) out.levers = levers(out, prepared, placements, aside);
    // Last, for an interrupted study of draws is still an answer.
    bool cut = false;
    if (options.draws) {
        later.progress = stage(total - drawing, drawing);
        for (std::string& text : draw(out, placements, later))
            not_driven.push_back(std::move(text));
        cut = !out.certainty || out.certainty->cancelled;
    }
    // Of the place that is first in the end; an answer cut short has them as well.
    ParallelOptions waiting{options.threads, options.run, nullptr, cut ? nullptr : options.cancel};
    waiting.run.keep_series = false;
    out.queue = queue_choices(out, prepared, waiting);
    out.not_done = std::move(not_driven);
    out.verdict = verdict_text(out, options.system);
    out.cautions = cautions(out, options.system);
    if (options.progress) options.progress(1);
    return out;
}

}  // namespace

std::size_t Comparison::index_of(const std::string& placement) const {
    return static_cast<std::size_t>(std::find(placements.begin(), placements.end(), placement) -
                                    placements.begin());
}

Comparison compare(const std::vector<scenario::Scenario>& placements,
                   const CompareOptions& options) {
    const Prepared prepared = prepare(placements);
    CompareOptions one = options;
    one.run.drives = std::make_shared<model::DriveCache>(2 * prepared.cycle_names.size());
    try {
        return run_and_rank(prepared, placements, one);
    } catch (const Error& e) {
        if (e.code() == Code::cancelled) throw;
        throw Error(Diagnostic{Code::run_failed, {}, {e.what()}});
    }
}

}  // namespace lapheat::study
