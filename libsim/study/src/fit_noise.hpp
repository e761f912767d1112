// What keeps a model from its log: the law of the residuals, and what a log says of it.
//
// The residual of one fluid at time t is d(t) + e(t). d is the model's own error, alike in time: a
// stationary Gaussian process with covariance s^2 exp(-|t - t'| / m) (Ornstein-Uhlenbeck). e is
// what each reading has for itself: the log's step (a whole-kelvin reading is right to 0.29 K, one
// standard deviation: JCGM 100:2008, 4.3.7) and 0.2 K of whatever else. That a model's error is to
// be a term of its own, or parameters come out too sure: Kennedy & O'Hagan, J. R. Statist. Soc. B
// 63 (2001) 425; Brynjarsdottir & O'Hagan, Inverse Problems 30 (2014) 114007 (both from memory).
//
// A third part is the run's own roughness: a thermostat or a fan switch that hunts does so in a
// phase that any small change shifts, by some tenths of a kelvin in the temperatures. No number of
// the car tells it and no slope may be made of it, so it is measured by runs next to each other,
// counts as noise of each reading, and slopes are smoothed by as much as it made them rough.
//
// d is a Markov process, so a scalar Kalman filter turns residuals into independent ones of unit
// variance in one pass (Durbin & Koopman, Time Series Analysis by State Space Methods, 2012,
// sections 4.3 and 7.2; from memory). Gaps and lone points need nothing special.
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <vector>

namespace lapheat::study {

/// The model's error of one signal.
struct Noise {
    double deviation = 1;  ///< K, s above
    double memory = 180;   ///< s, m above
};

// Judgement: no model of a car is right to better than this, for longer than that.
inline constexpr double least_deviation = 0.5, least_memory = 60;  // K, s
// Nor alike for longer than that: what is off for longer is for numbers and thermometers to
// explain, or a fit that cannot explain it looks at nothing but how fast temperatures change.
inline constexpr double longest_memory = 900;  // s
/// K: the least deviation of an error of that memory (s), one that wanders as far within a minute
/// as the least error of a minute's memory. Without it a long memory makes of half a kelvin all but
/// an offset, which a fit takes for a nearly perfect model.
[[nodiscard]] double least_deviation_of(double memory);
// Before a log is seen, log-normal: 1 K within a factor of two, three minutes within three
// (standard deviations; judgement).
inline constexpr double usual_deviation = 1, deviation_factor = 2;
inline constexpr double usual_memory = 180, memory_factor = 3;
inline constexpr double other_white = 0.2;  ///< K, of a reading besides its step

/// The compared points of one fluid of one log: rows [begin, begin + time.size()) of all.
struct FitSeries {
    std::size_t log = 0, fluid = 0, signal = 0;
    std::vector<std::size_t> at;  ///< places in the fluid's grid
    std::vector<double> time;     ///< s, ascending
    double white = 0;             ///< K, deviation of e without roughness
    /// K^2 of each reading: variance of a run about its own middle; empty: none.
    std::vector<double> rough;
    double alike = 1;  ///< neighbours whose roughness is one: 1 + 2 sum of its correlations
    Eigen::Index begin = 0;
};

/// Sets `rough` and `alike` from what runs next to each other differ by, a column each, rows as
/// all.
void measure_roughness(std::vector<FitSeries>& series, const Eigen::MatrixXd& differences);

/// `found`, a difference of two runs over `width`, without what their roughness put in: smoothed in
/// time where runs are rough (an Ornstein-Uhlenbeck process of five minutes seen through that
/// noise, Rauch, Tung & Striebel, AIAA J. 3 (1965) 1445, from memory), nothing where no more than
/// roughness is in it, and as it is where runs are smooth.
[[nodiscard]] Eigen::VectorXd without_roughness(const std::vector<FitSeries>& series,
                                                const Eigen::VectorXd& found, double width);

/// Turns rows into independent ones of unit variance.
class Whitening {
  public:
    /// `noise`: of each signal.
    Whitening(const std::vector<FitSeries>& series, const std::vector<Noise>& noise);
    /// Every column of `rows`, in place.
    void apply(Eigen::Ref<Eigen::MatrixXd> rows) const;
    /// ln det of the residuals' covariance.
    [[nodiscard]] double log_determinant() const { return log_determinant_; }

  private:
    struct Step {
        double keep = 0, gain = 0, scale = 1;
    };
    std::vector<Step> steps_;  ///< a row each; a series begins with keep = 0
    double log_determinant_ = 0;
};

/// The likeliest noise of each signal, begun from `noise`: over a grid of a tenth in the logarithm
/// of the deviation, and of a quarter in the memory's.
[[nodiscard]] std::vector<Noise> likeliest_noise(const std::vector<FitSeries>& series,
                                                 std::vector<Noise> noise, const Eigen::MatrixXd& a,
                                                 const Eigen::VectorXd& b);

}  // namespace lapheat::study
