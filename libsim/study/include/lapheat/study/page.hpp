// The comparison as one web page that needs nothing else.
#pragma once

#include <string>

#include "lapheat/study/compare.hpp"

namespace lapheat::study {

/// A whole HTML 5 document, UTF-8: verdict, ranking, outcomes, plots, assumptions, shopping
/// specification, cautions. No script or network is needed to read it; a small script adds a
/// read-out to the plots. Sentences are in the units that compare() was asked for. Everything from
/// the scenario is escaped. Plots are thinned so that the page stays below 1 MB for some twenty
/// placements; they are left out of results without series.
[[nodiscard]] std::string comparison_page(const Comparison& comparison, units::System system);

}  // namespace lapheat::study
