// The smallest that holds: one number of the car, or several that a builder varies as one, moved
// until the least margin of its fluids over all cycles is the one asked for.
//
// The range is looked at in evenly spaced samples first, for a margin need not rise with a number
// (a deeper core cools better and breathes worse): every change between holding and not is then
// closed in by TOMS 748 (Alefeld, Potra & Shi 1995). With draws the margin is that which the asked
// share of cars like yours reaches, the same draws for every value.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "lapheat/results/json.hpp"
#include "lapheat/results/table.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/holding.hpp"
#include "lapheat/units/diagnostic.hpp"

namespace lapheat::study {

struct SizeOptions : HoldingOptions {
    std::optional<double> low, high;  ///< SI, of the range; none: by what the number is
    std::size_t samples = 0;          ///< of the range, both ends among them; 0: 7, drawn 5
    bool aside = true;                ///< false: what the answer brings is not looked for
};

/// One value that was tried.
struct SizeTried {
    double value = 0;  ///< SI
    /// K, least of the fluids and cycles; with draws that which the asked share reaches. Not a
    /// number if the car cannot be built or driven so.
    double margin = std::numeric_limits<double>::quiet_NaN();
    double margin_low = margin, margin_high = margin;  ///< 95 % interval; without draws the same
    double holds = 0;            ///< share of draws at or above the target; 0 or 1 without
    std::string loop, cycle;     ///< that have it; with draws, most often
    std::string failed;          ///< why there is no margin; empty: there is
    std::size_t unfinished = 0;  ///< draws without an answer, of those that could be built
};

/// A stretch of the range that holds.
struct Stretch {
    double from = 0, to = 0;  ///< SI
};

struct Size {
    scenario::Handle handle;
    double low = 0, high = 0;  ///< SI, of the range
    double target = 0, share = 0;
    std::size_t draws = 0;
    std::vector<std::string> fluids;
    enum class Answer { found, all_hold, none_holds, stopped };
    Answer answer = Answer::none_holds;
    bool least = true;  ///< found: the smallest that holds; false: the largest
    double value = 0;   ///< SI; of none_holds that which comes closest
    /// Ends of its doubt: with draws where the ends of the margin's interval are at the target,
    /// without where the margin is margin_doubt off it. An end of the range where it lies beyond.
    double value_low = 0, value_high = 0;
    bool low_beyond = false, high_beyond = false;
    std::optional<double> sold;    ///< SI, the next as sold on the side that holds
    double margin = 0;             ///< K at `value`
    std::string loop, cycle;       ///< that bind there
    bool monotone = true;          ///< over the samples, within `size_noise`
    double against = 0;            ///< K by which it runs the other way
    std::vector<Stretch> holds;    ///< ascending
    std::vector<SizeTried> tried;  ///< ascending
    /// What the car as written warns of about its fluids and lines with `value`, and not as it
    /// stands, or not by four fifths as much.
    std::vector<Diagnostic> brings;
    std::size_t runs = 0;  ///< of a car through a cycle
    double seconds = 0;
};

/// K of margin that fan switching and tolerances move by themselves.
inline constexpr double size_noise = 0.3;

/// Throws Error for a range that is empty or beyond what the keys allow, a fluid that is not there,
/// a car without cycles, and what simulate() throws at every value. Ctrl-C (`cancel`) is no error.
[[nodiscard]] Size size(const scenario::Scenario& scenario, const scenario::Handle& handle,
                        const SizeOptions& options = {});

/// The next size as sold at or beyond x, upwards or downwards, SI: hoses by dash numbers and, of
/// coolant, by eighths of an inch; thermostats by their ratings; else round numbers of the display
/// unit. Common practice, no source.
[[nodiscard]] double next_sold(const scenario::Handle& handle, double x, bool up,
                               units::System system);

/// The answer: the first sentence alone is one.
[[nodiscard]] std::vector<std::string> size_words(const Size& size, units::System system);
[[nodiscard]] results::TextTable size_table(const Size& size, units::System system);
[[nodiscard]] results::Json size_json(const Size& size);

}  // namespace lapheat::study
