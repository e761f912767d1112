// The state a warm car is in: settled at a cruise.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "dynamics.hpp"
#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/simulate.hpp"

namespace lapheat::model {

/// A car that has cruised at Car::settled_speed, level, in the first air of a cycle, until five
/// minutes' means of all temperatures change by less than `settled_within` from one to the next, or
/// until a switch or a thermostat turns with all of them as near to where they stood at an earlier
/// turn of it: a fan that comes and goes for ever is settled too, and the car stands within its
/// swing.
struct Start {
    Layout layout;  ///< of the model that it was made with
    Standing car;   ///< ledger and other sums at zero
    solve::Cost cost;
};
inline constexpr double settled_within = 0.1;  ///< K

/// Sets out from `near` if there is one. Throws Error (key "settled_at") when the car has not
/// settled within three hours, or cannot hold the speed; when cancelled.
std::shared_ptr<const Start> settle(const Model& model, const drive::Cycle& cycle,
                                    const Options& options, const solve::Tolerances& tolerances,
                                    double hold, Holding holding, const Start* near = nullptr);

/// Puts a loop with all that touches it at its stated temperature, Loop::warm_start.
void override_warm_starts(const Model& model, Standing& settled);

/// Words for a part whose state stands there.
std::string name_of_state(const Model& model, std::size_t state);

/// True if the start's states are the model's, one by one.
bool same_states(const Model& model, const Start& start);
/// Throws std::logic_error for a start of another car.
void require_same_states(const Model& model, const Start& start);

}  // namespace lapheat::model
