// Where the pressure of each loop goes, and how its pumps are fed.
#include <fmt/core.h>

#include <cmath>

#include "lapheat/results/binding.hpp"
#include "lapheat/units/constants.hpp"
#include "report_detail.hpp"

namespace lapheat::results {

using Q = units::Quantity;

std::string line_state_table(const model::Result& result, const Style& style) {
    if (result.lines.empty()) return "";
    TextTable table;
    const std::string pressure = unit_word(Q::pressure, style.units);
    table.title = "Lines, at each fluid's least margin";
    table.columns = {{"part", Align::left, true},
                     {with_unit("bore", Q::length, style.units), Align::right},
                     {with_unit("speed", Q::flow_speed, style.units), Align::right},
                     {"Reynolds", Align::right},
                     {"loss, " + pressure, Align::right},
                     {"of the pump", Align::right},
                     {"at most, " + pressure, Align::right}};
    const bool us = style.units == units::System::us;
    std::string loop;
    for (const model::LineState& l : result.lines) {
        if (l.loop != loop) {
            if (!loop.empty()) table.rows.emplace_back();
            loop = l.loop;
            table.rows.push_back({{loop, Tone::strong}});
        }
        const bool sized = l.inner_diameter > 0;
        table.rows.push_back(
            {{l.length > 0 ? l.part : fmt::format("{} ({})", l.part, l.kind)},
             {sized ? fixed(l.inner_diameter / (us ? constants::inch : 1e-3), us ? 2 : 1) : "-"},
             {sized ? fixed(std::abs(l.velocity) / far_unit(style.units), 2) : "-"},
             {sized ? fixed(l.reynolds, 0) : "-"},
             {in_units(l.pressure_loss, Q::pressure, style.units, 2)},
             {percent(l.share)},
             {in_units(l.pressure_loss_peak, Q::pressure, style.units, 2)}});
    }
    return render(table, style.table);
}

std::string pump_table(const model::Result& result, const Style& style) {
    if (result.pumps.empty()) return "";
    TextTable table;
    const bool us = style.units == units::System::us;
    const double unit = far_unit(style.units);
    const std::string head = us ? ", ft" : ", m";
    table.title = "Pumps: suction head at the worst moment";
    table.columns = {{"pump", Align::left, true},
                     {"has" + head, Align::right},
                     {"needs" + head, Align::right},
                     {"margin" + head, Align::right},
                     {"at", Align::right},
                     {"inlet, abs. " + unit_word(Q::pressure, style.units), Align::right},
                     {"cavitates", Align::right},
                     {"return at most, " + unit_word(Q::pressure, style.units), Align::right}};
    for (const model::PumpState& p : result.pumps) {
        const model::Verdict* verdict = verdict_of(result, p.loop);
        table.rows.push_back(
            {{p.loop + ", " + p.pump, Tone::strong},
             {fixed(p.suction_available / unit, 1)},
             {fixed(p.suction_required / unit, 1)},
             {fixed(p.suction_margin / unit, 1), p.suction_margin < 0 ? Tone::bad : Tone::good},
             {clock(p.time)},
             {in_units(p.inlet_pressure, Q::pressure, style.units, 0)},
             detail::time_over_cell(p.time_cavitating),
             {verdict ? in_units(verdict->return_pressure, Q::pressure, style.units, 0) : "-"}});
    }
    return render(table, style.table);
}

}  // namespace lapheat::results
