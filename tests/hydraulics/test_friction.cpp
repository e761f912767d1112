#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/hydraulics/friction.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat::hydraulics;

TEST_CASE("laminar friction is 64 over Re whatever the roughness") {
    for (const double roughness : {0.0, 1e-4, 0.05})
        for (const double re : {1e-6, 1.0, 500.0, 2000.0})
            CHECK(darcy_friction(re, roughness) == Approx(64 / re).epsilon(1e-14));
}

TEST_CASE("turbulent friction satisfies Colebrook's equation to rounding") {
    for (const double roughness : {0.0, 1e-6, 1e-3, 0.05})
        for (double re = 4096; re < 1e8; re *= 3) {
            const double x = 1 / std::sqrt(darcy_friction(re, roughness));
            CHECK(x + 2 * std::log10(roughness / 3.7 + 2.51 * x / re) == Approx(0).margin(1e-13));
        }
}

TEST_CASE("the pressure loss of a pipe rises with flow through the transition, without a kink") {
    for (const double roughness : {0.0, 1e-3, 0.05}) {
        const LossCurve curve = pipe_curve(roughness);
        double last = 0;
        for (double re = 1; re < 1e9; re *= 1.003) {
            const Loss here = evaluate(curve, re), next = evaluate(curve, re * (1 + 1e-9));
            CHECK(here.value > last);
            CHECK(here.slope > 0);
            CHECK(next.slope == Approx(here.slope).epsilon(1e-5));
            last = here.value;
        }
    }
}

TEST_CASE("the table of a pipe follows the law within a millionth") {
    for (const double roughness : {0.0, 2e-4, 0.05}) {
        const LossCurve curve = pipe_curve(roughness);
        double worst = 0;
        for (double re = 10; re < 1.3e8; re *= 1.0137)
            worst = std::max(worst, std::abs(evaluate(curve, re).value /
                                                 (darcy_friction(re, roughness) * re * re) -
                                             1));
        CHECK(worst < 1e-6);
    }
}

TEST_CASE("the slope of a loss curve is the derivative of its value") {
    const LossCurve curve = pipe_curve(1e-3);
    for (double re = 3; re < 1e9; re *= 1.7) {
        const double h = 1e-5 * re;
        const double numeric =
            (evaluate(curve, re + h).value - evaluate(curve, re - h).value) / (2 * h);
        CHECK(evaluate(curve, re).slope == Approx(numeric).epsilon(1e-5));
    }
}

TEST_CASE("a passage sampled at one temperature is right at another by similarity") {
    // Pressure loss of forty 2 mm tubes of 0.5 m with their ends, straight from the law.
    const auto tubes = [](double m, double rho, double mu) {
        const double d = 2e-3, area = 3.14159265358979 / 4 * d * d, v = m / 40 / rho / area;
        return (darcy_friction(rho * v * d / mu, 0) * 0.5 / d + 1.5) * 0.5 * rho * v * v;
    };
    const double rho = 1000, mu = 1e-3;
    const LossCurve curve =
        sampled_curve([&](double m) { return tubes(m, rho, mu); }, rho, mu, 1e-4, 3);
    for (const double other_mu : {3e-4, 1e-3, 0.02, 0.5})
        for (const double other_rho : {850.0, 1050.0})
            for (double m = 0.003; m < 1; m *= 1.3) {
                const Loss phi = evaluate(curve, m / other_mu);
                CHECK(other_mu * other_mu / other_rho * phi.value ==
                      Approx(tubes(m, other_rho, other_mu)).epsilon(5e-4));
            }
}

TEST_CASE("a passage whose loss falls as its flow grows is refused") {
    CHECK_THROWS_AS(sampled_curve([](double m) { return 1 / m; }, 1000, 1e-3, 1e-3, 1),
                    lapheat::Error);
    CHECK_THROWS_AS(sampled_curve([](double m) { return m; }, 1000, 0, 1e-3, 1), lapheat::Error);
}
