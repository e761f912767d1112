// The fit of a car to logs at work: its numbers, its runs and what comes of them.
//
// Runs are dear (half a second of processor time for one car through six logged hours, and a
// hundred numbers in doubt), linear algebra is not. The temperatures' slopes by all numbers are
// first taken where the car stands, by one run each, wide. Then, in rounds, cars are drawn from
// what is known so far (at first the prior), in pairs to both sides of its middle, and driven:
//
//   middle of each pair          ->  c, the temperatures' mean, and how far pairs lie off it
//   half difference of each pair ->  G, slopes over the posterior's own width, and what is off them
//   logged = c + G (x - m) + offsets + B b + d + e,   x and b standard normal, d and e:
//   fit_noise.hpp
//
// B holds what the pairs lie off the lines, a column each over the root of their number, so the
// model's bends count as error with their own shape in time, however alike they are. That is linear
// in all unknowns: its solution is the next posterior. It begins wide and shrinks only as far as
// straight lines hold, and has settled where it gives itself. Posterior linearization: Garcia-
// Fernandez, Svensson, Morelande & Sarkka, IEEE Trans. Signal Process. 63 (2015) 5561; of ensembles
// Emerick & Reynolds, Comput. Geosci. 55 (2013) 3 (both from memory). There are fewer pairs than
// numbers, so G is ridge regression about the slopes known: a number's may change by as much as it
// has, for all of them as much as foretells pairs left out best. Rounds drawn from nearly the same
// posterior are taken together.
#pragma once

#include <Eigen/Dense>
#include <cstdint>
#include <optional>
#include <vector>

#include "fit_noise.hpp"
#include "lapheat/study/car_fit.hpp"

namespace lapheat::study {

using Values = std::vector<double>;
[[nodiscard]] inline Eigen::VectorXd vector_of(const Values& x) {
    return Eigen::Map<const Eigen::VectorXd>(x.data(), static_cast<Eigen::Index>(x.size()));
}

inline constexpr std::uint64_t series_of_draws = 1;

/// All temperatures that one car gives in one log: by fluid, by time.
using Driven = std::vector<Values>;

class CarFitting {
  public:
    CarFitting(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
               const CarFitOptions& options);
    CarFit run();

  private:
    /// A number that is fitted: one for all logs, or of one log alone.
    struct Moved {
        std::size_t number = 0;
        std::optional<std::size_t> log{};
    };
    /// Scores of all numbers, the same for all logs or a set for each.
    using Scores = std::vector<Values>;
    /// Where a fit is: parameters (scores of moved_, then offsets) and what the model says there.
    struct Point {
        Eigen::VectorXd x, model;
    };

    [[nodiscard]] std::size_t count() const { return cars_.numbers().size(); }
    [[nodiscard]] Eigen::Index moved() const { return static_cast<Eigen::Index>(moved_.size()); }
    [[nodiscard]] Eigen::Index all() const {
        return moved() + static_cast<Eigen::Index>(signals_.size());
    }
    void say(double done, const char* what) const {
        if (options_.progress) options_.progress(done, what);
    }
    void collect_readings();

    /// Scores of all numbers from the parameters.
    [[nodiscard]] Scores full(const Eigen::VectorXd& x) const;
    [[nodiscard]] bool of_each_log(std::size_t number) const {
        return std::ranges::find(of_each_log_, number) != of_each_log_.end();
    }
    /// The car with each number at the score given.
    [[nodiscard]] model::Car car(const Values& scores) const;
    /// Every set of scores through the logs [0, to); empty where a run fails.
    std::vector<std::vector<Driven>> drive_all(const std::vector<Scores>& sets, std::size_t to);
    /// What the fitted logs would read, a row each; empty where a run fails.
    std::vector<Eigen::VectorXd> models_at(const std::vector<Eigen::VectorXd>& points);
    [[nodiscard]] Eigen::VectorXd rows_of(const std::vector<Driven>& driven) const;

    void choose_numbers();
    [[nodiscard]] std::size_t known_number(const std::string& words, const char* key) const;
    [[nodiscard]] Point begin();  ///< fills moved_ and slopes_
    void add_slope(const Moved& moved, const Eigen::VectorXd& slope);
    /// Cars drawn in pairs to both sides of a point, a column each pair: where that point is, how
    /// far each went, half of what the two differ by, and what lies between them.
    struct Ensemble {
        Eigen::MatrixXd from, moves, odd, even;  ///< parameters, parameters, rows, rows by pairs
    };
    /// Whitened misses a (x, bends) + b of a straight model, parameters and bends standard normal.
    struct Straight {
        Eigen::MatrixXd a, b;
    };
    /// Draws from N(at.x, covariance), other points each round, runs them and puts them to `runs`.
    /// Throws Error where next to none can be driven.
    void drive_ensemble(const Point& at, const Eigen::MatrixXd& covariance, int round,
                        Ensemble& runs);
    /// Sets at.model, slopes_ and bend_: the best straight lines through the runs, and what those
    /// leave out.
    void lay_straight(Point& at, const Ensemble& runs);
    /// Slopes by numbers and offsets, and the bends.
    [[nodiscard]] Eigen::MatrixXd all_slopes() const;
    [[nodiscard]] Straight straight(const Point& at) const;
    [[nodiscard]] Eigen::VectorXd best(const Straight& model) const;
    [[nodiscard]] Eigen::MatrixXd covariance(const Straight& model,
                                             const Eigen::VectorXd& best) const;
    /// Sets how far draws of N(middle, covariance), those of `runs` from there, are the posterior.
    void weigh(const Ensemble& runs, const Eigen::VectorXd& middle,
               const Eigen::MatrixXd& covariance, CarFit& out) const;
    void tell_bend(CarFit& out) const;
    /// Moves `at` to where the posterior is, and gives its covariance.
    Eigen::MatrixXd approach(Point& at, CarFit& out);
    /// Sets how rough runs are about a point.
    void measure_rough(const Point& at);
    [[nodiscard]] double objective(const Eigen::VectorXd& x, const Eigen::VectorXd& model) const;

    void describe(const Point& at, const Eigen::MatrixXd& covariance, CarFit& out) const;
    /// The joint posterior's draws, of the parameters at `places` in that order.
    void draw_posterior(const Point& at, const Eigen::MatrixXd& covariance,
                        const std::vector<Eigen::Index>& places, CarFit& out) const;
    /// Scores of a number that each log has for itself in a log that was not fitted: as it lies in
    /// those that were (two at least, else the prior), its mean there and how far one may be off.
    struct Habit {
        double mean = 0, deviation = 1;
    };
    [[nodiscard]] Habit habit_of(std::size_t number, const Eigen::VectorXd& x,
                                 const Eigen::MatrixXd& covariance) const;
    void score(const Point& at, const Eigen::MatrixXd& covariance, CarFit& out);
    void score_one(std::size_t log, std::size_t fluid,
                   const std::vector<std::vector<Driven>>& driven,
                   const std::vector<Values>& offsets, CarFit& out) const;
    [[nodiscard]] std::size_t place_of(scenario::Signal signal) const;
    [[nodiscard]] Values offsets_of(const Eigen::VectorXd& x) const;

    std::vector<scenario::Scenario> scenarios_;
    DoubtedCars cars_;
    const CarFitOptions& options_;
    std::vector<LoggedDrive> drives_;
    std::vector<scenario::Signal> signals_;
    std::size_t fitted_logs_ = 0, runs_ = 0;
    std::vector<FitSeries> series_;
    Eigen::VectorXd logged_;                ///< K, all rows
    Eigen::MatrixXd offset_slopes_;         ///< K for each deviation: rows by signals
    std::vector<std::size_t> of_each_log_;  ///< numbers that each log has for itself
    std::vector<Moved> moved_;
    Eigen::MatrixXd slopes_;  ///< K for each deviation: rows by moved_
    Eigen::MatrixXd bend_;    ///< K: what straight lines leave out, each a standard normal's worth
    std::vector<Noise> noise_;  ///< of each signal
};

}  // namespace lapheat::study
