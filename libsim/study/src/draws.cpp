#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <mutex>
#include <tuple>

#include "drives.hpp"
#include "internal.hpp"
#include "lapheat/model/drive_cache.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/study/draw_table.hpp"
#include "lapheat/study/parallel.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

// Draws between two looks at the rule and at the caller's wish to stop.
constexpr std::size_t draws_together = 16;
constexpr std::size_t fewest_to_judge = 64;

/// Before one cycle of one placement.
struct Beginning {
    StartPtr start;  ///< of the car as written: drawn cars settle from there
    std::vector<std::vector<double>> differ;  ///< [loop][car] K, hotter if driven row by row
    std::vector<double> hotter;               ///< [loop] the median of these; empty: none ran
};

class Runs {
  public:
    Runs(const Prepared& prepared, const DoubtedCars& cars, const DrawOptions& options,
         DrawTable& table)
        : prepared_(prepared), cars_(cars), options_(options), table_(table) {
        run_ = drawn(without_series(options.run));
        // The places of a car are driven alike, one after the other: as many cars are under way as
        // there are threads, each through its cycles in two ways at most.
        const int threads = thread_count(options.threads, prepared.models.size());
        run_.drives = std::make_shared<model::DriveCache>(4 * static_cast<std::size_t>(threads) *
                                                          table.cycles.size());
        before_.resize(prepared.models.size());
    }

    /// The cars as they stand settled, and a few driven both row by row and averaged.
    void begin(const std::atomic<bool>* cancel) {
        const std::size_t cycles = table_.cycles.size(), loops = table_.loops.size();
        for (auto& of : before_) of.resize(cycles);
        for_all(
            before_.size() * cycles, options_.threads, cancel,
            [&](std::size_t i, const TaskWatch& watch) {
                model::Options run = run_;
                run.cancel = &watch.stop;
                const std::size_t p = i / cycles, c = i % cycles;
                before_[p][c].start =
                    model::settled_start(*prepared_.models[p], *prepared_.cycles[p][c], run);
                before_[p][c].differ.assign(
                    loops, std::vector<double>(shown_by, std::numeric_limits<double>::quiet_NaN()));
            },
            nullptr);
        const std::size_t width = before_.size();
        for_all(
            width * shown_by, options_.threads, cancel,
            [&](std::size_t i, const TaskWatch& watch) { show(i % width, i / width, watch); },
            nullptr);
        for (auto& of : before_)
            for (Beginning& one : of) take_medians(one);
    }

    /// Placement p with draw n through all cycles. Never throws but when stopped.
    void one(std::size_t n, std::size_t p, const std::vector<double>& draw,
             const TaskWatch& watch) {
        std::size_t c = 0;
        bool made = false;
        try {
            const auto model = model::compile(cars_.car(p, draw));
            made = true;
            for (; c < table_.cycles.size(); ++c) {
                model::Options run = run_;
                run.cancel = &watch.stop;
                const drive::Cycle& cycle = *prepared_.cycles[p][c];
                const Beginning& before = before_[p][c];
                if (!before.hotter.empty()) run = coarse(run);
                run.start = model::settled_start(*model, cycle, run, before.start.get());
                run.keep_series = n < band_draws;
                keep(n, p, c, model::simulate(*model, cycle, run));
            }
        } catch (const Error& e) {
            if (watch.stop) throw;
            const std::lock_guard guard(lock_);
            table_.failed.push_back(
                {n, table_.placements[p], made ? table_.cycles[c] : "", told(e)});
        }
    }

  private:
    /// Car k of placement p, 0 as written, in both ways; a run that cannot be finished shows
    /// nothing.
    void show(std::size_t p, std::size_t k, const TaskWatch& watch) {
        try {
            const std::shared_ptr<const model::Model> model =
                k == 0
                    ? prepared_.models[p]
                    : model::compile(cars_.car(p, cars_.draw(static_cast<std::uint32_t>(k - 1))));
            for (std::size_t c = 0; c < table_.cycles.size(); ++c) {
                model::Options run = run_;
                run.cancel = &watch.stop;
                const drive::Cycle& cycle = *prepared_.cycles[p][c];
                const auto driven = [&](model::Options way) {
                    way.start = model::settled_start(*model, cycle, way, before_[p][c].start.get());
                    return model::simulate(*model, cycle, way);
                };
                const model::Result by_row = driven(run), mean = driven(coarse(run));
                for (std::size_t l = 0; l < table_.loops.size(); ++l) {
                    const auto *one = results::verdict_of(by_row, table_.loops[l]),
                               *other = results::verdict_of(mean, table_.loops[l]);
                    if (one && other) before_[p][c].differ[l][k] = other->margin - one->margin;
                }
            }
        } catch (const Error&) {
            if (watch.stop) throw;
        }
    }

    static void take_medians(Beginning& of) {
        bool any = false;
        for (std::vector<double>& kelvins : of.differ) {
            std::erase_if(kelvins, [](double x) { return std::isnan(x); });
            any = any || !kelvins.empty();
            of.hotter.push_back(kelvins.empty() ? 0 : solve::quantile(kelvins, 0.5));
        }
        if (!any) of.hotter.clear();
    }

    void keep(std::size_t n, std::size_t p, std::size_t c, const model::Result& result) {
        for (std::size_t l = 0; l < table_.loops.size(); ++l)
            if (const auto* v = results::verdict_of(result, table_.loops[l])) {
                model::Verdict row_by_row = *v;
                if (const Beginning& before = before_[p][c]; !before.hotter.empty()) {
                    row_by_row.margin -= before.hotter[l];
                    row_by_row.peak += before.hotter[l];
                }
                table_.outcomes[table_.index(n, p, c, l)] = outcome_of(row_by_row);
            }
        if (n < band_draws && result.time.size() > 1) keep_courses(n, p, c, result);
    }

    void keep_courses(std::size_t n, std::size_t p, std::size_t c, const model::Result& result) {
        for (std::size_t l = 0; l < table_.loops.size(); ++l) {
            const auto* t = result.find("loops/" + table_.loops[l], "watched_temperature");
            if (!t || t->values.size() < 2) continue;
            float* out = &table_.courses[table_.index(n, p, c, l) * band_steps];
            const std::size_t last = t->values.size() - 1;
            for (std::size_t s = 0; s < band_steps; ++s)
                out[s] = static_cast<float>(
                    t->values[(2 * s * last + band_steps - 1) / (2 * (band_steps - 1))]);
        }
    }

    const Prepared& prepared_;
    const DoubtedCars& cars_;
    const DrawOptions& options_;
    DrawTable& table_;
    model::Options run_;
    std::vector<std::vector<Beginning>> before_;  ///< [placement][cycle]
    std::mutex lock_;
};

/// An empty table takes its columns; another must have them.
void set_up(DrawTable& table, const Prepared& prepared, const DoubtedCars& cars,
            std::uint64_t series, std::uint64_t fingerprint) {
    std::vector<std::string> loops = prepared.served;
    loops.insert(loops.end(), prepared.left_out.begin(), prepared.left_out.end());
    if (table.draws == 0) {
        table = {};
        table.numbers = cars.numbers();
        table.not_drawn = cars.not_drawn();
        table.placements = prepared.names;
        table.cycles = prepared.cycle_names;
        table.loops = loops;
        table.series = series;
        table.fingerprint = fingerprint;
        table.drawn.resize(table.numbers.size());
        for (const auto& cycle : prepared.cycles.front())
            table.durations.push_back(cycle->time.back() - cycle->time.front());
        return;
    }
    const auto same = [](const DoubtedNumber& a, const DoubtedNumber& b) {
        return a.of == b.of && a.name == b.name && a.value == b.value && a.low == b.low &&
               a.high == b.high;
    };
    if (table.placements != prepared.names || table.cycles != prepared.cycle_names ||
        table.loops != loops || table.series != series || table.fingerprint != fingerprint ||
        !std::equal(table.numbers.begin(), table.numbers.end(), cars.numbers().begin(),
                    cars.numbers().end(), same))
        throw Error("the draws there are belong to other cars, cycles, doubts or another series",
                    "those of the same comparison, or none");
    table.numbers = cars.numbers();  // with their distributions, if they came from a file
    table.not_drawn = cars.not_drawn();
}

std::uint64_t fingerprint_of(const std::vector<scenario::Scenario>& placements,
                             const model::Options& run) {
    constexpr std::uint64_t way = 4;  // of running a drawn car, changed with it
    std::uint64_t print = solve::mixed(way, results::version());
    for (const double x : {run.tolerance, run.sample_interval})
        print = solve::mixed(print ^ std::bit_cast<std::uint64_t>(x));
    for (const scenario::Scenario& s : placements)
        for (const scenario::SourceFile& file : s.files) print = solve::mixed(print, file.text);
    return print;
}

void resize_courses(DrawTable& table, std::size_t draws) {
    table.courses.resize(table.index(std::min(draws, band_draws), 0, 0, 0) * band_steps,
                         FluidOutcome::none);
}

void drop_after(DrawTable& table, std::size_t draws) {
    for (auto& column : table.drawn) column.resize(draws);
    table.outcomes.resize(table.index(draws, 0, 0, 0));
    resize_courses(table, draws);
    std::erase_if(table.failed, [&](const FailedDraw& f) { return f.draw >= draws; });
}

}  // namespace

bool belongs(const DrawTable& table, const std::vector<scenario::Scenario>& placements,
             std::uint64_t series, const model::Options& run) {
    return table.draws > 0 && table.series == series &&
           table.fingerprint == fingerprint_of(placements, run);
}

std::size_t DrawTable::index_of(const std::string& placement) const noexcept {
    return static_cast<std::size_t>(std::find(placements.begin(), placements.end(), placement) -
                                    placements.begin());
}

bool DrawTable::complete(std::size_t n, std::size_t p) const noexcept {
    return std::none_of(failed.begin(), failed.end(), [&](const FailedDraw& f) {
        return f.draw == n && f.placement == placements[p];
    });
}

void add_draws(DrawTable& table, const std::vector<scenario::Scenario>& placements,
               const DrawOptions& options) {
    const Prepared prepared = prepare(placements);
    const DoubtedCars cars(placements, options.series);
    set_up(table, prepared, cars, options.series, fingerprint_of(placements, options.run));
    table.cancelled = false;
    const std::size_t wanted = options.draws > 0 ? options.draws : options.most;
    const std::size_t width = table.placements.size();
    Runs runs(prepared, cars, options, table);
    try {
        if (options.progress) options.progress(static_cast<double>(table.draws), wanted);
        if (table.draws < wanted) runs.begin(options.cancel);
        while (table.draws < wanted) {
            if (options.draws == 0 && options.enough && table.draws >= fewest_to_judge &&
                options.enough(table))
                break;
            const std::size_t first = table.draws, count = std::min(draws_together, wanted - first);
            std::vector<std::vector<double>> draws;
            for (std::size_t i = 0; i < count; ++i) {
                draws.push_back(cars.draw(static_cast<std::uint32_t>(first + i)));
                for (std::size_t k = 0; k < table.drawn.size(); ++k)
                    table.drawn[k].push_back(draws.back()[k]);
            }
            table.outcomes.resize(table.index(first + count, 0, 0, 0));
            resize_courses(table, first + count);
            for_all(
                count * width, options.threads, options.cancel,
                [&](std::size_t i, const TaskWatch& watch) {
                    runs.one(first + i / width, i % width, draws[i / width], watch);
                },
                [&](double done) {
                    if (options.progress)
                        options.progress(
                            static_cast<double>(first) + done * static_cast<double>(count), wanted);
                });
            table.draws = first + count;
        }
    } catch (const Error&) {
        if (!options.cancel || !*options.cancel) throw;
        table.cancelled = true;  // what is complete is the answer
    }
    drop_after(table, table.draws);
    std::sort(table.failed.begin(), table.failed.end(),
              [](const FailedDraw& a, const FailedDraw& b) {
                  return std::tie(a.draw, a.placement) < std::tie(b.draw, b.placement);
              });
}

}  // namespace lapheat::study
