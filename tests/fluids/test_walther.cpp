#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/fluids/walther.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::fluids;

TEST_CASE("the Walther line passes through its two points, thick or thin") {
    for (const auto& [v1, v2] :
         {std::pair{34e-6, 7.2e-6}, {5000e-6, 100e-6}, {3e-6, 1.2e-6}, {2e-6, 0.6e-6}}) {
        const WaltherLine line = walther_line(313.15, v1, 373.15, v2);
        CHECK(line(313.15) == Approx(v1).epsilon(2e-3));
        CHECK(line(373.15) == Approx(v2).epsilon(5e-3));
    }
}

TEST_CASE("viscosity falls along the Walther line without a step") {
    const WaltherLine line = walther_line(313.15, 3e-6, 373.15, 1.2e-6);
    double last_slope = std::log(line(233.5) / line(233));
    for (double t = 233.5; t < 500; t += 0.5) {
        const double slope = std::log(line(t + 0.5) / line(t));
        INFO(t);
        CHECK(slope < 0);
        // The correction for thin oils is cut where it has faded: no kink may show there.
        CHECK(std::abs(slope - last_slope) < 1e-3);
        last_slope = slope;
    }
}

TEST_CASE("two points that no oil has are refused") {
    CHECK_THROWS_AS(walther_line(313.15, 7e-6, 373.15, 34e-6), Error);
    CHECK_THROWS_AS(walther_line(313.15, 34e-6, 313.15, 7e-6), Error);
    CHECK_THROWS_AS(walther_line(313.15, -1e-6, 373.15, 7e-6), Error);
    CHECK_THROWS_AS(walther_line(313.15, 34e-6, 373.15, 0.1e-6), Error);
}
