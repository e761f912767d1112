// What the files leave out: as a table, and as lines that a file could have.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "lapheat/results/report.hpp"
#include "lapheat/units/restate.hpp"
#include "report_detail.hpp"

namespace lapheat::results {
namespace {

using model::AssumedNumber, units::Quantity, units::System;

std::string range_words(const AssumedNumber& a, System system) {
    if (!(a.high > a.low)) return {};
    const std::string low = figure(a.low, a.quantity, system);
    return low.substr(0, low.find(' ')) + " to " + figure(a.high, a.quantity, system);
}

/// The table that the key stands in, as a file that lies over another writes it: items of a list
/// by their number.
std::string table_of(std::string_view key) {
    const std::size_t point = key.rfind('.');
    if (point == std::string_view::npos) return {};
    return key_over(key.substr(0, point));
}

/// The fewest digits in that unit that are this number to rounding; empty if none are.
std::string exactly(double si, double shown, Quantity quantity, const std::string& unit) {
    constexpr double rounding = 1e-13;
    for (int digits = 1; digits <= 17; ++digits) {
        // Once more as a number, for 520 is no 5.2e+02.
        const double short_one = std::stod(fmt::format("{:.{}g}", shown, digits));
        const std::string text = fmt::format("{} {}", short_one, unit);
        if (std::abs(units::parse(text, quantity) - si) <= rounding * std::abs(si)) return text;
    }
    return {};
}

/// The value as a file would have it.
std::string literal(double si, Quantity quantity, System system) {
    if (quantity == Quantity::ratio) return fmt::format("{}", si);
    std::string best = exactly(si, units::to_display(si, quantity, system), quantity,
                               units::display_unit(quantity, system));
    const std::string other = exactly(si, si, quantity, units::si_unit(quantity));
    constexpr std::size_t worth_another_unit = 6;
    // A reader of US units is shown no other.
    if (best.empty() ||
        (system == System::si && !other.empty() && other.size() + worth_another_unit < best.size()))
        best = other;
    return '"' + best + '"';
}

/// The same key of like parts with the same value says the same.
bool alike(const AssumedNumber& a, const AssumedNumber& b) {
    return a.key.find('.') != std::string::npos &&
           detail::last_word(a.key) == detail::last_word(b.key) && a.quantity == b.quantity &&
           a.value == b.value && a.low == b.low && a.high == b.high && a.why == b.why;
}

/// Calls use(table, its numbers) for each table in the order first met.
template <class Numbers, class Use>
void each_table(const Numbers& numbers, Use&& use) {
    std::vector<std::pair<std::string, Numbers>> tables;
    for (const auto& n : numbers) {
        const std::string table = table_of(n.number->key);
        auto there = std::find_if(tables.begin(), tables.end(),
                                  [&](const auto& t) { return t.first == table; });
        if (there == tables.end()) there = tables.insert(there, {table, {}});
        there->second.push_back(n);
    }
    for (const auto& [table, of] : tables) use(table, of);
}

struct Shown {
    const AssumedNumber* number = nullptr;
    std::size_t more = 0;  ///< like it
};

}  // namespace

TextTable assumed_table(std::span<const AssumedNumber> assumed, System system) {
    TextTable table;
    table.title = fmt::format("Assumed, for the files do not say: {} numbers", assumed.size());
    table.columns = {
        {"key", Align::left, true}, {"value", Align::right}, {"range"}, {"why", Align::left, true}};
    std::vector<Shown> shown;
    for (const AssumedNumber& a : assumed) {
        const auto like = std::find_if(shown.begin(), shown.end(),
                                       [&](const Shown& b) { return alike(a, *b.number); });
        if (like != shown.end())
            ++like->more;
        else
            shown.push_back({&a, 0});
    }
    each_table(shown, [&](const std::string& name, const std::vector<Shown>& numbers) {
        table.rows.push_back({{"[" + name + "]", Tone::code}});
        for (const Shown& n : numbers) {
            std::string why = units::restated(n.number->why, system);
            if (n.more > 0)
                why += fmt::format("{}the same of {} more", why.empty() ? "" : "; ", n.more);
            table.rows.push_back({{std::string(detail::last_word(n.number->key)), Tone::code},
                                  {figure(n.number->value, n.number->quantity, system)},
                                  {range_words(*n.number, system)},
                                  {why}});
        }
    });
    return table;
}

std::string assumed_lines(std::span<const AssumedNumber> assumed, System system) {
    std::vector<Shown> all;
    for (const AssumedNumber& a : assumed) all.push_back({&a, 0});
    std::string out;
    each_table(all, [&](const std::string& name, const std::vector<Shown>& numbers) {
        out += fmt::format("{}[{}]\n", out.empty() ? "" : "\n", name);
        for (const Shown& n : numbers) {
            std::string note = range_words(*n.number, system);
            if (!n.number->why.empty())
                note += (note.empty() ? "" : ": ") + units::restated(n.number->why, system);
            out += fmt::format("{} = {}{}{}\n", detail::last_word(n.number->key),
                               literal(n.number->value, n.number->quantity, system),
                               note.empty() ? "" : "  # ", note);
        }
    });
    return out;
}

}  // namespace lapheat::results
