// A car's doubtful numbers fitted to what was logged.
//
// The numbers are those that a study draws (doubts.hpp), with the same distributions as priors:
// each is moved by a standard score z whose prior is a standard normal, so the fit is a least
// squares in whitened form, sum of (residual / deviation)^2 + sum of z^2. The thermometer of each
// signal has an offset of its own with a prior of 1 K. Residuals of one fluid are an autoregressive
// series of first order: neighbours are alike, with deviation and memory estimated from the fitted
// logs' own residuals, and the log's step adds its twelfth (a whole-kelvin reading is right to 0.29
// K, one standard deviation: JCGM 100:2008, 4.3.7). Large residuals count by their root
// (solve::gentle).
//
// The posterior is the curvature at the optimum, (J^T J)^-1, checked by importance weights of draws
// from it; where those say that it is not near normal the deviations are doubled and that is told.
// Held against logs that the model itself made, temperatures of a log held back come back within
// their bands; single numbers that trade against each other (heat and friction of the engine) may lie
// outside theirs: trust what the fitted car says of temperatures before what it says of a number.
#pragma once

#include <Eigen/Dense>
#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "lapheat/study/doubts.hpp"
#include "lapheat/study/retrace.hpp"

namespace lapheat::study {

struct CarFitOptions {
    RetraceOptions retrace{.run = {}, .cycle = {}, .grid = 20};
    std::vector<std::string>
        free;  ///< only these, by DoubtedNumber::words(); empty: what logs tell
    /// Logs at the end of the list that are held back as a test; -1: two in five, one at least,
    /// when there are two or more.
    int hold_back = -1;
    std::size_t most = 12;         ///< numbers that are fitted at once, those told best
    double sensor_error = 1;       ///< K, deviation of a thermometer's offset
    double knee = 3;               ///< deviations beyond which a residual counts by its root
    std::size_t band_draws = 48;   ///< for bands
    std::size_t check_draws = 48;  ///< for the importance weights
    int threads = 0;               ///< 0: as many as the machine has
    std::function<void(double, const char*)> progress;  ///< fraction, and what is done
    const std::atomic<bool>* cancel = nullptr;
};

struct FittedNumber {
    DoubtedNumber number;                            ///< as it stood
    double before_5 = 0, before = 0, before_95 = 0;  ///< of its draws, SI
    double after_5 = 0, after = 0, after_95 = 0;     ///< SI
    double told = 0;  ///< share of its variance that the logs took away, 0 to 1
    bool fitted = false;
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
    TracedFluid before, after;  ///< of the car in the middle of its doubts, and as fitted
    std::vector<double> low, high;               ///< 5 and 95 % of the fitted car, K, with noise
};

struct CarFit {
    std::vector<FittedNumber> numbers;               ///< told best first
    Eigen::MatrixXd correlation;                     ///< of those fitted, in that order
    std::vector<std::string> signals;                ///< whose thermometers have an offset
    std::vector<double> offsets, offset_deviations;  ///< K
    double deviation = 0;                            ///< K, of the residuals
    double memory = 0;                               ///< s over which neighbours are alike
    std::vector<FitScore> scores;                    ///< log by log as given
    bool converged = false;
    double near_normal = 0;  ///< effective share of the check's draws, 0 to 1
    double widened = 1;      ///< by which deviations were multiplied
    std::size_t runs = 0;
    std::vector<std::string> notes;  ///< what was assumed, and what failed
};

/// Throws Error for no logs, a `free` that is no number of the car, whatever simulate() throws at
/// the car as it stands, and when cancelled.
[[nodiscard]] CarFit fit_car(const scenario::Scenario& scenario,
                             const std::vector<scenario::Log>& logs,
                             const CarFitOptions& options = {});

/// A file that extends `base` and holds the fitted numbers with their doubt and how they go
/// together, to compare and draw again. TOML.
[[nodiscard]] std::string overlay_of(const CarFit& fit, const std::string& base);

}  // namespace lapheat::study
