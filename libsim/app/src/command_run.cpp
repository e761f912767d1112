// lapheat run: one placement through its cycles.
#include <fmt/core.h>

#include "commands.hpp"
#include "json_reports.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/study/draw_file.hpp"
#include "lapheat/study/report.hpp"
#include "lapheat/study/wiring.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

constexpr std::size_t events_shown = 12;

std::string report(const model::Result& result, const results::Style& style, bool all) {
    std::string out = results::heading(result, style) + '\n' +
                      results::verdict_tables(result, style) + results::fault_lines(result, style) +
                      '\n';
    out += results::event_table(result, style, all ? 0 : events_shown) + '\n';
    out += results::source_table(result, style) + '\n';
    if (all)
        out += results::line_state_table(result, style) + '\n' +
               results::pump_table(result, style) + '\n' + results::ledger_table(result, style) +
               '\n' + results::assumption_lines(result, style) + '\n';
    out += results::warning_lines(result, style) + results::cost_line(result, style);
    return out;
}

/// What was driven, and what its lines cost.
struct Driven {
    std::vector<model::Result> results;
    std::vector<std::vector<study::LineCost>> line_costs;  ///< empty if not asked for
};

Driven drive_all(const scenario::Scenario& s, const Common& common, const RunRequest& request) {
    const auto model = model::compile(s.car);
    Driven out;
    // One job for each cycle, with a progress bar over all of them; its errors name the cycle.
    const auto each_cycle = [&](const char* doing, auto&& job) {
        Progress progress(doing, 1000, common.quiet || common.json);
        std::size_t shown = 0;
        for (std::size_t i = 0; i < s.cycles.size(); ++i) {
            try {
                job(s.cycles[i], moves(progress, shown, i, s.cycles.size()));
            } catch (const Error& e) {
                throw RunFailure(
                    fmt::format("{}, {}: {}", s.car.placement, s.cycles[i].name, e.what()));
            }
        }
    };
    each_cycle("driving", [&](const drive::Cycle& cycle, const auto& moved) {
        model::Options options;
        options.cancel = &interrupted();
        options.progress = moved;
        out.results.push_back(model::simulate(*model, cycle, options));
    });
    if (request.lines)
        each_cycle("lines", [&](const drive::Cycle& cycle, const auto& moved) {
            study::LineCostOptions options;
            options.cancel = &interrupted();
            options.progress = moved;
            out.line_costs.push_back(study::line_costs(s.car, cycle, options));
        });
    return out;
}

/// The placement by itself, driven with all that is in doubt drawn anew; nothing if not asked.
std::optional<study::Comparison> drawn(const std::vector<scenario::Scenario>& scenarios,
                                       const Common& common, const RunRequest& request) {
    study::CompareOptions options;
    options.draws = draws_of(request.draws);
    if (!options.draws) return std::nullopt;
    options.series = static_cast<std::uint64_t>(request.series);
    options.threads = request.threads;
    options.system = common.units;
    options.run.keep_series = false;
    options.cancel = &interrupted();
    if (!request.dry) options.earlier = earlier_draws(common.out, scenarios, options.series);
    Progress progress("draws", 1000, common.quiet || common.json);
    std::size_t shown = 0;
    options.progress = moves(progress, shown, 0, 1);
    try {
        auto out = study::compare(scenarios, options);
        if (!request.dry && out.certainty)
            study::write_draws(common.out / draws_file, out.certainty->table);
        return out;
    } catch (const Error& e) {
        throw RunFailure(e.what());
    }
}

/// The last that is read: a row for each cycle.
results::TextTable in_short(const std::vector<DrivenCycle>& runs, units::System system) {
    using results::Align;
    using units::Quantity;
    results::TextTable table;
    table.title = "In short";
    table.columns = {{"cycle", Align::left, true},
                     {"holds"},
                     {results::with_unit("least margin", Quantity::temperature_difference, system),
                      Align::right},
                     {"of"},
                     {"over limits", Align::right},
                     {"over caution", Align::right}};
    for (const DrivenCycle& run : runs) {
        double over = 0, caution = 0;
        bool holds = true;
        for (const model::Verdict& v : run.result->verdicts) {
            over += v.time_over;
            caution += v.time_over_caution;
            holds = holds && v.holds();
        }
        const model::Verdict* v = results::tightest(*run.result);
        if (v == nullptr) continue;
        table.rows.push_back(
            {{run.result->cycle, results::Tone::strong},
             {holds ? "yes" : "no", holds ? results::Tone::good : results::Tone::bad},
             {results::signed_fixed(
                 units::to_display(v->margin, Quantity::temperature_difference, system), 1)},
             {results::plain_name(v->loop)},
             {over > 0 ? results::clock(over) : "-"},
             {caution > 0 ? results::clock(caution) : "-"}});
    }
    return table;
}

void print_reports(const std::vector<DrivenCycle>& runs, const scenario::Scenario& s,
                   const study::Comparison* sure, const results::Style& style, bool all) {
    for (const DrivenCycle& run : runs) {
        print(report(*run.result, style, all));
        if (run.line_costs && !run.line_costs->empty())
            print(
                '\n' +
                results::render(study::line_cost_table(*run.line_costs, style.units), style.table) +
                study::line_cost_note());
        print(run.file.empty() ? "\n" : "Written to " + run.file + "\n\n");
    }
    if (sure) {
        if (sure->certainty) print_certainty(*sure, style);
        print_wrapped(sure->verdict, style);
        print("\n");
    }
    if (const auto feeds = study::wiring(s.car, style.units); !feeds.empty()) {
        print("Wiring of the fans\n");
        print_list(feeds, style);
    }
    if (!s.car.assumed.empty() && !all)
        print(fmt::format("{} numbers were assumed; --all lists them.\n", s.car.assumed.size()));
    print('\n' + results::render(in_short(runs, style.units), style.table) + '\n');
    print(results::estimate_notice());
}

}  // namespace

int run(const Common& common, const RunRequest& request) {
    const std::vector<scenario::Scenario> scenarios =
        read_all(common, {request.file}, request.cycles);
    const scenario::Scenario& s = scenarios.front();
    if (!request.dry) make_folder(common.out);
    const Driven driven = drive_all(s, common, request);
    const std::optional<study::Comparison> sure = drawn(scenarios, common, request);

    std::vector<DrivenCycle> runs;
    std::set<std::string> taken;
    const results::Provenance origin = origin_of(s);
    for (std::size_t i = 0; i < driven.results.size(); ++i) {
        DrivenCycle& done = runs.emplace_back();
        done.result = &driven.results[i];
        if (i < driven.line_costs.size()) done.line_costs = &driven.line_costs[i];
        if (request.dry) continue;
        const std::filesystem::path target = result_path(common.out, *done.result, taken);
        results::write_result(target, *done.result, origin);
        done.file = target.string();
    }
    if (common.json)
        print_run(runs, s.car, sure && sure->certainty ? &*sure->certainty : nullptr);
    else if (!common.quiet)
        print_reports(runs, s, sure ? &*sure : nullptr, style_of(common), request.all);
    else
        for (const DrivenCycle& done : runs)
            if (!done.file.empty()) print(done.file + "\n");
    if (unsettled(driven.results)) return run_failed;
    return request.strict && any_over(driven.results) ? over_limit : all_well;
}

}  // namespace lapheat::app
