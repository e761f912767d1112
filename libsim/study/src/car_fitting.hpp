// The fit of a car to logs at work: its parameters, its runs and what comes of them.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <vector>

#include "internal.hpp"
#include "lapheat/solve/least_squares.hpp"
#include "lapheat/study/car_fit.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {

using Values = std::vector<double>;

inline constexpr std::uint64_t series_of_draws = 1;

/// The residuals of one fluid have a deviation and a memory.
struct Noise {
    /// K, s, before any residual was seen: sharp, so that the first fit follows the log. What is
    /// left then tells the model's own error; begun the other way a poor fit's long residuals would
    /// explain themselves.
    double deviation = 1, memory = 15;
};

/// All temperatures that one car gives in one log: by fluid, by time.
using Driven = std::vector<Values>;

class Fitting {
  public:
    Fitting(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
            const CarFitOptions& options)
        : scenarios_{scenario}, cars_(scenarios_, series_of_draws), options_(options) {
        if (logs.empty()) throw Error("nothing to fit to", "at least one log");
        for (const scenario::Log& log : logs)
            drives_.emplace_back(scenario.car, log, options.retrace);
        const auto count = static_cast<int>(logs.size());
        int held = options.hold_back >= 0 ? options.hold_back
                   : count < 2            ? 0
                                          : std::max(1, (2 * count) / 5);
        if (held >= count)
            throw Error(fmt::format("{} logs held back of {}", held, count),
                        "at least one log to fit to", {}, "hold-back");
        fitted_logs_ = static_cast<std::size_t>(count - held);
        for (const LoggedDrive& drive : drives_)
            for (const TracedFluid& f : drive.fluids())
                if (std::ranges::find(signals_, f.signal) == signals_.end())
                    signals_.push_back(f.signal);
    }

    CarFit run();

  private:
    [[nodiscard]] std::size_t count() const { return cars_.numbers().size(); }

    void say(double done, const char* what) const {
        if (options_.progress) options_.progress(done, what);
    }

    /// The car with each number at the score given.
    [[nodiscard]] model::Car car(const Values& scores) const {
        Values u;
        for (const double z : scores)
            u.push_back(std::clamp(solve::normal_share(z), 1e-9, 1 - 1e-9));
        return cars_.car(0, u);
    }

    /// Every set of scores through the logs [from, to); empty where a run fails.
    std::vector<std::vector<Driven>> drive_all(const std::vector<Values>& sets, std::size_t from,
                                               std::size_t to) {
        const std::size_t logs = to - from;
        std::vector<std::vector<Driven>> out(sets.size(), std::vector<Driven>(logs));
        for_all(
            sets.size() * logs, options_.threads, options_.cancel,
            [&](std::size_t i, const Watch& watch) {
                try {
                    out[i / logs][i % logs] =
                        drives_[from + i % logs].drive(car(sets[i / logs]), &watch.stop);
                } catch (const Error&) {
                    if (watch.stop) throw;  // stopped; else no answer there
                }
            },
            nullptr);
        runs_ += sets.size() * logs;
        return out;
    }

    /// Whitened residuals of the fitted logs, then the priors: scores, offsets, `rest`. With
    /// `straight` the rest is not in `driven` yet and goes in by its tangents.
    [[nodiscard]] Values residuals(const std::vector<Driven>& driven, const Values& offsets,
                                   const Values& scores, const Values& rest = {},
                                   bool straight = false) const;
    [[nodiscard]] std::vector<std::size_t> screen();
    [[nodiscard]] solve::LeastSquares solve_for(const std::vector<std::size_t>& free,
                                                const Values& start);
    void estimate_noise(const std::vector<Driven>& driven, const Values& offsets);
    /// Scores of all numbers from those of the free ones.
    [[nodiscard]] Values full(const std::vector<std::size_t>& free, const Values& x) const {
        Values out(count(), 0.0);
        for (std::size_t k = 0; k < free.size(); ++k) out[free[k]] = x[k];
        const std::size_t from = free.size() + signals_.size();
        for (std::size_t n = 0; n < rest_.size() && from + n < x.size(); ++n)
            out[rest_[n]] = x[from + n];
        return out;
    }
    /// Among the parameters; negative if the number is none of them.
    [[nodiscard]] Eigen::Index place_of(const std::vector<std::size_t>& free, std::size_t j) const {
        if (const auto at = std::ranges::find(free, j); at != free.end()) return at - free.begin();
        const auto at = std::ranges::find(rest_, j);
        return at == rest_.end() ? -1
                                 : static_cast<Eigen::Index>(free.size() + signals_.size()) +
                                       (at - rest_.begin());
    }
    /// Parts of the parameters: scores of the free ones, offsets, the rest.
    struct Parts {
        Values scores, offsets, rest;
    };
    [[nodiscard]] Parts parts(std::size_t free, const Values& x) const {
        const auto at = [&](std::size_t i) { return x.begin() + static_cast<std::ptrdiff_t>(i); };
        const std::size_t second = free + signals_.size();
        return {{at(0), at(free)}, {at(free), at(second)}, {at(second), x.end()}};
    }
    void check_normal(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
                      Eigen::MatrixXd& covariance, CarFit& out);
    void score(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
               const Eigen::MatrixXd& covariance, CarFit& out);
    void describe(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
                  const Eigen::MatrixXd& covariance, CarFit& out) const;
    [[nodiscard]] double offset_of(scenario::Signal signal, const Values& offsets) const {
        const auto at = std::ranges::find(signals_, signal) - signals_.begin();
        return offsets[static_cast<std::size_t>(at)] * options_.sensor_error;
    }

    std::vector<scenario::Scenario> scenarios_;
    DoubtedCars cars_;
    const CarFitOptions& options_;
    std::vector<LoggedDrive> drives_;
    std::vector<scenario::Signal> signals_;
    std::size_t fitted_logs_ = 0, runs_ = 0;
    Noise noise_;
    std::vector<std::size_t> rest_;              ///< numbers that go along straight
    std::vector<std::vector<Driven>> tangents_;  ///< K for each deviation: [of rest_][log][fluid]
};

}  // namespace lapheat::study
