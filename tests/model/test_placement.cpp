#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

// Fans run all the time here: with switches the coolant's peak is where the switch catches it, and
// the moment at which that falls in the traffic moves it by a tenth of a kelvin either way (98.84
// degC on the day of 38 degC, 98.70 degC on the day of 44 degC, cooler in the radiator's tank).
TEST_CASE("a hotter day never gives a cooler peak") {
    for (const std::string placement : {"ahead_of_radiator", "in_tank"}) {
        Car car = demo_car(placement);
        car.start_warm = true;
        for (FanEntry& fan : car.fans) fan.switches.clear();
        drive::Surroundings hotter = hot_day;
        hotter.ambient += 6;
        const Result mild = run(car, drive::stop_and_go(900, 7, {}, hot_day));
        const Result hot = run(car, drive::stop_and_go(900, 7, {}, hotter));
        for (const Verdict& v : mild.verdicts) {
            INFO(placement << ' ' << v.loop << ' ' << celsius(v.peak) << ' '
                           << celsius(verdict(hot, v.loop).peak));
            CHECK(verdict(hot, v.loop).peak > v.peak - 0.01);
        }
    }
}

TEST_CASE("a dead fan never cools better in traffic") {
    Car car = demo_car("under_floor");
    const drive::Cycle cycle = demo_cycle("traffic", car.vehicle);
    const Result whole = run(car, cycle);
    for (FanEntry& fan : car.fans) fan.dead = fan.name != "cooler_fan";
    const Result no_radiator_fan = run(car, cycle);
    CHECK(verdict(no_radiator_fan, "coolant").peak > verdict(whole, "coolant").peak + 1);
    for (FanEntry& fan : car.fans) fan.dead = fan.name == "cooler_fan";
    const Result no_cooler_fan = run(car, cycle);
    CHECK(verdict(no_cooler_fan, "transmission").peak > verdict(whole, "transmission").peak);
    CHECK(verdict(no_cooler_fan, "steering").peak > verdict(whole, "steering").peak);
}

TEST_CASE("a longer cooler line gives less flow and more pressure loss") {
    Car car = demo_car("under_floor");
    const drive::Cycle cycle = drive::steady(25, 600, hot_day);
    const Verdict near = verdict(run(car, cycle), "transmission");
    for (const char* hose : {"supply hose", "return hose"})
        std::get<Line>(part(car, "transmission", hose).body).length *= 6;
    const Verdict far = verdict(run(car, cycle), "transmission");
    CHECK(far.flow < near.flow);
    CHECK(far.line_loss_peak > near.line_loss_peak);
}

TEST_CASE("a cooler ahead of the radiator costs coolant margin against the same cooler elsewhere") {
    for (const char* name : {"highway_grade", "lap_session"}) {
        Car ahead = demo_car("ahead_of_radiator"), elsewhere = demo_car("under_floor");
        // With the radiator's fans running all the time: switched ones hold the coolant between two
        // temperatures, and the peak of a run tells when they happened to close.
        for (Car* car : {&ahead, &elsewhere})
            for (FanEntry& fan : car->fans)
                if (fan.name != "cooler_fan") fan.switches.clear();
        const double in_front =
            verdict(run(ahead, demo_cycle(name, ahead.vehicle)), "coolant").margin;
        const double below =
            verdict(run(elsewhere, demo_cycle(name, elsewhere.vehicle)), "coolant").margin;
        INFO(name << ": " << in_front << " K ahead, " << below << " K under the floor");
        CHECK(in_front < below);
    }
}

TEST_CASE("steering fluid passes 110 degC on the cone course without a cooler and not with one") {
    const auto peak = [](const char* placement) {
        const Car car = demo_car(placement);
        return celsius(verdict(run(car, demo_cycle("lap_session", car.vehicle)), "steering").peak);
    };
    CHECK(peak("tank_only") > 110);
    CHECK(peak("under_floor") < 110);
}

TEST_CASE("transmission fluid cruises between 70 and 95 degC") {
    const Car car = demo_car("under_floor");
    const Result result = run(car, demo_cycle("highway_grade", car.vehicle));
    const std::vector<double>& sump = series(result, "loops/transmission", "watched_temperature");
    for (std::size_t i = 900; i < 1200; i += 50) {  // the level part, warm
        CHECK(celsius(sump[i]) > 70);
        CHECK(celsius(sump[i]) < 95);
    }
}
