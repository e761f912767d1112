#include "lapheat/solve/pareto.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "lapheat/units/error.hpp"

namespace lapheat::solve {

double ParetoTail::quantile(double p) const {
    return std::abs(k) < 1e-12 ? -scale * std::log1p(-p)
                               : scale * std::expm1(-k * std::log1p(-p)) / k;
}

ParetoTail fitted_tail(std::span<const double> x, bool plain) {
    if (x.size() < 5) throw Error("too few values for the tail of a distribution", "five or more");
    const auto n = static_cast<double>(x.size());
    // -k of a tail of that theta = -k / scale, and its likelihood over theta with Zhang & Stephens'
    // own prior: a weighted mean over some points of it.
    const auto shape = [&](double theta) {
        double sum = 0;
        for (const double v : x) sum += std::log1p(-theta * v);
        return sum / n;
    };
    constexpr double prior = 3;
    const double quartile = x[static_cast<std::size_t>(n / 4 + 0.5) - 1];
    const int points = 30 + static_cast<int>(std::sqrt(n));
    std::vector<double> theta, likelihood;
    for (int i = 1; i <= points; ++i) {
        theta.push_back(1 / x.back() + (1 - std::sqrt(points / (i - 0.5))) / (prior * quartile));
        const double k = shape(theta.back());
        likelihood.push_back(n * (std::log(-theta.back() / k) - k - 1));
    }
    const double most = *std::ranges::max_element(likelihood);
    double sum = 0, mean = 0;
    for (std::size_t i = 0; i < theta.size(); ++i) {
        const double weight = std::exp(likelihood[i] - most);
        sum += weight, mean += weight * theta[i];
    }
    mean /= sum;
    ParetoTail out;
    out.k = shape(mean);
    out.scale = -out.k / mean;
    constexpr double pull = 10;
    if (!plain) out.k = (n * out.k + 0.5 * pull) / (n + pull);
    return out;
}

SmoothedWeights smoothed_weights(std::span<const double> log_weights) {
    constexpr std::size_t fewest = 25;
    SmoothedWeights out;
    out.k = std::numeric_limits<double>::infinity();
    double most = -out.k;
    for (const double w : log_weights)
        if (std::isfinite(w)) most = std::max(most, w);
    for (const double w : log_weights)
        out.share.push_back(std::isfinite(w) ? std::exp(w - most) : 0);
    const std::size_t n = out.share.size();
    if (n >= fewest) {
        std::vector<std::size_t> order(n);
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::ranges::sort(order, {}, [&](std::size_t i) { return out.share[i]; });
        const auto tail = static_cast<std::size_t>(std::ceil(
            std::min(0.2 * static_cast<double>(n), 3 * std::sqrt(static_cast<double>(n)))));
        const double cut = out.share[order[n - tail - 1]];
        std::vector<double> above;
        for (std::size_t i = n - tail; i < n; ++i)
            above.push_back(std::max(out.share[order[i]] - cut, 1e-300));
        if (above.front() < above.back()) {
            const ParetoTail fitted = fitted_tail(above);
            out.k = fitted.k;
            for (std::size_t z = 0; z < tail && std::isfinite(fitted.k); ++z)
                out.share[order[n - tail + z]] =
                    std::min(1.0, cut + fitted.quantile((static_cast<double>(z) + 0.5) /
                                                        static_cast<double>(tail)));
        } else {
            out.k = -out.k;  // all alike: no tail at all
        }
    }
    const double sum = std::accumulate(out.share.begin(), out.share.end(), 0.0);
    double squares = 0;
    for (double& share : out.share) share /= sum > 0 ? sum : 1, squares += share * share;
    out.effective = squares > 0 ? 1 / squares : 0;
    return out;
}

}  // namespace lapheat::solve
