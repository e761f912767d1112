// What a warm car starts from, and what a cycle's end says.
#include <catch2/catch.hpp>
#include <cmath>

#include "../../libsim/model/src/ending.hpp"
#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {
std::vector<double> seconds(double end, double step = 1) {
    std::vector<double> t;
    for (double now = 0; now <= end; now += step) t.push_back(now);
    return t;
}
}  // namespace

TEST_CASE("a car settled at a cruise stays as it is while the cruise goes on") {
    Car car = demo_car("under_floor");
    car.start_warm = true;
    car.settled_speed = 25;
    const Result on = run(car, drive::steady(25, 900, hot_day));
    for (const Verdict& v : on.verdicts) {
        INFO(v.loop << ' ' << celsius(v.start) << ' ' << celsius(v.peak));
        // Thermostat and fan switches may cycle; what they cycle about stays.
        CHECK(std::abs(v.mean - v.start) < 2);
        CHECK(v.peak - v.start < 4);
    }
    // No part of the ledger: what this cycle moved closes by itself.
    CHECK(on.ledger.closure < 1e-9);
    // And it is the state that a long drive from cold comes to.
    car.start_warm = false;
    const Result from_cold = run(car, drive::steady(25, 3 * 3600, hot_day));
    for (const Verdict& v : from_cold.verdicts)
        CHECK(verdict(on, v.loop).mean == Approx(v.end).margin(2.5));
}

TEST_CASE("a faster cruise or a hotter day gives a warmer start") {
    const auto start = [](const char* loop, double speed, double ambient) {
        Car car = demo_car("under_floor");
        car.start_warm = true;
        car.settled_speed = speed;
        drive::Surroundings s = hot_day;
        s.ambient = ambient;
        return verdict(run(car, drive::idle(60, drive::Selector::park, s)), loop).start;
    };
    // The transmission's thermal bypass keeps it within a few kelvin of its own temperature.
    CHECK(start("steering", 25, 311.15) > start("steering", 25, 291.15) + 5);
    CHECK(start("transmission", 25, 311.15) > start("transmission", 25, 291.15));
    CHECK(start("transmission", 38, 311.15) > start("transmission", 20, 311.15));
}

TEST_CASE("a warm start that a file states takes the place of the settled one, and is said") {
    Car car = demo_car("under_floor");
    car.start_warm = true;
    for (Loop& loop : car.loops)
        if (loop.name == "steering") loop.warm_start = 330;
    const Result result = run(car, drive::steady(25, 120, hot_day));
    CHECK(verdict(result, "steering").start == Approx(330).margin(0.01));
    CHECK(verdict(result, "coolant").start > 340);
    bool said = false;
    for (const AssumedText& assumed : result.assumptions)
        said = said || assumed.text.find("steering: starts at its warm_start") != std::string::npos;
    CHECK(said);
}

TEST_CASE("runs from one settled start are those that settle for themselves, to the last bit") {
    Car car = demo_car("under_floor");
    car.start_warm = true;
    const auto model = compile(car);
    const drive::Cycle first = drive::steady(25, 300, hot_day),
                       second = drive::idle(120, drive::Selector::park, hot_day);
    Options shared;
    shared.start = settled_start(*model, first);
    REQUIRE(shared.start);
    for (const drive::Cycle* cycle : {&first, &second}) {
        const Result own = simulate(*model, *cycle), given = simulate(*model, *cycle, shared);
        for (std::size_t l = 0; l < own.verdicts.size(); ++l) {
            CHECK(own.verdicts[l].peak == given.verdicts[l].peak);
            CHECK(own.verdicts[l].mean == given.verdicts[l].mean);
        }
        CHECK(given.cost.rhs_calls < own.cost.rhs_calls);
    }
    // Another car of the same parts sets out from there and comes to its own start.
    std::get<Volume>(part(car, "engine_oil", "pan").body).metal_heat_capacity *= 1.5;
    const auto heavier = compile(car);
    Options near;
    near.start = settled_start(*heavier, first, {}, shared.start.get());
    const Result set_out = simulate(*heavier, first, near), own = simulate(*heavier, first);
    for (const Verdict& v : own.verdicts) {
        INFO(v.loop);
        CHECK(verdict(set_out, v.loop).start == Approx(v.start).margin(1));
    }
    // One with other parts sets out from nothing, as if it had not been told of the start.
    Car other = demo_car("tank_only");
    other.start_warm = true;
    const auto alone = compile(other);
    near.start = settled_start(*alone, first, {}, shared.start.get());
    const Result hinted = simulate(*alone, first, near), unhinted = simulate(*alone, first);
    for (const Verdict& v : unhinted.verdicts) CHECK(verdict(hinted, v.loop).peak == v.peak);
    CHECK_THROWS_AS(simulate(*alone, first, shared), std::logic_error);
    car.start_warm = false;
    CHECK(settled_start(*compile(car), first) == nullptr);
}

TEST_CASE("a cruise the car cannot settle at within hours is an error that names it") {
    Car car = demo_car("under_floor");
    car.start_warm = true;
    // As much metal as a locomotive: it is still warming after three hours.
    std::get<Volume>(part(car, "engine_oil", "pan").body).metal_heat_capacity = 2e6;
    CHECK_THROWS_WITH(run(car, drive::steady(25, 60, hot_day)), Catch::Contains("does not settle"));
}

TEST_CASE("a cruise on which a fan comes and goes for ever is settled once it has come round") {
    // Where the rear draws no air by itself and the cooler's fan goes by a fluid that is slow.
    Car car = demo_car("rear");
    car.start_warm = true;
    for (AirPath& path : car.air)
        if (path.name == "rear") path.assumptions.ram_recovery.value = -0.2;
    const auto fan = std::find_if(car.fans.begin(), car.fans.end(),
                                  [](const FanEntry& f) { return f.name == "cooler_fan"; });
    REQUIRE(fan != car.fans.end());
    fan->with_air_conditioning = false;
    const drive::Cycle cruise = drive::steady(car.settled_speed, 2 * 3600, hot_day);
    const auto settled_with = [&](double on, double off) {
        fan->switches.resize(1);
        fan->switches.front().on = on, fan->switches.front().off = off;
        return run(car, cruise);
    };
    const double without = verdict(settled_with(500, 499), "transmission").end,
                 with = verdict(settled_with(200, 199), "transmission").end;
    REQUIRE(without > with + 5);
    // The switch feels the fluid on its way to the cooler, some kelvins below.
    const Result result =
        settled_with(with + 0.35 * (without - with), with - 0.1 * (without - with));
    const std::vector<Event> closings = events(result, EventKind::fan_switch_closes);
    REQUIRE(closings.size() > 2);
    const double period = closings[1].time - closings[0].time;
    CHECK(period > 600);  // of which means over five minutes tell nothing
    // The swing that goes on is the one that had been settled.
    const auto& sump = series(result, "loops/transmission", "watched_temperature");
    const auto whole = static_cast<std::size_t>(std::lround(period));
    double swing = 0, worst = 0;
    for (std::size_t i = 0; i < whole; ++i) {
        swing = std::max(swing, std::abs(sump[i] - sump[0]));
        worst = std::max(worst, std::abs(sump[i + whole] - sump[i]));
    }
    CAPTURE(without, with, period, swing);
    CHECK(worst < 0.05 * swing);
}

TEST_CASE("a fluid that only cools has no peak but its start") {
    Car car = demo_car("under_floor");
    car.start_warm = false;
    car.start_temperature = 370;
    const Result cooling = run(car, drive::soak(1800, hot_day));
    CHECK(verdict(cooling, "transmission").peak_is_start());
    CHECK(verdict(cooling, "transmission").end_rate == 0);
    car.start_temperature = 0;
    const Result warming = run(car, drive::steady(25, 300, hot_day));
    CHECK_FALSE(verdict(warming, "transmission").peak_is_start());
    CHECK(verdict(warming, "transmission").end_rate > 0);
}

TEST_CASE("an exponential approach is followed to where it is heading") {
    const std::vector<double> t = seconds(1800);
    for (const double lag : {200.0, 400.0, 900.0, 1500.0}) {
        std::vector<double> x;
        for (const double now : t) x.push_back(400 - 50 * std::exp(-now / lag));
        const Ending e = ending_of(t, x);
        INFO(lag);
        if (lag < 300) {  // has arrived
            CHECK(e.rate == 0);
            continue;
        }
        CHECK(e.limit == Approx(400).margin(0.05));
        // The mean slope of the last sixth.
        CHECK(e.rate == Approx((x.back() - x[1500]) / 300).epsilon(1e-9));
    }
}

TEST_CASE("a straight rise has a rate and no end; a level, a fall and a saw tooth have neither") {
    const std::vector<double> t = seconds(1800);
    std::vector<double> line, level, fall, saw, climbing_saw;
    for (const double now : t) {
        const double tooth = 8 * std::fmod(now, 180) / 180;
        line.push_back(350 + 0.01 * now);
        level.push_back(350);
        fall.push_back(380 - 0.01 * now);
        saw.push_back(350 + tooth);
        climbing_saw.push_back(400 - 50 * std::exp(-now / 900) + tooth);
    }
    CHECK(ending_of(t, line).rate == Approx(0.01).epsilon(0.01));
    CHECK(ending_of(t, line).limit == 0);
    for (const auto* x : {&level, &fall, &saw}) CHECK(ending_of(t, *x).rate == 0);
    CHECK(ending_of(t, climbing_saw).limit == Approx(407.95).margin(2));
    CHECK(ending_of(seconds(100), std::vector<double>(101, 350)).rate == 0);
}
