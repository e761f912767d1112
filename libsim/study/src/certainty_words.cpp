// What draws say, in a builder's words: the verdict, the rule, and the tables.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "internal.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/study/report.hpp"
#include "lapheat/units/restate.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TextTable, results::Tone;
using units::Quantity, units::System;

// A measurement that saves the choice less than this on the mean, K, is not worth the trip for it;
// nor one that settles less than this share of the doubt. Judgement.
constexpr double worth_measuring = 0.1;
constexpr double tells_something = 0.1;
constexpr std::size_t few_draws = 256;
constexpr std::size_t most_rows = 5;  // of measurements worth a person's reading
// Shares of cases from which words change.
constexpr double as_good_as_sure = 0.95, even = 0.5;

const PlacementCertainty& of(const Comparison& c, const Ranked& r) {
    return c.certainty->placements.at(c.index_of(r.placement));
}

double better(const Comparison& c, const Ranked& a, const Ranked& b) {
    return c.certainty->better.at(c.index_of(a.placement)).at(c.index_of(b.placement));
}

std::string holds_words(const PlacementCertainty& p, std::size_t draws) {
    return "holds in " + of_hundred(p.holds, draws);
}

std::string range_words(const PlacementCertainty& p, System system) {
    return fmt::format("{} of margin in the middle, {} to {} in nine of ten",
                       say_kelvins(p.margin_50, system), say_kelvins(p.margin_5, system),
                       say_kelvins(p.margin_95, system));
}

std::string one_alone(const Comparison& c, System system) {
    const PlacementCertainty& p = of(c, c.ranking.front());
    return fmt::format("{} {} cars like yours ({}; most often bound by {}).",
                       sentence_case(p.placement), holds_words(p, c.certainty->draws),
                       range_words(p, system), p.bound_by);
}

/// Those that stand with the first: neither sharing nor margin parts them.
std::size_t tied(const Comparison& c) {
    std::size_t n = 1;
    const PlacementCertainty& first = of(c, c.ranking.front());
    for (; n < c.ranking.size(); ++n) {
        const PlacementCertainty& p = of(c, c.ranking[n]);
        if (first.holds - p.holds > share_tie) break;
        if (first.margin - p.margin > margin_tie &&
            better(c, c.ranking.front(), c.ranking[n]) >= clearly_more)
            break;
    }
    return n;
}

/// "under the floor holds in 93 of 100, at the rear in 90": the first few.
std::string side_by_side(const Comparison& c, std::size_t count) {
    std::vector<std::string> parts;
    for (std::size_t i = 0; i < std::min<std::size_t>(count, 3); ++i)
        parts.push_back(c.ranking[i].placement + " in " +
                        of_hundred(of(c, c.ranking[i]).holds, c.certainty->draws));
    return listed(parts);
}

std::string toss_up(const Comparison& c, std::size_t count, System system) {
    const Ranked& first = c.ranking.front();
    std::string out = fmt::format("{} {} cars like yours", sentence_case(first.placement),
                                  holds_words(of(c, first), c.certainty->draws));
    std::vector<std::string> others;
    for (std::size_t i = 1; i < count; ++i)
        others.push_back(c.ranking[i].placement + " in " +
                         of_hundred(of(c, c.ranking[i]).holds, c.certainty->draws));
    out += ", " + listed(others) + ": a toss-up";
    out += c.ranking[1].decided_by.empty()
               ? ", and nothing else that is ranked parts the first two."
               : ", so " + first.placement + " is put first for " + c.ranking[1].decided_by + ".";
    return out + fmt::format(
                     " Taking it costs {} of margin on the mean against the best of each "
                     "case.",
                     say_kelvins(of(c, first).regret, system));
}

std::string clear(const Comparison& c, System system) {
    const Ranked &first = c.ranking[0], &second = c.ranking[1];
    const PlacementCertainty &a = of(c, first), &b = of(c, second);
    std::string out =
        fmt::format("{} {} cars like yours, {}, the next, in {}", sentence_case(first.placement),
                    holds_words(a, c.certainty->draws), second.placement,
                    of_hundred(b.holds, c.certainty->draws));
    if (a.holds - b.holds <= share_tie)
        out += fmt::format("; it has more margin in {}, {} on the mean",
                           of_hundred(better(c, first, second), c.certainty->draws),
                           say_kelvins(a.margin - b.margin, system));
    return out + fmt::format(". It has {}.", range_words(a, system));
}

std::string doubt_words(const Certainty& c) {
    if (c.drivers.empty() || c.drivers.front().share < tells_something)
        return c.drivers.empty() ? "" : " No single number carries much of the doubt.";
    std::string out = fmt::format(" Most of the doubt is {}: {} of it", c.drivers[0].number,
                                  percent(c.drivers[0].share));
    if (c.drivers[0].share < even)
        out = fmt::format(" The largest part of the doubt is {}: {} of it", c.drivers[0].number,
                          percent(c.drivers[0].share));
    if (c.drivers.size() > 1 && c.drivers[1].share >= tells_something)
        out += fmt::format("; then {}, {}", c.drivers[1].number, percent(c.drivers[1].share));
    return out + ".";
}

std::string measure_words(const Certainty& c, System system) {
    if (c.measure.empty()) return "";
    const Measurement& m = c.measure.front();
    const std::string how = units::restated(m.how + " (" + m.how_well + ")", system);
    if (m.worth_low > 0 && m.worth >= worth_measuring) {
        std::string out = fmt::format(" Measure next {}: {}. It saves the choice {} on the mean",
                                      m.what, how, say_kelvins(m.worth, system));
        const bool alone = c.measure.size() == 1 || c.measure[1].worth_high < m.worth_low;
        return out + (alone ? ", and nothing else would settle more."
                            : fmt::format("; next to it stands {}.", c.measure[1].what));
    }
    if (m.settles >= tells_something)
        return fmt::format(
            " No measurement would change the choice much; what tells most of the "
            "margin is {}: {}. It settles {} of the doubt.",
            m.what, how, percent(m.settles));
    // Of few draws one among many readings has to tell a lot to be seen to.
    if (c.draws < few_draws)
        return fmt::format(
            " Of the measurements on the list none is seen to settle much, in {} draws.", c.draws);
    return " No measurement on the list would settle much.";
}

std::string between(double low, double high) {
    return fmt::format("{} to {}", std::lround(100 * low), percent(high));
}

}  // namespace

results::TableCell share_cell(double share, std::size_t draws) {
    return {of_hundred(share, draws), share >= as_good_as_sure ? Tone::plain
                                      : share >= even          ? Tone::warning
                                                               : Tone::bad};
}

std::string spread(double low, double middle, double high, Quantity q, System system) {
    return fmt::format("{} ({} to {})", in_units(middle, q, system, 0), in_units(low, q, system, 0),
                       in_units(high, q, system, 0));
}

VerdictWords certain_words(const Comparison& c, System system) {
    const Certainty& sure = *c.certainty;
    const PlacementCertainty& first = of(c, c.ranking.front());
    VerdictWords out;
    if (c.ranking.size() == 1) {
        out.headline = one_alone(c, system);
    } else if (first.holds < even) {
        out.headline = fmt::format("More likely than not none of them holds: {}.",
                                   side_by_side(c, c.ranking.size()));
    } else {
        const std::size_t count = tied(c);
        out.headline = count > 1 ? toss_up(c, count, system) : clear(c, system);
    }
    out.rest = doubt_words(sure) + measure_words(sure, system);
    if (sure.failed > 0)
        out.rest += fmt::format(" {} of {} runs could not be finished and count for nothing.",
                                sure.failed, sure.runs);
    if (sure.cancelled)
        out.rest += fmt::format(" Stopped early, after {} draws: each share is sure to {}.",
                                sure.draws, percent(0.5 * (first.holds_high - first.holds_low)));
    return out;
}

std::string certain_rule(const Comparison& c, System system) {
    std::vector<std::string> served, others;
    for (const std::string& loop : c.served) served.push_back(plain_name(loop));
    for (const std::string& loop : c.left_out) others.push_back(plain_name(loop));
    std::string out = fmt::format(
        "In {} cars like yours all that is in doubt was drawn anew, the same for every placement. "
        "A placement is judged by the fluids it serves ({}), by how often they all hold in all "
        "cycles; where that differs by no more than {} of 100, by its least margin, which counts "
        "as more only if it is more in {} of 100 cases and by {} on the mean; else they tie, a "
        "toss-up, and {}",
        c.certainty->draws, listed(served), std::lround(100 * share_tie),
        std::lround(100 * clearly_more), say_kelvins(margin_tie, system), tie_order);
    if (!others.empty())
        out += fmt::format(
            "; what it does to the others ({}) is shown as a change against {}, and counts only "
            "where "
            "it drives one over its limit that holds at another place in the same draw",
            listed(others), counted_against(c));
    return out + ".";
}

TextTable certainty_table(const Comparison& c, System system) {
    const Certainty& sure = *c.certainty;
    TextTable table;
    table.title = fmt::format("How sure: {} cars like yours", sure.draws);
    table.columns = {
        {"placement", Align::left, true},
        {"holds", Align::right},
        {"sure to", Align::right},
        {"has most margin", Align::right},
        {with_unit("least margin", Quantity::temperature_difference, system)},
        {with_unit("less than the best", Quantity::temperature_difference, system), Align::right},
        {"bound most often by", Align::left, true}};
    for (const Ranked& r : c.ranking) {
        const PlacementCertainty& p = of(c, r);
        table.rows.push_back({{p.placement, Tone::strong},
                              share_cell(p.holds, sure.draws),
                              {between(p.holds_low, p.holds_high)},
                              {of_hundred(p.best, sure.draws)},
                              {spread(p.margin_5, p.margin_50, p.margin_95,
                                      Quantity::temperature_difference, system)},
                              {in_units(p.regret, Quantity::temperature_difference, system, 1)},
                              {fmt::format("{} ({})", p.bound_by, percent(p.bound_share))}});
    }
    return table;
}

TextTable cycle_certainty_table(const Comparison& c, System system) {
    const Certainty& sure = *c.certainty;
    const bool hottest = std::any_of(sure.cycles.begin(), sure.cycles.end(),
                                     [](const auto& r) { return !std::isnan(r.hottest_50); });
    TextTable table;
    table.title = "The same, cycle by cycle: middle, and where nine of ten lie";
    table.columns = {{"placement", Align::left, true},
                     {"cycle", Align::left, true},
                     {"holds", Align::right},
                     {with_unit("least margin", Quantity::temperature_difference, system)}};
    if (hottest) table.columns.push_back({with_unit("hottest day", Quantity::temperature, system)});
    for (const Ranked& r : c.ranking)
        for (const CycleCertainty& row : sure.cycles) {
            if (row.placement != r.placement) continue;
            auto& cells = table.rows.emplace_back();
            cells = {{row.placement, Tone::strong},
                     {row.cycle},
                     share_cell(row.holds, sure.draws),
                     {spread(row.margin_5, row.margin_50, row.margin_95,
                             Quantity::temperature_difference, system)}};
            if (hottest)
                cells.push_back({std::isnan(row.hottest_50)
                                     ? "beyond the search"
                                     : spread(row.hottest_5, row.hottest_50, row.hottest_95,
                                              Quantity::temperature, system)});
        }
    return table;
}

TextTable driver_table(const Certainty& sure, System system) {
    TextTable table;
    table.title = fmt::format("What the doubt is made of, {}", sure.about);
    table.columns = {
        {"number", Align::left, true},
        {"part of the doubt", Align::right},
        {"between"},
        {"value", Align::right},
        {"nine of ten"},
        {with_unit("margin, low to high end", Quantity::temperature_difference, system)},
        {"whose"}};
    for (const Driver& d : sure.drivers) {
        if (d.share_high < 0.005) continue;
        const std::string from = results::figure(d.low, d.quantity, system);
        table.rows.push_back(
            {{d.number, Tone::strong},
             {percent(d.share)},
             {between(d.share_low, d.share_high)},
             {results::figure(d.value, d.quantity, system)},
             {from.substr(0, from.find(' ')) + " to " +
              results::figure(d.high, d.quantity, system)},
             {fmt::format("{} to {}",
                          in_units(d.margin_low, Quantity::temperature_difference, system, 1),
                          in_units(d.margin_high, Quantity::temperature_difference, system, 1))},
             {d.origin}});
    }
    return table;
}

TextTable measurement_table(const Certainty& sure, System system) {
    TextTable table;
    table.title = "What to measure next";
    table.columns = {
        {"what", Align::left, true},
        {"how", Align::left, true},
        {"how well"},
        {with_unit("saves the choice", Quantity::temperature_difference, system), Align::right},
        {"settles, of the doubt", Align::right}};
    const auto k = [&](double x) {
        return in_units(x, Quantity::temperature_difference, system, 1);
    };
    for (const Measurement& m : sure.measure) {
        const bool worth = m.worth_low > 0 && m.worth >= worth_measuring;
        if (!worth && m.settles < tells_something) continue;
        if (table.rows.size() == most_rows) break;
        table.rows.push_back(
            {{m.what, Tone::strong},
             {units::restated(m.how, system)},
             {units::restated(m.how_well, system)},
             {worth ? fmt::format("{} ({} to {})", k(m.worth), k(m.worth_low), k(m.worth_high))
                    : "next to nothing"},
             {fmt::format("{} ({})", percent(m.settles), between(m.settles_low, m.settles_high))}});
    }
    return table;
}

std::vector<std::string> certainty_notes(const Certainty& sure, System system) {
    std::vector<std::string> out;
    out.push_back(fmt::format(
        "{} numbers in doubt were drawn {} times, {} runs; series {} gives the same again. \"Sure "
        "to\" is the share's own 95 % interval, as of plain draws; these are spread evenly and are "
        "no worse than that.",
        sure.table.numbers.size(), sure.draws, sure.runs, sure.table.series));
    if (sure.lone_runs > 0)
        out.push_back(fmt::format(
            "What each number does by itself, {}, was driven: the car in the middle of all doubts, "
            "with that number alone at either end of its nine of ten ({} runs).",
            sure.about, sure.lone_runs));
    // Less than the first of them is no share that single numbers could carry.
    if (!sure.drivers.empty())
        out.push_back(
            sure.explained < sure.drivers.front().share
                ? "How much of the doubt single numbers carry together is more than so few draws "
                  "tell."
                : fmt::format("Single numbers carry {} of the doubt; the rest is what they do "
                              "together, or less than can be told from so many draws.",
                              percent(std::min(sure.explained, 1.0))));
    if (sure.failed > 0)
        out.push_back(fmt::format("{} of {} runs could not be finished; the first: {}.",
                                  sure.failed, sure.runs,
                                  units::restated(sure.first_failure, system)));
    if (!sure.not_drawn.empty())
        out.push_back("These doubts are stated and were not drawn: " + listed(sure.not_drawn) +
                      ".");
    return out;
}

}  // namespace lapheat::study
