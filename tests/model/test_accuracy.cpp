// The table of accuracy: every placement, cycle and fault against steps of fifth order with nothing
// held. The whole of it is measured by validation/bench/measure_car and by
//
//   test_model "[table]"
//
// in some minutes; a part of it, spread over all kinds, runs every time.
#include <catch2/catch.hpp>
#include <iostream>

#include "accuracy.hpp"
#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

Deviation measured(const AccuracyCase& one, double& closure) {
    const scenario::Scenario s = scenario::read(one.scenario, {one.cycle});
    const auto model = compile(s.car);
    const drive::Cycle& cycle = s.cycles.front();
    Options options;
    options.start = settled_start(*model, cycle, options);
    const Result ours = simulate(*model, cycle, options);
    closure = ours.ledger.closure;
    options.tolerance = 1e-7;
    return deviation(ours, simulate(*model, cycle, options));
}

void hold(const AccuracyCase& one) {
    double closure = 1;
    const Deviation d = measured(one, closure);
    INFO(one.name << ": " << d.kelvin << " K at " << d.where << ", " << d.when << " s; events "
                  << d.event << " s, " << d.which << "; peaks " << d.peak << " K");
    CHECK(d.looked_at > 0.3);
    CHECK(d.series > 20);
    CHECK(closure <= 1e-12);
    CHECK(d.unpaired == 0);
    CHECK(d.event <= event_allowed);
    CHECK(d.kelvin <= kelvin_allowed_in(one.name));
    CHECK(d.peak <= peak_allowed);
}

}  // namespace

TEST_CASE("runs as shipped are within the rule of accuracy: a part of the table") {
    const std::vector<AccuracyCase> table = accuracy_table(scenarios);
    const auto called = [&](const std::string& name) {
        INFO(name);
        const auto one = std::find_if(table.begin(), table.end(),
                                      [&](const AccuracyCase& c) { return c.name == name; });
        REQUIRE(one != table.end());
        return *one;
    };
    for (const char* name :
         {"under_floor lap_session", "under_floor traffic", "behind_radiator highway_grade",
          "in_tank traffic", "tank_only lap_session", "rear lap_session",
          "hose_collapsed highway_grade", "thermostat_stuck_open traffic", "fan_dead lap_session"})
        hold(called(name));
    for (const auto& [name, kelvin] : outside_the_rule()) CHECK(called(name).name == name);
}

TEST_CASE("runs as shipped are within the rule of accuracy: the whole table", "[.][table]") {
    for (const AccuracyCase& one : accuracy_table(scenarios)) hold(one);
}

TEST_CASE("on a long cruise a stem comes to rest where the reference leaves it") {
    // A stem rests anywhere within its hysteresis: where a step leaves it, there it stays, and the
    // fluids with it. On its way there a radiator is up to 0.11 K off, for a minute.
    const auto model = compile(demo_car("under_floor"));
    for (const double ambient : {293.15, 303.15}) {
        drive::Surroundings mild;
        mild.ambient = ambient;
        const drive::Cycle cruise = drive::steady(20, 2400, mild);
        Options shipped;
        shipped.start = settled_start(*model, cruise);
        Options reference = shipped;
        reference.tolerance = 1e-5;
        const Result ours = simulate(*model, cruise, shipped),
                     theirs = simulate(*model, cruise, reference);
        int compared = 0;
        for (const Series& s : theirs.series) {
            if (s.units != "K" || s.group.rfind("loops/", 0) != 0) continue;
            const Series* mine = ours.find(s.group, s.name);
            REQUIRE(mine != nullptr);
            INFO(ambient << " K: " << s.group << "/" << s.name);
            CHECK(std::abs(mine->values.back() - s.values.back()) <= kelvin_allowed);
            ++compared;
        }
        CHECK(compared > 10);
    }
}

TEST_CASE("explicit and implicit steps are one car: both near the same reference") {
    const Car car = demo_car("under_floor");
    const auto model = compile(car);
    const drive::Cycle cycle = demo_cycle("traffic", car.vehicle);
    Options options;
    options.start = settled_start(*model, cycle);
    for (const Stepping stepping : {Stepping::explicit_steps, Stepping::implicit_steps}) {
        options.stepping = stepping;
        const Result run = simulate(*model, cycle, options);
        Options exact = options;
        exact.stepping = Stepping::explicit_steps;
        exact.tolerance = 1e-7;
        const Deviation d = deviation(run, simulate(*model, cycle, exact));
        CHECK(d.fluid < 0.05);
        CHECK(d.unpaired == 0);
    }
}

TEST_CASE("implicit steps gain on explicit ones in calls, most where hoses are short") {
    Car car = demo_car("under_floor");
    const drive::Cycle cycle = demo_cycle("highway_grade", car.vehicle);
    const auto calls = [&](Stepping stepping) {
        Options options;
        options.stepping = stepping;
        const auto model = compile(car);
        options.start = settled_start(*model, cycle, options);
        return static_cast<double>(simulate(*model, cycle, options).cost.rhs_calls);
    };
    CHECK(calls(Stepping::explicit_steps) > 2 * calls(Stepping::implicit_steps));
}

TEST_CASE(
    "a part that answers in microseconds costs implicit steps little, and ends explicit ones") {
    Car car = demo_car("under_floor");
    car.settled_speed = 0;
    REQUIRE(!car.links.empty());
    const drive::Cycle cycle = drive::steady(25, 300, hot_day);
    const std::size_t usual = run(car, cycle).cost.steps;
    car.links.front().conductance.value = 270e6;  // W/K, as a slip of the keys would have it
    const Result stiff = run(car, cycle);
    CHECK(stiff.cost.steps < 3 * usual + 100);
    CHECK(stiff.ledger.closure < 1e-9);
    Options options;
    options.stepping = Stepping::explicit_steps;
    CHECK_THROWS_WITH(simulate(*compile(car), cycle, options),
                      Catch::Contains("steps were not enough") &&
                          (Catch::Contains(car.links.front().first_loop) ||
                           Catch::Contains(car.links.front().second_loop)));
}
