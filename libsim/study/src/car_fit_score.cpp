// What a fit comes to: its numbers with their ranges, and how logs lie in its bands.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "car_fitting.hpp"
#include "lapheat/solve/draws.hpp"

namespace lapheat::study {
namespace {

/// Share of points inside [5 %, 95 %] of draws with noise, and the mean width; fills low and high.
struct Coverage {
    double inside = 0, width = 0;
};
Coverage band_of(const std::vector<Values>& draws, const Values& logged, double deviation, Values& low,
             Values& high) {
    Coverage out;
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

}  // namespace

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
            const Coverage then =
                band_of(early, s.before.logged, s.before.step / std::sqrt(12.0), s.low, s.high);
            const Coverage now = band_of(late, s.after.logged, noise_.deviation, s.low, s.high);
            s.inside_before = then.inside, s.width_before = then.width;
            s.inside_after = now.inside, s.width_after = now.width;
            out.scores.push_back(std::move(s));
        }
}

}  // namespace lapheat::study
