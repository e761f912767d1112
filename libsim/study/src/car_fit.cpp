#include "lapheat/study/car_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "car_fitting.hpp"
#include "internal.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/least_squares.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

// Wide, for a run's own rounding (fans that switch a second sooner) must not count as knowledge.
constexpr double first_step = 0.8;
constexpr double least_effect = 1e-3;  ///< K; a number that moves nothing further is not fitted

}  // namespace

CarFitting::CarFitting(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
                       const CarFitOptions& options)
    : scenarios_{scenario}, cars_(scenarios_, series_of_draws), options_(options) {
    if (logs.empty()) throw Error("nothing to fit to", "at least one log");
    for (const scenario::Log& log : logs) drives_.emplace_back(scenario.car, log, options.retrace);
    const auto count = static_cast<int>(logs.size());
    const int held = options.hold_back >= 0 ? options.hold_back
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
    noise_.resize(signals_.size());
    collect_readings();
}

std::size_t CarFitting::place_of(scenario::Signal signal) const {
    return static_cast<std::size_t>(std::ranges::find(signals_, signal) - signals_.begin());
}

void CarFitting::collect_readings() {
    Values logged;
    for (std::size_t l = 0; l < fitted_logs_; ++l)
        for (std::size_t k = 0; k < drives_[l].fluids().size(); ++k) {
            const TracedFluid& f = drives_[l].fluids()[k];
            FitSeries s;
            s.log = l, s.fluid = k, s.signal = place_of(f.signal);
            s.white = std::hypot(f.step / std::sqrt(12.0), other_white);
            s.begin = static_cast<Eigen::Index>(logged.size());
            for (std::size_t i = 0; i < f.time.size(); ++i) {
                if (!std::isfinite(f.logged[i])) continue;
                s.at.push_back(i), s.time.push_back(f.time[i]);
                logged.push_back(f.logged[i]);
            }
            series_.push_back(std::move(s));
        }
    if (logged.empty())
        throw Error("the logs that are fitted hold no reading of a fluid that the car has");
    logged_ = vector_of(logged);
    offset_slopes_.setZero(logged_.size(), static_cast<Eigen::Index>(signals_.size()));
    for (const FitSeries& s : series_)
        offset_slopes_
            .block(s.begin, static_cast<Eigen::Index>(s.signal),
                   static_cast<Eigen::Index>(s.time.size()), 1)
            .setConstant(options_.sensor_error);
}

CarFitting::Scores CarFitting::full(const Eigen::VectorXd& x) const {
    Scores out(of_each_log_.empty() ? 1 : drives_.size(), Values(count(), 0.0));
    for (std::size_t k = 0; k < moved_.size(); ++k)
        for (std::size_t l = 0; l < out.size(); ++l)
            if (!moved_[k].log || *moved_[k].log == l)
                out[l][moved_[k].number] = x[static_cast<Eigen::Index>(k)];
    return out;
}

Values CarFitting::offsets_of(const Eigen::VectorXd& x) const {
    Values out;
    for (Eigen::Index s = moved(); s < all(); ++s) out.push_back(x[s] * options_.sensor_error);
    return out;
}

model::Car CarFitting::car(const Values& scores) const {
    Values u;
    for (const double z : scores) u.push_back(std::clamp(solve::normal_share(z), 1e-9, 1 - 1e-9));
    return cars_.car(0, u);
}

std::vector<std::vector<Driven>> CarFitting::drive_all(const std::vector<Scores>& sets,
                                                       std::size_t to) {
    std::vector<std::vector<Driven>> out(sets.size(), std::vector<Driven>(to));
    for_all(
        sets.size() * to, options_.threads, options_.cancel,
        [&](std::size_t i, const TaskWatch& watch) {
            try {
                const Scores& set = sets[i / to];
                const Values& scores = set.size() == 1 ? set.front() : set[i % to];
                out[i / to][i % to] = drives_[i % to].drive(car(scores), &watch.stop);
            } catch (const Error&) {
                if (watch.stop) throw;  // stopped; else no answer there
            }
        },
        nullptr);
    runs_ += sets.size() * to;
    return out;
}

Eigen::VectorXd CarFitting::rows_of(const std::vector<Driven>& driven) const {
    Eigen::VectorXd out(logged_.size());
    for (const FitSeries& s : series_) {
        if (s.fluid >= driven[s.log].size()) return {};
        const Values& x = driven[s.log][s.fluid];
        for (std::size_t i = 0; i < s.at.size(); ++i) {
            if (s.at[i] >= x.size()) return {};
            out[s.begin + static_cast<Eigen::Index>(i)] = x[s.at[i]];
        }
    }
    return out.allFinite() ? out : Eigen::VectorXd{};
}

std::vector<Eigen::VectorXd> CarFitting::models_at(const std::vector<Eigen::VectorXd>& points) {
    std::vector<Scores> sets;
    for (const Eigen::VectorXd& x : points) sets.push_back(full(x));
    std::vector<Eigen::VectorXd> out;
    for (const std::vector<Driven>& driven : drive_all(sets, fitted_logs_))
        out.push_back(rows_of(driven));
    return out;
}

std::size_t CarFitting::known_number(const std::string& words, const char* key) const {
    std::vector<std::string> known;
    for (const DoubtedNumber& number : cars_.numbers()) known.push_back(number.words());
    auto at = std::ranges::find(known, words);
    // Or by the key of a file that says it: "loops.coolant.runs.heater.parts[3].length".
    for (std::size_t k = 0; k < known.size() && at == known.end(); ++k)
        if (cars_.numbers()[k].stated_by(words))
            at = known.begin() + static_cast<std::ptrdiff_t>(k);
    if (at == known.end())
        throw Error(fmt::format("no number of this car is called \"{}\"", words),
                    scenario::suggest(words, known), {}, key);
    return static_cast<std::size_t>(at - known.begin());
}

void CarFitting::choose_numbers() {
    for (const std::string& words : options_.each_log)
        of_each_log_.push_back(known_number(words, "each-log"));
    for (const std::string& words : options_.free)
        moved_.push_back({.number = known_number(words, "free")});
    if (!options_.free.empty()) return;
    for (std::size_t j = 0; j < count(); ++j) moved_.push_back({.number = j});
}

void CarFitting::add_slope(const Moved& moved, const Eigen::VectorXd& slope) {
    if (slope.lpNorm<Eigen::Infinity>() < least_effect) return;
    slopes_.conservativeResize(logged_.size(), slopes_.cols() + 1);
    slopes_.rightCols(1) = slope;
    moved_.push_back(moved);
}

CarFitting::Point CarFitting::begin() {
    say(0, "what the logs tell");
    const std::vector<Moved> wanted = std::exchange(moved_, {});
    const auto car_at = [&](std::size_t j, double score) {
        Values out(count(), 0.0);
        out[wanted[j].number] = score;
        return Scores{out};
    };
    std::vector<Scores> sets{{Values(count(), 0.0)}};
    for (std::size_t j = 0; j < wanted.size(); ++j) sets.push_back(car_at(j, first_step));
    std::vector<Eigen::VectorXd> models;
    for (const std::vector<Driven>& driven : drive_all(sets, fitted_logs_))
        models.push_back(rows_of(driven));
    const Eigen::VectorXd here = models.front();
    if (here.size() == 0) {
        // As it stands the car must run; what keeps it from that is told by the run itself.
        for (std::size_t l = 0; l < fitted_logs_; ++l)
            static_cast<void>(drives_[l].drive(car(sets.front().front()), options_.cancel));
        throw Error("the car as it stands has no temperatures to compare");
    }
    slopes_.resize(logged_.size(), 0);
    for (std::size_t j = 0; j < wanted.size(); ++j) {
        Eigen::VectorXd slope;
        if (models[j + 1].size() > 0) {
            slope = (models[j + 1] - here) / first_step;
        } else {
            // Where a run fails the other side may not.
            const Eigen::VectorXd other =
                rows_of(drive_all({car_at(j, -first_step)}, fitted_logs_).front());
            if (other.size() > 0) slope = (here - other) / first_step;
        }
        if (slope.size() == 0) continue;
        if (!of_each_log(wanted[j].number)) {
            add_slope(wanted[j], slope);
            continue;
        }
        for (std::size_t l = 0; l < fitted_logs_; ++l) {
            Eigen::VectorXd of_log = Eigen::VectorXd::Zero(slope.size());
            for (const FitSeries& s : series_)
                if (s.log == l)
                    of_log.segment(s.begin, static_cast<Eigen::Index>(s.time.size())) =
                        slope.segment(s.begin, static_cast<Eigen::Index>(s.time.size()));
            add_slope({wanted[j].number, l}, of_log);
        }
    }
    Point out{Eigen::VectorXd::Zero(all()), here};
    measure_rough(out);
    for (Eigen::Index j = 0; j < moved(); ++j)
        slopes_.col(j) = without_roughness(series_, slopes_.col(j), first_step);
    return out;
}

CarFit CarFitting::run() {
    CarFit out;
    for (const LoggedDrive& drive : drives_)
        for (const std::string& note : drive.notes()) {
            const std::string told = drive.log() + ": " + note;
            out.notes.push_back(told);
        }
    choose_numbers();
    Point at = begin();
    if (moved_.empty())
        out.notes.emplace_back(
            "the logs tell nothing of any number: only the thermometers are fitted");
    else if (!options_.free.empty())
        out.notes.emplace_back(
            "only the numbers named are fitted: their ranges hold if all others are as they stand");
    const Eigen::MatrixXd covariance = approach(at, out);
    describe(at, covariance, out);
    score(at, covariance, out);
    if (!out.converged)
        out.notes.emplace_back(
            "the fit stopped before it settled: its numbers are a start, not an answer");
    out.notes.emplace_back(
        "in 12 cars drawn to try it, 90 % bands held 89 of 100 readings of logs held back, and 89 "
        "of 100 of the single numbers that logs tell of; a real car differs from the model in more "
        "than numbers");
    out.runs = runs_;
    say(1, "done");
    return out;
}

CarFit fit_car(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
               const CarFitOptions& options) {
    return CarFitting(scenario, logs, options).run();
}

}  // namespace lapheat::study
