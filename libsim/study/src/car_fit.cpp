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

constexpr double furthest = 3.5;  ///< deviations of its prior that a number may be moved
// Wide, for a run's own rounding (fans that switch a second sooner) must not count as knowledge.
constexpr double first_step = 0.8, least_step = 0.2;
constexpr double told_at_all = 0.3;    ///< of a direction: information over the prior's
constexpr double least_effect = 1e-3;  ///< K; a number that moves nothing further is not fitted
// Deviations of the posterior: nearer than this is there; slopes taken nearer than this are good.
constexpr double settled = 0.3, near = 1;
constexpr int most_steps = 24, most_renewals = 6;
constexpr std::size_t bend_draws = 16, rough_runs = 6;
constexpr double rough_step = 0.01;
// Of twenty cars drawn from their own doubts (tests/study/test_fit_coverage.cpp, the first twenty)
// the 90 % bands of the numbers that logs tell of held the truth in 71 of 100 cases: they were too
// narrow by this, for the model bends within them and no fit is quite at its best. So much less is
// what the logs say worth. The next twenty cars judge it: 72 of 100, not 90, and 93 of 100 readings
// of logs held back.
constexpr double too_sure = 1.55;

Eigen::VectorXd vector_of(const Values& x) {
    return Eigen::Map<const Eigen::VectorXd>(x.data(), static_cast<Eigen::Index>(x.size()));
}

}  // namespace

Fitting::Fitting(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
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

std::size_t Fitting::place_of(scenario::Signal signal) const {
    return static_cast<std::size_t>(std::ranges::find(signals_, signal) - signals_.begin());
}

void Fitting::collect_readings() {
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

Fitting::Scores Fitting::full(const Eigen::VectorXd& x) const {
    Scores out(of_each_log_.empty() ? 1 : drives_.size(), Values(count(), 0.0));
    for (std::size_t k = 0; k < moved_.size(); ++k)
        for (std::size_t l = 0; l < out.size(); ++l)
            if (!moved_[k].log || *moved_[k].log == l)
                out[l][moved_[k].number] = x[static_cast<Eigen::Index>(k)];
    return out;
}

Values Fitting::offsets_of(const Eigen::VectorXd& x) const {
    Values out;
    for (Eigen::Index s = moved(); s < all(); ++s) out.push_back(x[s] * options_.sensor_error);
    return out;
}

model::Car Fitting::car(const Values& scores) const {
    Values u;
    for (const double z : scores) u.push_back(std::clamp(solve::normal_share(z), 1e-9, 1 - 1e-9));
    return cars_.car(0, u);
}

std::vector<std::vector<Driven>> Fitting::drive_all(const std::vector<Scores>& sets,
                                                    std::size_t to) {
    std::vector<std::vector<Driven>> out(sets.size(), std::vector<Driven>(to));
    for_all(
        sets.size() * to, options_.threads, options_.cancel,
        [&](std::size_t i, const Watch& watch) {
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

Eigen::VectorXd Fitting::rows_of(const std::vector<Driven>& driven) const {
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

std::vector<Eigen::VectorXd> Fitting::models_at(const std::vector<Eigen::VectorXd>& points) {
    std::vector<Scores> sets;
    for (const Eigen::VectorXd& x : points) sets.push_back(full(x));
    std::vector<Eigen::VectorXd> out;
    for (const std::vector<Driven>& driven : drive_all(sets, fitted_logs_))
        out.push_back(rows_of(driven));
    return out;
}

std::size_t Fitting::known_number(const std::string& words, const char* key) const {
    std::vector<std::string> known;
    for (const DoubtedNumber& number : cars_.numbers()) known.push_back(number.words());
    const auto at = std::ranges::find(known, words);
    if (at == known.end())
        throw Error(fmt::format("no number of this car is called \"{}\"", words),
                    scenario::suggest(words, known), {}, key);
    return static_cast<std::size_t>(at - known.begin());
}

void Fitting::choose_numbers() {
    for (const std::string& words : options_.each_log)
        of_each_log_.push_back(known_number(words, "each-log"));
    for (const std::string& words : options_.free)
        moved_.push_back({.number = known_number(words, "free")});
    if (!options_.free.empty()) return;
    for (std::size_t j = 0; j < count(); ++j) moved_.push_back({.number = j});
}

void Fitting::add_slope(const Moved& moved, const Eigen::VectorXd& slope) {
    if (slope.lpNorm<Eigen::Infinity>() < least_effect) return;
    slopes_.conservativeResize(logged_.size(), slopes_.cols() + 1);
    slopes_.rightCols(1) = slope;
    moved_.push_back(moved);
}

Fitting::Point Fitting::begin() {
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

Eigen::MatrixXd Fitting::slopes_and_offsets() const {
    Eigen::MatrixXd out(logged_.size(), all());
    out << slopes_, offset_slopes_;
    return out;
}

Eigen::VectorXd Fitting::misses(const Eigen::VectorXd& x, const Eigen::VectorXd& model) const {
    Eigen::MatrixXd out = model + offset_slopes_ * x.tail(offset_slopes_.cols()) - logged_;
    Whitening(series_, noise_).apply(out);
    return out;
}

double Fitting::objective(const Eigen::VectorXd& x, const Eigen::VectorXd& model) const {
    double sum = x.squaredNorm();
    for (const double r : misses(x, model)) sum += std::pow(solve::gentle(r, options_.knee), 2);
    return sum;
}

Eigen::MatrixXd Fitting::curvature(const Point& at) const {
    Eigen::MatrixXd a = slopes_and_offsets();
    Whitening(series_, noise_).apply(a);
    const Eigen::VectorXd r = misses(at.x, at.model);
    for (Eigen::Index i = 0; i < r.size(); ++i)  // far ones count for less
        a.row(i) *= std::pow(1 + std::pow(r[i] / options_.knee, 2), -0.25);
    return Eigen::MatrixXd::Identity(all(), all()) + a.transpose() * a;
}

Eigen::VectorXd Fitting::straight_best(const Point& at) const {
    Eigen::MatrixXd a = slopes_and_offsets();
    Eigen::MatrixXd b = at.model - logged_ - slopes_ * at.x.head(moved());
    const Whitening white(series_, noise_);
    white.apply(a), white.apply(b);
    const auto misses_at = [&](const Values& x) -> Eigen::VectorXd { return a * vector_of(x) + b; };
    const solve::Residuals f = [&](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& x : points) {
            Values& r = out.emplace_back();
            for (const double miss : misses_at(x)) r.push_back(solve::gentle(miss, options_.knee));
            r.insert(r.end(), x.begin(), x.end());
        }
        return out;
    };
    const auto parameters = static_cast<std::size_t>(all());
    solve::LeastSquaresOptions how;
    how.low.assign(parameters, -furthest), how.high.assign(parameters, furthest);
    how.iterations = 50;
    how.tolerance = 1e-8;
    how.cancel = options_.cancel;
    how.jacobian = [&](const Values& x) {
        solve::Matrix made(static_cast<std::size_t>(a.rows() + a.cols()), parameters);
        Eigen::Map<Eigen::MatrixXd> out(made.values().data(), a.rows() + a.cols(), a.cols());
        out << a, Eigen::MatrixXd::Identity(a.cols(), a.cols());
        const Eigen::VectorXd r = misses_at(x);
        for (Eigen::Index i = 0; i < r.size(); ++i)
            out.row(i) *= solve::gentle_slope(r[i], options_.knee);
        return made;
    };
    return vector_of(
        solve::least_squares(f, Values(at.x.data(), at.x.data() + at.x.size()), how).parameters);
}

void Fitting::correct_slopes(const Eigen::VectorXd& step, const Eigen::VectorXd& found,
                             double width) {
    const double square = step.squaredNorm();
    if (!(square > 0)) return;
    const Eigen::VectorXd more = without_roughness(series_, found - slopes_ * step, width);
    slopes_ += more * step.transpose() / square;
}

void Fitting::measure_rough(const Point& at) {
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < moved(); ++k)
        keys.push_back(solve::mixed(series_of_draws + 3, fmt::format("rough {}", k)));
    const solve::ScrambledPoints shares(keys);
    std::vector<Eigen::VectorXd> points;
    for (std::size_t d = 0; d < rough_runs && !keys.empty(); ++d) {
        Values u(keys.size());
        shares.point(static_cast<std::uint32_t>(d), u);
        points.push_back(at.x);
        for (std::size_t k = 0; k < u.size(); ++k)
            points.back()[static_cast<Eigen::Index>(k)] += rough_step * (2 * u[k] - 1);
    }
    std::vector<Eigen::VectorXd> differences;
    for (const Eigen::VectorXd& model : models_at(points))
        if (model.size() > 0) differences.emplace_back(model - at.model);
    Eigen::MatrixXd all(logged_.size(), static_cast<Eigen::Index>(differences.size()));
    for (std::size_t d = 0; d < differences.size(); ++d)
        all.col(static_cast<Eigen::Index>(d)) = differences[d];
    measure_roughness(series_, all);
    const double here = objective(at.x, at.model);
    double squares = 0;
    for (const Eigen::VectorXd& d : differences)
        squares += std::pow(objective(at.x, at.model + d) - here, 2);
    rough_objective_ = std::max(
        0.5,
        std::sqrt(squares / static_cast<double>(std::max<std::size_t>(differences.size(), 1))));
}

void Fitting::renew_slopes(const Point& at) {
    Eigen::MatrixXd a = slopes_;
    Whitening(series_, noise_).apply(a);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(a.transpose() * a);
    const Eigen::Index n = moved();
    std::vector<Eigen::VectorXd> directions, points;
    std::vector<double> steps;
    for (Eigen::Index k = 0; k < n && directions.size() < options_.most; ++k) {
        const double told = eigen.eigenvalues()[n - 1 - k];
        if (told < told_at_all) break;
        // As wide as the posterior, so that slopes are those of what will be drawn.
        const double step = std::clamp(1 / std::sqrt(1 + told), least_step, first_step);
        directions.emplace_back(eigen.eigenvectors().col(n - 1 - k)), steps.push_back(step);
        for (const double side : {step, -step}) {
            points.push_back(at.x);
            points.back().head(n) += side * directions.back();
        }
    }
    const std::vector<Eigen::VectorXd> models = models_at(points);
    for (std::size_t k = 0; k < directions.size(); ++k) {
        const Eigen::VectorXd &up = models[2 * k], &down = models[2 * k + 1];
        if (up.size() > 0 && down.size() > 0)
            correct_slopes(directions[k], (up - down) / (2 * steps[k]), 2 * steps[k]);
        else if (up.size() > 0)
            correct_slopes(directions[k], (up - at.model) / steps[k], steps[k]);
        else if (down.size() > 0)
            correct_slopes(directions[k], (at.model - down) / steps[k], steps[k]);
    }
}

void Fitting::approach(Point& at, CarFit& out) {
    Eigen::VectorXd renewed_at = at.x;
    int renewals = 0;
    bool fresh = false;  // the first slopes are one-sided, and wide
    const auto renew = [&] {
        say(0.3 + 0.06 * renewals, "slopes where it has come to");
        measure_rough(at);
        renew_slopes(at);
        renewed_at = at.x, fresh = true, ++renewals;
    };
    for (int step = 0; step < most_steps; ++step) {
        say(0.3 + 0.06 * renewals, "fitting");
        const Eigen::VectorXd b = logged_ - at.model + slopes_ * at.x.head(moved());
        noise_ = likeliest_noise(series_, noise_, slopes_and_offsets(), b);
        const Eigen::MatrixXd h = curvature(at);
        const auto length = [&](const Eigen::VectorXd& d) { return std::sqrt(d.dot(h * d)); };
        const Eigen::VectorXd want = straight_best(at) - at.x;
        if (length(want) < settled) {
            out.converged = fresh && length(at.x - renewed_at) < near;
            if (out.converged || renewals == most_renewals) return;
            renew();
            continue;
        }
        // Shorter until it is better than where it stands.
        const double now = objective(at.x, at.model);
        bool better = false, straight = false;
        for (double share = 1; share > 0.1 && !better; share /= 2) {
            const Eigen::VectorXd d = share * want;
            const Point next{at.x + d, models_at({at.x + d}).front()};
            if (next.model.size() == 0) continue;
            const double got = objective(next.x, next.model);
            const double hoped = objective(next.x, at.model + slopes_ * d.head(moved()));
            correct_slopes(d.head(moved()), next.model - at.model);
            better = got < now;
            straight = share == 1 &&
                       std::abs(got - hoped) < std::max(2 * rough_objective_, 0.3 * (now - hoped));
            if (better) at = next;
        }
        fresh = fresh && better;
        if (better && straight) continue;
        if (!better && length(at.x - renewed_at) < settled && renewals > 0) {
            // Slopes taken here lead nowhere better: as good as it gets but for the runs'
            // roughness.
            const double hoped = objective(at.x + want, at.model + slopes_ * want.head(moved()));
            out.converged = now - hoped < 4 * rough_objective_;
            return;
        }
        if (renewals == most_renewals) return;
        renew();
    }
}

void Fitting::widen_by_bend(const Point& at, CarFit& out) {
    say(0.7, "how straight the model is there");
    const Eigen::MatrixXd covariance = curvature(at).inverse();
    const Eigen::MatrixXd root = Eigen::LLT<Eigen::MatrixXd>(covariance).matrixL();
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < all(); ++k)
        keys.push_back(solve::mixed(series_of_draws + 1, fmt::format("bend {}", k)));
    const solve::ScrambledPoints shares(keys);
    std::vector<Eigen::VectorXd> points;
    for (std::size_t d = 0; d < bend_draws; ++d) {
        Values u(keys.size());
        shares.point(static_cast<std::uint32_t>(d), u);
        Eigen::VectorXd e(all());
        for (Eigen::Index k = 0; k < all(); ++k)
            e[k] = solve::normal_quantile(u[static_cast<std::size_t>(k)]);
        points.emplace_back(at.x + root * e);
    }
    const std::vector<Eigen::VectorXd> models = models_at(points);
    std::vector<double> squares(signals_.size(), 0.0), readings(signals_.size(), 0.0), weights;
    for (std::size_t d = 0; d < models.size(); ++d) {
        if (models[d].size() == 0) continue;
        const Eigen::VectorXd straight = at.model + slopes_ * (points[d] - at.x).head(moved());
        weights.push_back(-0.5 *
                          (objective(points[d], models[d]) - objective(points[d], straight)));
        const Eigen::VectorXd bend = models[d] - straight;
        for (const FitSeries& s : series_) {
            const auto n = static_cast<Eigen::Index>(s.time.size());
            squares[s.signal] += bend.segment(s.begin, n).squaredNorm();
            readings[s.signal] += static_cast<double>(n);
        }
    }
    if (weights.empty()) return;
    const double most = *std::ranges::max_element(weights);
    double sum = 0, square = 0;
    for (const double w : weights) sum += std::exp(w - most), square += std::exp(2 * (w - most));
    out.near_normal = sum * sum / square / static_cast<double>(weights.size());
    for (std::size_t s = 0; s < signals_.size(); ++s) {
        if (!(readings[s] > 0)) continue;
        const double bend = std::sqrt(squares[s] / readings[s]);
        out.bend.push_back(bend);
        noise_[s].deviation = std::hypot(noise_[s].deviation, bend);
    }
}

CarFit Fitting::run() {
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
    approach(at, out);
    widen_by_bend(at, out);
    const Eigen::MatrixXd one = Eigen::MatrixXd::Identity(all(), all());
    const Eigen::MatrixXd covariance =
        (one + (curvature(at) - one) / (too_sure * too_sure)).inverse();
    describe(at, covariance, out);
    score(at, covariance, out);
    if (!out.converged)
        out.notes.emplace_back(
            "the fit stopped before it settled: its numbers are a start, not an answer");
    out.notes.emplace_back(
        "in cars drawn to try it, 90 % bands of logs held back held 93 of 100 readings, those of "
        "single numbers 72 of 100 true values: a number is less sure than its band");
    out.runs = runs_;
    say(1, "done");
    return out;
}

CarFit fit_car(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
               const CarFitOptions& options) {
    return Fitting(scenario, logs, options).run();
}

}  // namespace lapheat::study
