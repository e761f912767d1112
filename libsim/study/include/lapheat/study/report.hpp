// What a study found, as tables and JSON. A table is made once and shown as text on a terminal and
// as HTML on the page.
//
// Numbers of tables are in the display units of `system`; JSON is SI. Its keys are stable: they may
// grow in number, not change.
#pragma once

#include <string>
#include <vector>

#include "lapheat/results/json.hpp"
#include "lapheat/results/table.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/plumbing.hpp"

namespace lapheat::study {

/// A row for each line, by fluid: what a foot (a metre) more and an elbow more cost. No rows
/// without costs.
[[nodiscard]] results::TextTable line_cost_table(const std::vector<LineCost>& costs,
                                                 units::System system);
/// Belongs below it.
[[nodiscard]] const char* line_cost_note() noexcept;

/// A row for each item; `totals`: only what to buy, without what each is for.
[[nodiscard]] results::TextTable plumbing_table(const std::vector<PlumbingItem>& items,
                                                units::System system, bool totals);

/// What is read first: a row for each placement, best first; of the draws if there are any.
[[nodiscard]] results::TextTable short_table(const Comparison& comparison, units::System system);
/// Belong below it: what margin is, how ties stand, what passes its caution temperature, what the
/// places cost the coolant.
[[nodiscard]] std::vector<std::string> short_notes(const Comparison& comparison,
                                                   units::System system);
/// A row for each placement, best first, with the reason; ranking_rule() belongs below it.
[[nodiscard]] results::TextTable ranking_table(const Comparison& comparison, units::System system);
/// A row for each placement: where it stood and stands, its margin and how often it holds, in one
/// comparison and in another of the same placements (before logs were fitted, and after).
[[nodiscard]] results::TextTable moved_table(const Comparison& before, const Comparison& after,
                                             units::System system);
/// The same of the choice, in sentences.
[[nodiscard]] std::string moved_words(const Comparison& before, const Comparison& after,
                                      units::System system);
/// What each place costs beside margin: coolant margin, amperes, lines that the choice changes.
[[nodiscard]] results::TextTable cost_table(const Comparison& comparison, units::System system);
/// What the gauges should show in the placement put first: a row for each fluid.
[[nodiscard]] results::TextTable gauge_table(const Comparison& comparison, units::System system);
/// Belongs below it.
[[nodiscard]] const char* gauge_note() noexcept;
/// A row for each placement: the hottest air that each cycle still holds in.
[[nodiscard]] results::TextTable hottest_table(const Comparison& comparison, units::System system);
/// A row for each placement, best first: how often it holds and is best, and its margins.
[[nodiscard]] results::TextTable certainty_table(const Comparison& comparison,
                                                 units::System system);
/// A row for each placement and cycle.
[[nodiscard]] results::TextTable cycle_certainty_table(const Comparison& comparison,
                                                       units::System system);
/// What the doubt is made of: a row for each number that carries most.
[[nodiscard]] results::TextTable driver_table(const Certainty& certainty, units::System system);
/// What to measure next, how, and what it tells.
[[nodiscard]] results::TextTable measurement_table(const Certainty& certainty,
                                                   units::System system);
/// How many draws of what, what failed, what was not drawn: sentences.
[[nodiscard]] std::vector<std::string> certainty_notes(const Certainty& certainty,
                                                       units::System system);
/// "31 °C"; "above 60 °C (the search ends there)" where it ended before its answer.
[[nodiscard]] std::string hottest_words(const CycleOutcome& outcome, units::System system);

[[nodiscard]] results::Json certainty_json(const Certainty& certainty);
[[nodiscard]] results::Json line_costs_json(const std::vector<LineCost>& costs);
[[nodiscard]] results::Json plumbing_json(const std::vector<PlumbingItem>& items);
[[nodiscard]] results::Json wiring_json(const model::Car& car);
/// All of it; its runs are those of results::to_json() with what the comparison adds to each.
[[nodiscard]] results::Json to_json(const Comparison& comparison);

}  // namespace lapheat::study
