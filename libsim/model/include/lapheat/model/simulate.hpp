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

struct Options {
    double tolerance = 2e-3;               ///< K, local error of any temperature in a step
    double sample_interval = 1.0;          ///< s between records
    bool keep_series = true;               ///< false: verdicts, events and ledger only (studies)
    std::function<void(double)> progress;  ///< fraction done, some times a second
    const std::atomic<bool>* cancel = nullptr;  ///< set true to stop
};

/// Runs the car over the cycle from where it had settled at Car::settled_speed (computed before the
/// cycle, no part of ledger or events), or from Car::start_temperature or ambient; loops with a
/// warm start from that. Throws Error for a cycle the model cannot take, for numbers that do not
/// stay finite, and when cancelled. Same model, cycle and options give the same bits on every
/// thread.
[[nodiscard]] Result simulate(const Model& model, const drive::Cycle& cycle,
                              const Options& options = {});

}  // namespace lapheat::model
