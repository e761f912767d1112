// The run's records: events, ledger, cost, warnings.
#include <fmt/core.h>

#include <algorithm>

#include "lapheat/units/restate.hpp"
#include "report_detail.hpp"

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
        return fixed(energy / joules, decimals);
    }
    [[nodiscard]] std::string in_unit(const char* what) const {
        return fmt::format("{}, {}", what, unit);
    }
};

/// s from the last fault that began before `moment`, or from the start.
double after_fault(const model::Result& result, double moment) {
    double from = result.time.empty() ? 0 : result.time.front();
    for (const model::Event& e : result.events)
        if (e.kind == model::EventKind::fault_begins && e.time <= moment)
            from = std::max(from, e.time);
    return moment - from;
}

}  // namespace

std::string fault_lines(const model::Result& result, const Style& style) {
    std::string out, passed;
    for (const model::Event& e : result.events)
        if (e.kind == model::EventKind::fault_begins)
            out += detail::paragraph((e.time > 0 ? "from " + clock(e.time) : "from the start") +
                                         ", " + units::restated(e.subject, style.units),
                                     style, "Fault ", "      ");
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
    std::vector<std::string> loops;
    for (const model::Result& run : runs)
        for (const model::Verdict& v : run.verdicts)
            if (v.first_over >= 0 && std::find(loops.begin(), loops.end(), v.loop) == loops.end())
                loops.push_back(v.loop);
    if (loops.empty()) return {};
    TextTable table =
        detail::table_of_runs("Time to the limit, from the start or from the fault", loops);
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
                     {with_unit("at", Q::temperature, style.units), Align::right}};
    const std::size_t rows = most > 0 ? std::min(most, result.events.size()) : result.events.size();
    for (std::size_t i = 0; i < rows; ++i) {
        const model::Event& e = result.events[i];
        const Tone tone = e.kind == model::EventKind::over_limit ? Tone::bad : Tone::plain;
        table.rows.push_back(
            {{clock(e.time)},
             {model::name(e.kind), tone},
             {units::restated(e.subject, style.units)},
             {e.value > 0 ? in_units(e.value, Q::temperature, style.units, 1) : "-"}});
    }
    std::string out = render(table, style.table);
    if (rows < result.events.size())
        out += fmt::format("and {} more\n", result.events.size() - rows);
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
                        (all != 0 ? percent(s.joules / all) : "-");
        table.rows.push_back({{name, Tone::strong},
                              {energy.shown(all, style.units == units::System::us ? 1 : 2)},
                              {ways}});
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
                              {moved > 0 ? fixed(100 * joules / moved, 1) + " %" : "-"}});
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
    return render(table, style.table) +
           fmt::format("The ledger closes to {:.1e} of the heat moved.\n", result.ledger.closure);
}

std::string cost_line(const model::Result& result, const Style& style) {
    const model::RunCost& c = result.cost;
    const double hour = c.simulated_seconds > 0 ? c.wall_seconds * 3600 / c.simulated_seconds : 0;
    return detail::paragraph(
        fmt::format("Solved in {:.3g} ms ({:.3g} ms for each hour driven), {} right-hand sides; "
                    "ledger closes to {:.1e}",
                    1e3 * c.wall_seconds, 1e3 * hour, c.rhs_calls, result.ledger.closure),
        style, "", "  ");
}

std::string warning_lines(const model::Result& result, const Style& style) {
    std::string out;
    for (const Diagnostic& warning : result.warnings)
        out += detail::paragraph(words(warning, style.units), style, "Note: ", "      ");
    return out;
}

namespace {

/// "upper hose.end_bore" and "lower hose.end_bore" as wide as their lines: like parts say the same.
bool alike(const model::AssumedText& a, const model::AssumedText& b) {
    return a.text == b.text && a.key.find('.') != std::string::npos &&
           b.key.find('.') != std::string::npos &&
           detail::last_word(a.key) == detail::last_word(b.key);
}

}  // namespace

std::vector<std::string> other_assumptions(std::span<const model::AssumedText> assumptions,
                                           std::span<const model::AssumedNumber> numbers) {
    std::vector<std::pair<const model::AssumedText*, std::size_t>> told;  // and how many like it
    for (const model::AssumedText& text : assumptions) {
        const auto of_key = [&](const model::AssumedNumber& a) { return a.key == text.key; };
        if (!text.key.empty() && std::any_of(numbers.begin(), numbers.end(), of_key)) continue;
        if (!text.key.empty() && text.text.empty()) continue;
        const auto like = std::find_if(told.begin(), told.end(),
                                       [&](const auto& t) { return alike(*t.first, text); });
        if (like == told.end())
            told.emplace_back(&text, 0);
        else
            ++like->second;
    }
    std::vector<std::string> out;
    for (const auto& [text, more] : told)
        out.push_back(model::AssumedText{key_over(text->key), text->text}.words() +
                      (more > 0 ? fmt::format(" (and {} like it)", more) : ""));
    return out;
}

std::string assumption_lines(const model::Result& result, const Style& style) {
    if (result.assumptions.empty() && result.assumed.empty()) return "Nothing was assumed.\n";
    std::string out;
    if (!result.assumed.empty())
        out = render(assumed_table(result.assumed, style.units), style.table) + '\n';
    const std::vector<std::string> others = other_assumptions(result.assumptions, result.assumed);
    if (!others.empty()) out += "Besides, in words\n";
    for (const std::string& text : others)
        out += detail::paragraph(units::restated(text, style.units), style, "  - ", "    ");
    return out;
}

}  // namespace lapheat::results
