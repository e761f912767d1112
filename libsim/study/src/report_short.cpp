// The report that a builder reads first: one row for each place, and what must be said with it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/report.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TextTable, results::Tone;
using units::Quantity, units::System;

/// "1", "2=" of one that ties with the one above.
std::string rank_word(const Comparison& c, std::size_t i) {
    return fmt::format("{}{}", i + 1, c.ranking[i].ties ? "=" : " ");
}

bool has_draws(const Comparison& c) { return c.certainty && c.certainty->draws > 0; }

std::vector<results::TableCell> row_as_drawn(const Comparison& c, std::size_t i, System system) {
    const Ranked& r = c.ranking[i];
    const PlacementCertainty& p = c.certainty->placements.at(c.index_of(r.placement));
    return {
        {rank_word(c, i)},
        {r.placement, Tone::strong},
        share_cell(p.holds, c.certainty->draws),
        {spread(p.margin_5, p.margin_50, p.margin_95, Quantity::temperature_difference, system)},
        {p.bound_by}};
}

std::vector<results::TableCell> row_as_written(const Comparison& c, std::size_t i, System system) {
    const Ranked& r = c.ranking[i];
    const Tone tone = r.holds ? Tone::good : Tone::bad;
    const double margin =
        units::to_display(r.worst_margin, Quantity::temperature_difference, system);
    return {{rank_word(c, i)},
            {r.placement, Tone::strong},
            {r.holds ? "yes" : "no", tone},
            {results::signed_fixed(margin, 1), tone},
            {r.worst_loop.empty() ? "" : plain_name(r.worst_loop) + ", " + r.worst_cycle}};
}

/// "coolant 34 °F (20 to 41)": what a fluid that no place serves keeps with the first of them.
std::string kept_by(const Comparison& c, const std::string& loop, System system) {
    const std::string& first = c.ranking.front().placement;
    if (const auto* f = has_draws(c) ? c.certainty->fluid(first, loop) : nullptr)
        return plain_name(loop) + " " +
               spread(f->margin_5, f->margin_50, f->margin_95, Quantity::temperature_difference,
                      system) +
               " " + unit_word(Quantity::temperature_difference, system);
    const std::size_t p = c.index_of(first);
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < c.cycles.size(); ++k)
        if (const auto* v = results::verdict_of(c.at(p, k).result, loop))
            least = std::min(least, v->margin);
    return std::isfinite(least) ? plain_name(loop) + " " + say_kelvins(least, system) : "";
}

}  // namespace

TextTable short_table(const Comparison& c, System system) {
    TextTable table;
    const char* first = c.faults ? "The fault that loses least first" : "Ranking, the best first";
    table.title = has_draws(c) ? fmt::format("{}: {} cars like yours", first, c.certainty->draws)
                               : fmt::format("{}: the car exactly as written", first);
    table.columns = {{"", Align::right},
                     {c.faults ? "fault" : "placement", Align::left, true},
                     {"holds", Align::right},
                     {with_unit("least margin", Quantity::temperature_difference, system)},
                     {has_draws(c) ? "bound most often by" : "bound by", Align::left, true}};
    for (std::size_t i = 0; i < c.ranking.size(); ++i)
        table.rows.push_back(has_draws(c) ? row_as_drawn(c, i, system)
                                          : row_as_written(c, i, system));
    return table;
}

std::vector<std::string> short_notes(const Comparison& c, System system) {
    std::vector<std::string> out, served, warm, costs, others;
    for (const std::string& loop : c.served) served.push_back(plain_name(loop));
    out.push_back(fmt::format("Margin is what {} {} left to {} limits at the worst moment{}.",
                              listed(served), served.size() > 1 ? "have" : "has",
                              served.size() > 1 ? "their" : "its",
                              has_draws(c) ? ": the middle car, and nine of ten" : ""));
    if (std::any_of(c.ranking.begin(), c.ranking.end(), [](const Ranked& r) { return r.ties; }))
        out.push_back(fmt::format(
            "= ties with the one above, whatever its margin: neither holding nor margin sets them "
            "apart, so {}.",
            tie_order));
    for (const std::string& loop : c.left_out)
        if (const std::string text = kept_by(c, loop, system); !text.empty())
            others.push_back(text);
    if (!others.empty())
        out.push_back(fmt::format("Least margin of what no place serves, {}: {}.",
                                  c.ranking.front().placement, listed(others)));
    for (const std::string& loop : c.left_out) {
        const FluidCertainty* f =
            has_draws(c) ? c.certainty->fluid(c.ranking.front().placement, loop) : nullptr;
        if (f != nullptr && f->margin_5 < 0)
            out.push_back(sentence_case(plain_name(loop)) +
                          " goes over its limit in more than one of twenty such cars, and no "
                          "place here serves it.");
    }
    for (const Ranked& r : c.ranking) {
        if (r.time_over_caution > 0)
            warm.push_back(fmt::format("{} {} (most in {})", r.placement,
                                       say_time(r.time_over_caution), r.most_caution));
        if (r.coolant_lost >= worth_a_word)
            costs.push_back(r.placement + " " + say_kelvins(r.coolant_lost, system));
    }
    if (!warm.empty()) {
        constexpr std::size_t most = 3;
        if (const std::size_t n = warm.size(); n > most) {
            warm.resize(most);
            warm.push_back(fmt::format("{} more placements", n - most));
        }
        out.push_back("Above a caution temperature, as the car is written: " + listed(warm) + ".");
    }
    if (!costs.empty())
        out.push_back(fmt::format("Coolant margin given up against {}: {}.", without_it_words(c),
                                  listed(costs)));
    return out;
}

}  // namespace lapheat::study
