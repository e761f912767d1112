#include <catch2/catch.hpp>

#include "lapheat/fluids/air.hpp"

using namespace lapheat::fluids;

TEST_CASE("the air thins with altitude and with heat") {
    double last = 10;
    for (double h = -1000; h < 5000; h += 250) {
        const AirState a = standard_atmosphere(h);
        CHECK(density(a) < last);
        last = density(a);
        CHECK(density(standard_atmosphere(h, 20)) < density(a));
        CHECK(standard_atmosphere(h, 20).pressure == a.pressure);
    }
}

TEST_CASE("moist air is lighter than dry air and carries more heat for each kilogram") {
    const AirState dry{308.15, 101325, 0}, moist{308.15, 101325, 0.03};
    CHECK(density(moist) < density(dry));
    CHECK(specific_heat(moist) > specific_heat(dry));
}

TEST_CASE("relative humidity and humidity ratio are each other's inverse") {
    for (const double t : {263.15, 283.15, 303.15, 318.15})
        for (const double rh : {0.0, 0.1, 0.5, 1.0}) {
            const AirState a{t, 95000, humidity_ratio(t, 95000, rh)};
            CHECK(relative_humidity(a) == Approx(rh).margin(1e-12));
        }
}

TEST_CASE("the humidity ratio stays finite where the air could be all vapour") {
    // Above 100 degC vapour could be all of it: held to half of the pressure, and then there are
    // as many moles of it as of air, 18.015 g for 28.966.
    CHECK(humidity_ratio(400, 101325, 1.0) == Approx(18.015 / 28.966).epsilon(1e-4));
    // At 30 degC, 60 %, sea level: 16.0 g in a kilogram (ASHRAE's psychrometric chart).
    CHECK(humidity_ratio(303.15, 101325, 0.6) == Approx(16.0e-3).epsilon(0.01));
    CHECK(humidity_ratio(300, 101325, 2.0) == humidity_ratio(300, 101325, 1.0));
}

TEST_CASE("air's properties are smooth and rise with temperature as kinetic theory says") {
    for (double t = 223.15; t < 473; t += 1) {
        const AirState a{t, 101325, 0}, b{t + 1, 101325, 0};
        CHECK(viscosity(b) > viscosity(a));
        CHECK(conductivity(b) > conductivity(a));
        CHECK(prandtl(a) > 0.67);
        CHECK(prandtl(a) < 0.74);
        CHECK(in_range(a));
    }
    CHECK_FALSE(in_range({600, 101325, 0}));
    CHECK_FALSE(in_range({300, 1e4, 0}));
}
