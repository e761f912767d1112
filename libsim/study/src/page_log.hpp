// A logged drive on a page: temperatures and what a model is off by, with bands.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "lapheat/results/html.hpp"
#include "lapheat/study/retrace.hpp"

namespace lapheat::study::page {

/// One fluid of one log.
struct LoggedPlot {
    const TracedFluid* fluid = nullptr;   ///< the log, and the model's line
    const TracedFluid* before = nullptr;  ///< a second model, dotted; nullptr: none
    std::span<const double> low, high;    ///< K, band about the line; empty: none
    double inside = 0;                    ///< share of the log's points within it
    std::string what;                     ///< of the log, after its name: "held back"; or empty
    std::string log;                      ///< its file
    std::string name;                     ///< for ids, unique on the page
};

/// Two figures, temperatures and differences from the log; nothing of a log of one point.
[[nodiscard]] results::html::Html logged_drive(const LoggedPlot& plot, units::System system);

/// A whole page about logs, `body` in both systems of units, `system` shown first.
[[nodiscard]] std::string logs_document(
    const std::string& title, const std::string& car, units::System system,
    const std::function<results::html::Html(units::System)>& body);

}  // namespace lapheat::study::page
