// A car through all its cycles without series: the run that draws, sizes, sweeps and searches are
// made of.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "internal.hpp"
#include "lapheat/study/draw_table.hpp"

namespace lapheat::study {

using CyclePtr = std::shared_ptr<const drive::Cycle>;
using StartPtr = std::shared_ptr<const model::Start>;

[[nodiscard]] std::vector<CyclePtr> shared_cycles(const scenario::Scenario& scenario);

/// What a verdict comes to in a table of draws.
[[nodiscard]] FluidOutcome outcome_of(const model::Verdict& verdict);

/// What every run of a study is: without series, progress and cancel of the caller's.
[[nodiscard]] model::Options without_series(model::Options run);

/// How each of many drawn cars is run: with ten times the local error (0.02 K as a rule) and
/// records half as often. A third of the time less; peaks stay within 0.05 K of the caller's way,
/// which is little beside what the draws themselves differ by. add_draws() goes further, and says
/// by some how far that is off.
[[nodiscard]] model::Options drawn(model::Options run);

/// How drawn cars are driven once it is known what that does to a peak, from drawn()'s way: what
/// drives them averaged over seven seconds, with fifteen times the error again (air three times
/// that), records four times as far apart. Takes a quarter of the time; what it costs cars at nine
/// places is a table in DEVELOPERS.md, by `measure_draws` of the benchmarks.
[[nodiscard]] model::Options coarse(model::Options run);
/// Cars, the one as written and the first drawn, that show it: driven both ways.
inline constexpr std::size_t shown_by = 5;

/// Runs one cycle from where the car settles, `near` set out from if given.
[[nodiscard]] model::Result drive(const model::Model& model, const drive::Cycle& cycle,
                                  model::Options run, const TaskWatch& watch,
                                  const model::Start* near = nullptr);

/// Where the car settles before a cycle, for variants of it to set out from; nullptr if it does
/// not settle, which its variants may. Throws Error only when stopped.
[[nodiscard]] StartPtr start_near(const model::Model& model, const drive::Cycle& cycle,
                                  model::Options run, const TaskWatch& watch);

/// The least margin of a run's fluids, and whether they all hold.
struct LeastMargin {
    double margin = std::numeric_limits<double>::infinity();  ///< K; boiling: below zero
    bool holds = true;
    std::string loop;
};
/// `fluids`: those that count; empty: all.
[[nodiscard]] LeastMargin least_margin(const model::Result& result,
                                       const std::vector<std::string>& fluids);

/// Throws Error for a fluid that the car has not.
void check_fluids(const model::Car& car, const std::vector<std::string>& fluids);

/// "cannot be built: …": what() with what was expected.
[[nodiscard]] std::string told(const Error& error);

}  // namespace lapheat::study
