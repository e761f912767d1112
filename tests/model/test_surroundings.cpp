// Exhaust, engine bay, condenser, boiling and the alternator's load in whole runs.
#include <catch2/catch.hpp>

#include "demo.hpp"
#include "lapheat/scenario/document.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

double at_time(const Result& r, const std::vector<double>& values, double time) {
    const auto i = std::lower_bound(r.time.begin(), r.time.end(), time) - r.time.begin();
    return values[static_cast<std::size_t>(i)];
}

double skin(const Result& r, const char* stretch, double time) {
    return at_time(r, series(r, std::string("exhaust/") + stretch, "skin_temperature"), time);
}

}  // namespace

TEST_CASE("the ledger, air and exhaust included, closes to rounding in driving and in the soak") {
    const Car car = demo_car("rear");
    const Result r =
        run(car, drive::chain({drive::climb(25, 300, 0.05, 0, hot_day),
                               drive::stop_and_go(300, 3, {}, hot_day), drive::soak(600, hot_day)},
                              "drive and stand"));
    CHECK(r.ledger.closure < 1e-12);
    CHECK(entry(r, "exhaust gas") > 5e6);
    CHECK(entry(r, "air out of the engine bay") > 5e6);
    CHECK(entry(r, "air out of rear") > 1e4);
}

TEST_CASE(
    "skins fall along the pipe, rise with the load, and the silencer is far below the ports") {
    const Car car = demo_car("rear");
    const Result idle = run(car, drive::idle(1500, drive::Selector::park, hot_day));
    const Result climb = run(car, drive::climb(28, 1200, 0.05, 0, hot_day));
    for (const Result* r : {&idle, &climb}) {
        const double end = r->time.back();
        CHECK(skin(*r, "manifold", end) > skin(*r, "front_pipe", end));
        CHECK(skin(*r, "mid_pipe", end) > skin(*r, "silencer", end));
        CHECK(skin(*r, "silencer", end) > skin(*r, "tail_pipe", end));
    }
    CHECK(skin(climb, "manifold", 1200) > skin(idle, "manifold", 1500) + 50);
    CHECK(skin(idle, "silencer", 1500) < skin(idle, "manifold", 1500) - 80);
    CHECK(celsius(skin(idle, "manifold", 1500)) > 120);
    CHECK(celsius(skin(idle, "manifold", 1500)) < 420);
}

TEST_CASE("after shut-down the bay heats up while the exhaust cools by its mass") {
    const Car car = demo_car("under_floor");
    const double stop = 900;
    const Result r = run(
        car, drive::chain({drive::climb(28, stop, 0.05, 0, hot_day), drive::soak(3600, hot_day)},
                          "climb and stand"));
    const std::vector<double>& bay = series(r, "air", "engine_bay_temperature");
    const double driving = at_time(r, bay, stop - 1);
    double hottest = 0, when = 0;
    for (std::size_t i = 0; i < r.time.size(); ++i)
        if (r.time[i] > stop && bay[i] > hottest) hottest = bay[i], when = r.time[i] - stop;
    CHECK(hottest > driving + 5);
    CHECK(when > 20);
    CHECK(when < 1200);
    CHECK(bay.back() < hottest - 10);
    double before = skin(r, "manifold", stop);
    for (double t = stop + 60; t < stop + 3600; t += 60) {
        CHECK(skin(r, "manifold", t) < before);
        before = skin(r, "manifold", t);
    }
    CHECK(skin(r, "manifold", stop + 60) > skin(r, "manifold", stop) - 150);
}

TEST_CASE("a condenser's heat arrives in the air of its stack to 1 %") {
    Car car = demo_car("under_floor");
    run_fans_always(car);
    drive::Cycle idle = drive::idle(900, drive::Selector::drive, hot_day);
    const Result off = run(car, idle);
    idle.ac_demand.assign(idle.size(), 0.8);
    const Result on = run(car, idle);
    double made = 0;
    for (const HeatSource& s : on.sources)
        if (s.source == "air conditioning") made += s.joules;
    CHECK(made > 3e6);
    CHECK(entry(on, "condenser") == Approx(made).epsilon(0.01));
    CHECK(entry(off, "condenser") == 0);
}

TEST_CASE("air conditioning in a car without a condenser is an error, by the file's line too") {
    Car car = demo_car("under_floor");
    for (AirPath& path : car.air)
        std::erase_if(path.stack, [](const StackItem& item) { return !item.heat.empty(); });
    CHECK_FALSE(has_condenser(car));
    drive::Cycle idle = drive::idle(60, drive::Selector::drive, hot_day);
    CHECK_NOTHROW(run(car, idle));
    idle.ac_demand.assign(idle.size(), 0.5);
    CHECK_THROWS_AS(run(car, idle), Error);
    const auto file = scenarios / "placements" / "under_floor.toml";
    const scenario::Document bare =
        scenario::load(file).with("air.front.stack", "[{ core = \"radiator\" }]");
    CHECK_NOTHROW(
        scenario::read(bare, file.parent_path(), {scenarios / "cycles" / "highway_grade.toml"}));
    try {
        (void)scenario::read(bare, file.parent_path(), {scenarios / "cycles" / "traffic.toml"});
        FAIL("read");
    } catch (const scenario::Errors& e) {
        REQUIRE(!e.problems().empty());
        const scenario::Problem& first = e.problems().front();
        CHECK(first.key == "air_conditioning");
        CHECK(first.place.line > 0);
        CHECK_THAT(first.place.file, Catch::Contains("traffic.toml"));
    }
}

TEST_CASE("a converter that stands hot gives its heat to the case") {
    Car car = demo_car("under_floor");
    const Result r =
        run(car, drive::chain({drive::brake_torque(0.5, 12, hot_day), drive::soak(3600, hot_day)},
                              "stall and stand"));
    const std::vector<double>& converter = series(r, "loops/transmission/converter", "temperature");
    const double stopped = at_time(r, converter, 12), later = converter.back();
    CHECK(stopped > hot_day.ambient + 40);
    CHECK(later < stopped - 20);
    const std::vector<double>& sump = series(r, "loops/transmission/sump", "temperature");
    CHECK(later - sump.back() < 0.5 * (stopped - at_time(r, sump, 12)));
}

TEST_CASE("cold fluid goes past the cooler, hot fluid through it") {
    const Car car = demo_car("under_floor");
    Car cold = car;
    cold.start_warm = false;
    const Result r = run(cold, drive::stop_and_go(2400, 3, {}, hot_day));
    const std::vector<double>& to_cooler = series(r, "loops/transmission/cooler", "mass_flow");
    const std::vector<double>& past = series(r, "loops/transmission/cooler,_bypass", "mass_flow");
    const std::vector<double>& converter = series(r, "loops/transmission/converter", "temperature");
    bool cold_seen = false, hot_seen = false;
    for (std::size_t i = 0; i < r.time.size(); ++i) {
        const double all = to_cooler[i] + past[i];
        if (all < 0.01) continue;
        if (celsius(converter[i]) < 65) {
            cold_seen = true;
            CHECK(to_cooler[i] < 0.2 * all);
        }
        if (celsius(converter[i]) > 84) {
            hot_seen = true;
            CHECK(past[i] < 0.3 * all);
        }
    }
    CHECK(cold_seen);
    CHECK(hot_seen);
}

TEST_CASE("a boiling loop stays at its boiling point, loses liquid, and its pump loses its prime") {
    Car car = demo_car("under_floor");
    for (FanEntry& fan : car.fans) fan.dead = true;
    for (Loop& loop : car.loops)
        if (loop.name == "coolant") loop.cap_pressure = 30e3;
    const Result r = run(car, drive::climb(9, 2400, 0.12, 900, hot_day));
    const Verdict& v = verdict(r, "coolant");
    REQUIRE(v.boils > 0);
    CHECK(v.liquid_lost > 0.1);
    const Loop& loop = *std::find_if(car.loops.begin(), car.loops.end(),
                                     [](const Loop& l) { return l.name == "coolant"; });
    const double boiling = loop.fluid.boiling_temperature(101325 * 0.965 + 30e3);
    CHECK(v.peak < boiling + 4);
    CHECK(v.peak > boiling - 6);  // the air is thinner as it climbs
    CHECK(entry(r, "vapour of coolant") == Approx(v.liquid_lost * 2.25e6).epsilon(0.03));
    CHECK(r.ledger.closure < 1e-12);
    CHECK(events(r, EventKind::boils).size() >= 1);
    REQUIRE(v.lost_share > 0.06);
    CHECK(events(r, EventKind::pump_draws_vapour).size() == 1);
}

TEST_CASE("fans that run take power from the crank, and its heat reaches the coolant") {
    Car car = demo_car("under_floor");
    run_fans_always(car);
    for (FanEntry& fan : car.fans) fan.drive.back_emf = 0.75;
    const drive::Cycle idle = drive::idle(600, drive::Selector::drive, hot_day);
    const Result fed = run(car, idle);
    Car free = car;
    free.electrics.alternator.efficiency = 1e9;  // as if the fans cost nothing
    const Result unfed = run(free, idle);
    const double more = entry(fed, "engine_coolant") - entry(unfed, "engine_coolant");
    CHECK(fed.fan_energy > 1e5);
    // Marginal heat to coolant of an idling engine is some half to all of the power asked for.
    CHECK(more > 0.2 * fed.fan_energy / 0.55);
    CHECK(more < 2.0 * fed.fan_energy / 0.55);
    CHECK(entry(fed, "exhaust gas") > entry(unfed, "exhaust gas"));
}

TEST_CASE("an alternator of 105 A gives some 60 A at idle") {
    const Car car = demo_car("under_floor");
    CHECK(airflow::alternator_curve(car.electrics.alternator).at(750 * 0.104719755) ==
          Approx(60).margin(4));
}
