// A car's doubtful numbers fitted to what was logged.
//
// The numbers are those that a study draws (doubts.hpp), with the same distributions as priors:
// each is moved by a standard score z whose prior is a standard normal, so the fit is a least
// squares in whitened form, sum of (residual / deviation)^2 + sum of z^2. The thermometer of each
// signal has an offset of its own with a prior of 1 K. The residuals of one fluid are the model's
// own error, which is alike in time, and what each reading has for itself (its step, 0.2 K):
// fit_noise.hpp. Deviation and memory of the model's error are those that make the logs likeliest
// with every doubtful number left to its prior, never less, over a minute, than half a kelvin. So a
// log of an hour is not 180 independent readings, but the hour over twice the memory. Large
// residuals count by their root (solve::gentle).
//
// The posterior is a normal distribution of the scores of all numbers together: what the logs do
// not tell keeps its range, and numbers that trade against each other keep theirs in the direction
// in which they do. The model is far from straight over it (thermostats, fan switches), so its
// slopes are not those at a point: they are the straight lines that fit runs of cars drawn from the
// posterior best, and what such runs lie off those lines is error of the model, with its shape in
// time. Posterior and lines are found in turns, from the prior on, until they stay
// (car_fitting.hpp). What the model has wrong in the same way in every log no residual shows: a
// band is of this model's numbers, not of nature's.
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "lapheat/solve/matrix.hpp"
#include "lapheat/study/doubts.hpp"
#include "lapheat/study/retrace.hpp"

namespace lapheat::study {

struct CarFitOptions {
    RetraceOptions retrace{.run = {}, .cycle = {}, .grid = 20};
    std::vector<std::string> free;  ///< only these, by DoubtedNumber::words() or a key that states
                                    ///< it, all others known; empty: all
    /// Numbers that each log has for itself, as what a driver set: a heater's valve. In a log that
    /// is held back they are as they lie in those fitted.
    std::vector<std::string> each_log;
    /// Logs at the end of the list that are held back as a test; -1: two in five, one at least,
    /// when there are two or more.
    int hold_back = -1;
    std::size_t ensemble = 48;    ///< cars driven a round, in pairs
    double sensor_error = 1;      ///< K, deviation of a thermometer's offset
    double knee = 3;              ///< deviations beyond which a residual counts by its root
    std::size_t band_draws = 32;  ///< for bands
    std::size_t draws = 256;      ///< of the joint posterior, told but not driven
    int threads = 0;              ///< 0: as many as the machine has
    std::function<void(double, const char*)> progress;  ///< fraction, and what is done
    const std::atomic<bool>* cancel = nullptr;
};

struct FittedNumber {
    DoubtedNumber number;                            ///< as it stood
    double before_5 = 0, before = 0, before_95 = 0;  ///< of its draws, SI
    double after_5 = 0, after = 0, after_95 = 0;     ///< SI
    double told = 0;  ///< share of its variance that the logs took away, 0 to 1
    bool fitted = false;
    std::string log{};  ///< of a number that each log has for itself
    /// Paths of the keys that state it in the car's files; none: the car assumes it.
    std::vector<std::string> keys{};
};

/// How one fluid of one log comes out, before and after, over all its points.
struct FitScore {
    std::string log;
    scenario::Signal signal = scenario::Signal::coolant;
    bool held_back = false;
    std::size_t samples = 0;
    double rms_before = 0, rms_after = 0, bias_before = 0, bias_after = 0;  ///< K
    double inside_before = 0, inside_after = 0;  ///< share of points within the 90 % band
    double width_before = 0, width_after = 0;    ///< K, mean width of that band
    TracedFluid before, after;      ///< of the car in the middle of its doubts, and as fitted
    std::vector<double> low, high;  ///< 5 and 95 % of the fitted car, K, with noise
};

/// A thermometer, and how far the model is from it.
struct FittedSignal {
    scenario::Signal signal = scenario::Signal::coolant;
    double offset = 0, offset_deviation = 0;  ///< K, of the thermometer
    double deviation = 0;                     ///< K, of the model's own error
    double memory = 0;                        ///< s over which that error is alike
};

struct CarFit {
    std::vector<FittedNumber> numbers;  ///< told best first
    solve::Matrix correlation;          ///< of those fitted, in that order
    std::vector<FittedSignal> signals;  ///< in the order of the logs
    std::vector<FitScore> scores;       ///< log by log as given
    bool converged = false;
    /// The joint posterior: each row one car, SI, of those fitted in that order.
    std::vector<std::vector<double>> draws;
    /// Real runs of draws, weighted to the likelihood that they have: plain draws worth as much, a
    /// share of them, and the shape of the weights' tail (solve/pareto.hpp), beyond 0.7 of which
    /// the weights say nothing but that the posterior is no normal distribution.
    double near_normal = 0, tail = 0;
    std::vector<double> bend;  ///< K, of each signal: what the model bends by within the posterior
    std::size_t runs = 0;
    std::vector<std::string> notes;  ///< what was assumed, and what failed
};

/// Throws Error for no logs, a `free` that is no number of the car, whatever simulate() throws at
/// the car as it stands, and when cancelled.
[[nodiscard]] CarFit fit_car(const scenario::Scenario& scenario,
                             const std::vector<scenario::Log>& logs,
                             const CarFitOptions& options = {});

/// Paths of the keys of the car's files that state the number with its doubt; none: it is assumed.
[[nodiscard]] std::vector<std::string> keys_of(const scenario::Scenario& car,
                                               const DoubtedNumber& number);

/// A file that extends `base` and holds the fitted numbers with their doubt and how they go
/// together, to compare and draw again. TOML.
[[nodiscard]] std::string overlay_of(const CarFit& fit, const std::string& base);

}  // namespace lapheat::study
