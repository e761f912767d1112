#include "bands.hpp"

#include <cmath>
#include <limits>

#include "fit_noise.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/given_data.hpp"

namespace lapheat::study {

TraceBand band_of(const std::vector<std::vector<double>>& draws, const std::vector<double>& logged,
                  double deviation) {
    // Each draw stands for nine, by the middles of nine equal shares of the error.
    constexpr int shares = 9;
    std::vector<double> errors, all;
    for (int k = 0; k < shares; ++k)
        errors.push_back(deviation * solve::normal_quantile((k + 0.5) / shares));
    TraceBand out;
    out.low.assign(logged.size(), std::numeric_limits<double>::quiet_NaN());
    out.high = out.low;
    double points = 0;
    for (std::size_t i = 0; i < logged.size(); ++i) {
        all.clear();
        for (const std::vector<double>& car : draws)
            if (i < car.size())
                for (const double e : errors) all.push_back(car[i] + e);
        if (all.empty()) continue;
        out.low[i] = solve::quantile(all, 0.05), out.high[i] = solve::quantile(all, 0.95);
        if (!std::isfinite(logged[i])) continue;
        points += 1;
        out.inside += logged[i] >= out.low[i] && logged[i] <= out.high[i] ? 1 : 0;
        out.width += out.high[i] - out.low[i];
    }
    if (points > 0) out.inside /= points, out.width /= points;
    return out;
}

double deviation_of_reading(double step) { return std::hypot(step / std::sqrt(12.0), other_white); }

}  // namespace lapheat::study
