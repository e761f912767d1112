// Where the pressure of each loop goes, and how its pumps are fed.
#include <algorithm>
#include <cmath>

#include "report_detail.hpp"

namespace lapheat::results {

using Q = units::Quantity;

std::string line_state_table(const model::Result& result, const Style& style) {
    if (result.lines.empty()) return "";
    TextTable table;
    const std::string pressure = unit_shown(Q::pressure, style);
    table.title = "Lines, at each fluid's least margin";
    table.columns = {{"part", Align::left, true},
                     {detail::with_unit("bore", Q::length, style), Align::right},
                     {detail::with_unit("speed", Q::speed, style), Align::right},
                     {"Reynolds", Align::right},
                     {"loss, " + pressure, Align::right},
                     {"of the pump", Align::right},
                     {"at most, " + pressure, Align::right}};
    // Line speeds are read in m/s or ft/s, not in what a car's speed is shown in.
    const bool us = style.units == units::System::us;
    table.columns[2].heading = us ? "speed, ft/s" : "speed, m/s";
    table.columns[1].heading = us ? "bore, inch" : "bore, mm";
    std::string loop;
    for (const model::LineState& l : result.lines) {
        if (l.loop != loop) {
            if (!loop.empty()) table.rows.emplace_back();
            loop = l.loop;
            table.rows.push_back({{loop, Tone::strong}});
        }
        const bool sized = l.inner_diameter > 0;
        table.rows.push_back(
            {{l.part + (l.kind == "hose" || l.kind == "tube" ? "" : " (" + l.kind + ")")},
             {sized ? detail::fixed(l.inner_diameter / (us ? 0.0254 : 1e-3), us ? 2 : 1) : "-"},
             {sized ? detail::fixed(std::abs(l.velocity) / (us ? 0.3048 : 1), 2) : "-"},
             {sized ? detail::fixed(l.reynolds, 0) : "-"},
             {detail::number(l.pressure_loss, Q::pressure, style, 2)},
             {detail::percent(l.share)},
             {detail::number(l.pressure_loss_peak, Q::pressure, style, 2)}});
    }
    return render(table, style.table);
}

std::string pump_table(const model::Result& result, const Style& style) {
    if (result.pumps.empty()) return "";
    TextTable table;
    const bool us = style.units == units::System::us;
    const double unit = us ? 0.3048 : 1;
    const std::string head = us ? ", ft" : ", m";
    table.title = "Pumps: suction head at the worst moment";
    table.columns = {{"pump", Align::left, true},
                     {"has" + head, Align::right},
                     {"needs" + head, Align::right},
                     {"margin" + head, Align::right},
                     {"at", Align::right},
                     {"inlet, abs. " + unit_shown(Q::pressure, style), Align::right},
                     {"cavitates", Align::right},
                     {"return at most, " + unit_shown(Q::pressure, style), Align::right}};
    for (const model::PumpState& p : result.pumps) {
        const auto verdict = std::find_if(result.verdicts.begin(), result.verdicts.end(),
                                          [&](const auto& v) { return v.loop == p.loop; });
        table.rows.push_back(
            {{p.loop + ", " + p.pump, Tone::strong},
             {detail::fixed(p.suction_available / unit, 1)},
             {detail::fixed(p.suction_required / unit, 1)},
             {detail::fixed(p.suction_margin / unit, 1),
              p.suction_margin < 0 ? Tone::bad : Tone::good},
             {clock(p.time)},
             {detail::number(p.inlet_pressure, Q::pressure, style, 0)},
             {p.time_cavitating > 0 ? clock(p.time_cavitating) : "-",
              p.time_cavitating > 0 ? Tone::bad : Tone::plain},
             {verdict == result.verdicts.end()
                  ? "-"
                  : detail::number(verdict->return_pressure, Q::pressure, style, 0)}});
    }
    return render(table, style.table);
}

}  // namespace lapheat::results
