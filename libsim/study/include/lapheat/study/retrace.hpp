// The car driven as a logger saw it driven, and what it says beside what was measured.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/log.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

struct RetraceOptions {
    model::Options run;
    scenario::LogCycleOptions cycle;
    double grid = 5;          ///< s between the points that are compared
    double sensor_lag = 6;    ///< s, time constant of a thermometer in the flow; common practice, 3
                              ///< to 15 s; the model is held back by it before it is compared
    double longest_gap = 30;  ///< s without a sample over which nothing is compared
};

/// Cars drawn from the doubts of the file (doubts.hpp) and driven as the log has it, so that what
/// the model is off by can be held against what it may be off by.
struct TraceBandOptions {
    std::size_t draws = 32;  ///< 0: no bands
    double sensor_error =
        1;            ///< K, deviation of a thermometer's offset; common practice, no source
    int threads = 0;  ///< 0: as many as the machine has
    std::function<void(double)> progress;  ///< fraction of the cars driven
};

/// One fluid, logged and by the model, on a common grid of times (s). Temperatures in K.
struct TracedFluid {
    scenario::Signal signal = scenario::Signal::coolant;
    std::string loop, column;
    double step = 0;                          ///< K, least step of the log
    std::vector<double> time, logged, model;  ///< logged: NaN where the log is silent
    std::size_t samples = 0;                  ///< points that are compared
    double bias = 0;                          ///< K, mean of model − logged
    double rms = 0;                           ///< K
    double worst = 0, worst_time = 0;         ///< K of the largest difference, s
    /// K, median once the log has come within 3 K of its upper decile; NaN if it never stays there.
    double regulated_logged = 0, regulated_model = 0;
    /// s until 5 K below the logged regulated temperature; NaN if it starts above or never is.
    double warm_logged = 0, warm_model = 0;
    /// K, mean difference by how the car goes, warm; NaN with under a minute of it.
    double bias_warming = 0, bias_slow = 0, bias_fast = 0;
    /// K, between which nine of ten cars of the file's doubts read, with their thermometers'
    /// offset, what a model is usually off by (1 K) and the log's step; empty without draws.
    std::vector<double> low, high;
    double inside = 0;  ///< share of the compared points between them
};

struct Retrace {
    std::string log;
    drive::Cycle cycle;
    std::vector<TracedFluid> fluids;
    std::vector<std::string> notes;  ///< what was assumed of the drive
    /// Where the model is off, by what it looks, and whether the file's doubts cover it.
    std::vector<std::string> looks;
    std::size_t drawn = 0;  ///< cars that the bands are made of
    model::Result result;
};

/// A log ready to be driven by many variants of one car. Immutable; for all threads.
class LoggedDrive {
  public:
    /// Throws Error for a log without speed or without any fluid that the car has.
    LoggedDrive(const model::Car& car, const scenario::Log& log, const RetraceOptions& options);

    [[nodiscard]] const std::string& log() const noexcept { return log_; }
    [[nodiscard]] const drive::Cycle& cycle() const noexcept { return cycle_; }
    [[nodiscard]] const std::vector<std::string>& notes() const noexcept { return notes_; }
    /// With time and logged, without the model.
    [[nodiscard]] const std::vector<TracedFluid>& fluids() const noexcept { return fluids_; }
    /// Drives a car of the same loops from where the log begins; the model's temperatures of each
    /// fluid on its grid, behind the sensor's lag. Throws Error as simulate() does.
    [[nodiscard]] std::vector<std::vector<double>> drive(const model::Car& car,
                                                         const std::atomic<bool>* cancel = nullptr,
                                                         model::Result* result = nullptr) const;

  private:
    void set_start(const model::Car& car, const scenario::Log& log);

    RetraceOptions options_;
    std::string log_;
    std::vector<std::string> notes_;
    drive::Cycle cycle_;  // behind the notes, which it makes
    std::vector<TracedFluid> fluids_;
    bool warm_ = false;
    double start_ = 0;                                   ///< K of a cold start
    std::vector<std::pair<std::string, double>> loops_;  ///< warm starts, K
};

/// Fills samples, bias and all below it from time, logged and model; `speed` (m/s) at those times.
void compare_traces(TracedFluid& fluid, const std::vector<double>& speed);

/// Drives and compares. A drawn car that cannot be driven is told of in the notes. The same bits
/// for any number of threads. Throws Error as the above.
[[nodiscard]] Retrace retrace(const scenario::Scenario& scenario, const scenario::Log& log,
                              const RetraceOptions& options = {},
                              units::System system = units::System::si,
                              const TraceBandOptions& bands = {});

}  // namespace lapheat::study
