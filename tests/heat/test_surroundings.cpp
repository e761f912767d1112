#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/heat/faults.hpp>
#include <lapheat/heat/fluid_life.hpp>
#include <lapheat/heat/surroundings.hpp>
#include <lapheat/units/error.hpp>
#include <vector>

#include "../drive/invented_car.hpp"

using namespace lapheat;
using namespace lapheat::heat;

TEST_CASE("a condenser rejects more than the compressor draws, idle too, and nothing when off") {
    const AirConditioning ac;
    CHECK(condenser_heat(ac, 2000, 298.15) == Approx(6800));
    CHECK(condenser_heat(ac, 2000, 318.15) < condenser_heat(ac, 2000, 298.15));
    CHECK(condenser_heat(ac, 2000, 400) == Approx(4000));
    const drive::Vehicle car = drive::invented_car();
    drive::Cycle cycle = drive::idle(60);
    for (double& d : cycle.ac_demand) d = 0.5;
    const auto heat = condenser_heat(ac, car, drive::backward(car, cycle));
    CHECK(heat[10] > 0.5 * car.air_conditioning_power * 2);
    drive::Cycle soak = drive::soak(60);
    for (double& d : soak.ac_demand) d = 1;
    CHECK(condenser_heat(ac, car, drive::backward(car, soak)).front() == 0);
}

TEST_CASE("radiation goes from hot to cold with the fourth power") {
    // Black plates at 800 and 400 K: 5.670374e-8 (800^4 - 400^4) = 21774 W/m^2.
    CHECK(radiant_heat(800, 400, 1, 1, 1, 1) == Approx(21774).epsilon(1e-4));
    CHECK(radiant_heat(400, 800, 1, 1, 1, 1) == Approx(-21774).epsilon(1e-4));
    CHECK(radiant_heat(800, 400, 0.02, 0.3) < radiant_heat(800, 400, 0.02, 0.3, 1, 1));
}

TEST_CASE("brakes heat by what they take up and cool as an exponential") {
    const drive::Vehicle car = drive::invented_car();
    const drive::Cycle stop = drive::make_cycle("stop", {0, 10, 14, 15, 300}, {30, 30, 0, 0, 0});
    const drive::Trace t = drive::backward(car, stop);
    const Brakes b;
    const auto temperature = brake_temperature(b, t);
    const double taken = b.share * t.brake_power[1] * 4;
    CHECK(temperature[1] == Approx(t.ambient[0]));
    CHECK(temperature[2] - t.ambient[0] == Approx(taken / b.heat_capacity).epsilon(0.02));
    CHECK(
        temperature[4] - t.ambient[0] ==
        Approx((temperature[3] - t.ambient[0]) * std::exp(-b.conductance * 285 / b.heat_capacity)));
}

TEST_CASE("the engine bay runs hotter standing than driving, and fan air mixes in by its flow") {
    const EngineBay bay;
    const double standing = bay_temperature(bay, 300, 0, 1500, 0, 0);
    CHECK(standing == Approx(300 + 1500 / (0.06 * 1007)));
    CHECK(bay_temperature(bay, 300, 20, 1500, 0, 0) < 303);
    const double with_fan = bay_temperature(bay, 300, 0, 0, 1.0, 340);
    CHECK(with_fan == Approx((0.06 * 300 + 0.3 * 340) / 0.36));
    CHECK(bay_temperature(bay, 300, 0, 0, 0, 0) == Approx(300));
}

TEST_CASE("sun heats the road and the air above it, less with wind") {
    CHECK(road_surface_temperature(300, 0, 10) == 300);
    const double still = road_surface_temperature(305, 900, 0);
    CHECK(still > 345);
    CHECK(still < 365);
    CHECK(road_surface_temperature(305, 900, 20) < still);
    CHECK(under_floor_air(305, 900, 0) < still);
    CHECK(under_floor_air(305, 900, 0) > 305);
}

TEST_CASE("fluid life halves for each 11 K above 93 degC") {
    const FluidLife life;
    CHECK(aging_rate(life, 366.15) == 1);
    CHECK(aging_rate(life, 377.15) == Approx(2));
    CHECK(aging_rate(life, 399.15) == Approx(8));
    CHECK(aging_rate(life, 250) == Approx(1.0 / 8));
    // A constant temperature, and a ramp against a fine sum.
    CHECK(life_used(life, std::vector<double>{0, 1000}, std::vector<double>{377.15, 377.15}) ==
          Approx(2000 / life.reference_life));
    double sum = 0;
    const int n = 20000;
    for (int i = 0; i < n; ++i) sum += aging_rate(life, 370 + 40 * (i + 0.5) / n) * 500 / n;
    CHECK(life_used(life, std::vector<double>{0, 500}, std::vector<double>{370, 410}) ==
          Approx(sum / life.reference_life).epsilon(1e-6));
    CHECK_THROWS_AS(life_used(life, std::vector<double>{0, 1}, std::vector<double>{300}), Error);
}

TEST_CASE("limits rise from caution over limit to peak and say where they come from") {
    for (const Limit& l : {transmission_limit(), steering_limit(), engine_oil_limit()}) {
        CHECK(l.caution < l.limit);
        CHECK(l.limit <= l.peak);
        CHECK_THAT(l.note, Catch::Contains("no source"));
    }
    CHECK(coolant_limit().boiling_reserve > 0);
    CHECK(coolant_limit().limit == 0);
    CHECK(hose_limit(true).limit > hose_limit(false).limit);
}

TEST_CASE("a pump that draws air loses its flow gradually, then altogether") {
    CHECK(gas_handling(0) == 1);
    CHECK(gas_handling(0.03) == 1);
    CHECK(gas_handling(0.09) == Approx(0.5));
    CHECK(gas_handling(0.2) == 0);
    CHECK(void_fraction(0.05, 0.10) == 0);
    CHECK(void_fraction(0.20, 0.10) == Approx(0.10));
}
