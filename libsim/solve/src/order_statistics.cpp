#include "lapheat/solve/order_statistics.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <cmath>

#include "lapheat/units/error.hpp"

namespace lapheat::solve {

QuantileRanks quantile_ranks(std::size_t n, double below) {
    if (n == 0) throw Error("a quantile of no draws", "at least one");
    if (!(below >= 0 && below <= 1)) throw Error("a share below that is none", "0 to 1");
    if (n == 1) return {};
    const auto rank = [n](double p) {
        return static_cast<std::size_t>(std::clamp(p, 0.0, static_cast<double>(n - 1)));
    };
    using Policy = boost::math::policies::policy<
        boost::math::policies::discrete_quantile<boost::math::policies::integer_round_outwards>>;
    const boost::math::binomial_distribution<double, Policy> many(static_cast<double>(n), below);
    return {.low = rank(boost::math::quantile(many, 0.025)),
            .at = rank(std::floor(static_cast<double>(n) * below + 1e-9)),
            .high = rank(boost::math::quantile(many, 0.975))};
}

}  // namespace lapheat::solve
