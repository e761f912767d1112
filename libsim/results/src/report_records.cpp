// The run's records: events, ledger, cost, warnings, and all of it as JSON.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "report_detail.hpp"
#include "verdict_fields.hpp"

namespace lapheat::results {

using Q = units::Quantity;
using Direction = model::LedgerEntry::Direction;

namespace {

/// Energies of a whole run: megajoules, or thousands of Btu.
struct LargeEnergy {
    const char* unit;
    double joules;

    explicit LargeEnergy(const Style& style)
        : unit(style.units == units::System::us ? "kBtu" : "MJ"),
          joules(style.units == units::System::us
                     ? 1e3 / units::to_display(1, Q::energy, units::System::us)
                     : 1e6) {}
    [[nodiscard]] std::string shown(double energy, int decimals) const {
        return detail::fixed(energy / joules, decimals);
    }
    [[nodiscard]] std::string in_unit(const char* what) const {
        return std::string(what) + ", " + unit;
    }
};

/// s from the last fault that began before `moment`, or from the start.
double after_fault(const model::Result& result, double moment) {
    double from = result.time.empty() ? 0 : result.time.front();
    for (const model::Event& e : result.events)
        if (e.kind == "fault begins" && e.time <= moment) from = std::max(from, e.time);
    return moment - from;
}

}  // namespace

std::string fault_lines(const model::Result& result, const Style& style) {
    std::string out, passed;
    for (const model::Event& e : result.events)
        if (e.kind == "fault begins")
            out += detail::paragraph(
                (e.time > 0 ? "from " + clock(e.time) : "from the start") + ", " + e.subject, style,
                "Fault ", "      ");
    const bool faulty = !out.empty();
    for (const model::Verdict& v : result.verdicts)
        if (v.first_over >= 0)
            passed += (passed.empty() ? "" : ", ") + v.loop + " after " +
                      clock(after_fault(result, v.first_over));
    if (!passed.empty())
        out += detail::paragraph(
            "to the limit" + std::string(faulty ? ", from the fault: " : ": ") + passed, style,
            "Time ", "     ");
    else if (faulty)
        out += "No fluid reaches its limit in this cycle.\n";
    return out;
}

std::string time_to_limit_table(std::span<const model::Result> runs, const Style& style) {
    TextTable table;
    table.title = "Time to the limit, from the start or from the fault";
    table.columns = {{"placement", Align::left, true}, {"cycle", Align::left, true}};
    std::vector<std::string> loops;
    for (const model::Result& run : runs)
        for (const model::Verdict& v : run.verdicts)
            if (v.first_over >= 0 && std::find(loops.begin(), loops.end(), v.loop) == loops.end())
                loops.push_back(v.loop);
    if (loops.empty()) return {};
    for (const std::string& loop : loops) table.columns.push_back({loop, Align::right});
    for (const model::Result& run : runs) {
        std::vector<TableCell> row = {{run.placement, Tone::strong}, {run.cycle}};
        bool any = false;
        for (const std::string& loop : loops) {
            TableCell cell{"-"};
            for (const model::Verdict& v : run.verdicts)
                if (v.loop == loop && v.first_over >= 0) {
                    cell = {clock(after_fault(run, v.first_over)), Tone::bad};
                    any = true;
                }
            row.push_back(std::move(cell));
        }
        if (any) table.rows.push_back(std::move(row));
    }
    return render(table, style.table);
}

std::string event_table(const model::Result& result, const Style& style, std::size_t most) {
    if (result.events.empty()) return "No events.\n";
    TextTable table;
    table.title = "Events";
    table.columns = {{"time", Align::right},
                     {"what"},
                     {"where", Align::left, true},
                     {detail::with_unit("at", Q::temperature, style), Align::right}};
    const std::size_t rows = most > 0 ? std::min(most, result.events.size()) : result.events.size();
    for (std::size_t i = 0; i < rows; ++i) {
        const model::Event& e = result.events[i];
        const Tone tone = e.kind == "over the limit" ? Tone::bad : Tone::plain;
        table.rows.push_back(
            {{clock(e.time)},
             {e.kind, tone},
             {e.subject},
             {e.value > 0 ? detail::number(e.value, Q::temperature, style, 1) : "-"}});
    }
    std::string out = render(table, style.table);
    if (rows < result.events.size())
        out += "and " + std::to_string(result.events.size() - rows) + " more\n";
    return out;
}

std::string source_table(const model::Result& result, const Style& style) {
    if (result.sources.empty()) return {};
    TextTable table;
    table.title = "Where heat is made (of the engine: what becomes of its fuel)";
    const LargeEnergy energy(style);
    table.columns = {{"source"}, {energy.unit, Align::right}, {"of it", Align::left, true}};
    std::vector<std::string> names;
    for (const model::HeatSource& s : result.sources)
        if (std::find(names.begin(), names.end(), s.source) == names.end())
            names.push_back(s.source);
    for (const std::string& name : names) {
        double all = 0;
        for (const model::HeatSource& s : result.sources)
            if (s.source == name && (name != "engine" || s.path == "fuel")) all += s.joules;
        std::string ways;
        for (const model::HeatSource& s : result.sources)
            if (s.source == name && s.path != "fuel")
                ways += (ways.empty() ? "" : ", ") + s.path + " " +
                        (all != 0 ? detail::percent(s.joules / all) : "-");
        table.rows.push_back({{name, Tone::strong}, {energy.shown(all, 2)}, {ways}});
    }
    return render(table, style.table);
}

std::string ledger_table(const model::Result& result, const Style& style) {
    TextTable table;
    table.title = "Where the heat came from and went";
    const LargeEnergy energy(style);
    table.columns = {{"way", Align::left, true},
                     {energy.in_unit("in"), Align::right},
                     {energy.in_unit("out"), Align::right},
                     {energy.in_unit("stored"), Align::right},
                     {energy.in_unit("within"), Align::right},
                     {"of what moved", Align::right}};
    const double moved = result.ledger.moved;
    const auto row = [&](const std::string& name, Direction direction, double joules, Tone tone) {
        const std::string text = energy.shown(joules, 3);
        const std::string none;
        table.rows.push_back({{name, tone},
                              {direction == Direction::in ? text : none},
                              {direction == Direction::out ? text : none},
                              {direction == Direction::stored ? text : none},
                              {direction == Direction::within ? text : none},
                              {moved > 0 ? detail::fixed(100 * joules / moved, 1) + " %" : "-"}});
    };
    for (const Direction direction :
         {Direction::in, Direction::out, Direction::stored, Direction::within})
        for (const model::LedgerEntry& e : result.ledger.entries)
            if (e.direction == direction && e.joules != 0)
                row(e.name, direction, e.joules, Tone::plain);
    table.rows.emplace_back();
    table.rows.push_back({{"all", Tone::strong},
                          {energy.shown(result.ledger.total(Direction::in), 3)},
                          {energy.shown(result.ledger.total(Direction::out), 3)},
                          {energy.shown(result.ledger.total(Direction::stored), 3)},
                          {""},
                          {""}});
    char closure[64];
    std::snprintf(closure, sizeof closure, "%.1e", result.ledger.closure);
    return render(table, style.table) + "The ledger closes to " + closure + " of the heat moved.\n";
}

std::string cost_line(const model::Result& result) {
    const model::RunCost& c = result.cost;
    const double hour = c.simulated_seconds > 0 ? c.wall_seconds * 3600 / c.simulated_seconds : 0;
    char text[200];
    std::snprintf(text, sizeof text,
                  "Solved in %.1f ms (%.1f ms for each hour driven), %zu right-hand sides; ledger "
                  "closes to %.1e\n",
                  1e3 * c.wall_seconds, 1e3 * hour, c.rhs_calls, result.ledger.closure);
    return text;
}

std::string warning_lines(const model::Result& result, const Style& style) {
    std::string out;
    for (const std::string& warning : result.warnings)
        out += detail::paragraph(warning, style, "Note: ", "      ");
    return out;
}

std::string assumption_lines(const model::Result& result, const Style& style) {
    std::string out;
    for (const std::string& text : result.assumptions)
        out += detail::paragraph(text, style, "  - ", "    ");
    return out.empty() ? "Nothing was assumed.\n" : "Assumed, for the files do not say:\n" + out;
}

Json to_json(const model::Result& result) {
    Json::Array verdicts, events, ledger, sources, phases, warnings, assumptions, lines, pumps;
    for (const model::Verdict& v : result.verdicts) {
        Json::Object o = {{"loop", v.loop},
                          {"part", v.part},
                          {"core", v.core},
                          {"note", v.note},
                          {"binds", binds(v, cooled_by_coolant(result, v))},
                          {"cooled_by", v.core.empty()                 ? ""
                                        : cooled_by_coolant(result, v) ? "coolant"
                                                                       : "air"}};
        for (const VerdictNumber& number : verdict_numbers)
            o.emplace_back(number.name, v.*number.member);
        verdicts.emplace_back(std::move(o));
    }
    for (const model::LineState& l : result.lines) {
        Json::Object o = {{"loop", l.loop}, {"run", l.run}, {"part", l.part}, {"kind", l.kind}};
        for (const auto& n : line_numbers) o.emplace_back(n.name, l.*n.member);
        lines.emplace_back(std::move(o));
    }
    for (const model::PumpState& p : result.pumps) {
        Json::Object o = {{"loop", p.loop}, {"pump", p.pump}};
        for (const auto& n : pump_numbers) o.emplace_back(n.name, p.*n.member);
        pumps.emplace_back(std::move(o));
    }
    for (const model::Event& e : result.events)
        events.emplace_back(Json::Object{
            {"time", e.time}, {"kind", e.kind}, {"subject", e.subject}, {"value", e.value}});
    for (const model::LedgerEntry& e : result.ledger.entries)
        ledger.emplace_back(Json::Object{{"name", e.name},
                                         {"direction", model::direction_name(e.direction)},
                                         {"joules", e.joules}});
    for (const model::HeatSource& s : result.sources)
        sources.emplace_back(
            Json::Object{{"source", s.source}, {"path", s.path}, {"joules", s.joules}});
    for (const auto& [start, name] : result.phases)
        phases.emplace_back(Json::Object{{"start", start}, {"name", name}});
    for (const std::string& w : result.warnings) warnings.emplace_back(w);
    for (const std::string& a : result.assumptions) assumptions.emplace_back(a);
    Json::Object cost;
    for (const CostCount& c : cost_counts)
        cost.emplace_back(c.name, static_cast<std::int64_t>(result.cost.*c.member));
    for (const CostNumber& c : cost_numbers) cost.emplace_back(c.name, result.cost.*c.member);
    const model::Verdict* least = tightest(result);
    return Json::Object{{"car", result.car},
                        {"placement", result.placement},
                        {"summary", result.summary},
                        {"cycle", result.cycle},
                        {"duration", result.cost.simulated_seconds},
                        {"distance", result.distance},
                        {"fan_energy", result.fan_energy},
                        {"peak_fan_current", result.peak_fan_current},
                        {"peak_current", result.peak_current},
                        {"idle_capacity", result.idle_capacity},
                        {"current_shortfall", result.current_shortfall},
                        {"battery_charge", result.battery_charge},
                        {"tightest_loop", least ? Json(least->loop) : Json()},
                        {"least_margin", least ? Json(least->margin) : Json()},
                        {"verdicts", std::move(verdicts)},
                        {"lines", std::move(lines)},
                        {"pumps", std::move(pumps)},
                        {"events", std::move(events)},
                        {"ledger", Json::Object{{"moved", result.ledger.moved},
                                                {"closure", result.ledger.closure},
                                                {"entries", std::move(ledger)}}},
                        {"sources", std::move(sources)},
                        {"phases", std::move(phases)},
                        {"cost", std::move(cost)},
                        {"warnings", std::move(warnings)},
                        {"assumptions", std::move(assumptions)}};
}

}  // namespace lapheat::results
