#include <limits>

#include "drives.hpp"
#include "internal.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/certainty.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

/// One car of one placement through all cycles: margins by cycle and fluid.
class Trials {
  public:
    Trials(const DrawTable& table, const Prepared& prepared, const DoubtedCars& cars,
           const DrawOptions& options)
        : table_(table),
          prepared_(prepared),
          cars_(cars),
          // What coarse runs are off cancels: only differences are looked at.
          run_(coarse(drawn(without_series(options.run)))) {}

    /// As if it were the only draw, the other placements as `others` has them.
    DrawTable drive_one(const std::vector<double>& draw, std::size_t p, DrawTable others,
                        std::vector<StartPtr>& starts, const TaskWatch& watch) const {
        const auto model = model::compile(cars_.car(p, draw));
        for (std::size_t c = 0; c < table_.cycles.size(); ++c) {
            const drive::Cycle& cycle = *prepared_.cycles[p][c];
            if (!starts[c]) starts[c] = start_near(*model, cycle, run_, watch);
            const model::Result result = drive(*model, cycle, run_, watch, starts[c].get());
            for (std::size_t l = 0; l < table_.loops.size(); ++l)
                if (const auto* v = results::verdict_of(result, table_.loops[l]))
                    others.outcomes[others.index(0, p, c, l)] = outcome_of(*v);
        }
        return others;
    }

    /// A table of one draw without outcomes.
    [[nodiscard]] DrawTable blank() const {
        DrawTable out;
        out.placements = table_.placements;
        out.cycles = table_.cycles;
        out.loops = table_.loops;
        out.draws = 1;
        out.outcomes.resize(out.index(1, 0, 0, 0));
        return out;
    }

  private:
    const DrawTable& table_;
    const Prepared& prepared_;
    const DoubtedCars& cars_;
    model::Options run_;
};

}  // namespace

LoneEffects lone_effects(const DrawTable& table, const std::vector<scenario::Scenario>& placements,
                         const std::string& first, std::size_t served, const DrawOptions& options) {
    const Prepared prepared = prepare(placements);
    const DoubtedCars cars(placements, options.series);
    const std::size_t p = table.index_of(first), count = table.numbers.size();
    if (p >= prepared.models.size() || cars.numbers().size() != count)
        throw Error("the draws belong to other cars", "those of the same comparison");
    const Trials trials(table, prepared, cars, options);
    const std::vector<double> middle(count, 0.5);
    LoneEffects out;
    out.low.assign(count, std::numeric_limits<double>::quiet_NaN());
    out.high = out.low;

    // The middle car of every placement: a fluid that no placement serves counts where another one
    // spares it, as in a draw.
    DrawTable centre = trials.blank();
    std::vector<std::vector<StartPtr>> starts(prepared.models.size(),
                                              std::vector<StartPtr>(table.cycles.size()));
    std::vector<DrawTable> each(prepared.models.size());
    for_all(
        each.size(), options.threads, options.cancel,
        [&](std::size_t q, const TaskWatch& watch) {
            try {
                each[q] = trials.drive_one(middle, q, trials.blank(), starts[q], watch);
            } catch (const Error&) {  // a place that cannot be driven spares nothing
                if (watch.stop || q == p) throw;
            }
        },
        nullptr);
    for (std::size_t q = 0; q < each.size(); ++q)
        for (std::size_t i = centre.index(0, q, 0, 0);
             !each[q].outcomes.empty() && i < centre.index(0, q + 1, 0, 0); ++i)
            centre.outcomes[i] = each[q].outcomes[i];
    const auto margin_of = [&](const DrawTable& one) { return margins(one, served)[p].front(); };
    out.middle = margin_of(centre);

    std::vector<std::size_t> own;
    for (std::size_t k = 0; k < count; ++k)
        if (cars.numbers()[k].stands_in(p)) own.push_back(k);
    for_all(
        2 * own.size(), options.threads, options.cancel,
        [&](std::size_t i, const TaskWatch& watch) {
            const std::size_t k = own[i / 2];
            std::vector<double> draw = middle;
            draw[k] = i % 2 == 0 ? LoneEffects::low_at : LoneEffects::high_at;
            try {
                std::vector<StartPtr> near = starts[p];
                (i % 2 == 0 ? out.low : out.high)[k] =
                    margin_of(trials.drive_one(draw, p, centre, near, watch)) - out.middle;
            } catch (const Error&) {  // not known of a car that cannot be driven
                if (watch.stop) throw;
            }
        },
        nullptr);
    out.runs = (each.size() + 2 * own.size()) * table.cycles.size();
    return out;
}

}  // namespace lapheat::study
