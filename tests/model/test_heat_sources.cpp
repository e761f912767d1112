#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

double source(const Result& result, const std::string& source, const std::string& path = "") {
    double sum = 0;
    for (const HeatSource& s : result.sources)
        if (s.source == source && (path.empty() || s.path == path)) sum += s.joules;
    return sum;
}

}  // namespace

TEST_CASE("what the report says of steering and transmission heat is what entered their fluids") {
    const Car car = demo_car("under_floor");
    for (const char* name : {"lap_session", "traffic"}) {
        const Result result = run(car, demo_cycle(name, car.vehicle));
        CHECK(source(result, "steering") ==
              Approx(entry(result, "steering_pump") + entry(result, "steering_gear")));
        CHECK(source(result, "transmission") ==
              Approx(entry(result, "converter") + entry(result, "gears") +
                     entry(result, "gearbox_case")));
        const double fuel = source(result, "engine", "fuel");
        CHECK(source(result, "engine") - fuel == Approx(fuel));
    }
}

TEST_CASE("cones spend more of their steering heat on throttling than the highway does") {
    const Car car = demo_car("under_floor");
    const auto share = [&](const char* cycle, const char* path) {
        const Result result = run(car, demo_cycle(cycle, car.vehicle));
        return source(result, "steering", path) / source(result, "steering");
    };
    CHECK(share("lap_session", "throttling") > 2 * share("highway_grade", "throttling"));
    CHECK(share("highway_grade", "relief dwell") < 1e-3);
}

TEST_CASE("parking at the lock spends heat at the relief valve") {
    const Car car = demo_car("under_floor");
    const Result result =
        run(car, drive::parking(car.vehicle.steering_lock, 30, 3.0, 3.0, hot_day));
    CHECK(source(result, "steering", "relief dwell") > 0.05 * source(result, "steering"));
}

TEST_CASE("air conditioning gives heat at idle too, and the radiator's coolant feels it") {
    Car car = demo_car("under_floor");
    car.start_warm = true;
    // Fans that wait for a switch or the compressor would run longer, and hide its heat.
    run_fans_always(car);
    drive::Cycle idle = drive::idle(1200, drive::Selector::drive, hot_day);
    const Result off = run(car, idle);
    idle.ac_demand.assign(idle.size(), 1.0);
    const Result on = run(car, idle);
    CHECK(source(off, "air conditioning") == 0);
    CHECK(source(on, "air conditioning") / 1200 > 4000);
    CHECK(verdict(on, "coolant").mean > verdict(off, "coolant").mean);
}

TEST_CASE("hot brakes in sight of a core, or ahead of its air, warm its fluid") {
    Car car = demo_car("under_floor");
    const drive::Cycle laps = demo_cycle("lap_session", car.vehicle);
    const Result far = run(car, laps);
    const auto path = std::find_if(car.air.begin(), car.air.end(),
                                   [](const AirPath& p) { return p.name == "under_floor"; });
    REQUIRE(path != car.air.end());
    path->brake_view_area = 0.03;
    const Result seen = run(car, laps);
    CHECK(entry(far, "brakes") == 0);
    CHECK(entry(seen, "brakes") > 0);
    CHECK(verdict(seen, "transmission").peak > verdict(far, "transmission").peak);
    path->brake_view_area = 0;
    path->brake_air_share = 0.3;
    const Result blown = run(car, laps);
    CHECK(verdict(blown, "transmission").peak > verdict(far, "transmission").peak + 0.1);
    CHECK(blown.ledger.closure < 1e-9);
}

TEST_CASE("after shut-down the highest temperature of the standing coolant is an event") {
    const Car car = demo_car("under_floor");
    const Result result =
        run(car, drive::chain({drive::climb(28, 900, 0.05, 0, hot_day), drive::soak(900, hot_day)},
                              "climb and stand"));
    REQUIRE(events(result, EventKind::engine_stops).size() == 1);
    const double stop = events(result, EventKind::engine_stops).front().time;
    const std::vector<double>& coolant = series(result, "loops/coolant", "watched_temperature");
    double highest = 0;
    for (std::size_t i = 0; i < result.time.size(); ++i)
        if (result.time[i] >= stop) highest = std::max(highest, coolant[i]);
    bool found = false;
    for (const Event& e : events(result, EventKind::hottest_after_stop))
        if (e.subject == "coolant") {
            found = true;
            CHECK(e.value == highest);
            CHECK(e.time > stop);
        }
    CHECK(found);
    CHECK(events(result, EventKind::boils_after_stop).empty());
}

TEST_CASE("a radiator that stands in still air after shut-down cools within hours") {
    const Car car = demo_car("under_floor");
    const Result result =
        run(car, drive::chain({drive::steady(25, 900, hot_day), drive::soak(2 * 3600, hot_day)},
                              "drive and stand"));
    const std::vector<double>& radiator = series(result, "loops/coolant/radiator", "temperature");
    CHECK(radiator.back() < radiator[910] - 10);
    CHECK(radiator.back() > hot_day.ambient);
    CHECK(result.ledger.closure < 1e-9);
}

TEST_CASE("an engine stopped hot without cap pressure boils after shut-down") {
    Car car = demo_car("under_floor");
    Fault leak;
    leak.kind = FaultKind::cap_leaking;
    car.faults = {leak};
    drive::Surroundings high = hot_day;
    high.altitude = 2500;  // boiling falls with the air's pressure
    for (FanEntry& fan : car.fans) fan.dead = true;
    const Result result =
        run(car, drive::chain({drive::climb(20, 900, 0.08, 600, high), drive::soak(600, high)},
                              "climb and stand"));
    CHECK(events(result, EventKind::wall_vapour_after_stop).size() == 1);
    CHECK(verdict(result, "coolant").margin < 0);
}

TEST_CASE("a driver who looks forward heats the car as the kinematics looking back do") {
    Car car = demo_car("under_floor");
    const drive::Cycle road = demo_cycle("highway_grade", car.vehicle);
    const Result back = run(car, road);
    car.forward_driver = true;
    const Result forward = run(car, road);
    CHECK(source(forward, "engine", "fuel") ==
          Approx(source(back, "engine", "fuel")).epsilon(0.02));
    for (const Verdict& v : back.verdicts)
        CHECK(verdict(forward, v.loop).peak == Approx(v.peak).margin(1.5));
}

TEST_CASE(
    "a drive that is averaged keeps every source's heat, the distance and the closed ledger") {
    const Car car = demo_car("under_floor");
    const drive::Cycle laps = demo_cycle("lap_session", car.vehicle);
    Options averaged;
    averaged.averaged = 5;
    const auto model = compile(car);
    const Result by_row = simulate(*model, laps), mean = simulate(*model, laps, averaged);
    REQUIRE(mean.cost.steps < by_row.cost.steps);
    CHECK(mean.distance == Approx(by_row.distance).epsilon(1e-12));
    // What fluids are given by the drive alone; what flows between them may differ.
    for (const char* given : {"converter", "gears", "gearbox_case", "steering_pump"}) {
        INFO(given);
        REQUIRE(entry(by_row, given) > 0);
        CHECK(entry(mean, given) == Approx(entry(by_row, given)).epsilon(1e-9));
    }
    CHECK(mean.ledger.closure < 1e-12);
    for (const Verdict& v : mean.verdicts)
        CHECK(v.peak == Approx(verdict(by_row, v.loop).peak).margin(1));
    // Longer than any change of a cycle at rest: nothing to average.
    const drive::Cycle still = drive::steady(20, 600, hot_day);
    CHECK(verdict(simulate(*model, still, averaged), "coolant").peak ==
          verdict(simulate(*model, still), "coolant").peak);
}
