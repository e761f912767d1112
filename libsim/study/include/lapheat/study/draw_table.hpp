// Many draws of the compared cars through their cycles, as one table: what was drawn, and what came
// of it. Some 20 bytes for each fluid of each run, and of the runs themselves only the course of
// temperatures in the first few draws, for bands.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/study/doubts.hpp"

namespace lapheat::study {

/// What one fluid came to in one run; not a number where it is not in the car, or the run failed.
struct FluidOutcome {
    static constexpr float none = std::numeric_limits<float>::quiet_NaN();
    float margin = none;    ///< K
    float peak = none;      ///< K
    float air_rise = none;  ///< K by which the air at its core was above ambient, at the margin
    float air_flow = none;  ///< kg/s through its core then
    float flow = none;      ///< m³/s of it through its core, time mean
    bool holds = false;
};

/// A run that could not be finished.
struct FailedDraw {
    std::size_t draw = 0;
    std::string placement, cycle;  ///< cycle empty: the car could not be made
    std::string what;
};

/// Draws whose temperatures are kept, and at how many moments, evenly from start to end.
inline constexpr std::size_t band_draws = 64, band_steps = 161;

struct DrawTable {
    std::vector<DoubtedNumber> numbers;
    std::vector<std::string> not_drawn;
    std::vector<std::string> placements, cycles, loops;
    std::uint64_t series = 0;
    std::uint64_t fingerprint = 0;           ///< of all files and options that it came of
    std::size_t draws = 0;                   ///< that are complete
    std::vector<std::vector<double>> drawn;  ///< [number][draw]: share of all cases below, 0 to 1
    std::vector<FluidOutcome> outcomes;      ///< [draw][placement][cycle][loop]
    std::vector<FailedDraw> failed;          ///< in the order of the draws
    /// K of what is watched, [draw below band_draws][placement][cycle][loop][step]; not a number
    /// where there is none.
    std::vector<float> courses;
    std::vector<double> durations;  ///< s, of the cycles as the first placement drives them
    bool cancelled = false;         ///< ended before it was asked to

    [[nodiscard]] std::size_t index(std::size_t n, std::size_t p, std::size_t c,
                                    std::size_t l) const noexcept {
        return ((n * placements.size() + p) * cycles.size() + c) * loops.size() + l;
    }
    [[nodiscard]] const FluidOutcome& at(std::size_t n, std::size_t p, std::size_t c,
                                         std::size_t l) const noexcept {
        return outcomes[index(n, p, c, l)];
    }
    /// Of a placement by its name; placements.size() if there is none.
    [[nodiscard]] std::size_t index_of(const std::string& placement) const noexcept;
    /// The value of a number in a draw, SI.
    [[nodiscard]] double value(std::size_t k, std::size_t n) const noexcept {
        return numbers[k].distribution.quantile(drawn[k][n]);
    }
    /// The draw gave an answer for this placement in all cycles.
    [[nodiscard]] bool complete(std::size_t n, std::size_t p) const noexcept;
};

struct DrawOptions {
    std::size_t draws = 0;  ///< 0: until `enough` says so
    std::uint64_t series = 1;
    int threads = 0;     ///< 0: as many as the machine has
    model::Options run;  ///< progress, cancel, series in it are not used
    /// Asked after each block of draws, with at least 64 done. Empty: `most` is what is made.
    std::function<bool(const DrawTable&)> enough;
    std::size_t most = 4096;  ///< of draws, where `draws` is 0
    /// Draws done, with a fraction, of those asked for (or at most); on the calling thread.
    std::function<void(double done, std::size_t of)> progress;
    const std::atomic<bool>* cancel = nullptr;  ///< set true: what is done is the answer
};

/// The table is of these scenarios with this series and options, so that it can be gone on from.
[[nodiscard]] bool belongs(const DrawTable& table,
                           const std::vector<scenario::Scenario>& placements, std::uint64_t series,
                           const model::Options& run = {});

/// Adds draws to `table` (of an earlier call with the same scenarios and series, or empty) until it
/// has as many as asked for. Placements share each draw. The same bits for any number of threads,
/// in one call or several. Throws Error as compare() does, and for a table of something else.
void add_draws(DrawTable& table, const std::vector<scenario::Scenario>& placements,
               const DrawOptions& options);

}  // namespace lapheat::study
