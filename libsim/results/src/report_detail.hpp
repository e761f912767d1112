// Small parts that the reports share.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lapheat/results/report.hpp"
#include "lapheat/results/words.hpp"

namespace lapheat::results::detail {

/// K below which a margin is shown as a warning; common practice, no source.
inline constexpr double close_margin = 8;

TableCell margin_cell(double margin, const Style& style);
/// "1:15" in a bad tone, "-" for none.
TableCell time_over_cell(double seconds);
/// `text` wrapped, the first line behind `first`, those after it behind `next`.
std::string paragraph(const std::string& text, const Style& style, const std::string& first,
                      const std::string& next);
/// Columns for placement, cycle and each loop, no rows yet.
TextTable table_of_runs(std::string title, const std::vector<std::string>& loops);

/// "wall_thickness" of "loops.coolant.runs.radiator.parts.\"upper hose\".wall_thickness".
inline std::string_view last_word(std::string_view key) { return key.substr(key.rfind('.') + 1); }

/// A heat flow in its unit, to the three digits that it deserves: "50900", "12.3".
std::string heat_words(double watts, const Style& style);

}  // namespace lapheat::results::detail
