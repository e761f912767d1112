// Placements side by side: every one through every cycle, ranked, with the reasons in words.
//
// How placements are ranked. Each is as good as its worst moment: its least margin over all cycles
// and over the fluids that the choice of a place touches (coolant, transmission, steering: every
// loop but engine oil, which has no part in the combined cooler). More margin wins. Margins within
// 0.5 K of the best of a group are a tie, for no assumption here is surer than that; often it is
// the coolant, which most places leave alone. Ties go to less time over the limits (1 s), then to
// the other fluids' least margins, the least of them first (0.5 K; more than 20 K counts as 20 K),
// then less fan energy (2 %), shorter lines (0.1 m), more engine oil margin (0.5 K, same cap), and
// the order given.
#pragma once

#include <atomic>
#include <functional>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/study/sensitivity.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

/// K within which least margins count as equal, and beyond which more is worth nothing to the
/// fluids that do not bind. Judgement, no source.
inline constexpr double margin_tie = 0.5;
inline constexpr double margin_plenty = 20;

inline constexpr double not_asked = std::numeric_limits<double>::quiet_NaN();

struct CompareOptions {
    int threads = 0;                            ///< 0: as many as the machine has
    model::Options run;                         ///< progress and cancel in it are not used
    bool sensitivity = false;                   ///< would the winner change? Costs some 100 runs
    bool hottest_ambient = false;               ///< four to six more runs for each outcome
    bool line_costs = false;                    ///< two more runs for each hose and tube
    units::System system = units::System::si;   ///< of the numbers in sentences
    std::function<void(double)> progress;       ///< fraction done; on the calling thread
    const std::atomic<bool>* cancel = nullptr;  ///< set true to stop
};

/// One placement in one cycle.
struct CycleOutcome {
    std::string placement, cycle;
    model::Result result;
    double worst_margin = 0;      ///< K, least of the ranking fluids
    std::string worst_loop;       ///< the fluid that has it
    std::string binding;          ///< what binds it, in words
    double ambient = 0;           ///< K, air temperature at the moment of that margin
    double coolant_lost = 0;      ///< K of coolant margin given up against the best placement here
    bool hottest_beyond = false;  ///< the search's end was reached, the answer lies beyond it
    double hottest_ambient = not_asked;  ///< K that the cycle could be at; NaN if not asked
};

struct Ranked {
    std::string placement;
    double worst_margin = 0;  ///< K
    std::string worst_cycle, worst_loop;
    /// Least margin of each ranking fluid over the cycles, K, least first.
    std::vector<std::pair<std::string, double>> margins;
    double time_over = 0;    ///< s over limits, ranking fluids and cycles summed
    double fan_energy = 0;   ///< J, all cycles
    double line_length = 0;  ///< m of hose and tube in the car
    std::vector<std::pair<std::string, double>> lines;  ///< the same by loop, those that have any
    double peak_fan_current = 0;                        ///< A, most of any cycle, all fans together
    double peak_current = 0;       ///< A, most of any cycle, fans and the other loads
    double idle_capacity = 0;      ///< A that the alternator gives at idle
    double current_shortfall = 0;  ///< A, most by which the loads outran it in any cycle
    double engine_oil_margin = 0;  ///< K, least over the cycles; infinite without such a loop
    double coolant_lost = 0;       ///< K, most of any cycle
    bool holds = false;            ///< no ranking fluid over its limit in any cycle
    std::string reason;            ///< why it stands here, a sentence
    std::string decided_by;        ///< what parts it from the one above when margins tie
};

/// What a person should be told beside the numbers.
struct Caution {
    std::string about;  ///< heading: those about one thing follow each other, the worst harm first
    std::string text;   ///< whole sentences
};

struct Comparison {
    std::vector<std::string> placements, cycles;  ///< as given
    std::vector<CycleOutcome> outcomes;           ///< placement by placement, its cycles in order
    std::vector<Ranked> ranking;                  ///< best first
    std::string verdict;                          ///< why the winner wins
    std::vector<Sensitivity> sensitivity;         ///< empty if not asked
    /// Of each placement as given, in the cycle of its worst margin; empty if not asked.
    std::vector<std::vector<LineCost>> line_costs;
    std::vector<Caution> cautions;      ///< each once; for people
    std::vector<model::Car> cars;       ///< in the order of `placements`
    std::vector<std::string> left_out;  ///< loops that rank only as the last tie-break

    /// The outcome of the p-th placement in the c-th cycle.
    [[nodiscard]] const CycleOutcome& at(std::size_t p, std::size_t c) const {
        return outcomes.at(p * cycles.size() + c);
    }
};

/// Runs, ranks, explains. All scenarios must have the same cycles (by name); placements that share
/// a name are numbered. Throws Error for an empty list, cycles that differ, whatever compile() and
/// simulate() throw, and when cancelled. The same bits for any number of threads.
[[nodiscard]] Comparison compare(const std::vector<scenario::Scenario>& placements,
                                 const CompareOptions& options = {});

/// Fills `ranking` from placements, cycles, outcomes, cars and left_out: the rule above.
void rank(Comparison& comparison, units::System system = units::System::si);

/// Why the first in the ranking is first, from its numbers alone: one sentence for a hurried
/// reader, and those that follow it.
struct VerdictWords {
    std::string headline, rest;
};
[[nodiscard]] VerdictWords verdict_words(const Comparison& comparison, units::System system);
/// Both in one.
[[nodiscard]] std::string verdict_text(const Comparison& comparison, units::System system);

/// Loops that have no part in the choice of a place: those that take the engine oil's heat.
[[nodiscard]] std::vector<std::string> loops_left_out(const model::Car& car);

/// m of hose and tube in one loop, in all loops.
[[nodiscard]] double line_length(const model::Loop& loop);
[[nodiscard]] double line_length(const model::Car& car);

}  // namespace lapheat::study
