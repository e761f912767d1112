// lapheat compare: placements side by side.
#include <fmt/format.h>

#include <optional>
#include <set>

#include "commands.hpp"
#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/scenario/fitted.hpp"
#include "lapheat/study/draw_file.hpp"
#include "lapheat/study/page.hpp"
#include "lapheat/study/report.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

void print_cautions(const study::Comparison& c, const results::Style& style) {
    std::string about;
    for (const study::Caution& caution : c.cautions) {
        if (caution.about != about) print((about.empty() ? "" : "\n") + caution.about + "\n");
        about = caution.about;
        print_list({caution.text}, style);
    }
    print("\n");
}

/// Of one placement alone, if one is named.
void print_levers(const study::Comparison& c, const results::Style& style,
                  const std::string& only = {}) {
    std::string placement;
    for (const study::Lever& lever : c.levers) {
        if (!only.empty() && lever.placement != only) continue;
        if (lever.placement != placement) {
            print(fmt::format("\nWhat would make it hold: {}\n", lever.placement));
            print_list({study::missing_words(lever, style.units) + "."}, style);
        }
        placement = lever.placement;
        print_list({study::lever_words(lever, style.units) + "."}, style);
    }
}

study::Comparison compared(const Common& common, const CompareRequest& request,
                           const std::vector<scenario::Scenario>& scenarios, bool keep) {
    study::CompareOptions options;
    options.threads = request.threads;
    options.draws = draws_of(request.draws);
    options.series = static_cast<std::uint64_t>(request.series);
    if (options.draws && !request.dry && keep)
        options.earlier = earlier_draws(common.out, scenarios, options.series);
    options.hottest_ambient = request.hottest;
    options.line_costs = request.lines;
    options.levers = common.json || !common.quiet || !request.page.empty();
    options.system = common.units;
    options.cancel = &interrupted();
    Progress progress("placements", 1000, common.quiet || common.json);
    std::size_t shown = 0;
    options.progress = moves(progress, shown, 0, 1);
    try {
        return study::compare(scenarios, options);
    } catch (const Error& e) {
        if (e.code() == Code::run_failed || e.code() == Code::cancelled) throw RunFailure(e.what());
        throw;
    }
}

/// The results as the files and tables name them: placements that share a name are numbered.
std::vector<model::Result> named_results(const study::Comparison& c) {
    std::vector<model::Result> runs;
    for (const study::CycleOutcome& outcome : c.outcomes) {
        runs.push_back(outcome.result);
        runs.back().placement = outcome.placement;
    }
    return runs;
}

/// What was asked for by an option of its own.
void print_asked(const study::Comparison& c, const CompareRequest& request,
                 const results::Style& style) {
    if (request.hottest)
        print(results::render(study::hottest_table(c, style.units), style.table) + '\n');
    for (std::size_t p = 0; p < c.line_costs.size(); ++p)
        if (!c.line_costs[p].empty())
            print(fmt::format(
                "{}\n{}{}\n", c.placements[p],
                results::render(study::line_cost_table(c.line_costs[p], style.units), style.table),
                study::line_cost_note()));
}

/// Every table, each cycle of each placement among them.
void print_all(const study::Comparison& c, const std::vector<model::Result>& runs,
               const CompareRequest& request, const results::Style& style) {
    const units::System system = style.units;
    const auto show = [&](const results::TextTable& table) {
        print(results::render(table, style.table) + '\n');
    };
    print(results::comparison_table(runs, style, c.left_out) + '\n' +
          results::line_table(runs, style) + '\n');
    show(study::ranking_table(c, system));
    for (const std::string& text : {"Rule: " + study::ranking_rule(c, system),
                                    "Margins: " + std::string(results::limit_law())})
        print_wrapped(text, style);
    print("\n");
    show(study::cost_table(c, system));
    if (const std::string late = results::time_to_limit_table(runs, style); !late.empty())
        print(late + '\n');
    print_asked(c, request, style);
    if (c.certainty) print_certainty(c, style);
    show(study::gauge_table(c, system));
    print_wrapped(study::gauge_note(), style);
    print_levers(c, style);
    print("\n");
    print_cautions(c, style);
}

/// What is read first, and last on the screen: cautions, the ranking, the verdict.
void print_short(const study::Comparison& c, bool cautions, const results::Style& style) {
    if (cautions) {
        std::vector<std::string> first;
        for (const study::Caution& caution : c.cautions)
            if (caution.first_read) first.push_back(caution.text);
        print("Cautions\n");
        print_list(first, style);
        print("\n");
    }
    print(results::render(study::short_table(c, style.units), style.table));
    print_list(study::short_notes(c, style.units), style);
    if (!c.ranking.empty() && !c.ranking.front().holds)
        print_levers(c, style, c.ranking.front().placement);
    print("\n");
    print_wrapped(c.verdict, style);
    print("\n");
}

}  // namespace

namespace {

/// One HDF5 file of all runs, each in a group of its placement and cycle.
void write_together(const std::filesystem::path& file, const std::vector<model::Result>& runs,
                    const std::vector<scenario::Scenario>& scenarios) {
    std::vector<results::TextFile> texts;
    for (const scenario::Scenario& scenario : scenarios)
        for (results::TextFile& text : origin_of(scenario).files) texts.push_back(std::move(text));
    std::vector<std::vector<results::LoopLimits>> limits;
    for (std::size_t i = 0; i < runs.size(); ++i)
        limits.push_back(results::limits_of(scenarios[i * scenarios.size() / runs.size()].car));
    results::write_results(file, runs, limits, texts);
}

/// Each placement with what the logs told of its car.
std::vector<scenario::Scenario> read_fitted(const Common& common, const CompareRequest& request) {
    const std::vector<std::filesystem::path> cycles(request.cycles.begin(), request.cycles.end());
    std::vector<scenario::Scenario> out;
    for (const std::string& file : request.files) {
        std::vector<std::string> left_out;
        out.push_back(scenario::read_with_fitted(file, request.fitted, cycles, left_out));
        if (!left_out.empty() && !common.quiet && !common.json)
            print(fmt::format("{} has no such numbers, so of these the logs say nothing here: {}\n",
                              file, fmt::join(left_out, ", ")));
    }
    return out;
}

void print_moved(const study::Comparison& before, const study::Comparison& after,
                 const results::Style& style) {
    print(results::render(study::moved_table(before, after, style.units), style.table) + '\n');
    print_wrapped(study::moved_words(before, after, style.units), style);
    print("\n");
}

}  // namespace

int compare(const Common& common, const CompareRequest& request) {
    std::vector<scenario::Scenario> scenarios = read_all(common, request.files, request.cycles);
    // The folder of results first: the page may be to go into it.
    if (!request.dry && (request.one_file.empty() || !request.draws.empty()))
        make_folder(common.out);
    require_target(request.page, "--page");
    require_target(request.one_file, "--one-file");
    std::optional<study::Comparison> before;
    if (!request.fitted.empty()) {
        const std::vector<scenario::Scenario> fitted = read_fitted(common, request);
        before = compared(common, request, scenarios, false);
        scenarios = fitted;
    }
    const study::Comparison c = compared(common, request, scenarios, true);
    const std::vector<model::Result> runs = named_results(c);

    std::vector<std::string> files;
    if (!request.dry && !request.one_file.empty()) {
        write_together(request.one_file, runs, scenarios);
        files.assign(runs.size(), request.one_file);
    } else if (!request.dry) {
        std::set<std::string> taken;
        for (std::size_t i = 0; i < runs.size(); ++i) {
            files.push_back(result_path(common.out, runs[i], taken).string());
            results::write_result(files.back(), runs[i], origin_of(scenarios[i / c.cycles.size()]));
        }
    }
    if (!request.dry && c.certainty) {
        files.push_back((common.out / draws_file).string());
        study::write_draws(files.back(), c.certainty->table);
    }
    if (!request.page.empty())
        results::write_whole(request.page, study::comparison_page(c, common.units));

    if (common.json) {
        print_compare(c, files, request.page, before ? &*before : nullptr);
    } else if (common.quiet) {
        for (const std::string& file : std::set<std::string>(files.begin(), files.end()))
            print(file + "\n");
    } else {
        const results::Style style = style_of(common);
        if (request.all)
            print_all(c, runs, request, style);
        else
            print_asked(c, request, style);
        print_short(c, !request.all, style);
        if (before) print_moved(*before, c, style_of(common));
        if (!request.dry && !request.one_file.empty())
            print(fmt::format("All runs are in {}; lapheat show tells what it holds.\n",
                              request.one_file));
        else if (!request.dry)
            print(
                fmt::format("{} result files are in {}; lapheat show FILE tells what one holds.\n",
                            files.size(), common.out.string()));
        if (!request.page.empty())
            print(fmt::format("The comparison as a page is in {}.\n", request.page));
        if (!request.all)
            print(
                "compare --all prints it in full: each cycle, what binds, costs, doubts, what to\n"
                "measure, what gauges should show, every caution.\n");
        print(results::estimate_notice());
    }
    if (unsettled(runs)) return run_failed;
    const bool held = !c.ranking.empty() && c.ranking.front().holds;
    return request.strict && !held ? over_limit : all_well;
}

}  // namespace lapheat::app
