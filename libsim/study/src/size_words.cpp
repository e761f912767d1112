// The answer of a size in words, as a table and for machines; and sizes as sold.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/results/json_rows.hpp"
#include "lapheat/study/fields.hpp"
#include "lapheat/study/size.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/spellings.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity, units::System;
using Answer = Size::Answer;

/// The next of an ascending list at or beyond x; x itself if there is none.
double next_of(const std::vector<double>& sizes, double x, bool up) {
    constexpr double slack = 1e-9;
    if (up) {
        for (const double s : sizes)
            if (s >= x * (1 - slack)) return s;
    } else {
        for (auto s = sizes.rbegin(); s != sizes.rend(); ++s)
            if (*s <= x * (1 + slack)) return *s;
    }
    return x;
}

/// 1, 2 or 5 times a power of ten, some twentieth of x.
double round_step(double x) {
    const double decade = std::pow(10, std::floor(std::log10(std::abs(x) / 20)));
    const double part = std::abs(x) / 20 / decade;
    return (part < 1.5 ? 1 : part < 3.5 ? 2 : 5) * decade;
}

std::string amount(const Size& s, double x, System system) {
    return s.handle.whole ? fmt::format("{:.0f}", x)
                          : results::figure(x, s.handle.quantity, system);
}

std::string of_ten(double share) {
    const char* words[] = {"none", "one",   "two",   "three", "four", "five",
                           "six",  "seven", "eight", "nine",  "ten"};
    const double tenths = 10 * share;
    if (std::abs(tenths - std::round(tenths)) < 1e-9)
        return std::string(words[std::lround(tenths)]) + " of ten";
    return fmt::format("{:.0f} of 100", 100 * share);
}

std::string wanted(const Size& s, System system) {
    std::string out = s.target == 0 ? "holds" : "keeps " + format_kelvins(s.target, system);
    if (s.draws > 0)
        out += fmt::format(" in {} cars like yours ({} draws)", of_ten(s.share), s.draws);
    return out;
}

std::string binds(const Size& s) {
    return s.loop.empty() ? std::string()
                          : fmt::format("{} in {} binds", plain_name(s.loop), s.cycle);
}

std::string range_words(const Size& s, System system) {
    return fmt::format("from {} to {}", amount(s, s.low, system), amount(s, s.high, system));
}

/// K between the most and the least margin that was found.
double reach_of(const Size& s) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const SizeTried& t : s.tried)
        if (!std::isnan(t.margin)) low = std::min(low, t.margin), high = std::max(high, t.margin);
    return high - low;
}

void say_found(const Size& s, System system, std::vector<std::string>& out) {
    const std::string edge = s.least ? "the least" : "the most";
    out.push_back(
        sentence_case(fmt::format("{} {} is {} that {}; {}.", s.handle.name,
                                  amount(s, s.value, system), edge, wanted(s, system), binds(s))));
    const auto end = [&](double x, bool beyond, const char* side) {
        return beyond ? fmt::format("{} {} (the range ends there)", side, amount(s, x, system))
                      : amount(s, x, system);
    };
    const std::string ends = fmt::format("{} and {}", end(s.value_low, s.low_beyond, "below"),
                                         end(s.value_high, s.high_beyond, "above"));
    out.push_back(s.draws > 0
                      ? fmt::format("So many draws tell it to between {} (95 of 100).", ends)
                      : fmt::format("A margin is in doubt by {} while nothing is drawn: that "
                                    "is between {}. --draws 100 tells more.",
                                    format_kelvins(margin_doubt, system), ends));
    const double sold = next_sold(s.handle, s.value, s.least, system);
    const bool within = s.handle.range.holds(sold);
    if (within && !s.handle.whole)
        out.push_back(fmt::format(
            "Next as sold, {}: {} (common practice, no source).", s.least ? "up" : "down",
            s.handle.sold == scenario::Handle::Sold::hose ? units::size_as_sold(sold, system)
                                                          : amount(s, sold, system)));
}

void say_none(const Size& s, System system, std::vector<std::string>& out) {
    out.push_back(fmt::format("No {} {} {}: {} comes closest, with {} of {} asked for; {}.",
                              s.handle.name, range_words(s, system), wanted(s, system),
                              amount(s, s.value, system), format_kelvins(s.margin, system),
                              format_kelvins(s.target, system), binds(s)));
    if (reach_of(s) < 1)
        out.push_back(fmt::format(
            "It changes the margin by {} in all: something else binds. If {} is not what this is "
            "for, name the fluids that count with --fluid.",
            format_kelvins(reach_of(s), system), plain_name(s.loop)));
}

}  // namespace

double next_sold(const scenario::Handle& h, double x, bool up, System system) {
    using constants::inch;
    if (h.sold == scenario::Handle::Sold::hose) {
        std::vector<double> sizes;
        if (x < 0.024)
            for (const int dash : {3, 4, 5, 6, 8, 10, 12, 14, 16})
                sizes.push_back(hydraulics::dash_diameter(dash));
        for (int eighths = 8; eighths <= 24; ++eighths) sizes.push_back(eighths * inch / 8);
        return next_of(sizes, x, up);
    }
    if (h.sold == scenario::Handle::Sold::thermostat) {
        std::vector<double> sizes;
        for (const double rated : {160., 170., 180., 190., 195., 203.})
            sizes.push_back(units::to_si(rated, "degF", Quantity::temperature));
        return next_of(sizes, x, up);
    }
    if (h.whole || x == 0) return up ? std::ceil(x - 1e-9) : std::floor(x + 1e-9);
    // Whole steps of what a person reads.
    const double shown = units::to_display(x, h.quantity, system);
    const double step = h.quantity == Quantity::temperature ? 1 : round_step(shown);
    const double next =
        step * (up ? std::ceil(shown / step - 1e-9) : std::floor(shown / step + 1e-9));
    const char* unit = units::display_unit(h.quantity, system);
    return *unit == '\0' ? next : units::to_si(next, unit, h.quantity);
}

std::vector<std::string> size_words(const Size& s, System system) {
    std::vector<std::string> out;
    switch (s.answer) {
        case Answer::found:
            say_found(s, system, out);
            break;
        case Answer::none_holds:
            say_none(s, system, out);
            break;
        case Answer::all_hold:
            out.push_back(fmt::format("Every {} {} {}; {} has the least margin, {}; {}.",
                                      s.handle.name, range_words(s, system), wanted(s, system),
                                      amount(s, s.value, system), format_kelvins(s.margin, system),
                                      binds(s)));
            break;
        case Answer::stopped:
            out.push_back("Stopped before there was an answer; what was tried is in the table.");
            break;
    }
    if (!s.monotone) {
        std::vector<std::string> parts;
        for (const Stretch& h : s.holds)
            parts.push_back(
                fmt::format("{} to {}", amount(s, h.from, system), amount(s, h.to, system)));
        out.push_back(fmt::format("The margin does not run one way: it turns back by {}.{}",
                                  format_kelvins(s.against, system),
                                  parts.empty() ? "" : " Holds: " + listed(parts) + "."));
    }
    for (const Diagnostic& d : s.brings) {
        Diagnostic told = d;
        told.subject = plain_name(told.subject);
        out.push_back(fmt::format("At {} {}: {}", s.handle.name, amount(s, s.value, system),
                                  words(told, system)) +
                      ".");
    }
    if (!s.handle.alike)
        out.push_back("As the car stands its numbers differ; here all get the same.");
    for (const SizeTried& t : s.tried)
        if (!t.failed.empty()) {
            out.push_back(fmt::format("At {}: {}.", amount(s, t.value, system), t.failed));
            break;
        }
    std::size_t unfinished = 0;
    for (const SizeTried& t : s.tried) unfinished += t.failed.empty() ? t.unfinished : 0;
    if (unfinished > 0)
        out.push_back(fmt::format("{} drawn cars could not be driven to the end and do not count.",
                                  unfinished));
    out.push_back(
        "Only this number moves, with what is said to follow it: what else another part brings "
        "(weight, current, price) stays as it is. An estimate.");
    return out;
}

results::TextTable size_table(const Size& s, System system) {
    using results::Align, results::Tone;
    results::TextTable table;
    table.title = sentence_case(s.handle.words);
    table.columns = {{with_unit("value", s.handle.quantity, system), Align::right},
                     {with_unit("margin", Quantity::temperature_difference, system), Align::right}};
    if (s.draws > 0) {
        table.columns.push_back({"95 % of draws tell", Align::right});
        table.columns.push_back({"holds", Align::right});
    }
    table.columns.push_back({"binds", Align::left, true});
    const auto shown = [&](double x) {
        return results::signed_fixed(units::to_display(x, Quantity::temperature_difference, system),
                                     1);
    };
    for (const SizeTried& t : s.tried) {
        const Tone tone = t.margin >= s.target ? Tone::good : Tone::bad;
        std::vector<results::TableCell> row = {
            {fmt::format("{:.4g}", units::to_display(t.value, s.handle.quantity, system))},
            {t.failed.empty() ? shown(t.margin) : "-", tone}};
        if (s.draws > 0) {
            row.push_back(
                {t.failed.empty() ? shown(t.margin_low) + " to " + shown(t.margin_high) : "-"});
            row.push_back({t.failed.empty() ? percent(t.holds) : "-", tone});
        }
        row.push_back({t.failed.empty() ? plain_name(t.loop) + ", " + t.cycle : t.failed});
        table.rows.push_back(std::move(row));
    }
    return table;
}

results::Json size_json(const Size& s) {
    using results::Json;
    const char* answers[] = {"found", "all_hold", "none_holds", "stopped"};
    Json holds = Json::array(), numbers = Json::array(), brings = Json::array();
    for (const Diagnostic& d : s.brings) brings.push_back(words(d, System::si));
    for (const Stretch& h : s.holds) holds.push_back({h.from, h.to});
    for (const auto& n : s.handle.numbers)
        numbers.push_back({{"path", n.path}, {"plus", n.plus}, {"times", n.times}});
    return {{"of", s.handle.name},
            {"numbers", std::move(numbers)},
            {"quantity", units::name(s.handle.quantity)},
            {"unit", units::si_unit(s.handle.quantity)},
            {"stands_at", s.handle.value},
            {"from", s.low},
            {"to", s.high},
            {"target", s.target},
            {"draws", s.draws},
            {"share", s.share},
            {"fluids", s.fluids},
            {"answer", answers[static_cast<std::size_t>(s.answer)]},
            {"least", s.least},
            {"value", s.value},
            {"value_low", s.value_low},
            {"value_high", s.value_high},
            {"next_as_sold", s.sold ? Json(*s.sold) : Json()},
            {"margin", s.margin},
            {"loop", s.loop},
            {"cycle", s.cycle},
            {"monotone", s.monotone},
            {"against", s.against},
            {"holds", std::move(holds)},
            {"tried", results::json_rows(s.tried)},
            {"brings", std::move(brings)},
            {"runs", s.runs},
            {"seconds", s.seconds}};
}

}  // namespace lapheat::study
