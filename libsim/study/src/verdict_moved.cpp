// One comparison beside another of the same placements: how a verdict moved.
#include <fmt/format.h>

#include <algorithm>

#include "lapheat/study/report.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TextTable;
using units::Quantity, units::System;

const Ranked* ranked(const Comparison& c, const std::string& placement) {
    const auto at = std::ranges::find(c.ranking, placement, &Ranked::placement);
    return at != c.ranking.end() ? &*at : nullptr;
}

const PlacementCertainty* certain(const Comparison& c, const std::string& placement) {
    if (!c.certainty) return nullptr;
    const auto at =
        std::ranges::find(c.certainty->placements, placement, &PlacementCertainty::placement);
    return at != c.certainty->placements.end() ? &*at : nullptr;
}

/// "it holds in 93 of 100 cars like yours (71 before)", or by its margin where nothing was drawn.
std::string how_it_moved(const Comparison& before, const Comparison& after,
                         const std::string& placement, System system) {
    const Ranked *then = ranked(before, placement), *now = ranked(after, placement);
    std::string out;
    if (then && now)
        out = fmt::format("its least margin goes from {} to {}",
                          say_kelvins(then->worst_margin, system),
                          say_kelvins(now->worst_margin, system));
    const PlacementCertainty *drawn = certain(before, placement),
                             *drawn_now = certain(after, placement);
    if (drawn && drawn_now)
        out += fmt::format(
            "{}it holds in {} cars like yours where it was {}, and the middle nine tenths of its "
            "margin are {} wide where they were {}",
            out.empty() ? "" : "; ", of_hundred(drawn_now->holds, after.certainty->draws),
            of_hundred(drawn->holds, before.certainty->draws),
            say_kelvins(drawn_now->margin_95 - drawn_now->margin_5, system),
            say_kelvins(drawn->margin_95 - drawn->margin_5, system));
    return out;
}

}  // namespace

TextTable moved_table(const Comparison& before, const Comparison& after, System system) {
    TextTable table;
    table.title = "Before the logs and after";
    const auto head = with_unit("margin", Quantity::temperature_difference, system);
    const bool drawn = before.certainty && after.certainty;
    table.columns = {{"placement", Align::left, true},
                     {"place"},
                     {"after"},
                     {head, Align::right},
                     {"after", Align::right}};
    if (drawn) {
        table.columns.push_back({"holds", Align::right});
        table.columns.push_back({"after", Align::right});
    }
    const auto place_of = [](const Comparison& c, const std::string& placement) {
        const auto at = std::ranges::find(c.ranking, placement, &Ranked::placement);
        return at != c.ranking.end() ? fmt::format("{}", at - c.ranking.begin() + 1)
                                     : std::string("-");
    };
    const auto margin = [&](const Ranked* r) {
        return r ? fmt::format(
                       "{:+.1f}",
                       units::to_display(r->worst_margin, Quantity::temperature_difference, system))
                 : std::string("-");
    };
    const auto share = [](const PlacementCertainty* p) {
        return p ? fmt::format("{:.0f} %", 100 * p->holds) : std::string("-");
    };
    for (const Ranked& now : after.ranking) {
        const std::string& p = now.placement;
        std::vector<results::TableCell> row{{p},
                                            {place_of(before, p)},
                                            {place_of(after, p)},
                                            {margin(ranked(before, p))},
                                            {margin(&now)}};
        if (drawn)
            row.push_back({share(certain(before, p))}), row.push_back({share(certain(after, p))});
        table.rows.push_back(std::move(row));
    }
    return table;
}

std::string moved_words(const Comparison& before, const Comparison& after, System system) {
    if (before.ranking.empty() || after.ranking.empty()) return {};
    const std::string &then = before.ranking.front().placement,
                      &now = after.ranking.front().placement;
    std::string out =
        then == now
            ? fmt::format("The logs leave {} where it was, first", now)
            : fmt::format("The logs change the choice: {} stood first, now {} does", then, now);
    if (after.placements.size() == 1) out = fmt::format("What the logs change for {}", now);
    out += ": " + how_it_moved(before, after, now, system) + ".";
    if (then != now)
        out += " " + sentence_case(then) + ": " + how_it_moved(before, after, then, system) + ".";
    return out;
}

}  // namespace lapheat::study
