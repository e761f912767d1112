// The state a warm car is in: settled at a cruise.
#pragma once

#include <memory>
#include <vector>

#include "dynamics.hpp"
#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/simulate.hpp"

namespace lapheat::model {

/// A car that has cruised at Car::settled_speed, level, in the first air of `cycle`, until five
/// minutes' means of all temperatures change by less than `settled_within` from one to the next.
struct Settled {
    std::unique_ptr<const Forcing> forcing;  ///< that the dynamics refer to
    std::unique_ptr<Dynamics> dynamics;      ///< its switches and thermostats as they stand
    std::vector<double> state;               ///< as Model lays it out; ledger at zero
    solve::Cost cost;
};
inline constexpr double settled_within = 0.1;  ///< K

/// Throws Error (key "settled_at") when the car has not settled within three hours, or cannot hold
/// the speed; when cancelled.
Settled settle(const Model& model, const drive::Cycle& cycle, const Options& options,
               const solve::Tolerances& tolerances, double hold);

/// Puts a loop with all that touches it at its stated temperature, Loop::warm_start.
void override_warm_starts(const Model& model, Settled& settled);

}  // namespace lapheat::model
