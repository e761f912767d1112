#include <catch2/catch.hpp>
#include <map>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

TEST_CASE("a thermostat that came to rest in steady driving opens on the next grade") {
    Car car = demo_car("under_floor");
    const double full = std::get<Thermostat>(part(car, "coolant", "thermostat").body).full;
    for (const double speed : {22.0, 25.0, 28.0, 31.0}) {
        const Result r = run(car, drive::chain({drive::steady(speed, 1200, hot_day),
                                                drive::climb(speed, 600, 0.08, 300, hot_day)},
                                               "level, then a grade"));
        const auto& coolant = series(r, "loops/coolant", "watched_temperature");
        const auto& lift = series(r, "thermostats/coolant_thermostat", "lift");
        REQUIRE(coolant.back() > full + 3);
        CHECK(lift.back() > 0.99);
    }
}

TEST_CASE("a stem never leaves the play between its warming and its cooling line") {
    int between = 0, resting = 0;
    for (const char* name : {"highway_grade", "traffic", "lap_session", "circuit_session"}) {
        Car car = demo_car("under_floor");
        const auto& t = std::get<Thermostat>(part(car, "coolant", "thermostat").body);
        const Result r = run(car, demo_cycle(name, car.vehicle));
        const auto& wax = series(r, "thermostats/coolant_thermostat", "wax_temperature");
        const auto& lift = series(r, "thermostats/coolant_thermostat", "lift");
        const auto line = [&](double kelvin) {
            return std::clamp((kelvin - t.opens) / (t.full - t.opens), 0.0, 1.0);
        };
        INFO(name);
        for (std::size_t i = 0; i < lift.size(); ++i) {
            REQUIRE(lift[i] > line(wax[i]) - 1e-5);
            REQUIRE(lift[i] < line(wax[i] + t.hysteresis) + 1e-5);
            between += lift[i] > 0.01 && lift[i] < 0.99;
            resting +=
                lift[i] > line(wax[i]) + 0.01 && lift[i] < line(wax[i] + t.hysteresis) - 0.01;
        }
    }
    // Neither open throughout nor always on one of its lines.
    CHECK(between > 300);
    CHECK(resting > 100);
}

TEST_CASE("the thermostat opens on warming and closes on cooling, apart by its hysteresis") {
    Car car = demo_car("under_floor");
    car.start_warm = false;
    const auto& thermostat = std::get<Thermostat>(part(car, "coolant", "thermostat").body);
    const Result result =
        run(car, drive::chain({drive::steady(25, 900, hot_day), drive::soak(5 * 3600, hot_day)},
                              "drive and stand"));
    const auto opens = events(result, EventKind::thermostat_starts_to_open),
               shuts = events(result, EventKind::thermostat_shut);
    REQUIRE(!opens.empty());
    REQUIRE(!shuts.empty());
    CHECK(opens.front().value == Approx(thermostat.opens).margin(1e-6));
    CHECK(shuts.back().value == Approx(thermostat.opens - thermostat.hysteresis).margin(1e-6));
    CHECK(opens.front().time < 900);
    CHECK(shuts.back().time > 900);
}

TEST_CASE("the fan switch goes on and off at its own two temperatures") {
    const Car car = demo_car("under_floor");
    // Without air conditioning, which would keep the fans running.
    const Result result = run(car, drive::stop_and_go(900, 7, {}, hot_day));
    const auto on = events(result, EventKind::fan_switch_closes),
               off = events(result, EventKind::fan_switch_opens);
    REQUIRE(on.size() > 2);
    REQUIRE(off.size() > 2);
    const auto one_of = [&](const Event& e, double FanSwitch::*threshold) {
        for (const FanEntry& fan : car.fans)
            for (const FanSwitch& s : fan.switches)
                if (fan.name == e.subject && std::abs(s.*threshold - e.value) < 1e-6) return true;
        return false;
    };
    for (const Event& e : on) CHECK(one_of(e, &FanSwitch::on));
    for (const Event& e : off) CHECK(one_of(e, &FanSwitch::off));
}

TEST_CASE("after shut-down the engine's hot walls and oil warm the standing coolant") {
    const Car car = demo_car("under_floor");
    const Result result =
        run(car, drive::chain({drive::climb(28, 900, 0.05, 0, hot_day), drive::soak(900, hot_day)},
                              "climb and stand"));
    const std::vector<double>& fluid = series(result, "loops/coolant/jacket", "temperature");
    const std::vector<double>& wall = series(result, "loops/coolant/jacket", "wall_temperature");
    const std::vector<double>& turning = series(result, "car", "engine_speed");
    std::size_t stop = 0;
    for (std::size_t i = 0; i < turning.size(); ++i)
        if (turning[i] > 0) stop = i;
    CHECK(wall[stop] > fluid[stop]);
    const double later = *std::max_element(fluid.begin() + static_cast<long>(stop), fluid.end());
    INFO("coolant " << celsius(fluid[stop]) << " wall " << celsius(wall[stop]) << " highest later "
                    << celsius(later) << " wall at the end " << celsius(wall.back()) << " coolant "
                    << celsius(fluid.back()));
    CHECK(later > fluid[stop] + 0.5);
    CHECK(std::abs(wall.back() - fluid.back()) < wall[stop] - fluid[stop]);
}

TEST_CASE("flows that are held between steps move no temperature by 0.2 K") {
    // The hardest case: forty fan cycles one after the other, whose small errors of time add up.
    // The air conditioning, which would keep the fans running, is off.
    Car car = demo_car("under_floor");
    car.settled_speed = 0;  // both set out from the same numbers
    const std::map<std::string, double> stated = {{"coolant", 358.15},
                                                  {"transmission", 353.15},
                                                  {"steering", 338.15},
                                                  {"engine_oil", 363.15}};
    for (Loop& loop : car.loops) loop.warm_start = stated.at(loop.name);
    drive::Cycle cycle = demo_cycle("traffic", car.vehicle);
    std::fill(cycle.ac_demand.begin(), cycle.ac_demand.end(), 0.0);
    const auto worst_of = [&](const Car& c) {
        const auto model = compile(c);
        const Result shipped = simulate(*model, cycle);
        Options exact;
        exact.tolerance = 1e-6;
        const Result reference = simulate(*model, cycle, exact);
        REQUIRE(events(reference, EventKind::fan_switch_closes).size() > 20);
        double worst = 0;
        for (std::size_t s = 0; s < shipped.series.size(); ++s) {
            if (shipped.series[s].name != "temperature") continue;
            for (std::size_t i = 0; i < shipped.time.size(); ++i)
                worst = std::max(
                    worst, std::abs(shipped.series[s].values[i] - reference.series[s].values[i]));
        }
        return worst;
    };
    const double straight = worst_of(car);
    for (FanEntry& fan : car.fans)
        fan.fan.curve =
            airflow::fan_curve(fan.fan.curve.flow.back(), fan.fan.curve.pressure.front(), 0.5);
    const double bowed = worst_of(car);
    CAPTURE(straight, bowed);
    CHECK(straight > 0);
    // By where the cycles of the fans happen to fall, measured with explicit steps, which hold
    // flows over 0.04 K of drift: 0.104 K on straight fan curves, 0.086 K on those bowed half way
    // to a parabola. Implicit steps: 0.157 and 0.135 K; of 20 ms at most 0.163 and 0.141 K, at a
    // third of the tolerance 0.170 and 0.151 K, of 100 ms less than 0.15 and 0.12 K. So it is not
    // the steps' length; no cause but the moments of switching was found.
    CHECK(straight < 0.2);
    CHECK(bowed < 0.17);
}

TEST_CASE("radiator fans run when the transmission calls them, whatever the coolant does") {
    Car car = demo_car("in_tank");
    car.start_warm = false;
    for (FanEntry& fan : car.fans) {
        fan.with_air_conditioning = false;
        fan.switches = {{.loop = "transmission", .part = "sump", .on = 325, .off = 318, .lag = 6}};
    }
    const Result result = run(car, drive::steady(20, 1800, hot_day));
    const auto on = events(result, EventKind::fan_switch_closes);
    REQUIRE(on.size() >= 2);
    CHECK(on.front().value == Approx(325).margin(0.05));
    // Without that switch, and none else, they stand.
    for (FanEntry& fan : car.fans) fan.switches.front().on = 450;
    for (FanEntry& fan : car.fans) fan.switches.front().off = 440;
    CHECK(events(run(car, drive::steady(20, 1800, hot_day)), EventKind::fan_switch_closes).empty());
}
