// Placements side by side: every one through every cycle, ranked, with the reasons in words.
//
// How placements are ranked: ranking_rule() is the sentence, rank() the code that follows it. A
// placement serves the loops that are built differently in the cars compared: other cooler cores,
// another place for them or order of their stack, other lines; the engine's own radiator stays
// where it is, it is the others that are put before or behind it. Where nothing differs (faults of
// one car) every loop counts. What a placement does to a loop it does not serve is a change against
// the same car with the cores of the served loops taken out, driven through the same cycle
// (without.hpp; where there is no such car, for radiators are compared or lines alone, against the
// compared car that leaves that loop the most margin). Over its limit, or boiling, while the car
// without it holds, the placement does not hold.
//
// Margins closer than `doubt` tie, counted from the best of a group, so small steps do not chain.
// With draws (certainty.hpp) shares take the place of what holds and of that doubt.
#pragma once

#include <atomic>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/certainty.hpp"
#include "lapheat/study/lever.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

/// K within which margins count as equal while no draws tell more. A single assumption of a place,
/// taken from one end of its range to the other, moves margins of the demonstration car by 9 to
/// 17 K, so half of the least of these, rounded up.
inline constexpr double margin_doubt = 5;
/// K of margin given up that is worth a word: below it a run's tolerance and fan switching show.
inline constexpr double worth_a_word = 0.5;

inline constexpr double not_asked = std::numeric_limits<double>::quiet_NaN();

struct CompareOptions {
    int threads = 0;     ///< 0: as many as the machine has
    model::Options run;  ///< progress and cancel in it are not used
    /// How often each placement holds over draws of all that is in doubt: so many, or 0 for until
    /// the shares stand; each costs a run of every placement in every cycle.
    std::optional<std::size_t> draws;
    std::size_t most_draws = 4096;             ///< where `draws` is 0
    std::uint64_t series = 1;                  ///< of the draws
    std::shared_ptr<const DrawTable> earlier;  ///< draws to go on from, of the same comparison
    bool hottest_ambient = false;              ///< four to six more runs for each outcome
    bool line_costs = false;                   ///< two more runs for each hose and tube
    bool levers = false;  ///< what would make those hold that do not: some hundred runs for each
    units::System system = units::System::si;   ///< of the numbers in sentences
    std::function<void(double)> progress;       ///< fraction done; on the calling thread
    const std::atomic<bool>* cancel = nullptr;  ///< set true to stop
};

/// One placement in one cycle.
struct CycleOutcome {
    std::string placement, cycle;
    model::Result result;
    double worst_margin = 0;  ///< K, least of the fluids that the placements serve
    std::string worst_loop;   ///< the fluid that has it
    std::string binding;      ///< what binds it, in words
    double ambient = 0;       ///< K, air temperature at the moment of that margin
    double coolant_lost = 0;  ///< K of coolant margin given up, see Comparison::placed
    /// Of the same car without what is placed, in this cycle; none where there is no such car.
    std::vector<model::Verdict> without;
    bool hottest_beyond = false;  ///< the search's end was reached, the answer lies beyond it
    double hottest_ambient = not_asked;  ///< K that the cycle could be at; NaN if not asked
};

struct Ranked {
    std::string placement;
    double worst_margin = 0;  ///< K
    std::string worst_cycle, worst_loop;
    /// Least margin of each fluid it serves over the cycles, K, least first.
    std::vector<std::pair<std::string, double>> margins;
    /// Margin that each other fluid gives up, K, most of any cycle.
    std::vector<std::pair<std::string, double>> effects;
    std::string harmed;  ///< a fluid it does not serve and drives over its limit; empty: none
    /// A fluid it does not serve and that goes over its limit with it and without; empty: none.
    std::string over_anyway;
    double time_over = 0;          ///< s over limits, fluids it serves and cycles summed
    double time_over_caution = 0;  ///< s over caution temperatures, the same sum
    std::string most_caution;      ///< the fluid and cycle with most of it, "steering, traffic"
    double hot_line = 0;           ///< m of oil line in sight of the exhaust
    double exposed = 0;      ///< m of oil line under the floor, a core there counted as a metre
    double fan_energy = 0;   ///< J, all cycles
    double line_length = 0;  ///< m of hose and tube in the car
    std::vector<std::pair<std::string, double>> lines;  ///< the same by loop, those that have any
    double peak_fan_current = 0;                        ///< A, most of any cycle, all fans together
    double peak_current = 0;       ///< A, most of any cycle, fans and the other loads
    double idle_capacity = 0;      ///< A that the alternator gives at idle
    double current_shortfall = 0;  ///< A, most by which the loads outran it in any cycle
    double coolant_lost = 0;       ///< K, most of any cycle
    bool holds = false;            ///< nothing it serves is over its limit or boils; nothing harmed
    std::string reason;            ///< why it stands here, a sentence
    std::string decided_by;        ///< what parts it from the one above when margins tie
    bool ties = false;             ///< neither holding nor margin parts it from the one above
};

/// What a person should be told beside the numbers.
struct Caution {
    std::string about;  ///< heading: those about one thing follow each other, the worst harm first
    std::string text;   ///< whole sentences
    bool first_read = false;  ///< a short report has it too
};

/// The waits of a cycle spent in one way, at the best placement.
struct QueueChoice {
    std::string cycle, placement;
    std::string way;         ///< "in park", "in drive on the brake", "with the engine off"
    double margin = 0;       ///< K, least of the transmission
    bool as_driven = false;  ///< as the cycle says
};

struct Comparison {
    std::vector<std::string> placements, cycles;  ///< as given
    std::vector<CycleOutcome> outcomes;           ///< placement by placement, its cycles in order
    std::vector<Ranked> ranking;                  ///< best first
    std::string verdict;                          ///< why the winner wins
    std::optional<Certainty> certainty;           ///< if draws were asked for
    /// Of each placement as given, in the cycle of its worst margin; empty if not asked.
    std::vector<std::vector<LineCost>> line_costs;
    /// Of placements that do not hold, one after the other; empty if not asked.
    std::vector<Lever> levers;
    std::vector<QueueChoice> queue;     ///< of cycles with waits, the way driven first
    std::vector<std::string> not_done;  ///< what could not be driven or found out, sentences
    std::vector<Caution> cautions;      ///< each once; for people
    std::vector<model::Car> cars;       ///< in the order of `placements`
    std::vector<std::string> served;    ///< loops that the placements are judged by
    std::vector<std::string> left_out;  ///< the other loops
    /// Cores that the placements place. What a placement gives up is counted against the car
    /// without them; if there are none, against the compared car that leaves a loop the most.
    std::vector<std::string> placed;
    double doubt = margin_doubt;  ///< K within which margins tie
    bool faults = false;          ///< the same car with other faults: none of them "wins"

    /// Where a placement stands in `placements`; past the end if it is not there.
    [[nodiscard]] std::size_t index_of(const std::string& placement) const;
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

/// Fills `ranking` from placements, cycles, outcomes, cars, left_out and doubt: the rule above.
void rank(Comparison& comparison, units::System system = units::System::si);

/// Why the first in the ranking is first, from its numbers alone: one sentence for a hurried
/// reader, and those that follow it.
struct VerdictWords {
    std::string headline, rest;
};
[[nodiscard]] VerdictWords verdict_words(const Comparison& comparison, units::System system);
/// The rule in one sentence, as it was applied.
[[nodiscard]] std::string ranking_rule(const Comparison& comparison, units::System system);

/// The sentences that say why the first in the ranking is first, from its numbers alone.
[[nodiscard]] std::string verdict_text(const Comparison& comparison, units::System system);

/// Loops that the compared cars build differently, in the order of the cars; empty if none.
[[nodiscard]] std::vector<std::string> loops_served(const std::vector<model::Car>& cars);

/// m of hose and tube in one loop, in all loops.
[[nodiscard]] double line_length(const model::Loop& loop);
[[nodiscard]] double line_length(const model::Car& car);

}  // namespace lapheat::study
