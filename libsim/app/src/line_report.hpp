// Lines and plumbing in words, tables and JSON, for the verbs that speak of them.
#pragma once

#include <string>
#include <vector>

#include "console.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/study/plumbing.hpp"

namespace lapheat::app {

/// A row for each line: what a foot (a metre) more and an elbow more cost.
[[nodiscard]] std::string line_cost_table(const std::vector<study::LineCost>& costs,
                                          const results::Style& style);
[[nodiscard]] results::Json line_cost_json(const std::vector<study::LineCost>& costs);

[[nodiscard]] std::string plumbing_table(const std::vector<study::PlumbingItem>& items,
                                         const results::Style& style, bool totals);
[[nodiscard]] results::Json plumbing_json(const std::vector<study::PlumbingItem>& items);

}  // namespace lapheat::app
