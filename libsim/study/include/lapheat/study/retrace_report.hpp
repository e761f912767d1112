// A retraced drive as sentences, tables and a page.
#pragma once

#include <string>

#include "lapheat/results/table.hpp"
#include "lapheat/study/retrace.hpp"

namespace lapheat::study {

/// Whether the log could be one of a car as the file says, by the readings within the bands; how
/// far off the model is. A sentence or two.
[[nodiscard]] std::string retrace_headline(const Retrace& retrace, units::System system);

/// The model less the log: a row for each fluid, by how the car goes, and how much of it lies
/// within the bands.
[[nodiscard]] results::TextTable trace_table(const Retrace& retrace, units::System system);
/// Warm-up and where it settles, as logged and by the model: a row for each fluid.
[[nodiscard]] results::TextTable warm_table(const Retrace& retrace, units::System system);

/// A whole HTML 5 document, UTF-8: temperatures and differences with their bands, both tables,
/// where the model is off and by what it looks, what was assumed. In both systems of units,
/// `system` shown first. Reads without script or network; names are escaped.
[[nodiscard]] std::string retrace_page(const Retrace& retrace, units::System system);

}  // namespace lapheat::study
