// The fit of a car to logs at work: its numbers, its runs and what comes of them.
//
// Runs are dear (half a second of processor time for one car through six logged hours, and a
// hundred numbers in doubt), linear algebra is not. So the temperatures' slopes by all numbers are
// taken once where the car stands, by one run each. From then on a run is spent only where it
// tells: one a step, whose miss corrects the slopes along it (Broyden, Math. Comput. 19 (1965) 577,
// from memory), and two for each of the few directions that the logs tell anything of (Cui et al.,
// Inverse Problems 30 (2014) 114015: the likelihood-informed subspace; from memory), taken anew
// where the fit has come to.
#pragma once

#include <Eigen/Dense>
#include <cstdint>
#include <optional>
#include <vector>

#include "fit_noise.hpp"
#include "lapheat/study/car_fit.hpp"

namespace lapheat::study {

using Values = std::vector<double>;

inline constexpr std::uint64_t series_of_draws = 1;

/// All temperatures that one car gives in one log: by fluid, by time.
using Driven = std::vector<Values>;

class Fitting {
  public:
    Fitting(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
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
    void approach(Point& at, CarFit& out);
    void renew_slopes(const Point& at);
    /// slopes_ along `step` get what two runs `width` apart in it were `found` to differ by.
    void correct_slopes(const Eigen::VectorXd& step, const Eigen::VectorXd& found,
                        double width = 1);
    /// Sets how rough runs are about a point, and what of its objective is nothing but that.
    void measure_rough(const Point& at);
    /// The best parameters if the model were straight about a point, within bounds.
    [[nodiscard]] Eigen::VectorXd straight_best(const Point& at) const;
    [[nodiscard]] double objective(const Eigen::VectorXd& x, const Eigen::VectorXd& model) const;
    [[nodiscard]] Eigen::VectorXd misses(const Eigen::VectorXd& x,
                                         const Eigen::VectorXd& model) const;
    [[nodiscard]] Eigen::MatrixXd slopes_and_offsets() const;
    /// Curvature of the objective at a point: what the logs say, and the priors' one each.
    [[nodiscard]] Eigen::MatrixXd curvature(const Point& at) const;
    /// How far the model bends within the posterior; what it does counts as error.
    void widen_by_bend(const Point& at, CarFit& out);

    void describe(const Point& at, const Eigen::MatrixXd& covariance, CarFit& out) const;
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
    Eigen::MatrixXd slopes_;    ///< K for each deviation: rows by moved_
    std::vector<Noise> noise_;  ///< of each signal
    double rough_objective_ = 0;
};

}  // namespace lapheat::study
