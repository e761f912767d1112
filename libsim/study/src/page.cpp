#include "lapheat/study/page.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "internal.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/study/report.hpp"
#include "lapheat/units/restate.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using page::Html, page::html::element, page::html::tag;
using units::Quantity, units::System;

// Bytes for all plots together; a point takes about twelve, limits and text
// the rest.
constexpr std::size_t plot_budget = 360'000, bytes_per_point = 12;
constexpr std::size_t fewest_points = 24, most_points = 300;

Html verdict_paragraph(const VerdictWords& words) {
    return tag("p", tag("strong", words.headline), words.rest);
}

/// The least margin of a loop over all cycles.
double least(const Comparison& c, std::size_t p, const std::string& loop) {
    double margin = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < c.cycles.size(); ++k)
        if (const auto* v = results::verdict_of(c.at(p, k).result, loop))
            margin = std::min(margin, v->margin);
    return margin;
}

const FluidCertainty* fluid_of(const Comparison& c, std::size_t p, const std::string& loop) {
    return c.certainty ? c.certainty->fluid(c.placements[p], loop) : nullptr;
}

std::vector<std::string> all_loops(const Comparison& c) {
    std::vector<std::string> out;
    for (const CycleOutcome& o : c.outcomes)
        for (const model::Verdict& v : o.result.verdicts)
            if (std::find(out.begin(), out.end(), v.loop) == out.end()) out.push_back(v.loop);
    return out;
}

/// Calls use(rank, index of the placement) for each placement, best first.
template <class Use>
void each_ranked(const Comparison& c, Use&& use) {
    for (const Ranked& r : c.ranking)
        if (const std::size_t p = c.index_of(r.placement); p < c.placements.size()) use(r, p);
}

/// K that the bars of all cards reach from and to.
struct BarScale {
    double low = 0, high = 1;

    void include(double margin) {
        if (!std::isfinite(margin)) return;
        low = std::min(low, margin);
        high = std::max(high, margin);
    }
};

/// Bars of the least margins of all loops, on one scale; where there are draws, of nine of ten.
Html margin_bars(const Comparison& c, std::size_t p, const std::vector<std::string>& loops,
                 const BarScale& scale, System system) {
    Html rows;
    bool drawn = false;
    for (const std::string& loop : loops) {
        const double m = least(c, p, loop);
        if (!std::isfinite(m)) continue;
        const std::string css = page::fluid_class(c, loop);
        const FluidCertainty* sure = fluid_of(c, p, loop);
        drawn = drawn || sure;
        rows += tag("tr", element("th", {{"scope", "row"}, {"class", css}}, plain_name(loop)),
                    tag("td", sure ? page::margin_band(sure->margin_5, sure->margin_50,
                                                       sure->margin_95, scale.low, scale.high, css)
                                   : page::margin_bar(m, scale.low, scale.high, css)),
                    tag("td", say_kelvins(sure ? sure->margin_50 : m, system)));
    }
    return element("table", {{"class", "bars"}},
                   tag("caption", drawn ? "Least margin of each fluid: the middle, and nine of ten"
                                        : "Least margin of each fluid over all cycles"),
                   tag("tbody", rows));
}

/// "Fans 900 kJ, at most 26 A; lines: transmission 6.6 m; gives up …".
/// `less_than`: what the coolant's margin is counted against.
std::string costs_of(const Ranked& r, const char* less_than, System system) {
    std::string out =
        fmt::format("Fans {}, at most {}", say(r.fan_energy, Quantity::energy, system),
                    say(r.peak_fan_current, Quantity::electric_current, system));
    if (r.current_shortfall > 0)
        out += fmt::format(" (at worst {} more in all than the alternator gives)",
                           say(r.current_shortfall, Quantity::electric_current, system));
    out += "; lines " + say_length(r.line_length, system);
    for (const auto& [loop, metres] : r.lines)
        out += fmt::format("{} {} {}", &metres == &r.lines.front().second ? ":" : ",",
                           plain_name(loop), say_length(metres, system));
    if (r.coolant_lost >= worth_a_word)
        out += fmt::format("; gives up {} of coolant margin against {}, at most",
                           say_kelvins(r.coolant_lost, system), less_than);
    return out + ".";
}

/// "Holds in 98 of 100", by draws; else whether the car as written does.
Html state_of(const Comparison& c, const Ranked& r, std::size_t p) {
    // A place that does all it can in a car that fails all the same is no reason to be glad.
    const bool all = r.over_anyway.empty();
    const std::string but = all ? "" : "; " + plain_name(r.over_anyway) + " does not";
    const char* holds = all ? "Holds" : "Its own fluids hold";
    if (!c.certainty || c.certainty->draws == 0)
        return element("p", {{"class", r.holds && all ? "state yes" : "state no"}},
                       r.holds ? holds + but : "Does not hold");
    const PlacementCertainty& sure = c.certainty->placements.at(p);
    return element("p",
                   {{"class", sure.holds >= 0.95 && all ? "state yes"
                              : sure.holds >= 0.5       ? "state close"
                                                        : "state no"}},
                   fmt::format("{} in {} cars like yours{}", holds,
                               of_hundred(sure.holds, c.certainty->draws), but));
}

/// What its draws say; the car as written beside it.
Html margin_words(const Comparison& c, const Ranked& r, std::size_t p, System system) {
    if (!c.certainty || c.certainty->draws == 0) return tag("p", r.reason);
    const PlacementCertainty& sure = c.certainty->placements.at(p);
    return tag("p",
               fmt::format("{} of margin in the middle, {} to {} in nine of ten; most often "
                           "bound by {}.",
                           say_kelvins(sure.margin_50, system), say_kelvins(sure.margin_5, system),
                           say_kelvins(sure.margin_95, system), sure.bound_by)) +
           tag("p", tag("small", "The car exactly as written: " + r.reason));
}

/// What would make it hold, of one that does not.
Html lever_list(const Comparison& c, const std::string& placement, System system) {
    Html items;
    std::string missing;
    for (const Lever& lever : c.levers) {
        if (lever.placement != placement) continue;
        missing = missing_words(lever, system) + ".";
        items += tag("li", lever_words(lever, system) + ".");
    }
    if (items.empty()) return {};
    return tag("h4", "What would make it hold") + tag("p", missing) +
           element("ul", {{"class", "levers"}}, items);
}

Html ranking(const Comparison& c, System system) {
    const auto loops = all_loops(c);
    BarScale scale;
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        for (const std::string& loop : loops) {
            scale.include(least(c, p, loop));
            if (const FluidCertainty* sure = fluid_of(c, p, loop)) {
                scale.include(sure->margin_5);
                scale.include(sure->margin_95);
            }
        }
    Html out;
    std::size_t place = 0;
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        Html card = tag("h3", fmt::format("{}. {}", ++place, sentence_case(r.placement)));
        if (p < c.cars.size() && !c.cars[p].summary.empty()) card += tag("p", c.cars[p].summary);
        card += state_of(c, r, p) + margin_words(c, r, p, system);
        card += margin_bars(c, p, loops, scale, system);
        card += lever_list(c, r.placement, system);
        card += tag("p", tag("small", costs_of(r, without_it_words(c), system)));
        out += tag("li", card);
    });
    return element("ol", {{"class", "rank"}}, out) +
           tag("details", tag("summary", "How places are ranked"),
               tag("p", ranking_rule(c, system)), tag("p", results::limit_law()));
}

Html labelled(const std::string& heading, const Html& inside) {
    return element("td", {{"data-label", heading}}, inside);
}

Html fluid_cell(const model::Verdict* v, const std::string& heading, System system) {
    if (!v) return labelled(heading, "none");
    const bool over = v->margin < 0;
    Html small = tag("span", "at " + say(v->hottest(), Quantity::temperature, system));
    if (v->boils >= 0) small += tag("span", "boils at " + results::clock(v->boils));
    if (v->time_over > 0) small += tag("span", "over for " + say_time(v->time_over));
    small += tag("span", say(v->flow, Quantity::volume_flow, system));
    if (v->line_loss > 0)
        small += tag("span", "lines " + say(v->line_loss, Quantity::pressure, system));
    return labelled(heading, (over ? element("strong", {{"class", "no"}},
                                             say_kelvins(-v->margin, system) + " over")
                                   : tag("strong", say_kelvins(v->margin, system))) +
                                 " " + tag("small", small));
}

Html column_head(const std::string& text, const std::string& css = {}) {
    return css.empty() ? element("th", {{"scope", "col"}}, text)
                       : element("th", {{"scope", "col"}, {"class", css}}, text);
}

constexpr const char *given_up = "Coolant margin given up", *energy = "Fan energy",
                     *hottest_day = "Hottest day that holds";

Html outcome_table(const Comparison& c, std::size_t k, System system) {
    const bool hottest =
        std::any_of(c.outcomes.begin(), c.outcomes.end(),
                    [](const CycleOutcome& o) { return !std::isnan(o.hottest_ambient); });
    const auto loops = all_loops(c);
    const std::string title = sentence_case(c.cycles[k]);
    Html heads = column_head("Placement");
    for (const std::string& loop : loops)
        heads += column_head(sentence_case(plain_name(loop)), page::fluid_class(c, loop));
    heads += column_head(given_up) + column_head(energy);
    if (hottest) heads += column_head(hottest_day);
    Html rows;
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        const CycleOutcome& o = c.at(p, k);
        const std::string name = sentence_case(r.placement);
        Html row = element("th", {{"scope", "row"}}, name);
        for (const std::string& loop : loops)
            row += fluid_cell(results::verdict_of(o.result, loop), sentence_case(plain_name(loop)),
                              system);
        row += labelled(
            given_up, o.coolant_lost < worth_a_word ? "none" : say_kelvins(o.coolant_lost, system));
        row += labelled(energy, say(o.result.fan_energy, Quantity::energy, system));
        if (hottest) row += labelled(hottest_day, hottest_words(o, system));
        rows += tag("tr", row);
    });
    return tag("h3", title) +
           element("div",
                   {{"class", "scroll cycle"},
                    {"role", "region"},
                    {"tabindex", "0"},
                    {"aria-label", title + ": results"}},
                   tag("table", element("caption", {{"class", "vh"}}, "Margins in " + c.cycles[k]),
                       tag("thead", tag("tr", heads)), tag("tbody", rows)));
}

/// What binds each placement, cycle beside cycle; what is said of several in a row stands once.
Html binding_table(const Comparison& c) {
    Html heads = column_head("Placement"), rows;
    for (const std::string& cycle : c.cycles) heads += column_head(sentence_case(cycle));
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        Html row = element("th", {{"scope", "row"}}, sentence_case(r.placement));
        for (std::size_t k = 0; k < c.cycles.size();) {
            const std::string& said = c.at(p, k).binding;
            std::string names = sentence_case(c.cycles[k]);
            std::size_t wide = 1;
            while (k + wide < c.cycles.size() && c.at(p, k + wide).binding == said)
                names += ", " + c.cycles[k + wide++];
            row += element("td", {{"data-label", names}, {"colspan", fmt::format("{}", wide)}},
                           said + ".");
            k += wide;
        }
        rows += tag("tr", row);
    });
    return tag("h3", "What binds") +
           element("div",
                   {{"class", "scroll binds"},
                    {"role", "region"},
                    {"tabindex", "0"},
                    {"aria-label", "What binds"}},
                   tag("table", element("caption", {{"class", "vh"}}, "What binds"),
                       tag("thead", tag("tr", heads)), tag("tbody", rows)));
}

Html plots(const Comparison& c, System system) {
    const page::Axis axis = page::temperature_axis(c, system);
    const std::size_t lines =
        std::max<std::size_t>(1, c.outcomes.size() * (all_loops(c).size() + 1));
    const std::size_t points =
        std::clamp(plot_budget / bytes_per_point / lines, fewest_points, most_points);
    // Those of the first stand open, the others fold away; paper has what is open.
    Html out;
    bool first = true;
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        Html figures;
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            figures +=
                page::temperature_plot(c.at(p, k), axis, points, fmt::format("plot-{}-{}", p, k),
                                       system, c.certainty ? &*c.certainty : nullptr);
        if (figures.empty()) return;
        const page::html::Attributes open = {{"open", ""}};
        out += element("details", first ? open : page::html::Attributes{},
                       tag("summary", sentence_case(r.placement)),
                       element("div", {{"class", "plots"}}, figures));
        first = false;
    });
    if (out.empty()) return tag("p", "The runs kept no series, so there is nothing to plot.");
    return tag("p",
               "Solid: the fluid where its limit counts. Dotted: that limit, in the same colour. "
               "All plots have the same temperatures on their axis.",
               c.certainty && !c.certainty->bands.empty()
                   ? " Shaded: where nine of ten cars like yours would be."
                   : "") +
           out;
}

Html how_sure(const Comparison& c, System system) {
    if (!c.certainty || c.certainty->draws == 0)
        return tag("p",
                   "This comparison took every number as it stands. Where the first leads by "
                   "little, or holds by little, draw what is in doubt: compare --draws.");
    return page::certainty(c, system);
}

/// What the cars' files leave out, each once: the same key with another value is another row.
Html run_assumptions(const Comparison& c, System system) {
    std::vector<model::AssumedNumber> numbers;
    std::vector<std::string> others;
    for (const model::Car& car : c.cars) {
        for (const model::AssumedNumber& a : car.assumed)
            if (std::none_of(numbers.begin(), numbers.end(),
                             [&](const auto& b) { return b.key == a.key && b.value == a.value; }))
                numbers.push_back(a);
        for (const std::string& text : results::other_assumptions(car.assumptions, car.assumed)) {
            const std::string shown = units::restated(text, system);
            if (std::find(others.begin(), others.end(), shown) == others.end())
                others.push_back(shown);
        }
    }
    if (numbers.empty() && others.empty()) return {};
    Html lines;
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        if (!lines.empty() || p >= c.cars.size() || c.cars[p].assumed.empty()) return;
        lines =
            tag("details", tag("summary", "All of them as lines of a file (" + r.placement + ")"),
                tag("p",
                    "Ready to paste into a file of its own that begins with extends = \"the "
                    "placement's file\". Keep what you know better, with your number, and leave "
                    "out the rest."),
                tag("pre", results::assumed_lines(c.cars[p].assumed, system)));
    });
    return tag(
        "details",
        tag("summary", fmt::format("Defaults of the cars ({})", numbers.size() + others.size())),
        page::html::table(results::assumed_table(numbers, system)), page::list(others, "plain"),
        lines);
}

Html specifications(const Comparison& c, System system) {
    Html out;
    bool first = true;
    each_ranked(c, [&](const Ranked& r, std::size_t p) {
        if (p >= c.cars.size()) return;
        const page::html::Attributes open = {{"open", ""}};
        out +=
            element("details", first ? open : page::html::Attributes{},
                    tag("summary", sentence_case(r.placement)), page::shopping(c.cars[p], system),
                    p < c.line_costs.size() ? page::line_costs(c.line_costs[p], system) : Html());
        first = false;
    });
    return out;
}

struct Section {
    const char *id, *in_short, *title;
};
constexpr Section sections[] = {{"ranking", "Ranking", "Ranking"},
                                {"sure", "How sure", "How sure"},
                                {"cycles", "Cycle by cycle", "Cycle by cycle"},
                                {"plots", "Temperatures", "Temperatures"},
                                {"shopping", "Shopping", "What to buy and make"},
                                {"assumptions", "Assumptions", "Assumptions and their ranges"},
                                {"cautions", "Cautions", "Cautions"}};

/// The plots stand on the page once, with both systems of units on their axes.
constexpr std::size_t plots_section = 3;

std::string section_id(std::size_t n, System system) {
    return n == plots_section ? sections[n].id : page::id(sections[n].id, system);
}

Html contents(System system) {
    Html items;
    for (std::size_t n = 0; n < std::size(sections); ++n)
        items +=
            tag("li", element("a", {{"href", "#" + section_id(n, system)}}, sections[n].in_short));
    return element("nav", {{"aria-label", "Contents"}}, tag("ul", items));
}

Html section(std::size_t n, const Html& body, System system) {
    const Section& s = sections[n];
    return page::section(s.id, section_id(n, system), s.title, body);
}

Html gauges(const Comparison& c, System system) {
    const Html readings = page::html::table(gauge_table(c, system));
    return readings.empty() ? readings : readings + tag("p", tag("small", gauge_note()));
}

Html outcomes(const Comparison& c, System system) {
    Html out;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) out += outcome_table(c, k, system);
    return out + binding_table(c);
}

/// What stands above the plots, in one system of units, and what stands below.
Html above(const Comparison& c, System system) {
    return element(
        "div", {{"class", page::only_in(system)}},
        element("div", {{"class", "verdict"}, {"role", "region"}, {"aria-label", "Verdict"}},
                verdict_paragraph(verdict_words(c, system))),
        contents(system), section(0, ranking(c, system), system),
        section(1, how_sure(c, system), system),
        section(2,
                tag("p",
                    "The car exactly as written. Each cell: least margin to the limit, "
                    "then the temperature at that moment, the mean flow in the cooling "
                    "circuit, and what its lines cost at that moment.") +
                    outcomes(c, system) + gauges(c, system),
                system));
}

Html below(const Comparison& c, System system) {
    return element("div", {{"class", page::only_in(system)}},
                   section(4, specifications(c, system), system),
                   section(5, page::assumptions(c, system) + run_assumptions(c, system), system),
                   section(6, page::cautions(c.cautions), system));
}

}  // namespace

std::string comparison_page(const Comparison& c, System system) {
    const std::string car = c.cars.empty() ? "" : c.cars.front().name;
    std::string subject = sentence_case(car);
    for (const std::string& name : c.cycles)
        subject += (&name == &c.cycles.front() ? (car.empty() ? "" : "; ") : ", ") + name;
    const System other = system == System::us ? System::si : System::us;
    const Comparison others = in_other_words(c, other);
    const Html main = page::choice_of_units(system) + above(c, system) + above(others, other) +
                      section(plots_section, plots(c, system), system) + below(c, system) +
                      below(others, other);
    const Html body =
        element("a", {{"class", "skip"}, {"href", "#main"}}, "To the content") +
        tag("header",
            tag("h1", c.faults ? "What breaks, and what then?" : "Which place for the cooler?"),
            element("p", {{"class", "car"}}, subject)) +
        "\n" + element("main", {{"id", "main"}}, main) +
        tag("footer", tag("p", results::estimate_notice())) + page::script();
    return page::html::document(page::head("Placements compared" + (car.empty() ? "" : ": " + car)),
                                body)
        .markup();
}

}  // namespace lapheat::study
