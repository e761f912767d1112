// What a fit found, in words and as tables.
#include <fmt/format.h>

#include <cmath>
#include <filesystem>

#include "lapheat/study/fit_report.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using results::Align, results::TextTable, results::Tone;
using units::Quantity, units::System;

constexpr double told_of = 0.05;  ///< share of a variance below which a log tells next to nothing

std::string file_name(const std::string& log) {
    return std::filesystem::path(log).filename().string();
}

bool tells(const FittedNumber& f) { return f.fitted && f.told >= told_of; }

}  // namespace

FitHeadline headline_of(const CarFit& fit) {
    FitHeadline out;
    for (const FitScore& s : fit.scores) out.held_back = out.held_back || s.held_back;
    double samples = 0;
    std::string last;
    for (const FitScore& s : fit.scores) {
        if (s.held_back != out.held_back || s.samples == 0) continue;
        const auto n = static_cast<double>(s.samples);
        out.rms_before += n * s.rms_before * s.rms_before;
        out.rms_after += n * s.rms_after * s.rms_after;
        out.inside += n * s.inside_after, samples += n;
        if (s.log != last) ++out.logs, last = s.log;
    }
    if (!(samples > 0)) return out;
    out.rms_before = std::sqrt(out.rms_before / samples);
    out.rms_after = std::sqrt(out.rms_after / samples);
    out.inside /= samples;
    return out;
}

std::string headline_words(const CarFit& fit, System system) {
    const FitHeadline h = headline_of(fit);
    if (h.logs == 0) return "No log could be driven to its end.";
    return fmt::format(
        "On the logs {}: {} rms before, {} after; {:.0f} % of the readings lie in the band that "
        "should hold 90.{}",
        h.held_back ? "held back" : "that were fitted", format_kelvins(h.rms_before, system),
        format_kelvins(h.rms_after, system), 100 * h.inside,
        h.held_back ? ""
                    : " That is no test: give two logs or more, and some are held back for one.");
}

TextTable fit_score_table(const CarFit& fit, System system) {
    const auto difference = [&](double x) { return signed_kelvins(x, system); };
    const auto size = [&](double x) { return fmt::format("{:.1f}", shown_kelvins(x, system)); };
    TextTable table;
    table.title = "Held against the logs";
    table.columns = {{"log", Align::left, true},
                     {"fluid"},
                     {""},
                     {with_unit("rms", Quantity::temperature_difference, system), Align::right},
                     {"after", Align::right},
                     {"mean", Align::right},
                     {"after", Align::right},
                     {"in band", Align::right},
                     {"after", Align::right}};
    for (const FitScore& s : fit.scores)
        table.rows.push_back(
            {{file_name(s.log)},
             {s.before.loop},
             {s.held_back ? "held back" : "fitted", s.held_back ? Tone::strong : Tone::faint},
             {size(s.rms_before)},
             {size(s.rms_after)},
             {difference(s.bias_before)},
             {difference(s.bias_after)},
             {fmt::format("{:.0f} %", 100 * s.inside_before)},
             {fmt::format("{:.0f} %", 100 * s.inside_after)}});
    return table;
}

TextTable fitted_number_table(const CarFit& fit) {
    TextTable table;
    table.title = "What the logs say of the car (5, 50 and 95 % of each number, SI)";
    table.columns = {{"number", Align::left, true},
                     {"before", Align::right},
                     {"after", Align::right},
                     {"told", Align::right}};
    const auto range = [](double low, double middle, double high) {
        return fmt::format("{:.3g} .. {:.3g} .. {:.3g}", low, middle, high);
    };
    for (const FittedNumber& f : fit.numbers) {
        if (!tells(f)) continue;
        table.rows.push_back({{f.number.words() + (f.log.empty() ? "" : ", " + file_name(f.log))},
                              {range(f.before_5, f.before, f.before_95)},
                              {range(f.after_5, f.after, f.after_95)},
                              {fmt::format("{:.0f} %", 100 * f.told)}});
    }
    return table;
}

std::vector<std::string> untold_numbers(const CarFit& fit) {
    std::vector<std::string> out;
    for (const FittedNumber& f : fit.numbers)
        if (!tells(f))
            out.push_back(f.number.words() + (f.log.empty() ? "" : ", " + file_name(f.log)));
    return out;
}

std::vector<std::string> fit_words(const CarFit& fit, System system) {
    std::vector<std::string> out = fit.notes;
    for (const FittedSignal& f : fit.signals) {
        const std::string name(scenario::entry(f.signal).name);
        out.push_back(fmt::format("the thermometer of {} reads {} {} than the model, +- {}", name,
                                  format_kelvins(std::abs(f.offset), system),
                                  f.offset > 0 ? "higher" : "lower",
                                  format_kelvins(2 * f.offset_deviation, system)));
        out.push_back(fmt::format(
            "the model's own error of {} is {} (one standard deviation) and lasts {}: an hour of "
            "log counts as {:.0f} readings",
            name, format_kelvins(f.deviation, system), results::clock(f.memory),
            std::max(1.0, 1800 / f.memory)));
    }
    if (const std::size_t silent = untold_numbers(fit).size(); silent > 0)
        out.push_back(fmt::format(
            "of {} other numbers the logs say next to nothing; they keep their ranges", silent));
    return out;
}

}  // namespace lapheat::study
