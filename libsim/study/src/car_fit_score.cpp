// What a fit comes to: its numbers with their ranges, and how logs lie in its bands.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "bands.hpp"
#include "car_fitting.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/given_data.hpp"

namespace lapheat::study {
namespace {

/// A number at a standard score.
double value_at(const DoubtedNumber& n, double z) {
    return n.distribution.quantile(std::clamp(solve::normal_share(z), 1e-9, 1 - 1e-9));
}

}  // namespace

void CarFitting::draw_posterior(const Point& at, const Eigen::MatrixXd& covariance,
                                const std::vector<Eigen::Index>& places, CarFit& out) const {
    const Eigen::MatrixXd root = Eigen::LLT<Eigen::MatrixXd>(covariance).matrixL();
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < all(); ++k)
        keys.push_back(solve::mixed(series_of_draws + 4, fmt::format("posterior {}", k)));
    const solve::ScrambledPoints points(keys);
    Values u(keys.size());
    for (std::size_t d = 0; d < options_.draws; ++d) {
        points.point(static_cast<std::uint32_t>(d), u);
        Eigen::VectorXd e(all());
        for (std::size_t k = 0; k < u.size(); ++k)
            e[static_cast<Eigen::Index>(k)] = solve::normal_quantile(u[k]);
        const Eigen::VectorXd x = at.x + root * e;
        Values& row = out.draws.emplace_back();
        for (const Eigen::Index k : places)
            row.push_back(
                value_at(cars_.numbers()[moved_[static_cast<std::size_t>(k)].number], x[k]));
    }
}

void CarFitting::describe(const Point& at, const Eigen::MatrixXd& covariance, CarFit& out) const {
    const auto& value = value_at;
    constexpr double z95 = 1.6448536269514722;
    struct Row {
        FittedNumber number;
        Eigen::Index place = -1;
    };
    const auto told = [&](Row& row) {
        FittedNumber& f = row.number;
        const double z = at.x[row.place];
        const double deviation = std::sqrt(covariance(row.place, row.place));
        f.fitted = true;
        f.after_5 = value(f.number, z - z95 * deviation), f.after = value(f.number, z);
        f.after_95 = value(f.number, z + z95 * deviation);
        f.told = std::clamp(1 - covariance(row.place, row.place), 0.0, 1.0);
    };
    std::vector<Row> rows;
    for (std::size_t j = 0; j < count(); ++j) {
        Row row;
        FittedNumber& f = row.number;
        f.number = cars_.numbers()[j];
        f.keys = keys_of(scenarios_.front(), f.number);
        f.before_5 = value(f.number, -z95), f.before = value(f.number, 0);
        f.before_95 = value(f.number, z95);
        f.after_5 = f.before_5, f.after = f.before, f.after_95 = f.before_95;
        bool any = false;
        for (std::size_t k = 0; k < moved_.size(); ++k) {
            if (moved_[k].number != j) continue;
            Row one = row;
            one.place = static_cast<Eigen::Index>(k);
            if (moved_[k].log) one.number.log = drives_[*moved_[k].log].log();
            told(one);
            rows.push_back(std::move(one));
            any = true;
        }
        if (!any) rows.push_back(std::move(row));
    }
    std::ranges::stable_sort(rows, [](const Row& a, const Row& b) {
        return std::pair(a.number.fitted, a.number.told) >
               std::pair(b.number.fitted, b.number.told);
    });
    std::vector<Eigen::Index> places;
    for (Row& row : rows) {
        if (row.place >= 0) places.push_back(row.place);
        out.numbers.push_back(std::move(row.number));
    }
    out.correlation = solve::Matrix(places.size(), places.size());
    for (std::size_t a = 0; a < places.size(); ++a)
        for (std::size_t b = 0; b < places.size(); ++b) {
            const Eigen::Index i = places[a], j = places[b];
            out.correlation(a, b) =
                covariance(i, j) / std::sqrt(covariance(i, i) * covariance(j, j));
        }
    draw_posterior(at, covariance, places, out);
    for (std::size_t s = 0; s < signals_.size(); ++s) {
        const Eigen::Index k = moved() + static_cast<Eigen::Index>(s);
        out.signals.push_back(
            {.signal = signals_[s],
             .offset = at.x[k] * options_.sensor_error,
             .offset_deviation = std::sqrt(covariance(k, k)) * options_.sensor_error,
             .deviation = noise_[s].deviation,
             .memory = noise_[s].memory});
    }
}

CarFitting::Habit CarFitting::habit_of(std::size_t number, const Eigen::VectorXd& x,
                                       const Eigen::MatrixXd& covariance) const {
    double n = 0, sum = 0, squares = 0, own = 0;
    for (std::size_t k = 0; k < moved_.size(); ++k) {
        if (moved_[k].number != number || !moved_[k].log) continue;
        const auto i = static_cast<Eigen::Index>(k);
        n += 1, sum += x[i], squares += x[i] * x[i], own += covariance(i, i);
    }
    if (n < 2) return {};
    const double mean = sum / n, between = std::max(squares - n * mean * mean, 0.0) / (n - 1);
    return {mean, std::min(1.0, std::sqrt(between * (1 + 1 / n) + own / n))};
}

void CarFitting::score(const Point& at, const Eigen::MatrixXd& covariance, CarFit& out) {
    say(0.75, "bands");
    const std::size_t n = count();
    const Eigen::MatrixXd root = Eigen::LLT<Eigen::MatrixXd>(covariance).matrixL();
    std::vector<std::string> names;
    for (std::size_t j = 0; j < n; ++j) names.push_back(cars_.numbers()[j].words());
    for (const scenario::Signal signal : signals_) names.emplace_back(scenario::entry(signal).name);
    for (const std::size_t j : of_each_log_)
        for (std::size_t l = 0; l < drives_.size(); ++l)
            names.push_back(fmt::format("{} {}", names[j], l));
    std::vector<std::uint64_t> keys;
    for (const std::string& name : names)
        keys.push_back(solve::mixed(series_of_draws + 2, "band " + name));
    const solve::ScrambledPoints points(keys);
    // The car as it stood, as fitted, then draws before and after; offsets go with each.
    std::vector<Scores> sets{{Values(n, 0.0)}, full(at.x)}, after;
    std::vector<Habit> habits;
    for (const std::size_t j : of_each_log_) {
        habits.push_back(habit_of(j, at.x, covariance));
        for (std::size_t l = fitted_logs_; l < drives_.size(); ++l)
            sets.back()[l][j] = habits.back().mean;
    }
    std::vector<Values> offsets{Values(signals_.size(), 0.0), offsets_of(at.x)}, offsets_after;
    for (std::size_t d = 0; d < options_.band_draws; ++d) {
        Values u(keys.size()), z;
        points.point(static_cast<std::uint32_t>(d), u);
        for (const double x : u) z.push_back(solve::normal_quantile(x));
        // A set for each log where a number is of each log.
        Scores drawn(of_each_log_.empty() ? 1 : drives_.size(),
                     Values(z.begin(), z.begin() + static_cast<std::ptrdiff_t>(n)));
        for (std::size_t k = 0; k < of_each_log_.size(); ++k)
            for (std::size_t l = 0; l < drives_.size(); ++l)
                drawn[l][of_each_log_[k]] = z[n + signals_.size() + k * drives_.size() + l];
        Eigen::VectorXd e(all());
        for (std::size_t k = 0; k < moved_.size(); ++k)
            e[static_cast<Eigen::Index>(k)] =
                drawn[drawn.size() > 1 ? moved_[k].log.value_or(0) : 0][moved_[k].number];
        Values before;
        for (std::size_t s = 0; s < signals_.size(); ++s) {
            e[moved() + static_cast<Eigen::Index>(s)] = z[n + s];
            before.push_back(z[n + s] * options_.sensor_error);
        }
        sets.push_back(drawn), offsets.push_back(std::move(before));
        const Eigen::VectorXd x = at.x + root * e;
        for (std::size_t k = 0; k < moved_.size(); ++k)
            for (std::size_t l = 0; l < drawn.size(); ++l)
                if (!moved_[k].log || *moved_[k].log == l)
                    drawn[l][moved_[k].number] = x[static_cast<Eigen::Index>(k)];
        for (std::size_t k = 0; k < of_each_log_.size(); ++k)
            for (std::size_t l = fitted_logs_; l < drives_.size(); ++l)
                drawn[l][of_each_log_[k]] =
                    habits[k].mean + habits[k].deviation * drawn[l][of_each_log_[k]];
        // Named ones alone are fitted as if all others were known; so are their bands.
        if (!options_.free.empty()) {
            Scores named = full(x);
            for (const std::size_t j : of_each_log_)
                for (std::size_t l = fitted_logs_; l < drives_.size(); ++l)
                    named[l][j] = drawn[l][j];
            drawn = std::move(named);
        }
        after.push_back(std::move(drawn)), offsets_after.push_back(offsets_of(x));
    }
    sets.insert(sets.end(), after.begin(), after.end());
    offsets.insert(offsets.end(), offsets_after.begin(), offsets_after.end());
    const auto driven = drive_all(sets, drives_.size());
    for (std::size_t l = 0; l < drives_.size(); ++l)
        for (std::size_t k = 0; k < drives_[l].fluids().size(); ++k)
            score_one(l, k, driven, offsets, out);
}

void CarFitting::score_one(std::size_t log, std::size_t fluid,
                           const std::vector<std::vector<Driven>>& driven,
                           const std::vector<Values>& offsets, CarFit& out) const {
    FitScore s;
    s.before = drives_[log].fluids()[fluid];
    s.after = s.before;
    s.log = drives_[log].log(), s.signal = s.before.signal, s.held_back = log >= fitted_logs_;
    const std::size_t place = place_of(s.signal);
    const auto shifted = [&](std::size_t set) {
        Values x = fluid < driven[set][log].size() ? driven[set][log][fluid] : Values{};
        for (double& value : x) value += offsets[set][place];
        return x;
    };
    s.before.model = shifted(0);
    s.after.model = shifted(1);
    if (s.before.model.empty() || s.after.model.empty()) {
        out.notes.push_back(fmt::format("{} could not be driven to its end", s.log));
        return;
    }
    const Values still(s.before.time.size(), 10.0);  // speeds matter to looks alone
    compare_traces(s.before, still);
    compare_traces(s.after, still);
    s.samples = s.before.samples;
    s.rms_before = s.before.rms, s.rms_after = s.after.rms;
    s.bias_before = s.before.bias, s.bias_after = s.after.bias;
    std::vector<Values> early, late;
    for (std::size_t d = 0; d < options_.band_draws; ++d) {
        early.push_back(shifted(2 + d));
        late.push_back(shifted(2 + options_.band_draws + d));
    }
    const double white = deviation_of_reading(s.before.step);
    // Before the fit the model's own error is what models usually are off by.
    const TraceBand then = band_of(early, s.before.logged, std::hypot(white, usual_deviation));
    TraceBand now = band_of(late, s.after.logged, std::hypot(white, noise_[place].deviation));
    s.inside_before = then.inside, s.width_before = then.width;
    s.inside_after = now.inside, s.width_after = now.width;
    s.low = std::move(now.low), s.high = std::move(now.high);
    out.scores.push_back(std::move(s));
}

}  // namespace lapheat::study
