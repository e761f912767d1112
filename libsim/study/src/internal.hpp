// What the sources of this room share.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "lapheat/results/table.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/parallel.hpp"

namespace lapheat::study {

[[nodiscard]] inline bool is_in(const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

/// How much of it: the first of its values, SI; 0 without one.
[[nodiscard]] inline double amount(const Diagnostic& d) {
    return d.values.empty() ? 0 : d.values.front().si;
}

/// Placements ready to run.
struct Prepared {
    std::vector<std::string> names, cycle_names;
    std::vector<std::shared_ptr<const model::Model>> models;
    std::vector<std::vector<std::shared_ptr<const drive::Cycle>>> cycles;  ///< of each placement
    std::vector<std::string> served, left_out, placed;                     ///< as in Comparison
};
[[nodiscard]] Prepared prepare(const std::vector<scenario::Scenario>& placements);

/// What a task of for_all() gets: a flag that says stop, and a place to say how far it is (0–1).
struct TaskWatch {
    const std::atomic<bool>& stop;
    std::function<void(double)> report;
};

/// Calls task(i, watch) for i below `count`, handed out in order to some threads; `progress` on the
/// calling one. After a failure no more are handed out; what the lowest failing i threw is thrown
/// here, the same for any number of threads. Throws Error when cancelled.
void for_all(std::size_t count, int threads, const std::atomic<bool>* cancel,
             const std::function<void(std::size_t, const TaskWatch&)>& task,
             const std::function<void(double)>& progress);

/// The ways of waiting of the first in the ranking, in every cycle with phases of waiting: that
/// of the cycle, and the others run anew. Empty without a converter.
[[nodiscard]] std::vector<QueueChoice> queue_choices(const Comparison& comparison,
                                                     const Prepared& prepared,
                                                     const ParallelOptions& options);

/// What would make those hold that do not, the best three of them; see lever.hpp.
[[nodiscard]] std::vector<Lever> levers(const Comparison& comparison, const Prepared& prepared,
                                        const std::vector<scenario::Scenario>& placements,
                                        const ParallelOptions& options);

/// What a loop that is not served has without the placement, see Comparison::placed; nullptr: no
/// such loop.
[[nodiscard]] const model::Verdict* without_it(const Comparison& comparison, std::size_t placement,
                                               std::size_t cycle, const std::string& loop);
/// What that is counted against, in the rule's words and short: "the car without it".
[[nodiscard]] const char* counted_against(const Comparison& comparison);
[[nodiscard]] const char* without_it_words(const Comparison& comparison);

/// How those that tie are put in an order, in rules and notes.
inline constexpr std::string_view tie_order =
    "less oil line in sight of the exhaust, less exposed under the floor, shorter lines and less "
    "current decide, in this order";

/// The verdict of a comparison with draws.
[[nodiscard]] VerdictWords certain_words(const Comparison& comparison, units::System system);
/// "60 of 64", in the colour of how good that is; "24 (-3 to 33)": middle, and nine of ten.
[[nodiscard]] results::TableCell share_cell(double share, std::size_t draws);
[[nodiscard]] std::string spread(double low, double middle, double high, units::Quantity quantity,
                                 units::System system);
/// The rule that ranks by draws, and how the doubt was drawn, in a few sentences.
[[nodiscard]] std::string certain_rule(const Comparison& comparison, units::System system);

/// The same comparison with its sentences in the units of `system`, and of its series only those of
/// the page's plots.
[[nodiscard]] Comparison in_other_words(const Comparison& comparison, units::System system);

/// What holds for every such work, warnings of places, wiring guidance, warnings of results.
[[nodiscard]] std::vector<Caution> cautions(const Comparison& comparison, units::System system);

}  // namespace lapheat::study
