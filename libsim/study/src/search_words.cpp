// What a search found, in words, as tables and for machines.
#include <fmt/format.h>

#include <cmath>

#include "lapheat/results/json_rows.hpp"
#include "lapheat/study/fields.hpp"
#include "lapheat/study/search.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TextTable, results::Tone;
using units::Quantity, units::System;

std::string money(const Search& s, double x) {
    return fmt::format("{:.{}f}{}{}", x, std::abs(x - std::round(x)) < 5e-3 ? 0 : 2,
                       s.currency.empty() ? "" : " ", s.currency);
}

std::string reached(const Search& s, System system) {
    const std::string margin =
        s.target == 0 ? "holds" : "keeps a margin of " + format_kelvins(s.target, system);
    return s.draws == 0 ? margin
                        : fmt::format("{} in {:.0f} of 100 cars like yours", margin, 100 * s.share);
}

}  // namespace

std::vector<std::string> search_words(const Search& s, System system) {
    std::vector<std::string> out;
    if (s.answer) {
        const Choice& c = s.front[*s.answer];
        out.push_back(fmt::format("{} is the cheapest that {}: {}, margin {}; {} in {} binds.",
                                  sentence_case(c.words), reached(s, system), money(s, c.price),
                                  format_kelvins(c.margin, system), plain_name(c.loop), c.cycle));
    } else if (!s.front.empty()) {
        const Choice& c = s.front.back();
        out.push_back(fmt::format(
            "Nothing on offer {}. {} comes closest: {}, margin {} of {} asked for; {} in {} binds.",
            reached(s, system), sentence_case(c.words), money(s, c.price),
            format_kelvins(c.margin, system), format_kelvins(s.target, system), plain_name(c.loop),
            c.cycle));
    }
    std::vector<std::string> aside;
    const auto left_out = [&](std::size_t count, const char* why) {
        if (count > 0) aside.push_back(fmt::format("{} {}", count, why));
    };
    left_out(s.over_budget, "over the budget");
    left_out(s.too_large, "too large");
    left_out(s.over_current, "over the current");
    left_out(s.unbuildable, "that cannot be built");
    out.push_back(
        fmt::format("Of {} {}{} {} on the front{}. {} runs, where all of them would have taken {}.",
                    s.choices, s.choices == 1 ? "choice" : "choices",
                    aside.empty() ? "" : fmt::format(" ({})", fmt::join(aside, ", ")),
                    s.front.size() == 1 ? "1 is" : fmt::format("{} are", s.front.size()),
                    s.dominated == 0 ? "" : fmt::format(", {} beaten for less money", s.dominated),
                    s.runs, s.runs_of_all));
    if (!s.first_unbuildable.empty())
        out.push_back("Cannot be built: " + s.first_unbuildable + ".");
    std::size_t failed = 0;
    for (const Choice& c : s.front) failed += c.failed;
    if (failed > 0)
        out.push_back(fmt::format(
            "{} drawn cars of the front could not be driven to the end and count as not holding.",
            failed));
    if (s.cancelled) out.push_back("Stopped before all were looked at: dearer ones are missing.");
    out.push_back("Prices are those of your lists; margins are estimates.");
    return out;
}

TextTable front_table(const Search& s, System system) {
    TextTable table;
    const std::string step = format_kelvins(worth_money, system);
    table.title = s.draws == 0
                      ? "Price against margin: none has " + step + " more for less"
                      : fmt::format(
                            "Price against the margin that {:.0f} of 100 reach ({} draws): "
                            "none has {} more for less",
                            100 * s.share, s.draws, step);
    table.columns = {{s.currency.empty() ? "price" : "price, " + s.currency, Align::right},
                     {with_unit("margin", Quantity::temperature_difference, system), Align::right}};
    if (s.draws > 0) {
        table.columns.push_back({"between", Align::right});
        table.columns.push_back({"holds", Align::right});
    }
    table.columns.push_back({"fans, A", Align::right});
    table.columns.push_back({"choice", Align::left, true});
    table.columns.push_back({"binds", Align::left, true});
    const auto shown = [&](double x) {
        return results::signed_fixed(units::to_display(x, Quantity::temperature_difference, system),
                                     1);
    };
    for (std::size_t i = 0; i < s.front.size(); ++i) {
        const Choice& c = s.front[i];
        const Tone tone = c.margin >= s.target ? Tone::good : Tone::bad;
        std::vector<results::TableCell> row = {{fmt::format("{:.2f}", c.price)},
                                               {shown(c.margin), tone}};
        if (s.draws > 0) {
            // A drawn car that could not be driven to the end has no margin.
            row.push_back({(std::isfinite(c.margin_low) ? shown(c.margin_low) : "not driven") +
                           " to " + shown(c.margin_high)});
            row.push_back({percent(c.holds), tone});
        }
        row.push_back({fmt::format("{:.0f}", c.current)});
        row.push_back({c.words, s.answer == i ? Tone::strong : Tone::plain});
        row.push_back({plain_name(c.loop) + ", " + c.cycle});
        table.rows.push_back(std::move(row));
    }
    return table;
}

TextTable shopping_table(const Search& s, System system) {
    TextTable table;
    table.title = "To buy";
    table.columns = {{"part"},
                     {"what", Align::left, true},
                     {"price", Align::right},
                     {"how many", Align::right},
                     {"sum", Align::right},
                     {"notes", Align::left, true}};
    const double far = results::far_unit(system);
    double sum = 0;
    for (const Search::Bought& b : s.shopping) {
        sum += b.sum;
        const char* unit = system == System::us ? "ft" : "m";
        table.rows.push_back({{b.part},
                              {b.what},
                              {b.per_metre ? fmt::format("{:.2f}/{}", b.price * far, unit)
                                           : fmt::format("{:.2f}", b.price)},
                              {b.per_metre ? fmt::format("{:.1f} {}", b.amount / far, unit)
                                           : fmt::format("{:.0f}", b.amount)},
                              {fmt::format("{:.2f}", b.sum)},
                              {b.notes}});
    }
    table.rows.emplace_back();
    table.rows.push_back({{"together"}, {""}, {""}, {""}, {money(s, sum), Tone::strong}});
    return table;
}

results::Json search_json(const Search& s) {
    using results::Json;
    Json front = Json::array(), shopping = Json::array();
    for (const Choice& c : s.front) {
        Json offers = Json::array();
        for (const std::size_t o : c.offers) offers.push_back(o == Choice::none ? Json() : Json(o));
        front.push_back({{"placement", s.placements[c.placement]},
                         {"offers", std::move(offers)},
                         {"choice", c.words},
                         {"price", c.price},
                         {"margin", c.margin},
                         {"margin_low", c.margin_low},
                         {"margin_high", c.margin_high},
                         {"holds", c.holds},
                         {"current", c.current},
                         {"loop", c.loop},
                         {"cycle", c.cycle},
                         {"failed", c.failed}});
    }
    for (const Search::Bought& b : s.shopping)
        shopping.push_back({{"part", b.part},
                            {"what", b.what},
                            {"price", b.price},
                            {"amount", b.amount},
                            {"per_metre", b.per_metre},
                            {"sum", b.sum},
                            {"notes", b.notes}});
    return {{"lists", s.lists},
            {"currency", s.currency},
            {"target", s.target},
            {"draws", s.draws},
            {"share", s.share},
            {"front", std::move(front)},
            {"answer", s.answer ? Json(*s.answer) : Json()},
            {"choices", s.choices},
            {"over_budget", s.over_budget},
            {"too_large", s.too_large},
            {"over_current", s.over_current},
            {"unbuildable", s.unbuildable},
            {"dominated", s.dominated},
            {"runs", s.runs},
            {"runs_of_all", s.runs_of_all},
            {"seconds", s.seconds},
            {"interrupted", s.cancelled},
            {"shopping", std::move(shopping)},
            {"cautions", results::json_rows(s.cautions)}};
}

}  // namespace lapheat::study
