#include "lapheat/study/car_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "car_fitting.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/least_squares.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

constexpr double furthest = 3.5;  ///< deviations of its prior that a number may be moved
constexpr double told_at_all = 0.1;
// Wide, for a run's own rounding (fans that switch a second sooner) must not count as knowledge.
constexpr double screen_step = 0.8, fit_step = 0.8;
// No model of a car is right to better than this, and for longer than that (judgement).
constexpr double least_deviation = 0.5, least_memory = 60;  // K, s

}  // namespace

Values Fitting::residuals(const std::vector<Driven>& driven, const Values& offsets,
                          const Values& scores, const Values& rest, bool straight) const {
    Values out;
    for (std::size_t l = 0; l < driven.size(); ++l) {
        const auto& fluids = drives_[l].fluids();
        if (driven[l].size() != fluids.size()) return {};
        for (std::size_t k = 0; k < fluids.size(); ++k) {
            const TracedFluid& f = fluids[k];
            const double keep = std::exp(-options_.retrace.grid / noise_.memory);
            const double deviation = std::hypot(noise_.deviation, f.step / std::sqrt(12.0));
            const double fresh = deviation * std::sqrt(1 - keep * keep);
            const double offset = offset_of(f.signal, offsets);
            double before = std::numeric_limits<double>::quiet_NaN();
            for (std::size_t i = 0; i < f.time.size(); ++i) {
                double r = driven[l][k][i] + offset - f.logged[i];
                if (straight)
                    for (std::size_t n = 0; n < rest.size(); ++n)
                        r += rest[n] * tangents_[n][l][k][i];
                if (std::isfinite(r))
                    out.push_back(solve::gentle(
                        std::isfinite(before) ? (r - keep * before) / fresh : r / deviation,
                        options_.knee));
                before = r;
            }
        }
    }
    out.insert(out.end(), scores.begin(), scores.end());
    out.insert(out.end(), offsets.begin(), offsets.end());
    out.insert(out.end(), rest.begin(), rest.end());
    return out;
}

std::vector<std::size_t> Fitting::screen() {
    say(0, "what the logs tell");
    const std::size_t n = count();
    std::vector<std::size_t> named;
    for (const std::string& want : options_.free) {
        std::vector<std::string> known;
        for (const DoubtedNumber& number : cars_.numbers()) known.push_back(number.words());
        const auto at = std::ranges::find(known, want);
        if (at == known.end())
            throw Error(fmt::format("no number of this car is called \"{}\"", want),
                        scenario::suggest(want, known), {}, "free");
        named.push_back(static_cast<std::size_t>(at - known.begin()));
    }
    std::vector<Values> sets;
    for (std::size_t j = 0; j < n; ++j)
        for (const double step : {screen_step, -screen_step}) {
            sets.emplace_back(n, 0.0);
            sets.back()[j] = step;
        }
    const auto driven = drive_all(sets, 0, fitted_logs_);
    const Values no_offset(signals_.size(), 0.0), no_score;
    std::vector<std::pair<double, std::size_t>> told;
    for (std::size_t j = 0; j < n; ++j) {
        const Values up = residuals(driven[2 * j], no_offset, no_score);
        const Values down = residuals(driven[2 * j + 1], no_offset, no_score);
        if (up.empty() || up.size() != down.size()) continue;
        double information = 0;
        for (std::size_t i = 0; i < up.size(); ++i)
            information += std::pow((up[i] - down[i]) / (2 * screen_step), 2);
        if (information / (1 + information) >= told_at_all) told.emplace_back(information, j);
    }
    std::ranges::sort(told, std::ranges::greater{});
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < told.size() && k < options_.most; ++k)
        out.push_back(told[k].second);
    if (!named.empty()) out = named;
    // All others together may matter as much: they go along straight, at no more runs.
    for (std::size_t j = 0; j < n; ++j) {
        if (std::ranges::find(out, j) != out.end()) continue;
        std::vector<Driven> tangent = driven[2 * j];
        double most = 0;
        bool whole = true;
        for (std::size_t l = 0; l < tangent.size(); ++l) {
            whole =
                whole && !tangent[l].empty() && tangent[l].size() == driven[2 * j + 1][l].size();
            for (std::size_t k = 0; whole && k < tangent[l].size(); ++k)
                for (std::size_t i = 0; i < tangent[l][k].size(); ++i) {
                    double& x = tangent[l][k][i];
                    x = (x - driven[2 * j + 1][l][k][i]) / (2 * screen_step);
                    most = std::max(most, std::abs(x));
                }
        }
        if (!whole || most < 1e-3) continue;
        rest_.push_back(j);
        tangents_.push_back(std::move(tangent));
    }
    return out;
}

solve::LeastSquares Fitting::solve_for(const std::vector<std::size_t>& free, const Values& start) {
    const std::size_t numbers = free.size(), all = numbers + signals_.size() + rest_.size();
    const solve::Residuals f = [&](const std::vector<Values>& points) {
        // Offsets and what goes along straight ask for no run of their own.
        std::vector<Values> sets;
        std::map<Values, std::size_t> known;
        std::vector<std::size_t> which;
        for (const Values& p : points) {
            const Values x = parts(numbers, p).scores;
            const auto [at, fresh] = known.try_emplace(x, sets.size());
            if (fresh) sets.push_back(full(free, x));
            which.push_back(at->second);
        }
        const auto driven = drive_all(sets, 0, fitted_logs_);
        std::vector<Values> out;
        for (std::size_t i = 0; i < points.size(); ++i) {
            const Parts p = parts(numbers, points[i]);
            out.push_back(residuals(driven[which[i]], p.offsets, p.scores, p.rest, true));
        }
        return out;
    };
    solve::LeastSquaresOptions how;
    how.low.assign(all, -furthest), how.high.assign(all, furthest), how.step.assign(all, fit_step);
    how.iterations = 12;
    how.tolerance = 1e-3;
    how.cancel = options_.cancel;
    return solve::least_squares(f, start, how);
}

void Fitting::estimate_noise(const std::vector<Driven>& driven, const Values& offsets) {
    double squares = 0;
    std::size_t samples = 0;
    constexpr std::size_t lags = 120;
    Values products(lags, 0.0);
    std::vector<std::size_t> pairs(lags, 0);
    for (std::size_t l = 0; l < driven.size(); ++l) {
        const auto& fluids = drives_[l].fluids();
        for (std::size_t k = 0; k < fluids.size() && k < driven[l].size(); ++k) {
            Values r;
            for (std::size_t i = 0; i < fluids[k].time.size(); ++i)
                r.push_back(driven[l][k][i] + offset_of(fluids[k].signal, offsets) -
                            fluids[k].logged[i]);
            for (std::size_t i = 0; i < r.size(); ++i) {
                if (!std::isfinite(r[i])) continue;
                squares += r[i] * r[i], ++samples;
                for (std::size_t lag = 1; lag < lags && i + lag < r.size(); ++lag)
                    if (std::isfinite(r[i + lag])) products[lag] += r[i] * r[i + lag], ++pairs[lag];
            }
        }
    }
    if (samples < 2) return;
    const double variance = squares / static_cast<double>(samples);
    noise_.deviation = std::max(least_deviation, std::sqrt(variance));
    std::size_t lag = 1;
    while (lag + 1 < lags && pairs[lag] > 0 &&
           products[lag] / static_cast<double>(pairs[lag]) > variance / std::exp(1.0))
        ++lag;
    noise_.memory = std::max(least_memory, static_cast<double>(lag) * options_.retrace.grid);
}

void Fitting::check_normal(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
                           Eigen::MatrixXd& covariance, CarFit& out) {
    say(0.6, "how near normal it is");
    const auto all = static_cast<Eigen::Index>(best.parameters.size());
    const std::size_t numbers = free.size();
    const Eigen::MatrixXd root = Eigen::LLT<Eigen::MatrixXd>(covariance).matrixL();
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < all; ++k)
        keys.push_back(solve::mixed(series_of_draws + 1, fmt::format("check {}", k)));
    const solve::ScrambledPoints points(keys);
    std::vector<Values> sets;
    std::vector<Parts> split;
    Values normal_part;
    for (std::size_t n = 0; n < options_.check_draws; ++n) {
        Values u(static_cast<std::size_t>(all));
        points.point(static_cast<std::uint32_t>(n), u);
        Eigen::VectorXd e(all);
        for (Eigen::Index k = 0; k < all; ++k)
            e[k] = solve::normal_quantile(u[static_cast<std::size_t>(k)]);
        normal_part.push_back(e.squaredNorm());
        const Eigen::VectorXd x =
            Eigen::Map<const Eigen::VectorXd>(best.parameters.data(), all) + root * e;
        const Values flat(x.data(), x.data() + all);
        split.push_back(parts(numbers, flat));
        sets.push_back(full(free, flat));
    }
    const auto driven = drive_all(sets, 0, fitted_logs_);
    Values logs;
    for (std::size_t n = 0; n < sets.size(); ++n) {
        const Values r = residuals(driven[n], split[n].offsets, split[n].scores, split[n].rest);
        if (r.empty()) continue;
        const double squares = std::inner_product(r.begin(), r.end(), r.begin(), 0.0);
        logs.push_back(-0.5 * (squares - best.sum_of_squares) + 0.5 * normal_part[n]);
    }
    if (logs.empty()) return;
    const double most = *std::ranges::max_element(logs);
    double sum = 0, squares = 0;
    for (const double w : logs) sum += std::exp(w - most), squares += std::exp(2 * (w - most));
    out.near_normal = sum * sum / squares / static_cast<double>(logs.size());
    constexpr double near = 0.3;
    if (out.near_normal < near) {
        out.widened = 2;  // judgement: a fit of logs that the model made was off by 1.8 of these
        covariance *= out.widened * out.widened;
        out.notes.push_back(fmt::format(
            "the logs' answer is not near a normal distribution (effective {:.0f} of {} draws): "
            "deviations are widened {:.1f} times",
            out.near_normal * static_cast<double>(logs.size()), logs.size(), out.widened));
    }
}

CarFit Fitting::run() {
    CarFit out;
    for (const LoggedDrive& drive : drives_)
        for (const std::string& note : drive.notes()) {
            const std::string told = drive.log() + ": " + note;
            out.notes.push_back(told);
        }
    const std::vector<std::size_t> free = screen();
    if (free.empty())
        out.notes.emplace_back(
            "the logs tell nothing of any number: only the thermometers are fitted");
    say(0.2, "fitting");
    solve::LeastSquares best =
        solve_for(free, Values(free.size() + signals_.size() + rest_.size(), 0.0));
    const auto offsets = [&](const Values& x) { return parts(free.size(), x).offsets; };
    // The residuals' deviation and the fit depend on each other: in turn, until neither moves.
    constexpr int rounds = 5;
    for (int round = 0; round < rounds; ++round) {
        const double before = noise_.deviation;
        estimate_noise(drive_all({full(free, best.parameters)}, 0, fitted_logs_).front(),
                       offsets(best.parameters));
        if (round > 0 && std::abs(noise_.deviation / before - 1) < 0.1) break;
        say(0.2 + 0.08 * (round + 1), "fitting with the residuals' own deviation");
        best = solve_for(free, best.parameters);
    }
    Eigen::MatrixXd covariance = best.covariance();
    check_normal(free, best, covariance, out);
    describe(free, best, covariance, out);
    score(free, best, covariance, out);
    out.converged = best.converged;
    if (!best.converged) out.notes.push_back("the fit stopped before it settled: " + best.ended);
    out.deviation = noise_.deviation, out.memory = noise_.memory, out.runs = runs_;
    say(1, "done");
    return out;
}

CarFit fit_car(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
               const CarFitOptions& options) {
    return Fitting(scenario, logs, options).run();
}

}  // namespace lapheat::study
