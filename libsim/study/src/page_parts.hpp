// Parts of the comparison page. Each gives a piece of HTML that is complete in itself.
#pragma once

#include <string>
#include <vector>

#include "lapheat/results/html.hpp"
#include "lapheat/study/compare.hpp"

namespace lapheat::study::page {

namespace html = results::html;
using html::Html;

/// The page says its numbers twice, once in each system of units, of which it shows one (classes
/// "in-si" and "in-us"): `name` as an id that is of one of them only.
[[nodiscard]] std::string id(const std::string& name, units::System system);

/// The class of what is shown with one system of units only.
[[nodiscard]] const char* only_in(units::System system);

/// The class that gives a loop's fluid its colour, by the loop's role: the same on every plot, bar
/// and table.
[[nodiscard]] std::string fluid_class(const Comparison& comparison, const std::string& loop);

/// Common axes, so that plots can be held against each other.
struct Axis {
    double low = 0, high = 1, step = 1;  ///< display unit
};
[[nodiscard]] Axis temperature_axis(const Comparison& comparison, units::System system);

/// One outcome's temperatures and limits against time, its axis in both systems of units, spoken of
/// in `system`; nothing without series. `points` limits each
/// line; peaks survive the thinning. `id` is unique on the page. With `sure` (or nullptr) the band
/// that nine of ten draws lie in stands behind each line.
[[nodiscard]] Html temperature_plot(const CycleOutcome& outcome, const Axis& axis,
                                    std::size_t points, const std::string& id, units::System system,
                                    const Certainty* sure);

/// Parts of a drawing, in its own coordinates: a line of that class, a text by its anchor.
[[nodiscard]] Html line(const char* css, double x1, double y1, double x2, double y2);
[[nodiscard]] Html label(const char* anchor, double x, double y, const std::string& text);

/// A bar from zero margin, all on one scale from `low` to `high` K.
[[nodiscard]] Html margin_bar(double margin, double low, double high, const std::string& css);
/// The same of draws: a bar from `from` to `to`, a mark at its middle.
[[nodiscard]] Html margin_band(double from, double middle, double to, double low, double high,
                               const std::string& css);

/// What to buy and make for one placement.
[[nodiscard]] Html shopping(const model::Car& car, units::System system);

/// What each foot of line and each elbow costs; nothing without costs.
[[nodiscard]] Html line_costs(const std::vector<LineCost>& costs, units::System system);

/// How sure: margins and shares, what the doubt is made of, what to measure.
[[nodiscard]] Html certainty(const Comparison& comparison, units::System system);

/// Numbers assumed about places, with ranges and sources.
[[nodiscard]] Html assumptions(const Comparison& comparison, units::System system);

/// Of the document: character set, width, title, style.
[[nodiscard]] Html head(const std::string& title);

/// The two buttons that show one system of units or the other; they stand before what they switch.
[[nodiscard]] Html choice_of_units(units::System shown);

/// A part of the page under a heading with that id; `name` for its class.
[[nodiscard]] Html section(const std::string& name, const std::string& id, const std::string& title,
                           const Html& body);

[[nodiscard]] Html list(const std::vector<std::string>& items, const std::string& css);

/// Under what they are about.
[[nodiscard]] Html cautions(const std::vector<Caution>& cautions);

[[nodiscard]] Html style();   ///< CSS
[[nodiscard]] Html script();  ///< JavaScript; the page reads without it

}  // namespace lapheat::study::page
