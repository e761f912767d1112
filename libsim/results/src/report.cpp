#include "lapheat/results/report.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "report_detail.hpp"

namespace lapheat::results {

using detail::fixed;
using detail::percent;
using detail::with_unit;
using Q = units::Quantity;

namespace detail {

std::string fixed(double x, int decimals) {
    if (!std::isfinite(x)) return x != x ? "nan" : x > 0 ? "inf" : "-inf";
    char text[64];
    std::snprintf(text, sizeof text, "%.*f", decimals, x);
    const std::string_view zeros = text;
    // No "-0.0".
    return zeros.front() == '-' && zeros.find_first_of("123456789") == std::string_view::npos
               ? std::string(zeros.substr(1))
               : std::string(zeros);
}

std::string percent(double share) { return fixed(100 * share, 0) + " %"; }

std::string number(double si, Q quantity, const Style& style, int decimals) {
    return fixed(units::to_display(si, quantity, style.units), decimals);
}

std::string with_unit(const std::string& words, Q quantity, const Style& style) {
    return words + ", " + unit_shown(quantity, style);
}

std::string peak(const model::Verdict& v, const Style& style) {
    if (v.boils >= 0) return "boils " + clock(v.boils);
    if (v.ruined >= 0) return "ruined " + clock(v.ruined);
    return number(v.peak, Q::temperature, style, 1);
}

TableCell margin_cell(double margin, const Style& style) {
    const Tone tone = margin < 0 ? Tone::bad : margin < close_margin ? Tone::warning : Tone::good;
    return {number(margin, Q::temperature_difference, style, 1), tone};
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

}  // namespace detail

std::string unit_shown(Q quantity, const Style& style) {
    std::string unit = units::display_unit(quantity, style.units);
    if (unit == "degC") return "°C";
    if (unit == "degF" || unit == "delta_degF") return "°F";
    return unit;
}

std::string shown(double si, Q quantity, const Style& style, int decimals) {
    const std::string unit = unit_shown(quantity, style);
    return detail::number(si, quantity, style, decimals) + (unit.empty() ? "" : " " + unit);
}

std::string clock(double seconds) {
    if (!std::isfinite(seconds)) return "-";
    const long whole = std::lround(std::max(seconds, 0.0));
    char text[32];
    if (whole >= 3600)
        std::snprintf(text, sizeof text, "%ld:%02ld:%02ld", whole / 3600, whole / 60 % 60,
                      whole % 60);
    else
        std::snprintf(text, sizeof text, "%ld:%02ld", whole / 60, whole % 60);
    return text;
}

std::string binds(const model::Verdict& v, bool in_coolant) {
    if (v.core.empty()) return "no core cools it";
    const double most = std::max({v.share_air, v.share_wall, v.share_liquid});
    if (most <= 0) return "no flow through the core";
    // Once the effectiveness is this high, more surface gives nothing: a stream carries all it can.
    if (v.effectiveness > 0.9)
        return "flow: the core takes nearly all that its weaker stream can carry";
    const char* cooled_by = in_coolant ? "coolant side" : "air side";
    const char* cooled = in_coolant ? "fluid side" : "liquid side";
    const char* side = most == v.share_air ? cooled_by : most == v.share_liquid ? cooled : "wall";
    return std::string(side) + ", " + percent(most) + " of the core's resistance";
}

bool cooled_by_coolant(const model::Result& result, const model::Verdict& verdict) {
    return !verdict.core.empty() &&
           std::any_of(result.series.begin(), result.series.end(), [&](const model::Series& s) {
               return s.name == "second_mass_flow" && s.group.substr(0, 6) == "cores/" &&
                      path_word(s.group.substr(6)) == path_word(verdict.core);
           });
}

const model::Verdict* tightest(const model::Result& result) noexcept {
    const auto least =
        std::min_element(result.verdicts.begin(), result.verdicts.end(),
                         [](const auto& a, const auto& b) { return a.margin < b.margin; });
    return least == result.verdicts.end() ? nullptr : &*least;
}

std::string heading(const model::Result& result, const Style& style) {
    const double duration = result.time.empty() ? result.cost.simulated_seconds
                                                : result.time.back() - result.time.front();
    const bool us = style.units == units::System::us;
    std::string out = result.placement + ", " + result.cycle + '\n';
    out += detail::paragraph(result.car + (result.summary.empty() ? "" : "; " + result.summary),
                             style, "", "");
    out += clock(duration) + " of driving, " + fixed(result.distance / (us ? 1609.344 : 1000), 1) +
           (us ? " miles" : " km") + "; fans used " +
           shown(result.fan_energy, Q::energy, style, 0) + ", at most " +
           shown(result.peak_fan_current, Q::electric_current, style, 0) + '\n';
    if (result.peak_current > 0)
        out += "With the other loads at most " +
               shown(result.peak_current, Q::electric_current, style, 0) +
               "; the alternator gives " +
               shown(result.idle_capacity, Q::electric_current, style, 0) + " at idle\n";
    return out;
}

std::string verdict_tables(const model::Result& result, const Style& style) {
    TextTable heat;
    heat.title = "Peak, least margin, and time over the limit and over the caution temperature";
    heat.columns = {{"fluid"},
                    {with_unit("peak", Q::temperature, style), Align::right},
                    {"at", Align::right},
                    {with_unit("limit", Q::temperature, style), Align::right},
                    {with_unit("margin", Q::temperature_difference, style), Align::right},
                    {"over", Align::right},
                    {"caution", Align::right},
                    {"in"}};
    TextTable core;
    core.title =
        "Mean flow; line loss and core at the moment of least margin, and the stream that cools it";
    core.columns = {{"fluid"},
                    {with_unit("flow", Q::volume_flow, style), Align::right},
                    {with_unit("loss", Q::pressure, style), Align::right},
                    {with_unit("heat", Q::power, style), Align::right},
                    {with_unit("stream", Q::mass_flow, style), Align::right},
                    {with_unit("entering at", Q::temperature, style), Align::right}};
    TextTable bound;
    bound.title = "What binds";
    bound.columns = {{"fluid"}, {"core"}, {"", Align::left, true}};
    const int air_decimals = style.units == units::System::us ? 1 : 3;
    for (const model::Verdict& v : result.verdicts) {
        heat.rows.push_back({{v.loop, Tone::strong},
                             {detail::peak(v, style)},
                             {v.peak_is_start() ? "start" : clock(v.peak_time)},
                             {detail::number(v.limit, Q::temperature, style, 1)},
                             detail::margin_cell(v.margin, style),
                             {v.time_over > 0 ? clock(v.time_over) : "-",
                              v.time_over > 0 ? Tone::bad : Tone::plain},
                             {v.time_over_caution > 0 ? clock(v.time_over_caution) : "-"},
                             {v.part}});
        const bool cooled = !v.core.empty();
        const auto if_cooled = [&](std::string text) {
            return TableCell{cooled ? std::move(text) : "-"};
        };
        core.rows.push_back(
            {{v.loop, Tone::strong},
             {detail::number(v.flow, Q::volume_flow, style, 1)},
             {detail::number(v.line_loss, Q::pressure, style, 1)},
             if_cooled(detail::number(v.core_heat, Q::power, style, 2)),
             if_cooled(detail::number(v.air_flow, Q::mass_flow, style, air_decimals)),
             if_cooled(detail::number(v.air_inlet, Q::temperature, style, 1))});
        bound.rows.push_back(
            {{v.loop, Tone::strong}, if_cooled(v.core), {binds(v, cooled_by_coolant(result, v))}});
    }
    std::string out = render(heat, style.table) + '\n' + render(core, style.table) + '\n' +
                      render(bound, style.table);
    for (const model::Verdict& v : result.verdicts)
        if (v.end_rate > 0)
            out += "Still rising at the end: " + v.loop + " by " +
                   shown(60 * v.end_rate, Q::temperature_difference, style, 2) + " a minute, " +
                   (v.heading > 0 ? "towards " + shown(v.heading, Q::temperature, style, 0)
                                  : "and no end of it can be told") +
                   '\n';
    for (const model::Verdict& v : result.verdicts)
        if (v.fluid_life_used > 0)
            out += "Life of the " + v.loop +
                   " fluid used in this run: " + fixed(100 * v.fluid_life_used, 2) + " %\n";
    return out;
}

std::string limit_table(std::span<const LoopLimits> limits, const Style& style) {
    TextTable table;
    table.title = "Limits";
    table.columns = {{"fluid"},
                     {with_unit("caution", Q::temperature, style), Align::right},
                     {with_unit("limit", Q::temperature, style), Align::right},
                     {"part"},
                     {"note", Align::left, true}};
    for (const LoopLimits& l : limits) {
        const auto kelvin = [&](double x) {
            return x > 0 ? detail::number(x, Q::temperature, style, 1) : "-";
        };
        std::string limit = kelvin(l.limits.limit);
        if (l.limits.boiling_reserve > 0)
            limit = "boiling - " +
                    detail::number(l.limits.boiling_reserve, Q::temperature_difference, style, 0);
        table.rows.push_back({{l.loop, Tone::strong},
                              {kelvin(l.limits.caution)},
                              {limit},
                              {l.limits.part.empty() ? "hottest" : l.limits.part},
                              {l.limits.note}});
    }
    return limits.empty() ? "" : render(table, style.table);
}

namespace {

/// Loops of all runs in the order first met; `cooled`: only those that a core cools somewhere.
std::vector<std::string> loops_of(std::span<const model::Result> runs, bool cooled) {
    std::vector<std::string> loops;
    for (const model::Result& run : runs)
        for (const model::Verdict& v : run.verdicts)
            if ((!cooled || !v.core.empty()) &&
                std::find(loops.begin(), loops.end(), v.loop) == loops.end())
                loops.push_back(v.loop);
    return loops;
}

const model::Verdict* verdict_of(const model::Result& run, const std::string& loop) {
    const auto v = std::find_if(run.verdicts.begin(), run.verdicts.end(),
                                [&](const model::Verdict& x) { return x.loop == loop; });
    return v == run.verdicts.end() ? nullptr : &*v;
}

}  // namespace

std::string comparison_table(std::span<const model::Result> runs, const Style& style,
                             std::span<const std::string> binding) {
    TextTable table;
    table.title = "Peak, " + unit_shown(Q::temperature, style) + " / margin, " +
                  unit_shown(Q::temperature_difference, style) +
                  " (=: only as hot as at the start; ^: still rising at the end)";
    table.columns = {{"placement", Align::left, true}, {"cycle", Align::left, true}};
    const std::vector<std::string> loops = loops_of(runs, false);
    for (const std::string& loop : loops) table.columns.push_back({loop, Align::right});
    table.columns.push_back({"over limit", Align::right});
    table.columns.push_back({with_unit("fans", Q::energy, style), Align::right});
    TextTable bound;
    bound.title = "What binds, at the moment of least margin";
    bound.columns = {
        {"placement", Align::left, true}, {"cycle", Align::left, true}, {"", Align::left, true}};
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
            margin.text = detail::peak(*v, style) +
                          (v->boils >= 0 || v->ruined >= 0 ? ""
                           : v->end_rate > 0               ? "^"
                           : v->peak_is_start()            ? "="
                                                           : "") +
                          " / " + (v->margin >= 0 ? "+" : "") + margin.text;
            row.push_back(std::move(margin));
            over = std::max(over, v->time_over);
        }
        row.push_back({over > 0 ? clock(over) : "-", over > 0 ? Tone::bad : Tone::plain});
        row.push_back({detail::number(run.fan_energy, Q::energy, style, 0)});
        const model::Verdict* least = tightest(run);
        table.rows.push_back(std::move(row));
        bound.rows.push_back(
            {{run.placement, Tone::strong},
             {run.cycle},
             {i < binding.size() ? binding[i]
              : least ? least->loop + ": " + binds(*least, cooled_by_coolant(run, *least))
                      : "-"}});
    }
    return render(table, style.table) + '\n' + render(bound, style.table);
}

std::string line_table(std::span<const model::Result> runs, const Style& style) {
    TextTable table;
    table.title = "Lines: mean flow, " + unit_shown(Q::volume_flow, style) + " / pressure loss, " +
                  unit_shown(Q::pressure, style) + " (at most)";
    table.columns = {{"placement", Align::left, true}, {"cycle", Align::left, true}};
    const std::vector<std::string> loops = loops_of(runs, true);
    for (const std::string& loop : loops) table.columns.push_back({loop, Align::right});
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (i > 0 && runs[i].placement != runs[i - 1].placement) table.rows.emplace_back();
        std::vector<TableCell> row = {{runs[i].placement, Tone::strong}, {runs[i].cycle}};
        for (const std::string& loop : loops) {
            const model::Verdict* v = verdict_of(runs[i], loop);
            row.push_back({v ? detail::number(v->flow, Q::volume_flow, style, 1) + " / " +
                                   detail::number(v->line_loss, Q::pressure, style, 1) + " (" +
                                   detail::number(v->line_loss_peak, Q::pressure, style, 1) + ")"
                             : "-"});
        }
        table.rows.push_back(std::move(row));
    }
    return render(table, style.table);
}

const char* estimate_notice() noexcept {
    return "An estimate, not a measurement: fit gauges and look at them before you trust it.\n";
}

}  // namespace lapheat::results
