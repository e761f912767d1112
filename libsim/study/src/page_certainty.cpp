// The page's section "How sure": a drawing of every placement's margins, and the tables.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "lapheat/results/table.hpp"
#include "lapheat/study/report.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {
namespace {

using html::element, html::tag;
using units::Quantity;

// Drawing units. Letters are at most some `letter` wide on the mean, whatever sans serif is there.
constexpr double scale_width = 208, beside_bar = 62, top = 14, letter = 6.7, line_height = 12;
constexpr std::size_t longest_line = 22;  // letters of a name before it breaks

std::string number(double x) { return fmt::format("{:.1f}", x); }

/// A horizontal axis of margins.
struct MarginAxis {
    double low, high, step;  ///< display unit
    units::System system;
    double left = 0;  ///< of the drawing: the names stand there

    [[nodiscard]] double at(double shown) const {
        return left + scale_width * (shown - low) / (high - low);
    }
    [[nodiscard]] double x(double kelvins) const {
        return at(units::to_display(kelvins, Quantity::temperature_difference, system));
    }
};

/// A name in lines that fit beside the bars.
std::vector<std::string> lines_of(const std::string& name) {
    return results::wrapped(name, longest_line);
}

/// Room for all names.
double name_width(const Certainty& sure) {
    std::size_t most = 0;
    for (const PlacementCertainty& p : sure.placements)
        for (const std::string& text : lines_of(p.placement))
            most = std::max(most, results::display_width(text));
    return letter * static_cast<double>(most) + 12;
}

/// Each row is as high as its name.
double row_height(const std::string& name) {
    return std::max(26.0, line_height * static_cast<double>(lines_of(name).size()) + 6);
}

MarginAxis scale_of(const Certainty& sure, units::System system) {
    double low = 0, high = 1;
    for (const PlacementCertainty& p : sure.placements)
        for (const double k : {p.margin_5, p.margin_95}) {
            const double v = units::to_display(k, Quantity::temperature_difference, system);
            if (!std::isfinite(v)) continue;
            low = std::min(low, v);
            high = std::max(high, v);
        }
    MarginAxis out{low, high, 1, system, name_width(sure)};
    for (const double step : {1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0})
        if ((high - low) / (out.step = step) <= 5) break;
    out.low = out.step * std::floor(low / out.step);
    out.high = out.step * std::ceil(high / out.step + 1e-9);
    return out;
}

/// A bar from 5 to 95 %, its middle marked, and what it says at its right.
Html bar(const PlacementCertainty& p, std::size_t draws, const MarginAxis& scale, double y) {
    const double from = scale.x(p.margin_5), to = scale.x(p.margin_95),
                 middle = scale.x(p.margin_50);
    Html out;
    const std::vector<std::string> name = lines_of(p.placement);
    double line_y = y + 4 - 0.5 * line_height * static_cast<double>(name.size() - 1);
    for (const std::string& text : name) {
        out += label("end", scale.left - 8, line_y, text);
        line_y += line_height;
    }
    out += element("rect", {{"class", "band"},
                            {"x", number(from)},
                            {"y", number(y - 6)},
                            {"width", number(std::max(to - from, 1.0))},
                            {"height", "12"}}) +
           line("middle", middle, y - 9, middle, y + 9);
    return out + element("text", {{"class", "tag"}, {"x", number(to + 6)}, {"y", number(y + 4)}},
                         of_hundred(p.holds, draws));
}

Html margins_figure(const Comparison& c, units::System system) {
    const Certainty& sure = *c.certainty;
    const MarginAxis scale = scale_of(sure, system);
    double bottom = top;
    for (const PlacementCertainty& p : sure.placements) bottom += row_height(p.placement);
    Html body;
    std::string described = "How often each placement holds, and its least margin. ";
    for (double v = scale.low; v <= scale.high + 1e-9; v += scale.step) {
        const double x = scale.at(v);
        body += line(std::abs(v) < 1e-9 ? "axis" : "grid", x, top - 6, x, bottom) +
                label("middle", x, bottom + 16, say_number(v));
    }
    double y = top;
    for (const Ranked& r : c.ranking)
        for (const PlacementCertainty& p : sure.placements) {
            if (p.placement != r.placement) continue;
            const double height = row_height(p.placement);
            body += bar(p, sure.draws, scale, y + 0.5 * height);
            y += height;
            described += fmt::format("{} holds in {}, margin {}, {} to {}. ",
                                     sentence_case(p.placement), of_hundred(p.holds, sure.draws),
                                     say(p.margin_50, Quantity::temperature_difference, system),
                                     say(p.margin_5, Quantity::temperature_difference, system),
                                     say(p.margin_95, Quantity::temperature_difference, system));
        }
    body += label("middle", scale.left + 0.5 * scale_width, bottom + 34,
                  with_unit("least margin", Quantity::temperature_difference, system));
    return element(
        "figure", {{"class", "sure"}},
        tag("figcaption",
            "Nine of ten cases lie in the bar, half on either side of the mark; "
            "beside it, in how many it holds"),
        element("svg",
                {{"viewBox", fmt::format("0 0 {} {}", number(scale.left + scale_width + beside_bar),
                                         number(bottom + 42))},
                 {"role", "img"},
                 {"aria-labelledby", id("sure-margins", system)}},
                element("title", {{"id", id("sure-margins", system)}}, described), body));
}

}  // namespace

Html certainty(const Comparison& c, units::System system) {
    const Certainty& sure = *c.certainty;
    Html notes;
    for (const std::string& text : certainty_notes(sure, system)) notes += tag("li", text);
    return element("div", {{"class", "pair"}}, margins_figure(c, system),
                   html::table(certainty_table(c, system))) +
           tag("details", tag("summary", "Cycle by cycle"),
               html::table(cycle_certainty_table(c, system))) +
           tag("h3", "What the doubt is made of") +
           tag("p",
               "Each number in doubt by itself: how much of the doubt about this margin would be "
               "gone if it were known, and the margin where it is low and where it is high.") +
           html::table(driver_table(sure, system)) + tag("h3", "What to measure next") +
           tag("p",
               "What each measurement saves the choice on the mean, for it may turn it; and how "
               "much of the doubt about the margin it settles.") +
           html::table(measurement_table(sure, system)) +
           element("ul", {{"class", "plain"}}, notes);
}

}  // namespace lapheat::study::page
