// The tables of a study. Each is made here once, for the terminal and for the page.
#include "lapheat/study/report.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "lapheat/study/gauges.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TableCell, results::TextTable, results::Tone;
using units::Quantity, units::System;

/// What lines are cut by: "2.10 m", "6.9 ft".
std::string cut(double metres, System system) {
    const bool us = system == System::us;
    return results::fixed(metres / results::far_unit(system), us ? 1 : 2) + (us ? " ft" : " m");
}

double metres_of(const Ranked& r, const std::string& loop) {
    for (const auto& [name, length] : r.lines)
        if (name == loop) return length;
    return 0;
}

/// Loops whose lines the choice of a place changes, in the order first met.
std::vector<std::string> loops_with_other_lines(const std::vector<Ranked>& ranking) {
    std::vector<std::string> out;
    for (const Ranked& r : ranking)
        for (const auto& [loop, metres] : r.lines) {
            const auto differs = [&, &name = loop, &here = metres](const Ranked& other) {
                return std::abs(metres_of(other, name) - here) > 1e-6;
            };
            if (std::find(out.begin(), out.end(), loop) == out.end() &&
                std::any_of(ranking.begin(), ranking.end(), differs))
                out.push_back(loop);
        }
    return out;
}

}  // namespace

TextTable line_cost_table(const std::vector<LineCost>& costs, System system) {
    const bool us = system == System::us;
    const double unit = results::far_unit(system);
    const char* far = us ? "foot" : "metre";
    const auto kelvin = [&](double x) {
        return results::signed_fixed(units::to_display(x, Quantity::temperature_difference, system),
                                     3);
    };
    const auto flow = [&](double x) {
        return results::signed_fixed(units::to_display(x, Quantity::volume_flow, system), 4);
    };
    const std::string flow_lost = with_unit("flow lost", Quantity::volume_flow, system);
    TextTable table;
    if (!costs.empty())
        table.title = fmt::format("What lines cost, {} ({})", costs.front().cycle,
                                  unit_word(Quantity::temperature_difference, system));
    table.columns = {{"line", Align::left, true},
                     {"length", Align::right},
                     {fmt::format("peak, a {} more", far), Align::right},
                     {"margin lost", Align::right},
                     {flow_lost, Align::right},
                     {"peak, an elbow more", Align::right},
                     {"margin lost", Align::right},
                     {flow_lost, Align::right}};
    std::string loop;
    for (const LineCost& c : costs) {
        if (c.loop != loop) {
            if (!loop.empty()) table.rows.emplace_back();
            loop = c.loop;
            table.rows.push_back({{loop, Tone::strong}});
        }
        table.rows.push_back({{c.part},
                              {cut(c.length, system)},
                              {kelvin(unit * c.peak_per_metre)},
                              {kelvin(unit * c.margin_per_metre)},
                              {flow(unit * c.flow_per_metre)},
                              {kelvin(c.peak_per_bend)},
                              {kelvin(c.margin_per_bend)},
                              {flow(c.flow_per_bend)}});
    }
    return table;
}

const char* line_cost_note() noexcept {
    return "A line that sheds more heat than its loss of flow costs has a negative peak.\n"
           "Where fans switch on and off, a few tenths of a degree are chance. A longer\n"
           "coolant hose also holds more that swells into the same tank: the cap's\n"
           "pressure, and the margin to boiling, can rise with it.\n";
}

TextTable plumbing_table(const std::vector<PlumbingItem>& items, System system, bool totals) {
    TextTable table;
    table.title = totals ? "To buy" : "Part by part (hoses with 5 % for trimming)";
    table.columns = {{"what"},
                     {"size"},
                     {"cut", Align::right},
                     {"count", Align::right},
                     {with_unit("bears", Quantity::pressure, system), Align::right},
                     {with_unit("at", Quantity::temperature, system), Align::right},
                     {"kind", Align::left, true}};
    if (!totals) {
        table.columns.push_back({"for", Align::left, true});
        table.columns.push_back({"note", Align::left, true});
    }
    for (const PlumbingItem& item : items) {
        std::vector<TableCell> row = {
            {item.what},
            {item.size},
            {item.length > 0 ? cut(item.length, system) : ""},
            {item.length > 0 && item.count == 1 ? "" : fmt::format("{}", item.count)},
            {item.pressure > 0 ? in_units(item.pressure, Quantity::pressure, system, 0) : ""},
            {item.temperature > 0 ? in_units(item.temperature, Quantity::temperature, system, 0)
                                  : ""},
            {item.standard}};
        if (!totals) {
            row.push_back({item.loop + (item.part.empty() ? "" : ", " + item.part)});
            row.push_back({item.note});
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

TextTable ranking_table(const Comparison& c, System system) {
    TextTable table;
    table.title = c.faults ? "Faults, the one that loses least first" : "Ranking";
    table.columns = {{"", Align::right},
                     {c.faults ? "fault" : "placement", Align::left, true},
                     {with_unit("margin", Quantity::temperature_difference, system), Align::right},
                     {"where", Align::left, true},
                     {"over limits", Align::right},
                     {with_unit("fans", Quantity::energy, system), Align::right},
                     {"lines", Align::right},
                     {"why", Align::left, true}};
    const char* far = system == System::us ? "ft" : "m";
    for (std::size_t i = 0; i < c.ranking.size(); ++i) {
        const Ranked& r = c.ranking[i];
        const Tone tone = r.holds ? Tone::good : Tone::bad;
        const double margin =
            units::to_display(r.worst_margin, Quantity::temperature_difference, system);
        table.rows.push_back(
            {{fmt::format("{}", i + 1)},
             {r.placement, Tone::strong},
             {results::signed_fixed(margin, 1), tone},
             {r.worst_loop + ", " + r.worst_cycle},
             {r.time_over > 0 ? results::clock(r.time_over) : "-", tone},
             {in_units(r.fan_energy, Quantity::energy, system, 0)},
             {fmt::format("{:.1f} {}", r.line_length / results::far_unit(system), far)},
             {r.reason}});
    }
    return table;
}

TextTable cost_table(const Comparison& c, System system) {
    TextTable table;
    table.title = fmt::format(
        "What each place costs: coolant margin, {}; most current of the fans and of all loads "
        "against what there is at idle, A; lines, {}",
        unit_word(Quantity::temperature_difference, system), system == System::us ? "ft" : "m");
    table.columns = {{"placement", Align::left, true},
                     {"coolant", Align::right},
                     {"fans", Align::right},
                     {"all loads", Align::right},
                     {"at idle", Align::right}};
    const std::vector<std::string> loops = loops_with_other_lines(c.ranking);
    for (const std::string& loop : loops) table.columns.push_back({loop + " lines", Align::right});
    const auto amperes = [&](double x) {
        return in_units(x, Quantity::electric_current, system, 0);
    };
    for (const Ranked& r : c.ranking) {
        const bool costs = r.coolant_lost >= worth_a_word;
        std::vector<TableCell> row = {
            {r.placement, Tone::strong},
            {costs ? "-" + in_units(r.coolant_lost, Quantity::temperature_difference, system, 1)
                   : "none",
             costs ? Tone::warning : Tone::plain},
            {amperes(r.peak_fan_current)},
            {amperes(r.peak_current), r.current_shortfall > 0 ? Tone::warning : Tone::plain},
            {amperes(r.idle_capacity)}};
        for (const std::string& loop : loops) {
            const double metres = metres_of(r, loop);
            row.push_back(
                {metres > 0 ? results::fixed(metres / results::far_unit(system), 1) : "-"});
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

std::string hottest_words(const CycleOutcome& o, System system) {
    if (std::isnan(o.hottest_ambient)) return "-";
    const std::string said = say(o.hottest_ambient, Quantity::temperature, system);
    if (!o.hottest_beyond) return said;
    return (o.worst_margin >= 0 ? "above " : "below ") + said + " (the search ends there)";
}

TextTable hottest_table(const Comparison& c, System system) {
    TextTable table;
    table.title = with_unit("Hottest air that still holds", Quantity::temperature, system);
    table.columns = {{"placement", Align::left, true}};
    for (const std::string& cycle : c.cycles) table.columns.push_back({cycle, Align::right});
    for (std::size_t p = 0; p < c.placements.size(); ++p) {
        std::vector<TableCell> row = {{c.placements[p], Tone::strong}};
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            row.push_back({hottest_words(c.at(p, k), system)});
        table.rows.push_back(std::move(row));
    }
    return table;
}

TextTable gauge_table(const Comparison& c, System system) {
    TextTable table;
    if (c.ranking.empty()) return table;
    const std::string& first = c.ranking.front().placement;
    const std::size_t p = c.index_of(first);
    table.title = "What your gauges should show, " + first + ": mostly (hardly above)";
    table.columns = {{"fluid"}, {"felt at", Align::left, true}};
    for (const std::string& cycle : c.cycles)
        table.columns.push_back({with_unit(cycle, Quantity::temperature, system)});
    const auto degrees = [&](double t) { return in_units(t, Quantity::temperature, system, 0); };
    for (const GaugeReading& g : gauge_readings(c, p)) {
        auto row = std::find_if(table.rows.begin(), table.rows.end(), [&](const auto& cells) {
            return cells[0].text == plain_name(g.loop) && cells[1].text == plain_name(g.part);
        });
        if (row == table.rows.end()) {
            std::vector<TableCell> cells(table.columns.size());
            cells[0] = {plain_name(g.loop), Tone::strong};
            cells[1] = {plain_name(g.part)};
            row = table.rows.insert(row, std::move(cells));
        }
        const auto cycle = std::find(c.cycles.begin(), c.cycles.end(), g.cycle) - c.cycles.begin();
        (*row)[2 + static_cast<std::size_t>(cycle)].text =
            fmt::format("{} to {} ({})", degrees(g.low), degrees(g.high), degrees(g.most));
    }
    return table;
}

const char* gauge_note() noexcept {
    return "Mostly: for eight tenths of the time, in the middle of all cars drawn or the car as "
           "written. Hardly above: its highest, which with draws one car in twenty passes. A gauge "
           "that stands above that, or well below, says that the car is not as described: find out "
           "which before you rely on any margin.";
}

}  // namespace lapheat::study
