// How sure a comparison is, from a table of draws: shares in place of yes and no, what the doubt is
// made of, and the one thing to measure next.
//
// A placement's margin in a draw is the least of the fluids it serves over all cycles; a fluid that
// boils, or one it does not serve and drives over its limit, makes it negative. Best in a draw is
// the one with the most margin; regret is what a placement has less than that.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lapheat/study/draw_table.hpp"

namespace lapheat::study {

/// Shares closer than this tie. Judgement: what a builder would not part two places for.
inline constexpr double share_tie = 0.05;
/// A margin is more only if it is in this share of the draws,
inline constexpr double clearly_more = 0.75;
/// and by this on the mean, K. Judgement.
inline constexpr double margin_tie = 2;
/// Half the 95 % interval of a share at which there are enough draws.
inline constexpr double enough_share = 0.02;

/// One placement in one cycle: the fluids it serves.
struct CycleCertainty {
    std::string placement, cycle;
    double holds = 0, holds_low = 0, holds_high = 0;       ///< share, and its 95 % interval
    double margin_5 = 0, margin_50 = 0, margin_95 = 0;     ///< K, below which 5, 50, 95 % lie
    double hottest_5 = 0, hottest_50 = 0, hottest_95 = 0;  ///< K of ambient; NaN if not asked
};

struct PlacementCertainty {
    std::string placement;
    double holds = 0, holds_low = 0, holds_high = 0;     ///< in all cycles; 95 % interval
    double best = 0, best_low = 0, best_high = 0;        ///< share in which it is best
    double regret = 0, regret_low = 0, regret_high = 0;  ///< K on the mean; 90 % interval
    double margin = 0;                                   ///< K on the mean
    double margin_5 = 0, margin_50 = 0, margin_95 = 0;   ///< K
    std::string bound_by;    ///< fluid and cycle that most often have its least margin
    double bound_share = 0;  ///< how often
    std::size_t failed = 0;  ///< draws that gave no answer for it
};

/// One fluid of one placement: its least margin over all cycles.
struct FluidCertainty {
    std::string placement, loop;
    double margin_5 = 0, margin_50 = 0, margin_95 = 0;  ///< K, below which 5, 50, 95 % lie
};

/// Where the temperatures of one fluid lie over a cycle: nine of ten draws between low and high.
struct Band {
    std::string placement, cycle, loop;
    std::vector<double> time;               ///< s
    std::vector<double> low, middle, high;  ///< K, 5, 50 and 95 %
};

/// A number and its part of the doubt about the placement put first.
struct Driver {
    std::string number;  ///< in words
    std::string origin;  ///< "yours", "derived" or "assumed"
    std::string source;
    units::Quantity quantity = units::Quantity::ratio;  ///< of value, low and high
    double value = 0, low = 0, high = 0;  ///< as it stands; 5 and 95 % of its draws, SI
    /// Of the variance of that margin, what lies beyond nine of ten put at their ends; 90 %.
    double share = 0, share_low = 0, share_high = 0;
    double worth = 0, worth_low = 0, worth_high = 0;  ///< K that knowing it would save the choice
    /// K, with that number alone at 5 and at 95 of 100; if it was not driven so, the mean of draws
    /// in its two end fifths.
    double margin_low = 0, margin_high = 0;
};

/// Something that can be measured before the choice is made.
struct Measurement {
    std::string what;      ///< "the air ahead of the cooler under the floor"
    std::string how;       ///< what to do
    std::string how_well;  ///< "to 2 K"
    double worth = 0, worth_low = 0, worth_high = 0;        ///< K, saved on the mean; 90 %
    double settles = 0, settles_low = 0, settles_high = 0;  ///< of that variance, as share; 90 %
};

struct Certainty {
    std::size_t draws = 0, runs = 0, failed = 0;  ///< failed: runs that could not be finished
    bool cancelled = false;
    std::string first_failure;
    std::vector<CycleCertainty> cycles;          ///< placement by placement
    std::vector<PlacementCertainty> placements;  ///< as given
    std::vector<FluidCertainty> fluids;          ///< placement by placement, loops in order
    std::vector<Band> bands;                     ///< placement by placement, cycles, loops
    std::vector<std::vector<double>> better;     ///< [p][q]: share in which p has more than q
    std::string about;                           ///< the placement the next two are about
    std::vector<Driver> drivers;                 ///< most of the doubt first
    std::vector<Measurement> measure;            ///< what is worth most first
    double regret = 0, regret_low = 0, regret_high = 0;  ///< of the choice with the least, K
    double explained = 0;       ///< share of the variance that the single numbers carry together
    std::size_t lone_runs = 0;  ///< that drove each number by itself; 0: fitted to the draws
    std::vector<std::string> not_drawn;  ///< doubts that files state and no draw has
    DrawTable table;

    /// nullptr if there is none.
    [[nodiscard]] const FluidCertainty* fluid(const std::string& placement,
                                              const std::string& loop) const noexcept;
    /// nullptr if there is none.
    [[nodiscard]] const Band* band(const std::string& placement, const std::string& cycle,
                                   const std::string& loop) const noexcept;
};

/// Margins of each placement in each draw that is complete for all, K: [placement][draw].
[[nodiscard]] std::vector<std::vector<double>> margins(const DrawTable& table,
                                                       std::size_t served_loops);

/// The shares of all placements stand within `enough_share`.
[[nodiscard]] bool enough(const DrawTable& table, std::size_t served_loops);

/// Shares, margins and regret. `served_loops`: so many of the table's first loops are served.
[[nodiscard]] Certainty shares(DrawTable table, std::size_t served_loops);

/// What each number does to a placement's margin by itself. A hundred numbers in some tens of draws
/// cannot be told apart by the draws alone; two cars for each number can.
struct LoneEffects {
    static constexpr double low_at = 0.05, high_at = 0.95;  ///< shares of all cases below
    double middle = 0;  ///< K, margin of the car with every number in its middle
    /// By number, K by which the margin is more with that number alone at the one end, at the
    /// other; not a number where it was not driven, or the car has no such number.
    std::vector<double> low, high;
    std::size_t runs = 0;
};

/// Drives the middle car of each placement, and of the `first` one two cars for each number that it
/// has. `placements`, and the series in `options`, are those of the table. Draws and
/// progress of `options` are not used. Throws Error if the first one's middle car cannot be driven,
/// or when cancelled.
[[nodiscard]] LoneEffects lone_effects(const DrawTable& table,
                                       const std::vector<scenario::Scenario>& placements,
                                       const std::string& first, std::size_t served_loops,
                                       const DrawOptions& options);

/// Adds drivers and measurements, for the placement put first. With `alone`, what each number does
/// by itself says how what the draws show of them together (the square of the correlation of
/// margins and the sum of these effects) divides among them; without, effects are fitted to the
/// draws.
void explain(Certainty& certainty, const std::string& first, std::size_t served_loops,
             const LoneEffects* alone = nullptr);

/// "93 of 100", "61 of 64", "all 512", "fewer than 1 of 100": of a hundred where there are as many.
[[nodiscard]] std::string of_hundred(double share, std::size_t draws);

}  // namespace lapheat::study
