#include <fmt/format.h>

#include <cmath>
#include <filesystem>

#include "lapheat/study/retrace_report.hpp"
#include "page_log.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using page::Html, page::html::element, page::html::tag;
using results::Align, results::TextTable;
using units::Quantity, units::System;

std::string at(double kelvin, System system) {
    if (!std::isfinite(kelvin)) return "-";
    return fmt::format("{:.1f}", units::to_display(kelvin, Quantity::temperature, system));
}
results::TableColumn right(const std::string& words) { return {words, Align::right}; }

Html in_units(const Retrace& r, System system) {
    const auto section = [&](const char* name, const char* title, const Html& body) {
        return page::section(name, page::id(name, system), title, body);
    };
    Html drawn;
    for (std::size_t i = 0; i < r.fluids.size(); ++i)
        drawn += page::logged_drive({.fluid = &r.fluids[i],
                                     .low = r.fluids[i].low,
                                     .high = r.fluids[i].high,
                                     .inside = r.fluids[i].inside,
                                     .what = {},
                                     .log = r.log,
                                     .name = fmt::to_string(i)},
                                    system);
    const std::string legend =
        "Thin dark: as logged. Coloured: the car as its file has it" +
        std::string(r.drawn > 0 ? ", in the band that nine of ten cars of the file's doubts give."
                                : ".");
    return element(
        "div", {{"class", page::only_in(system)}},
        element("div", {{"class", "verdict"}, {"role", "region"}, {"aria-label", "Answer"}},
                tag("p", tag("strong", retrace_headline(r, system)))),
        section("drive", "The drive as logged, and by the model",
                tag("p", legend) + element("div", {{"class", "plots"}}, drawn) +
                    page::html::table(trace_table(r, system)) +
                    page::html::table(warm_table(r, system))),
        section("looks", "Where it is off, and by what it looks",
                r.looks.empty() ? tag("p", "Nowhere by more than is usual.")
                                : page::list(r.looks, "plain")),
        section("assumed", "What was assumed of the drive", page::list(r.notes, "plain")));
}

}  // namespace

std::string retrace_headline(const Retrace& r, System system) {
    double squares = 0, inside = 0, samples = 0;
    for (const TracedFluid& f : r.fluids) {
        const auto n = static_cast<double>(f.samples);
        squares += n * f.rms * f.rms, inside += n * f.inside, samples += n;
    }
    if (!(samples > 0)) return "No reading of the log could be compared.";
    std::string out = fmt::format("The model is {} rms off the log.",
                                  format_kelvins(std::sqrt(squares / samples), system));
    if (r.drawn == 0) return out;
    // Bands that are right hold 80 to 97 of 100 readings of one drive.
    inside /= samples;
    out += fmt::format(
        " {:.0f} of 100 readings lie in the band that nine of ten cars of the "
        "file's doubts give: ",
        100 * inside);
    if (inside < 0.8) return out + "something is outside of what the file says is possible.";
    return out + (inside > 0.97 ? "it could well be the log of such a car, and a fit would "
                                  "narrow the doubts."
                                : "it could well be the log of such a car.");
}

TextTable trace_table(const Retrace& r, System system) {
    TextTable table;
    table.title = "The model less the log";
    table.columns = {
        {"fluid"},     right(with_unit("mean", Quantity::temperature_difference, system)),
        right("rms"),  right("worst"),
        right("at"),   right("warming"),
        right("slow"), right("fast")};
    if (r.drawn > 0) table.columns.push_back(right("in band"));
    for (const TracedFluid& f : r.fluids) {
        table.rows.push_back({{f.loop},
                              {signed_kelvins(f.bias, system)},
                              {fmt::format("{:.1f}", shown_kelvins(f.rms, system))},
                              {signed_kelvins(f.worst, system)},
                              {results::clock(f.worst_time)},
                              {signed_kelvins(f.bias_warming, system)},
                              {signed_kelvins(f.bias_slow, system)},
                              {signed_kelvins(f.bias_fast, system)}});
        if (r.drawn > 0) table.rows.back().push_back({percent(f.inside)});
    }
    return table;
}

TextTable warm_table(const Retrace& r, System system) {
    TextTable table;
    table.title = "Warm-up, and where it settles";
    table.columns = {{"fluid"},
                     right(with_unit("settles, logged", Quantity::temperature, system)),
                     right("model"),
                     right("warm after, logged"),
                     right("model")};
    for (const TracedFluid& f : r.fluids)
        table.rows.push_back({{f.loop},
                              {at(f.regulated_logged, system)},
                              {at(f.regulated_model, system)},
                              {results::clock(f.warm_logged)},
                              {results::clock(f.warm_model)}});
    return table;
}

std::string retrace_page(const Retrace& r, System system) {
    return page::logs_document("The car as logged",
                               r.result.car + ", " + r.result.placement + ", " +
                                   std::filesystem::path(r.log).filename().string(),
                               system, [&](System shown_in) { return in_units(r, shown_in); });
}

}  // namespace lapheat::study
