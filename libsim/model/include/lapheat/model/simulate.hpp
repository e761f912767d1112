// A model taken through a cycle.
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <string>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/model/result.hpp"

namespace lapheat::model {

/// Where a warm car had settled before a cycle. Made once, and gone on from in many runs.
struct Start;
class DriveCache;

/// How a run goes through time. Explicit steps are the reference: third order, below 1e-4 K of
/// tolerance fifth. Implicit ones (see solve::Method) are for tolerances above that.
enum class Stepping { by_tolerance, explicit_steps, implicit_steps };

struct Options {
    double tolerance = 2e-3;  ///< K, local error of any temperature in a step
    Stepping stepping = Stepping::by_tolerance;
    double sample_interval = 1.0;  ///< s between records
    bool keep_series = true;       ///< false: verdicts, events and ledger only (studies)
    bool fluids_only = false;      ///< of the series only each fluid's "watched_temperature"
    std::function<void(double)> progress;       ///< fraction done, some times a second
    const std::atomic<bool>* cancel = nullptr;  ///< set true to stop
    /// s over which what drives the car (heats, speeds, air) is averaged, energies exactly; 0: row
    /// by row of the cycle. Heat in bursts peaks higher than its mean: two seconds take 0.02 to 0.3
    /// K off a peak in laps, nearly the same of cars that are alike.
    double averaged = 0;
    /// Times the error that the air in paths may have beside that of fluids. It follows within a
    /// second, and where only peaks of fluids are looked for may miss more.
    double air_slack = 1;
    /// Of a car that starts warm: nullptr finds it anew in the first air of the cycle.
    std::shared_ptr<const Start> start = {};
    std::shared_ptr<DriveCache> drives = {};  ///< where runs of one study look for their drives
};

/// The cruise before a warm car's cycle, in the cycle's first air; nullptr for a car that does not
/// start from one. Good for every cycle that begins in the same air (ambient, humidity, sun, wind,
/// altitude, air conditioning). `near`: a start of a car in other air or with other numbers, to set
/// out from: sooner there, and within the same 0.1 K where the car settles in one way; a fan or a
/// thermostat within its hysteresis stays as it was in `near`, which has moved peaks of drawn cars
/// by 0.3 K, and by 0.7 K at most of 48. One whose air parts at other strips has other states, and
/// does not help. Throws Error.
[[nodiscard]] std::shared_ptr<const Start> settled_start(const Model& model,
                                                         const drive::Cycle& cycle,
                                                         const Options& options = {},
                                                         const Start* near = nullptr);

/// Runs the car over the cycle from where it had settled at Car::settled_speed (computed before the
/// cycle, no part of ledger or events), or from Car::start_temperature or ambient; loops with a
/// warm start from that. Throws Error for a cycle the model cannot take, for numbers that do not
/// stay finite, and when cancelled. Same model, cycle and options give the same bits on every
/// thread.
[[nodiscard]] Result simulate(const Model& model, const drive::Cycle& cycle,
                              const Options& options = {});

}  // namespace lapheat::model
