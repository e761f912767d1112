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

TEST_CASE("a condenser's heat all arrives in its air until the compressor cuts out") {
    const double capacity = 0.4 * 1007;
    for (const double rise : {2.0, 15.0, 25.0, 30.0})
        CHECK(condenser_rejected(rise * capacity, capacity) ==
              Approx(rise * capacity).epsilon(1e-3));
    CHECK(condenser_rejected(43 * capacity, capacity) == Approx(43 * capacity).epsilon(0.01));
    CHECK(condenser_rejected(1e9, capacity) == Approx(60 * capacity).epsilon(1e-6));
    CHECK(condenser_rejected(5000, 0) == 0);
    double before = 0;
    for (double c = 1; c < 1000; c *= 1.1) {  // more air never takes less
        const double now = condenser_rejected(5000, c);
        CHECK(now >= before);
        before = now;
    }
}

TEST_CASE("a standing car's bay is hotter than a moving one's, and buoyancy goes with its root") {
    const EngineBay bay;
    CHECK(bay_fresh_air(bay, 30, 0) == Approx(bay.at_rest).epsilon(0.04));
    CHECK(bay_fresh_air(bay, 120, 0) == Approx(2 * bay_fresh_air(bay, 30, 0)).epsilon(0.04));
    CHECK(bay_fresh_air(bay, 0, 0) == 0);
    CHECK(bay_fresh_air(bay, -5, 10) == Approx(10 * bay.per_speed));
    CHECK(bay_temperature(bay, 300, 0, 1500, 0, 0) >
          bay_temperature(bay, 300, 20, 1500, 0, 0) + 10);
    CHECK(bay_temperature(bay, 300, 0, 0, 0, 0) == Approx(300).margin(1e-6));
    // No sheet, a strong fan: the mean of the streams by their flows.
    EngineBay open = bay;
    open.air_to_sheet = 0;
    open.at_rest = 0;
    CHECK(bay_temperature(open, 300, 10, 0, 1.0, 340) ==
          Approx((0.35 * 300 + 1.0 * 340) / 1.35).epsilon(1e-9));
}

TEST_CASE("a settled bay gives away what it is given") {
    const EngineBay bay;
    for (const double speed : {0.0, 5.0, 30.0})
        for (const double stack : {0.0, 0.4, 1.5}) {
            const double heat = 2500;
            const double t = bay_temperature(bay, 305, speed, heat, stack, 330);
            const double outer = bay.sheet_to_outside + bay.sheet_slope * std::sqrt(speed);
            const double sheet = (bay.air_to_sheet * t + outer * 305) / (bay.air_to_sheet + outer);
            const double leaves = bay_fresh_air(bay, t - 305, speed) * 1007 * (t - 305) +
                                  stack * 1007 * (t - 330) + outer * (sheet - 305);
            CHECK(leaves == Approx(heat).epsilon(1e-6));
        }
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
}

TEST_CASE("a pump that draws air loses its flow gradually, then altogether") {
    CHECK(gas_handling(0) == 1);
    CHECK(gas_handling(0.03) == 1);
    CHECK(gas_handling(0.09) == Approx(0.5));
    CHECK(gas_handling(0.2) == 0);
    CHECK(void_fraction(0.05, 0.10) == 0);
    CHECK(void_fraction(0.20, 0.10) == Approx(0.10));
}

TEST_CASE("what seals stand is halved for each 10 K, and is used up when the record has taken it") {
    const FluidLife seals = transmission_seals();
    CHECK(stands(seals, 423.15) == Approx(70 * 3600));
    CHECK(stands(seals, 433.15) == Approx(35 * 3600));
    CHECK(stands(seals, 473.15) == Approx(70 * 3600 / 32.0));
    CHECK(stands(seals, 373.15) > 2000 * 3600.0);  // a sump at 100 degC wears nothing out in a year
    CHECK(stands(steering_seals(), 423.15) < stands(seals, 423.15));
    // 10 hours at 190 degC stand against 70 h / 16 = 4 h 22 min 30 s.
    const double hot = 463.15, end = 10 * 3600;
    const std::vector<double> time{0, end / 3, end}, kelvin{hot, hot, hot};
    CHECK(used_up(seals, time, kelvin) == Approx(70 * 3600 / 16.0));
    CHECK(life_used(seals, time, kelvin) == Approx(end / stands(seals, hot)));
    const std::vector<double> cool{373.15, 373.15, 373.15};
    CHECK(used_up(seals, time, cool) < 0);
}
