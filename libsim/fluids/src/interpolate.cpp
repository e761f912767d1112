#include "interpolate.hpp"

#include <math.h>  // NOLINT: Boost 1.74's pchip.hpp calls isnan without std::

#include <boost/math/interpolators/pchip.hpp>
#include <memory>

namespace lapheat::fluids {

std::function<double(double)> monotone(std::vector<double> x, std::vector<double> y) {
    // Boost's interpolant wants four points: halve the widest gap until there are.
    while (x.size() < 4) {
        std::size_t widest = 1;
        for (std::size_t i = 2; i < x.size(); ++i)
            if (x[i] - x[i - 1] > x[widest] - x[widest - 1]) widest = i;
        const double xm = 0.5 * (x[widest] + x[widest - 1]), ym = 0.5 * (y[widest] + y[widest - 1]);
        x.insert(x.begin() + static_cast<std::ptrdiff_t>(widest), xm);
        y.insert(y.begin() + static_cast<std::ptrdiff_t>(widest), ym);
    }
    const double low = x.front(), high = x.back();
    using Interpolant = boost::math::interpolators::pchip<std::vector<double>>;
    const auto curve = std::make_shared<const Interpolant>(std::move(x), std::move(y));
    return [curve, low, high](double t) {
        if (t < low) return (*curve)(low) + (t - low) * curve->prime(low);
        if (t > high) return (*curve)(high) + (t - high) * curve->prime(high);
        return (*curve)(t);
    };
}

}  // namespace lapheat::fluids
