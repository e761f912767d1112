// lapheat compare: placements side by side.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "commands.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/page.hpp"
#include "line_report.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

using Q = units::Quantity;

std::string ranking_table(const study::Comparison& c, const results::Style& style) {
    results::TextTable table;
    table.title = "Ranking, by the least margin over all cycles";
    using results::Align;
    table.columns = {
        {"", Align::right},
        {"placement", Align::left, true},
        {"margin, " + results::unit_shown(Q::temperature_difference, style), Align::right},
        {"where", Align::left, true},
        {"over limits", Align::right},
        {"fans, " + results::unit_shown(Q::energy, style), Align::right},
        {"lines", Align::right},
        {"why", Align::left, true}};
    for (std::size_t i = 0; i < c.ranking.size(); ++i) {
        const study::Ranked& r = c.ranking[i];
        const results::Tone tone = r.holds ? results::Tone::good : results::Tone::bad;
        const bool us = style.units == units::System::us;
        char length[32];
        std::snprintf(length, sizeof length, us ? "%.1f ft" : "%.1f m",
                      r.line_length / (us ? 0.3048 : 1.0));
        char energy[32];
        std::snprintf(energy, sizeof energy, "%.0f",
                      units::to_display(r.fan_energy, Q::energy, style.units));
        char margin[32];
        std::snprintf(margin, sizeof margin, "%+.1f",
                      units::to_display(r.worst_margin, Q::temperature_difference, style.units));
        table.rows.push_back(
            {{std::to_string(i + 1)},
             {r.placement, results::Tone::strong},
             {margin, tone},
             {r.worst_loop + ", " + r.worst_cycle},
             {r.total_time_over > 0 ? results::clock(r.total_time_over) : "-", tone},
             {energy},
             {length},
             {r.reason}});
    }
    return results::render(table, style.table);
}

/// What each place costs beside margin: coolant margin, amperes, lines.
std::string cost_table(const study::Comparison& c, const results::Style& style) {
    results::TextTable table;
    const bool us = style.units == units::System::us;
    table.title = "What each place costs: coolant margin, " +
                  results::unit_shown(Q::temperature_difference, style) +
                  "; most current of the fans and of all loads against what there is at idle, A; "
                  "lines, " +
                  (us ? "ft" : "m");
    using results::Align;
    table.columns = {{"placement", Align::left, true},
                     {"coolant", Align::right},
                     {"fans", Align::right},
                     {"all loads", Align::right},
                     {"at idle", Align::right}};
    const auto metres_of = [](const study::Ranked& r, const std::string& loop) {
        for (const auto& [name, length] : r.lines)
            if (name == loop) return length;
        return 0.0;
    };
    // Only the loops whose lines the choice of a place changes.
    std::vector<std::string> loops;
    for (const study::Ranked& r : c.ranking)
        for (const auto& line : r.lines)
            if (std::find(loops.begin(), loops.end(), line.first) == loops.end() &&
                std::any_of(c.ranking.begin(), c.ranking.end(), [&](const study::Ranked& other) {
                    return std::abs(metres_of(other, line.first) - line.second) > 1e-6;
                }))
                loops.push_back(line.first);
    for (const std::string& loop : loops) table.columns.push_back({loop + " lines", Align::right});
    const auto fixed = [](double x, int decimals) {
        char text[32];
        std::snprintf(text, sizeof text, "%.*f", decimals, x);
        return std::string(text);
    };
    for (const study::Ranked& r : c.ranking) {
        const double lost =
            units::to_display(r.coolant_lost, Q::temperature_difference, style.units);
        const bool costs = r.coolant_lost >= study::margin_tie;
        std::vector<results::TableCell> row = {
            {r.placement, results::Tone::strong},
            {costs ? "-" + fixed(lost, 1) : "none",
             costs ? results::Tone::warning : results::Tone::plain},
            {fixed(r.peak_fan_current, 0)},
            {fixed(r.peak_current, 0),
             r.current_shortfall > 0 ? results::Tone::warning : results::Tone::plain},
            {fixed(r.idle_capacity, 0)}};
        for (const std::string& loop : loops) {
            const double metres = metres_of(r, loop);
            row.push_back({metres > 0 ? fixed(metres / (us ? 0.3048 : 1.0), 1) : "-"});
        }
        table.rows.push_back(std::move(row));
    }
    return results::render(table, style.table);
}

std::string caution_lines(const study::Comparison& c, std::size_t width) {
    std::string out, about;
    for (const study::Caution& caution : c.cautions) {
        if (caution.about != about) out += (out.empty() ? "" : "\n") + caution.about + "\n";
        about = caution.about;
        std::string lead = "  - ";
        for (const std::string& line : results::wrapped(caution.text, width - lead.size())) {
            out += lead + line + '\n';
            lead = "    ";
        }
    }
    return out + '\n';
}

std::string hottest_table(const study::Comparison& c, const results::Style& style) {
    results::TextTable table;
    table.title = "Hottest air that still holds, " + results::unit_shown(Q::temperature, style);
    table.columns = {{"placement", results::Align::left, true}};
    for (const std::string& cycle : c.cycles)
        table.columns.push_back({cycle, results::Align::right});
    for (std::size_t p = 0; p < c.placements.size(); ++p) {
        std::vector<results::TableCell> row = {{c.placements[p], results::Tone::strong}};
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            row.push_back({results::shown(c.at(p, k).hottest_ambient, Q::temperature, style, 0)});
        table.rows.push_back(std::move(row));
    }
    return results::render(table, style.table);
}

std::string sensitivity_lines(const study::Comparison& c) {
    std::string out = "Uncertain assumptions, taken to the ends of their ranges:\n";
    for (const study::Sensitivity& s : c.sensitivity) {
        char range[160];
        std::snprintf(range, sizeof range, "%.3g (%.3g to %.3g) moves the margin by %.1f K",
                      s.value, s.low, s.high, std::abs(s.swing));
        out += "  - " + s.place + ", " + s.assumption + ": " + range +
               (!s.changes_winner ? std::string("; the winner stays")
                : s.only_ties     ? std::string("; the winner stays, in a tie")
                              : "; the winner would be " + s.winner_low + " or " + s.winner_high) +
               "\n";
    }
    return out;
}

results::Json by_name(const std::vector<std::pair<std::string, double>>& numbers) {
    results::Json::Object out;
    for (const auto& [name, value] : numbers) out.emplace_back(name, value);
    return out;
}

results::Json sensitivity_json(const study::Comparison& c) {
    results::Json::Array out;
    for (const study::Sensitivity& s : c.sensitivity)
        out.emplace_back(results::Json::Object{{"place", s.place},
                                               {"assumption", s.assumption},
                                               {"value", s.value},
                                               {"low", s.low},
                                               {"high", s.high},
                                               {"source", s.source},
                                               {"placement", s.placement},
                                               {"swing", s.swing},
                                               {"margin_low", s.margin_low},
                                               {"margin_high", s.margin_high},
                                               {"winner_low", s.winner_low},
                                               {"winner_high", s.winner_high},
                                               {"changes_winner", s.changes_winner},
                                               {"only_ties", s.only_ties}});
    return out;
}

results::Json ranking_json(const study::Comparison& c) {
    results::Json::Array out;
    for (const study::Ranked& r : c.ranking)
        out.emplace_back(results::Json::Object{{"placement", r.placement},
                                               {"holds", r.holds},
                                               {"worst_margin", r.worst_margin},
                                               {"worst_cycle", r.worst_cycle},
                                               {"worst_loop", r.worst_loop},
                                               {"time_over", r.total_time_over},
                                               {"fan_energy", r.fan_energy},
                                               {"line_length", r.line_length},
                                               {"lines", by_name(r.lines)},
                                               {"coolant_lost", r.coolant_lost},
                                               {"peak_fan_current", r.peak_fan_current},
                                               {"peak_current", r.peak_current},
                                               {"idle_capacity", r.idle_capacity},
                                               {"current_shortfall", r.current_shortfall},
                                               {"reason", r.reason}});
    return out;
}

/// What a foot and an elbow of each line cost, and what to buy, for each placement.
results::Json costs_json(const study::Comparison& c) {
    results::Json::Array out;
    for (std::size_t p = 0; p < c.line_costs.size(); ++p)
        out.emplace_back(results::Json::Object{{"placement", c.placements[p]},
                                               {"lines", line_cost_json(c.line_costs[p])}});
    return out;
}

results::Json all_plumbing_json(const study::Comparison& c) {
    results::Json::Array out;
    for (std::size_t p = 0; p < c.cars.size(); ++p)
        out.emplace_back(results::Json::Object{
            {"placement", c.placements[p]}, {"items", plumbing_json(study::plumbing(c.cars[p]))}});
    return out;
}

study::Comparison compared(const Common& common, const CompareRequest& request,
                           const std::vector<scenario::Scenario>& scenarios) {
    study::CompareOptions options;
    options.threads = request.threads;
    options.sensitivity = request.sensitivity;
    options.hottest_ambient = request.hottest;
    options.line_costs = request.lines;
    options.system = common.units;
    options.cancel = &interrupted();
    Progress progress("placements", 1000, common.quiet || common.json);
    std::size_t shown = 0;
    options.progress = moves(progress, shown, 0, 1);
    try {
        return study::compare(scenarios, options);
    } catch (const Error& e) {
        // Cycles that differ are the input's fault; the rest happened on the way.
        if (e.expected().empty() || interrupted()) throw RunFailure(e.what());
        throw;
    }
}

}  // namespace

int compare(const Common& common, const CompareRequest& request) {
    const std::vector<scenario::Scenario> scenarios =
        read_all(common, request.files, request.cycles);
    const results::Style style = style_of(common);
    const study::Comparison c = compared(common, request, scenarios);

    std::vector<model::Result> runs;
    std::vector<std::string> binding, files;
    std::set<std::string> taken;
    if (!request.dry) make_folder(common.out);
    for (std::size_t i = 0; i < c.outcomes.size(); ++i) {
        runs.push_back(c.outcomes[i].result);
        runs.back().placement = c.outcomes[i].placement;
        binding.push_back(c.outcomes[i].binding);
        if (request.dry) continue;
        files.push_back(result_path(common.out, runs.back(), taken).string());
        results::write_result(files.back(), runs.back(), origin_of(scenarios[i / c.cycles.size()]));
    }
    if (!request.page.empty())
        results::write_text(request.page, study::comparison_page(c, common.units));

    if (common.json) {
        results::Json::Array listed, cautions;
        for (std::size_t i = 0; i < runs.size(); ++i) {
            results::Json json = results::to_json(runs[i]);
            auto& object = std::get<results::Json::Object>(json.value);
            object.emplace_back("binding", binding[i]);
            object.emplace_back("coolant_lost", c.outcomes[i].coolant_lost);
            object.emplace_back("hottest_ambient", c.outcomes[i].hottest_ambient);
            object.emplace_back("file", request.dry ? results::Json() : results::Json(files[i]));
            listed.push_back(std::move(json));
        }
        for (const study::Caution& caution : c.cautions)
            cautions.emplace_back(
                results::Json::Object{{"about", caution.about}, {"text", caution.text}});
        print_json(results::Json::Object{
            {"report", "compare"},
            {"lapheat", results::version()},
            {"verdict", c.verdict},
            {"ranking", ranking_json(c)},
            {"sensitivity", sensitivity_json(c)},
            {"runs", std::move(listed)},
            {"line_costs", costs_json(c)},
            {"plumbing", all_plumbing_json(c)},
            {"cautions", std::move(cautions)},
            {"page", request.page.empty() ? results::Json() : results::Json(request.page)}});
    } else if (common.quiet) {
        for (const std::string& file : files) print(file + "\n");
    } else {
        const std::size_t width = style.table.width;
        std::string out = results::comparison_table(runs, style, binding) + '\n' +
                          results::line_table(runs, style) + '\n' + ranking_table(c, style) + '\n' +
                          cost_table(c, style) + '\n';
        if (const std::string late = results::time_to_limit_table(runs, style); !late.empty())
            out += late + '\n';
        if (request.hottest) out += hottest_table(c, style) + '\n';
        for (std::size_t p = 0; p < c.line_costs.size(); ++p)
            out += c.placements[p] + "\n" + line_cost_table(c.line_costs[p], style) + '\n';
        if (!c.sensitivity.empty()) out += sensitivity_lines(c) + '\n';
        for (const std::string& line : results::wrapped(c.verdict, width)) out += line + '\n';
        out += '\n';
        out += caution_lines(c, width);
        if (!request.dry)
            out += std::to_string(files.size()) + " result files are in " + common.out.string() +
                   "; lapheat show FILE tells what one holds.\n";
        if (!request.page.empty()) out += "The comparison as a page is in " + request.page + ".\n";
        print(out + results::estimate_notice());
    }
    const bool held = !c.ranking.empty() && c.ranking.front().holds;
    return request.strict && !held ? over_limit : all_well;
}

}  // namespace lapheat::app
