#include "lapheat/study/page.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "internal.hpp"
#include "lapheat/results/report.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace page {

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') out += c;
        }
    }
    return out;
}

}  // namespace page

namespace {

using page::escaped;
using units::Quantity;
using units::System;

// Bytes for all plots together; a point takes about twelve, limits and text the rest.
constexpr std::size_t plot_budget = 550'000, bytes_per_point = 12;
constexpr std::size_t fewest_points = 24, most_points = 300;

std::string kelvins(double x, System system) {
    return say(x, Quantity::temperature_difference, system);
}

std::string paragraph(const std::string& text) { return "<p>" + escaped(text) + "</p>"; }

/// The first sentence is what a hurried reader takes along.
std::string verdict_paragraph(const std::string& text) {
    const std::size_t end = text.find(". ");
    if (end == std::string::npos) return "<p><strong>" + escaped(text) + "</strong></p>";
    return "<p><strong>" + escaped(text.substr(0, end + 1)) + "</strong>" +
           escaped(text.substr(end + 1)) + "</p>";
}

std::string list(const std::vector<std::string>& items, const std::string& css) {
    std::string out = "<ul class=\"" + css + "\">";
    for (const std::string& item : items) out += "<li>" + escaped(sentence_case(item)) + "</li>";
    return out + "</ul>";
}

/// The least margin of a loop over all cycles.
double least(const Comparison& c, std::size_t p, const std::string& loop) {
    double margin = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < c.cycles.size(); ++k)
        if (const auto* v = verdict_of(c.at(p, k).result, loop))
            margin = std::min(margin, v->margin);
    return margin;
}

std::vector<std::string> all_loops(const Comparison& c) {
    std::vector<std::string> out;
    for (const CycleOutcome& o : c.outcomes)
        for (const model::Verdict& v : o.result.verdicts)
            if (std::find(out.begin(), out.end(), v.loop) == out.end()) out.push_back(v.loop);
    return out;
}

std::size_t index_of(const Comparison& c, const std::string& placement) {
    return static_cast<std::size_t>(std::find(c.placements.begin(), c.placements.end(), placement) -
                                    c.placements.begin());
}

std::string ranking(const Comparison& c, System system) {
    const auto loops = all_loops(c);
    double low = 0, high = 1;
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        for (const std::string& loop : loops)
            if (const double m = least(c, p, loop); std::isfinite(m)) {
                low = std::min(low, m);
                high = std::max(high, m);
            }
    std::string out = "<ol class=\"rank\">";
    for (std::size_t i = 0; i < c.ranking.size(); ++i) {
        const Ranked& r = c.ranking[i];
        const std::size_t p = index_of(c, r.placement);
        out += "<li><h3>" + std::to_string(i + 1) + ". " + escaped(sentence_case(r.placement)) +
               "</h3>";
        if (p < c.cars.size() && !c.cars[p].summary.empty()) out += paragraph(c.cars[p].summary);
        out += std::string("<p class=\"state ") + (r.holds ? "yes\">Holds" : "no\">Does not hold") +
               "</p>" + paragraph(r.reason) +
               "<table class=\"bars\"><caption>Least margin of each fluid over all "
               "cycles</caption><tbody>";
        for (const std::string& loop : loops) {
            const double m = least(c, p, loop);
            if (!std::isfinite(m)) continue;
            out += "<tr><th scope=\"row\" class=\"" + page::fluid_class(loop) + "\">" +
                   escaped(plain_name(loop)) + "</th><td>" +
                   page::margin_bar(m, low, high, page::fluid_class(loop)) + "</td><td>" +
                   escaped(kelvins(m, system)) + "</td></tr>";
        }
        out += "</tbody></table><p><small>Fans " +
               escaped(say(r.fan_energy, Quantity::energy, system)) + ", at most " +
               escaped(say(r.peak_fan_current, Quantity::electric_current, system));
        if (r.current_shortfall > 0)
            out += " (at worst " +
                   escaped(say(r.current_shortfall, Quantity::electric_current, system)) +
                   " more in all than the alternator gives)";
        std::string lines;
        for (const auto& [loop, metres] : r.lines)
            lines +=
                (lines.empty() ? ": " : ", ") + plain_name(loop) + " " + say_length(metres, system);
        out += "; lines " + escaped(say_length(r.line_length, system) + lines);
        if (r.coolant_lost >= margin_tie)
            out += "; gives up " + escaped(kelvins(r.coolant_lost, system)) +
                   " of coolant margin against the best place, at most";
        out += ".</small></p></li>";
    }
    return out + "</ol>";
}

std::string fluid_cell(const model::Verdict* v, System system) {
    if (!v) return "<td>none</td>";
    std::string out = std::string("<td><strong") + (v->margin < 0 ? " class=\"no\"" : "") + ">" +
                      escaped(v->margin < 0 ? kelvins(-v->margin, system) + " over"
                                            : kelvins(v->margin, system)) +
                      "</strong><br><small>peak " +
                      escaped(say(v->peak, Quantity::temperature, system));
    if (v->time_over > 0) out += "<br>over for " + escaped(say_time(v->time_over));
    out += "<br>" + escaped(say(v->flow, Quantity::volume_flow, system)) + "<br>lines " +
           escaped(say(v->line_loss, Quantity::pressure, system)) + "</small></td>";
    return out;
}

std::string hottest_words(const CycleOutcome& o, System system) {
    std::string said = say(o.hottest_ambient, Quantity::temperature, system);
    if (!o.hottest_beyond) return said;
    return (o.worst_margin >= 0 ? "above " : "below ") + said;
}

std::string outcome_table(const Comparison& c, std::size_t k, System system) {
    const bool hottest =
        std::any_of(c.outcomes.begin(), c.outcomes.end(),
                    [](const CycleOutcome& o) { return !std::isnan(o.hottest_ambient); });
    const auto loops = all_loops(c);
    const std::string title = sentence_case(c.cycles[k]);
    std::string out = "<h3>" + escaped(title) +
                      "</h3><div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"" +
                      escaped(title) + ": results\"><table><caption class=\"vh\">Margins in " +
                      escaped(c.cycles[k]) +
                      "</caption><thead><tr><th scope=\"col\">Placement</th>";
    for (const std::string& loop : loops)
        out += "<th scope=\"col\" class=\"" + page::fluid_class(loop) + "\">" +
               escaped(sentence_case(plain_name(loop))) + "</th>";
    out += "<th scope=\"col\">Coolant margin given up</th><th scope=\"col\">Fan energy</th>";
    if (hottest) out += "<th scope=\"col\">Hottest day that holds</th>";
    out += "</tr></thead><tbody>";
    std::string binds;
    for (const Ranked& r : c.ranking) {
        const std::size_t p = index_of(c, r.placement);
        if (p >= c.placements.size()) continue;
        const CycleOutcome& o = c.at(p, k);
        out += "<tr><th scope=\"row\">" + escaped(sentence_case(r.placement)) + "</th>";
        for (const std::string& loop : loops) out += fluid_cell(verdict_of(o.result, loop), system);
        out += "<td>" +
               escaped(o.coolant_lost < margin_tie ? "none" : kelvins(o.coolant_lost, system)) +
               "</td><td>" + escaped(say(o.result.fan_energy, Quantity::energy, system)) + "</td>";
        if (hottest) out += "<td>" + escaped(hottest_words(o, system)) + "</td>";
        out += "</tr>";
        binds += "<dt>" + escaped(sentence_case(r.placement)) + "</dt><dd>" + escaped(o.binding) +
                 ".</dd>";
    }
    return out + "</tbody></table></div><h4>What binds in " + escaped(c.cycles[k]) + "</h4><dl>" +
           binds + "</dl>";
}

std::string plots(const Comparison& c, System system) {
    const page::Axis axis = page::temperature_axis(c, system);
    const std::size_t lines =
        std::max<std::size_t>(1, c.outcomes.size() * (all_loops(c).size() + 1));
    const std::size_t points =
        std::clamp(plot_budget / bytes_per_point / lines, fewest_points, most_points);
    std::string out;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) {
        std::string figures;
        for (const Ranked& r : c.ranking) {
            const std::size_t p = index_of(c, r.placement);
            if (p < c.placements.size())
                figures += page::temperature_plot(
                    c.at(p, k), axis, points, "plot-" + std::to_string(p) + "-" + std::to_string(k),
                    system);
        }
        if (!figures.empty())
            out += "<h3>" + escaped(sentence_case(c.cycles[k])) + "</h3><div class=\"plots\">" +
                   figures + "</div>";
    }
    return out.empty() ? "<p>The runs kept no series, so there is nothing to plot.</p>"
                       : "<p>Solid: the fluid where its limit counts. Dotted: that limit, in the "
                         "same colour. "
                         "All plots have the same temperatures on their axis.</p>" +
                             out;
}

std::string sensitivity_table(const Comparison& c, System system) {
    if (c.sensitivity.empty())
        return "<p>This comparison did not vary them. Where the winner leads by little, do.</p>";
    std::string out =
        "<p>Would the winner change? The assumptions that move a margin most, each taken to both "
        "ends of its "
        "range.</p><div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"Least certain "
        "assumptions\">"
        "<table><caption>Least certain assumptions</caption><thead><tr><th "
        "scope=\"col\">Assumption</th>"
        "<th scope=\"col\">Value</th><th scope=\"col\">Range</th><th scope=\"col\">Moves most</th>"
        "<th scope=\"col\">Its least margin, low to high end</th><th scope=\"col\">Winner at the "
        "ends</th></tr></thead><tbody>";
    for (const Sensitivity& s : c.sensitivity)
        out += "<tr><th scope=\"row\">" + escaped(sentence_case(s.assumption)) + "<br><small>" +
               escaped(s.place) + "</small></th><td>" + escaped(say_number(s.value)) + "</td><td>" +
               escaped(say_number(s.low)) + " to " + escaped(say_number(s.high)) + "</td><td>" +
               escaped(s.placement) + "</td><td>" + escaped(kelvins(s.margin_low, system)) +
               " to " + escaped(kelvins(s.margin_high, system)) + "</td><td>" +
               (!s.changes_winner ? std::string("stays the same")
                : s.only_ties
                    ? "stays, in a tie with " + escaped(s.winner_low != c.ranking.front().placement
                                                            ? s.winner_low
                                                            : s.winner_high)
                    : "changes: " + escaped(s.winner_low) + " / " + escaped(s.winner_high)) +
               "</td></tr>";
    return out + "</tbody></table></div>";
}

std::string run_assumptions(const Comparison& c) {
    std::vector<std::string> items;
    for (const model::Car& car : c.cars)
        for (const std::string& text : car.assumptions)
            if (std::find(items.begin(), items.end(), text) == items.end()) items.push_back(text);
    if (items.empty()) return "";
    return "<details><summary>Defaults of the cars (" + std::to_string(items.size()) +
           ")</summary>" + list(items, "plain") + "</details>";
}

std::string specifications(const Comparison& c, System system) {
    std::string out;
    for (std::size_t i = 0; i < c.ranking.size(); ++i) {
        const std::size_t p = index_of(c, c.ranking[i].placement);
        if (p >= c.cars.size()) continue;
        out += std::string("<details") + (i == 0 ? " open" : "") + "><summary>" +
               escaped(sentence_case(c.ranking[i].placement)) + "</summary>" +
               page::shopping(c.cars[p], system) +
               (p < c.line_costs.size() ? page::line_cost_table(c.line_costs[p], system) : "") +
               "</details>";
    }
    return out;
}

std::string caution_lists(const Comparison& c) {
    std::string out;
    for (std::size_t i = 0; i < c.cautions.size();) {
        const std::string about = c.cautions[i].about;
        std::vector<std::string> texts;
        for (; i < c.cautions.size() && c.cautions[i].about == about; ++i)
            texts.push_back(c.cautions[i].text);
        out += "<h3>" + escaped(about) + "</h3>" + list(texts, "cautions");
    }
    return out;
}

std::string section(const std::string& id, const std::string& title, const std::string& body) {
    return "<section aria-labelledby=\"" + id + "\"><h2 id=\"" + id + "\">" + title + "</h2>" +
           body + "</section>\n";
}

}  // namespace

std::string comparison_page(const Comparison& c, System system) {
    const std::string car = c.cars.empty() ? "" : c.cars.front().name;
    std::string cycles;
    for (const std::string& name : c.cycles) cycles += (cycles.empty() ? "" : ", ") + name;
    std::string tables;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) tables += outcome_table(c, k, system);
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
        "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><title>Placements "
        "compared" +
        escaped(car.empty() ? "" : ": " + car) + "</title><style>" + page::style() +
        "</style></head>\n<body>" +
        "<a class=\"skip\" href=\"#main\">To the content</a><header><h1>Which place for the "
        "cooler?</h1><p class=\"car\">" +
        escaped(sentence_case(car)) + (car.empty() || cycles.empty() ? "" : "; ") +
        escaped(cycles) + "</p></header>\n<main id=\"main\">" +
        "<div class=\"verdict\" role=\"region\" aria-label=\"Verdict\">" +
        verdict_paragraph(c.verdict) + "</div>" +
        "<nav aria-label=\"Contents\"><ul><li><a href=\"#ranking\">Ranking</a></li><li><a "
        "href=\"#cycles\">Cycle by cycle"
        "</a></li><li><a href=\"#plots\">Temperatures</a></li><li><a "
        "href=\"#assumptions\">Assumptions</a></li><li>"
        "<a href=\"#shopping\">Shopping</a></li><li><a "
        "href=\"#cautions\">Cautions</a></li></ul></nav>";
    out += section(
        "ranking", "Ranking",
        paragraph(
            "By the least margin to a limit, over all cycles and over the fluids the place "
            "touches; "
            "engine oil counts only where all else is equal. Margins within half a kelvin are a "
            "tie; "
            "ties go to less time over limits, then the other fluids' margins, fan energy, and "
            "length of lines.") +
            ranking(c, system));
    out += section(
        "cycles", "Cycle by cycle",
        paragraph(
            "Each cell: least margin to the limit, then the peak, the mean flow in the cooling "
            "circuit, and what its lines cost at that moment.") +
            tables);
    out += section("plots", "Temperatures", plots(c, system));
    out += section("assumptions", "Assumptions and their ranges",
                   sensitivity_table(c, system) + page::assumptions(c) + run_assumptions(c));
    out += section("shopping", "What to buy and make", specifications(c, system));
    out += section("cautions", "Cautions", caution_lists(c));
    out += "</main><footer><p>" + escaped(results::estimate_notice()) + "</p></footer><script>" +
           page::script() + "</script></body></html>\n";
    return out;
}

}  // namespace lapheat::study
