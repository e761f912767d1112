// Weights of draws, and the tail that tells whether they can be trusted.
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <random>

#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/pareto.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::solve;

TEST_CASE("A tail that was drawn from a generalised Pareto distribution comes back") {
    for (const double k : {-0.3, 0.2, 0.7, 1.1}) {
        const ParetoTail truth{k, 2};
        std::vector<double> x;
        for (int i = 0; i < 4000; ++i) x.push_back(truth.quantile((i + 0.5) / 4000));
        const ParetoTail found = fitted_tail(x, true);
        INFO(k);
        CHECK(found.k == Approx(k).margin(0.03));
        CHECK(found.scale == Approx(2).epsilon(0.03));
    }
    CHECK(ParetoTail{0, 3}.quantile(1 - std::exp(-2.0)) == Approx(6));
    CHECK_THROWS_AS(fitted_tail(std::vector<double>{1, 2, 3, 4}), Error);
}

TEST_CASE("Weights between two normals tell the mean, and k tells when they cannot") {
    // From N(0, s) to N(0, 1) a weight's tail has k = 1 - s^2 for s < 1: P(w > x) falls as
    // x^(-1 / k) as in Vehtari et al., but for the logarithm that a normal tail adds.
    std::mt19937_64 chance(3);
    std::normal_distribution<double> normal;
    const auto weights = [&](double deviation, double shift) {
        std::vector<double> draw, weight;
        for (int i = 0; i < 20000; ++i) {
            const double x = shift + deviation * normal(chance);
            draw.push_back(x);
            weight.push_back(-0.5 * x * x + 0.5 * std::pow((x - shift) / deviation, 2));
        }
        const SmoothedWeights w = smoothed_weights(weight);
        const double mean = std::inner_product(draw.begin(), draw.end(), w.share.begin(), 0.0);
        return std::pair(w, mean);
    };
    const auto [wide, wide_mean] = weights(1.5, 0.5);
    CHECK(wide_mean == Approx(0).margin(0.03));
    CHECK(wide.k < 0.5);
    CHECK(wide.effective > 5000);
    CHECK(std::accumulate(wide.share.begin(), wide.share.end(), 0.0) == Approx(1));
    const auto [narrow, narrow_mean] = weights(0.4, 0);
    CHECK(narrow.k > 0.7);
    const auto [same, same_mean] = weights(1, 0);
    CHECK(same.effective == Approx(20000));
}

TEST_CASE(
    "Weights that are not finite count for nothing, and few draws say nothing of their tail") {
    const double none = -std::numeric_limits<double>::infinity();
    const SmoothedWeights w = smoothed_weights(std::vector<double>{0, none, 0, std::nan("")});
    CHECK(w.share == std::vector<double>{0.5, 0, 0.5, 0});
    CHECK(w.effective == Approx(2));
    CHECK(std::isinf(w.k));
    CHECK(smoothed_weights({}).share.empty());
}
