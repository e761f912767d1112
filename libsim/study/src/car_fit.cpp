#include "lapheat/study/car_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "internal.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/least_squares.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

using Values = std::vector<double>;

constexpr std::uint64_t series_of_draws = 1;
constexpr double furthest = 3.5;  ///< deviations of its prior that a number may be moved
constexpr double told_at_all = 0.1;
// Wide, for a run's own rounding (fans that switch a second sooner) must not count as knowledge.
constexpr double screen_step = 0.8, fit_step = 0.8;
// No model of a car is right to better than this, and for longer than that (judgement).
constexpr double least_deviation = 0.5, least_memory = 60;  // K, s

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

void Fitting::describe(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
                       const Eigen::MatrixXd& covariance, CarFit& out) const {
    const auto at = [](const DoubtedNumber& n, double z) {
        return n.distribution.quantile(std::clamp(solve::normal_share(z), 1e-9, 1 - 1e-9));
    };
    constexpr double z95 = 1.6448536269514722;
    for (std::size_t j = 0; j < count(); ++j) {
        FittedNumber f;
        f.number = cars_.numbers()[j];
        f.before_5 = at(f.number, -z95), f.before = at(f.number, 0),
        f.before_95 = at(f.number, z95);
        f.after_5 = f.before_5, f.after = f.before, f.after_95 = f.before_95;
        const Eigen::Index k = place_of(free, j);
        if (k >= 0) {
            const double z = best.parameters[static_cast<std::size_t>(k)];
            const double deviation = std::sqrt(covariance(k, k));
            f.fitted = true;
            f.after_5 = at(f.number, z - z95 * deviation), f.after = at(f.number, z);
            f.after_95 = at(f.number, z + z95 * deviation);
            f.told = std::clamp(1 - covariance(k, k), 0.0, 1.0);
        }
        out.numbers.push_back(std::move(f));
    }
    std::vector<std::size_t> order(out.numbers.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
        return std::pair(out.numbers[a].fitted, out.numbers[a].told) >
               std::pair(out.numbers[b].fitted, out.numbers[b].told);
    });
    std::vector<FittedNumber> sorted;
    std::vector<Eigen::Index> places;
    for (const std::size_t j : order) {
        sorted.push_back(out.numbers[j]);
        if (out.numbers[j].fitted) places.push_back(place_of(free, j));
    }
    out.numbers = std::move(sorted);
    const auto m = static_cast<Eigen::Index>(places.size());
    out.correlation.resize(m, m);
    for (Eigen::Index a = 0; a < m; ++a)
        for (Eigen::Index b = 0; b < m; ++b) {
            const Eigen::Index i = places[static_cast<std::size_t>(a)],
                               j = places[static_cast<std::size_t>(b)];
            out.correlation(a, b) =
                covariance(i, j) / std::sqrt(covariance(i, i) * covariance(j, j));
        }
    for (std::size_t s = 0; s < signals_.size(); ++s) {
        const auto k = static_cast<Eigen::Index>(free.size() + s);
        out.signals.emplace_back(scenario::entry(signals_[s]).name);
        out.offsets.push_back(best.parameters[free.size() + s] * options_.sensor_error);
        out.offset_deviations.push_back(std::sqrt(covariance(k, k)) * options_.sensor_error);
    }
}

/// Share of points inside [5 %, 95 %] of draws with noise, and the mean width; fills low and high.
struct Band {
    double inside = 0, width = 0;
};
Band band_of(const std::vector<Values>& draws, const Values& logged, double deviation, Values& low,
             Values& high) {
    Band out;
    std::size_t points = 0;
    low.assign(logged.size(), std::numeric_limits<double>::quiet_NaN());
    high = low;
    // Each draw stands for nine, by the middles of nine equal shares of the noise.
    Values noise;
    for (int k = 0; k < 9; ++k) noise.push_back(deviation * solve::normal_quantile((k + 0.5) / 9));
    Values all;
    for (std::size_t i = 0; i < logged.size(); ++i) {
        all.clear();
        for (const Values& d : draws)
            if (i < d.size())
                for (const double e : noise) all.push_back(d[i] + e);
        if (all.empty()) continue;
        const auto at = [&](double share) {
            const auto k =
                static_cast<std::ptrdiff_t>(share * static_cast<double>(all.size() - 1) + 0.5);
            std::ranges::nth_element(all, all.begin() + k);
            return all[static_cast<std::size_t>(k)];
        };
        low[i] = at(0.05), high[i] = at(0.95);
        if (!std::isfinite(logged[i])) continue;
        ++points;
        out.inside += logged[i] >= low[i] && logged[i] <= high[i] ? 1 : 0;
        out.width += high[i] - low[i];
    }
    if (points > 0)
        out.inside /= static_cast<double>(points), out.width /= static_cast<double>(points);
    return out;
}

void Fitting::score(const std::vector<std::size_t>& free, const solve::LeastSquares& best,
                    const Eigen::MatrixXd& covariance, CarFit& out) {
    say(0.75, "bands");
    const std::size_t n = count();
    const auto all = static_cast<Eigen::Index>(best.parameters.size());
    const Eigen::MatrixXd root = Eigen::LLT<Eigen::MatrixXd>(covariance).matrixL();
    std::vector<std::uint64_t> keys;
    for (std::size_t k = 0; k < n + signals_.size(); ++k)
        keys.push_back(solve::mixed(series_of_draws + 2, fmt::format("band {}", k)));
    const solve::ScrambledPoints points(keys);
    // The car as it stood, as fitted, then draws before and after.
    std::vector<Values> sets{Values(n, 0.0), full(free, best.parameters)}, offsets_before,
        offsets_after;
    std::vector<Values> after;
    for (std::size_t d = 0; d < options_.band_draws; ++d) {
        Values u(keys.size());
        points.point(static_cast<std::uint32_t>(d), u);
        Values z;
        for (const double x : u) z.push_back(solve::normal_quantile(x));
        offsets_before.emplace_back(z.begin() + static_cast<std::ptrdiff_t>(n), z.end());
        Eigen::VectorXd e(all);
        for (std::size_t j = 0; j < n; ++j)
            if (const Eigen::Index k = place_of(free, j); k >= 0) e[k] = z[j];
        for (std::size_t m = 0; m < signals_.size(); ++m)
            e[static_cast<Eigen::Index>(free.size() + m)] = z[n + m];
        const Eigen::VectorXd x =
            Eigen::Map<const Eigen::VectorXd>(best.parameters.data(), all) + root * e;
        Values moved(z.begin(), z.begin() + static_cast<std::ptrdiff_t>(n));
        sets.push_back(moved);
        for (std::size_t j = 0; j < n; ++j)
            if (const Eigen::Index k = place_of(free, j); k >= 0) moved[j] = x[k];
        after.push_back(std::move(moved));
        offsets_after.push_back(parts(free.size(), {x.data(), x.data() + all}).offsets);
    }
    sets.insert(sets.end(), after.begin(), after.end());
    const auto driven = drive_all(sets, 0, drives_.size());
    const Values fitted_offsets = parts(free.size(), best.parameters).offsets;
    for (std::size_t l = 0; l < drives_.size(); ++l)
        for (std::size_t k = 0; k < drives_[l].fluids().size(); ++k) {
            FitScore s;
            s.before = drives_[l].fluids()[k];
            s.after = s.before;
            s.log = drives_[l].log(), s.signal = s.before.signal, s.held_back = l >= fitted_logs_;
            const auto shifted = [&](std::size_t set, const Values& offsets) {
                Values x = k < driven[set][l].size() ? driven[set][l][k] : Values{};
                for (double& value : x) value += offset_of(s.signal, offsets);
                return x;
            };
            s.before.model = shifted(0, Values(signals_.size(), 0.0));
            s.after.model = shifted(1, fitted_offsets);
            if (s.before.model.empty() || s.after.model.empty()) {
                out.notes.push_back(fmt::format("{} could not be driven to its end", s.log));
                continue;
            }
            const Values still(s.before.time.size(), 10.0);  // speeds matter to looks alone
            compare_traces(s.before, still);
            compare_traces(s.after, still);
            s.samples = s.before.samples;
            s.rms_before = s.before.rms, s.rms_after = s.after.rms;
            s.bias_before = s.before.bias, s.bias_after = s.after.bias;
            std::vector<Values> early, late;
            for (std::size_t d = 0; d < options_.band_draws; ++d) {
                early.push_back(shifted(2 + d, offsets_before[d]));
                late.push_back(shifted(2 + options_.band_draws + d, offsets_after[d]));
            }
            // Before the fit nothing is known of the model's own error but the log's step.
            const Band then =
                band_of(early, s.before.logged, s.before.step / std::sqrt(12.0), s.low, s.high);
            const Band now = band_of(late, s.after.logged, noise_.deviation, s.low, s.high);
            s.inside_before = then.inside, s.width_before = then.width;
            s.inside_after = now.inside, s.width_after = now.width;
            out.scores.push_back(std::move(s));
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

}  // namespace

CarFit fit_car(const scenario::Scenario& scenario, const std::vector<scenario::Log>& logs,
               const CarFitOptions& options) {
    return Fitting(scenario, logs, options).run();
}

}  // namespace lapheat::study
