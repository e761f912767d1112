// A fit as one web page.
#include <fmt/format.h>

#include "lapheat/results/report.hpp"
#include "lapheat/study/fit_report.hpp"
#include "page_log.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using page::Html, page::html::element, page::html::tag;
using units::System;

/// A log's temperatures with the band, and what the car is off by, before and after.
Html plots(const FitScore& s, std::size_t index, System system) {
    return page::logged_drive({.fluid = &s.after,
                               .before = &s.before,
                               .low = s.low,
                               .high = s.high,
                               .inside = s.inside_after,
                               .what = s.held_back ? "held back" : "fitted",
                               .log = s.log,
                               .name = fmt::to_string(index)},
                              system);
}

Html in_units(const CarFit& fit, System system) {
    const auto section = [&](const char* name, const char* title, const Html& body) {
        return page::section(name, page::id(name, system), title, body);
    };
    Html drawn;
    // Those that are a test first.
    for (const bool held : {true, false})
        for (std::size_t i = 0; i < fit.scores.size(); ++i)
            if (fit.scores[i].held_back == held) drawn += plots(fit.scores[i], i, system);
    const std::vector<std::string> untold = untold_numbers(fit);
    return element(
        "div", {{"class", page::only_in(system)}},
        element("div", {{"class", "verdict"}, {"role", "region"}, {"aria-label", "Score"}},
                tag("p", tag("strong", headline_words(fit, system)))),
        section("scores", "Held against the logs",
                tag("p",
                    "Thin dark: as logged. Dotted: the car as it stood. Coloured: the car as "
                    "fitted, in the band that should hold 90 of 100 readings.") +
                    element("div", {{"class", "plots"}}, drawn) +
                    page::html::table(fit_score_table(fit, system))),
        section("told", "What the logs told", page::html::table(fitted_number_table(fit))),
        section("untold", "What the logs said nothing about",
                untold.empty()
                    ? tag("p", "They told something of every number.")
                    : tag("p",
                          "These numbers keep their ranges; to know one of them better, "
                          "measure it, or log a drive that it matters in.") +
                          tag("details", tag("summary", fmt::format("{} numbers", untold.size())),
                              page::list(untold, "plain side"))),
        section("known", "To know", page::list(fit_words(fit, system), "plain")));
}

}  // namespace

std::string fit_page(const CarFit& fit, const std::string& car, System system) {
    return page::logs_document("What the logs say", car, system,
                               [&](System shown) { return in_units(fit, shown); });
}

}  // namespace lapheat::study
