#include "lapheat/results/report.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "lapheat/heat/fluid_life.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/units/restate.hpp"
#include "report_detail.hpp"

namespace lapheat::results {

using Q = units::Quantity;

namespace detail {

TableCell margin_cell(double margin, const Style& style) {
    const Tone tone = margin < 0 ? Tone::bad : margin < close_margin ? Tone::warning : Tone::good;
    return {in_units(margin, Q::temperature_difference, style.units, 1), tone};
}

TableCell time_over_cell(double seconds) {
    return {seconds > 0 ? clock(seconds) : "-", seconds > 0 ? Tone::bad : Tone::plain};
}

std::string heat_words(double watts, const Style& style) {
    const double shown = units::to_display(watts, Q::heat_flow, style.units);
    if (style.units == units::System::si || std::abs(shown) < 10) return fixed(shown, 2);
    const double step = std::pow(10.0, std::floor(std::log10(std::abs(shown))) - 2);
    return fixed(std::round(shown / step) * step, 0);
}

std::string paragraph(const std::string& text, const Style& style, const std::string& first,
                      const std::string& next) {
    std::string out;
    const std::size_t width =
        style.table.width > first.size() + 20 ? style.table.width - first.size() : 96;
    for (const std::string& line : wrapped(text, width))
        out += (out.empty() ? first : next) + line + '\n';
    return out;
}

TextTable table_of_runs(std::string title, const std::vector<std::string>& loops) {
    TextTable table;
    table.title = std::move(title);
    table.columns = {{"placement", Align::left, true}, {"cycle", Align::left, true}};
    for (const std::string& loop : loops) table.columns.push_back({loop, Align::right});
    return table;
}

}  // namespace detail

std::string shown(double si, Q quantity, const Style& style, int decimals) {
    const std::string unit = unit_word(quantity, style.units);
    return in_units(si, quantity, style.units, decimals) + (unit.empty() ? "" : " " + unit);
}

std::string heading(const model::Result& result, const Style& style) {
    const double duration = result.time.empty() ? result.cost.simulated_seconds
                                                : result.time.back() - result.time.front();
    const bool us = style.units == units::System::us;
    std::string out = result.placement + ", " + result.cycle + '\n';
    out += detail::paragraph(result.car + (result.summary.empty() ? "" : "; " + result.summary),
                             style, "", "");
    out += fmt::format("{} of driving, {} {}; fans used {}, at most {}\n", clock(duration),
                       fixed(result.distance / (us ? 1609.344 : 1000), 1), us ? "miles" : "km",
                       shown(result.fan_energy, Q::energy, style, 0),
                       shown(result.peak_fan_current, Q::electric_current, style, 0));
    if (result.peak_current > 0)
        out += fmt::format("With the other loads at most {}; the alternator gives {} at idle\n",
                           shown(result.peak_current, Q::electric_current, style, 0),
                           shown(result.idle_capacity, Q::electric_current, style, 0));
    return out;
}

namespace {

/// The temperature at the moment of least margin; of a fluid that boils or is ruined when that
/// was, for no number beyond means anything.
std::string hottest(const model::Verdict& v, const Style& style) {
    if (v.boils >= 0) return "boils " + clock(v.boils);
    if (v.ruined >= 0) return "ruined " + clock(v.ruined);
    return in_units(v.hottest(), Q::temperature, style.units, 1);
}

/// Says that a fluid was hottest at the start, or that it is still rising.
const char* peak_mark(const model::Verdict& v) {
    if (v.boils >= 0 || v.ruined >= 0) return "";
    return v.end_rate > 0 ? "^" : v.peak_is_start() ? "=" : "";
}

constexpr double other_moment = 0.05;  // K by which a peak is another one than the least margin's

TextTable heat_table(const model::Result& result, const Style& style) {
    TextTable table;
    table.title =
        "The moment of least margin, and time over the limit and over the caution temperature";
    table.columns = {{"fluid"},
                     {with_unit("hottest", Q::temperature, style.units), Align::right},
                     {"at", Align::right},
                     {with_unit("limit", Q::temperature, style.units), Align::right},
                     {with_unit("margin", Q::temperature_difference, style.units), Align::right},
                     {"over", Align::right},
                     {"caution", Align::right},
                     {"in"}};
    for (const model::Verdict& v : result.verdicts)
        table.rows.push_back({{v.loop, Tone::strong},
                              {hottest(v, style)},
                              {v.peak_is_start() ? "start" : clock(v.margin_time)},
                              {in_units(v.limit, Q::temperature, style.units, 1)},
                              detail::margin_cell(v.margin, style),
                              detail::time_over_cell(v.time_over),
                              {v.time_over_caution > 0 ? clock(v.time_over_caution) : "-"},
                              {v.part}});
    return table;
}

TextTable core_table(const model::Result& result, const Style& style) {
    TextTable table;
    table.title =
        "Mean flow; line loss and core at the moment of least margin, and the stream that cools it";
    table.columns = {{"fluid"},
                     {with_unit("flow", Q::volume_flow, style.units), Align::right},
                     {with_unit("loss", Q::pressure, style.units), Align::right},
                     {with_unit("heat", Q::heat_flow, style.units), Align::right},
                     {with_unit("stream", Q::mass_flow, style.units), Align::right},
                     {with_unit("entering at", Q::temperature, style.units), Align::right}};
    const bool us = style.units == units::System::us;
    const int air_decimals = us ? 1 : 3;
    for (const model::Verdict& v : result.verdicts) {
        const auto if_cooled = [&](double si, Q quantity, int decimals) {
            return TableCell{v.core.empty() ? "-" : in_units(si, quantity, style.units, decimals)};
        };
        table.rows.push_back(
            {{v.loop, Tone::strong},
             {in_units(v.flow, Q::volume_flow, style.units, 1)},
             {in_units(v.line_loss, Q::pressure, style.units, 1)},
             TableCell{v.core.empty() ? "-" : detail::heat_words(v.core_heat, style)},
             if_cooled(v.air_flow, Q::mass_flow, air_decimals),
             if_cooled(v.air_inlet, Q::temperature, 1)});
    }
    return table;
}

/// What each fan did beside what is claimed of it.
TextTable fan_table(const model::Result& result, const Style& style) {
    TextTable table;
    table.title = "Fans: air moved while on, beside the free flow that is claimed";
    table.columns = {{"fan"},
                     {"on", Align::right},
                     {with_unit("mean", Q::air_flow, style.units), Align::right},
                     {"most", Align::right},
                     {"claimed", Align::right},
                     {"of it", Align::right},
                     {"watts", Align::right}};
    for (const model::FanState& f : result.fans) {
        const bool ran = f.duty > 0;
        const auto air = [&](double flow) { return in_units(flow, Q::air_flow, style.units, 0); };
        table.rows.push_back({{plain_name(f.fan), Tone::strong},
                              {percent(f.duty)},
                              {ran ? air(f.flow) : "-"},
                              {air(f.flow_peak)},
                              {air(f.claim)},
                              {ran && f.claim > 0 ? percent(f.flow / f.claim) : "-"},
                              {ran ? fixed(f.power, 0) : "-"}});
    }
    return table;
}

TextTable bound_table(const model::Result& result, const Style& style) {
    TextTable table;
    table.title = "What binds";
    table.columns = {{"fluid"}, {"core"}, {"", Align::left, true}};
    for (const model::Verdict& v : result.verdicts)
        table.rows.push_back({{v.loop, Tone::strong},
                              {v.core.empty() ? "-" : v.core},
                              {what_binds(v, style.units)}});
    return table;
}

}  // namespace

std::string verdict_tables(const model::Result& result, const Style& style) {
    std::string out = render(heat_table(result, style), style.table) + '\n' +
                      render(core_table(result, style), style.table) + '\n' +
                      render(bound_table(result, style), style.table);
    if (!result.fans.empty()) out += '\n' + render(fan_table(result, style), style.table);
    for (const model::Verdict& v : result.verdicts) {
        if (v.boils >= 0)
            out += fmt::format("{} boils at {}: it does not hold, whatever its margin.\n",
                               sentence_case(plain_name(v.loop)), clock(v.boils));
        if (v.limit - v.margin < v.peak - other_moment)
            out += fmt::format("{} peaks at {} at another moment, {}, under a higher limit.\n",
                               sentence_case(plain_name(v.loop)),
                               shown(v.peak, Q::temperature, style, 1), clock(v.peak_time));
    }
    out += detail::paragraph(limit_law(), style, "", "");
    for (const model::Verdict& v : result.verdicts)
        if (v.end_rate > 0)
            out += detail::paragraph(
                fmt::format("Still rising at the end: {} by {} a minute, {}", v.loop,
                            shown(60 * v.end_rate, Q::temperature_difference, style, 2),
                            v.heading > 0 ? "towards " + shown(v.heading, Q::temperature, style, 0)
                                          : std::string("and no end of it can be told")),
                style, "", "  ");
    for (const model::Verdict& v : result.verdicts)
        if (v.fluid_life_used > 0)
            out += fmt::format("Life of the {} fluid used in this run: {} %\n", v.loop,
                               fixed(100 * v.fluid_life_used, 2));
    for (const model::Verdict& v : result.verdicts)
        if (v.stands_peak > 0 && v.margin < 0) {
            const heat::FluidLife seals = v.role == model::LoopRole::steering
                                              ? heat::steering_seals()
                                              : heat::transmission_seals();
            out += detail::paragraph(
                fmt::format("What the {} touches stands the peak of {} for some {} ({} to {}, by "
                            "its rubber); this run took {} % of what it stands.",
                            plain_name(v.loop), shown(v.peak, Q::temperature, style, 0),
                            say_time(v.stands_peak), say_time(v.stands_peak * seals.least),
                            say_time(v.stands_peak * seals.most),
                            say_number(100 * v.seal_life_used)),
                style, "", "  ");
        }
    return out;
}

std::string limit_table(std::span<const LoopLimits> limits, const Style& style) {
    TextTable table;
    table.title = "Limits";
    table.columns = {{"fluid"},
                     {with_unit("caution", Q::temperature, style.units), Align::right},
                     {with_unit("limit", Q::temperature, style.units), Align::right},
                     {"part"},
                     {"note", Align::left, true}};
    for (const LoopLimits& l : limits) {
        const auto kelvin = [&](double x) {
            return x > 0 ? in_units(x, Q::temperature, style.units, 1) : "-";
        };
        std::string limit = kelvin(l.limits.limit);
        if (l.limits.boiling_reserve > 0)
            limit = "boiling - " +
                    in_units(l.limits.boiling_reserve, Q::temperature_difference, style.units, 0);
        table.rows.push_back({{l.loop, Tone::strong},
                              {kelvin(l.limits.caution)},
                              {limit},
                              {l.limits.part.empty() ? "hottest" : l.limits.part},
                              {units::restated(l.limits.note, style.units)}});
    }
    return limits.empty() ? "" : render(table, style.table);
}

std::string comparison_table(std::span<const model::Result> runs, const Style& style,
                             std::span<const std::string> left_out) {
    const std::vector<std::string> loops = loops_of(runs);
    TextTable table = detail::table_of_runs(
        fmt::format("At the moment of least margin: temperature, {} / margin, {} (=: hottest at "
                    "the start; ^: still rising at the end)",
                    unit_word(Q::temperature, style.units),
                    unit_word(Q::temperature_difference, style.units)),
        loops);
    table.columns.push_back({"over limit", Align::right});
    table.columns.push_back({with_unit("fans", Q::energy, style.units), Align::right});
    TextTable bound = detail::table_of_runs("What binds, at the moment of least margin", {});
    bound.columns.push_back({"", Align::left, true});
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const model::Result& run = runs[i];
        if (i > 0 && run.placement != runs[i - 1].placement) table.rows.emplace_back();
        std::vector<TableCell> row = {{run.placement, Tone::strong}, {run.cycle}};
        double over = 0;
        for (const std::string& loop : loops) {
            const model::Verdict* v = verdict_of(run, loop);
            if (v == nullptr) {
                row.push_back({"-"});
                continue;
            }
            TableCell margin = detail::margin_cell(v->margin, style);
            margin.text = fmt::format("{}{} / {}{}", hottest(*v, style), peak_mark(*v),
                                      v->margin >= 0 ? "+" : "", margin.text);
            if (!v->holds()) margin.tone = Tone::bad;
            row.push_back(std::move(margin));
            over = std::max(over, v->time_over);
        }
        row.push_back(detail::time_over_cell(over));
        row.push_back({in_units(run.fan_energy, Q::energy, style.units, 0)});
        table.rows.push_back(std::move(row));
        const std::string binds = fluid_and_what_binds(tightest(run, left_out), style.units);
        bound.rows.push_back(
            {{run.placement, Tone::strong}, {run.cycle}, {binds.empty() ? "-" : binds}});
    }
    return render(table, style.table) + '\n' + render(bound, style.table);
}

std::string line_table(std::span<const model::Result> runs, const Style& style) {
    const std::vector<std::string> loops = loops_of(runs, true);
    TextTable table = detail::table_of_runs(
        fmt::format("Lines: mean flow, {} / pressure loss, {} (at most)",
                    unit_word(Q::volume_flow, style.units), unit_word(Q::pressure, style.units)),
        loops);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (i > 0 && runs[i].placement != runs[i - 1].placement) table.rows.emplace_back();
        std::vector<TableCell> row = {{runs[i].placement, Tone::strong}, {runs[i].cycle}};
        for (const std::string& loop : loops) {
            const model::Verdict* v = verdict_of(runs[i], loop);
            row.push_back(
                {v ? fmt::format("{} / {} ({})", in_units(v->flow, Q::volume_flow, style.units, 1),
                                 in_units(v->line_loss, Q::pressure, style.units, 1),
                                 in_units(v->line_loss_peak, Q::pressure, style.units, 1))
                   : "-"});
        }
        table.rows.push_back(std::move(row));
    }
    return render(table, style.table);
}

const char* limit_law() noexcept {
    return "A limit belongs to the loop, not to the run: coolant is held to its reserve below the "
           "temperature at which the loop, warmed as a whole, would boil under its cap; so hotter "
           "never has more margin.";
}

const char* estimate_notice() noexcept {
    return "An estimate, not a measurement: fit gauges and look at them before you trust it.\n";
}

}  // namespace lapheat::results
