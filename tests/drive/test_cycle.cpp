#include <catch2/catch.hpp>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/drive/generate.hpp>
#include <lapheat/units/error.hpp>

using namespace lapheat::drive;

namespace {
template <class F>
std::pair<std::string, std::string> error_of(F f) {
    try {
        f();
    } catch (const lapheat::Error& e) {
        return {e.what(), e.key()};
    }
    return {"", ""};
}
}  // namespace

TEST_CASE("a table of time and speed becomes a cycle, other columns by default") {
    const Cycle c = from_columns("mine", {{"time", {0, 1, 3}},
                                          {"speed", {0, 2, 2}},
                                          {"grade", {0, 0.01, 0.02}},
                                          {"engine_on", {1, 1, 0}},
                                          {"selector", {3, 3, 0}},
                                          {"gear", {0, 1, 1}}});
    CHECK(c.grade[1] == 0.01);
    CHECK(c.engine_on[2] == 0);
    CHECK(c.selector[2] == Selector::park);
    CHECK(c.gear[1] == 1);
    CHECK(c.ambient[0] == 298.15);
    const Totals t = totals(c);
    CHECK(t.distance == Approx(5));
    CHECK(t.duration == 3);
    CHECK(t.mean_speed == Approx(5.0 / 3));
    CHECK(t.maximum_speed == 2);
    CHECK(t.highest_acceleration == 2);
}

TEST_CASE("a bad value is named by row and column") {
    using Columns = std::map<std::string, std::vector<double>>;
    auto fail = [](Columns columns) { return error_of([&] { from_columns("mine", columns); }); };
    auto e = fail({{"time", {0, 1, 1}}, {"speed", {0, 1, 1}}});
    CHECK_THAT(e.first, Catch::Contains("row 3"));
    CHECK(e.second == "time");
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, -1, 1}}});
    CHECK_THAT(e.first, Catch::Contains("row 2") && Catch::Contains("speed"));
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, 1, 1}}, {"grade", {0, 0, 6}}});
    CHECK_THAT(e.first, Catch::Contains("row 3"));
    CHECK(e.second == "grade");
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, 1, 1}}, {"ambient", {25, 25, 25}}});
    CHECK(e.second == "ambient");
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, 1}}});
    CHECK(e.second == "speed");
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, 1, 1}}, {"sped", {0, 1, 1}}});
    CHECK(e.second == "sped");
    e = fail({{"time", {0, 1, 2}}, {"speed", {0, 1, 1}}, {"selector", {3, 3, 1.5}}});
    CHECK(e.second == "selector");
    e = fail({{"time", {0, 1, 2}}});
    CHECK(e.second == "speed");
    e = fail({{"time", {0}}, {"speed", {0}}});
    CHECK(e.second == "time");
    e = fail({{"time", {0, NAN}}, {"speed", {0, 0}}});
    CHECK_THAT(e.first, Catch::Contains("row 2"));
    e = fail({{"time", {0, 1}}, {"speed", {0, NAN}}});
    CHECK(e.second == "speed");
}

TEST_CASE("chained cycles add up in time and distance and keep their phases") {
    const Cycle a = steady(20, 100), b = idle(60), c = stop_and_go(300, 3);
    const Cycle all = chain({a, b, c}, "day", 2.0);
    const double ramp = 20 / 2.0;
    CHECK(totals(all).duration == Approx(100 + ramp + 60 + 300));
    CHECK(totals(all).distance ==
          Approx(totals(a).distance + 0.5 * 20 * ramp + totals(c).distance));
    REQUIRE(all.phases.size() == 3);
    CHECK(all.phases[0].end == 100);
    CHECK(all.phases[1].name == "idle");
    CHECK(all.phases[1].begin == Approx(100 + ramp));
    CHECK(all.phases[2].end == Approx(all.time.back()));
    CHECK_NOTHROW(validate(all));
    CHECK_THROWS_AS(chain({}, "none"), lapheat::Error);
    CHECK(repeat(b, 3).time.back() == Approx(180));
}

TEST_CASE("an engine switched off at a join is off from the join on") {
    const Cycle all = chain({idle(10), soak(100)}, "stop");
    for (std::size_t k = 0; k < all.size(); ++k)
        CHECK(int(all.engine_on[k]) == (all.time[k] < 10 ? 1 : 0));
}

TEST_CASE("resampling to finer knots keeps distance, flags and end") {
    const Cycle c = chain({stop_and_go(600, 11), soak(60)}, "both");
    const Cycle fine = resample(c, 0.25);
    // The ramp between the parts does not begin on the new knots.
    CHECK(totals(fine).distance == Approx(totals(c).distance).epsilon(1e-4));
    CHECK(fine.time.back() == c.time.back());
    CHECK(int(fine.engine_on[fine.size() - 10]) == 0);
    CHECK(int(fine.engine_on[10]) == 1);
    CHECK_THROWS_AS(resample(c, 0), lapheat::Error);
}

TEST_CASE("the same draw gives the same traffic and another draw another") {
    const Cycle a = stop_and_go(900, 5), b = stop_and_go(900, 5), c = stop_and_go(900, 6);
    CHECK(a.speed == b.speed);
    CHECK(a.speed != c.speed);
    // Fixed on every machine: the engine is standard and the mapping to reals is ours.
    CHECK(totals(a).distance == Approx(2941.0759914).epsilon(1e-9));
    const Traffic f;
    CHECK(totals(a).maximum_speed <= f.top_speed);
    CHECK(totals(a).highest_acceleration <= f.acceleration * (1 + 1e-9));
    CHECK(totals(a).hardest_braking <= f.braking * (1 + 1e-9));
    CHECK(totals(a).stopped > 100);
}

TEST_CASE("a climb rises by its grade") {
    const Cycle c = climb(20, 300, 0.06, 1000);
    CHECK(totals(c).climb == Approx(20 * 300 * 0.06 / std::sqrt(1.0036)));
    CHECK(c.altitude.back() - c.altitude.front() == Approx(totals(c).climb));
    CHECK(c.trailer_mass[10] == 1000);
    CHECK_THROWS_AS(climb(20, 300, 0.8), lapheat::Error);
}

TEST_CASE("a soak has no engine, an idle has one, a parade halts and goes on") {
    CHECK(int(soak(100).engine_on[3]) == 0);
    CHECK(int(idle(100).engine_on[3]) == 1);
    const Cycle p = parade(5, 600);
    CHECK(totals(p).stopped >= 3 * 15);
    CHECK(totals(p).maximum_speed <= 6.01);
    CHECK(totals(parking(9)).distance > 5);
    CHECK(totals(pull_away(30, 3)).duration == Approx(10));
    CHECK(brake_torque(0.5, 3).held_throttle[2] == 0.5);
}

TEST_CASE("generators refuse what cannot be driven") {
    CHECK_THROWS_AS(steady(-1, 10), lapheat::Error);
    CHECK_THROWS_AS(steady(10, 0), lapheat::Error);
    CHECK_THROWS_AS(steady(10, 10, {}, -1), lapheat::Error);
    CHECK_THROWS_AS(brake_torque(1.5, 3), lapheat::Error);
    CHECK_THROWS_AS(parade(5, 600, 30, 20), lapheat::Error);
    CHECK_THROWS_AS(parking(9, 0), lapheat::Error);
    CHECK_THROWS_AS(stop_and_go(100, 1, {.top_speed = -3}), lapheat::Error);
    CHECK_THROWS_AS(pull_away(30, 0), lapheat::Error);
}

TEST_CASE("a schedule's totals are compared with its regulation's") {
    // A made-up schedule: a trapezoid of 100 s, 20 m/s.
    const Cycle c = make_cycle("made up", {0, 10, 90, 100}, {0, 20, 20, 0});
    CHECK(compare_totals(c, {100, 1800, 18, 20}).empty());
    const auto wrong = compare_totals(c, {100, 1900, 18, 21});
    REQUIRE(wrong.size() == 2);
    CHECK_THAT(wrong[0], Catch::Contains("distance"));
    CHECK_THAT(wrong[1], Catch::Contains("maximum"));
    CHECK(compare_totals(c, {}).empty());
    for (const char* name : {"UDDS", "HWFET", "US06", "WLTC class 3b"}) {
        const ExpectedTotals e = regulatory_totals(name);
        // The published figures agree among themselves.
        CHECK(e.distance / e.duration == Approx(e.mean_speed).epsilon(5e-3));
    }
    CHECK_THROWS_AS(regulatory_totals("none"), lapheat::Error);
}

TEST_CASE("a queue stands as it is told and creeps by its distance in each move") {
    const Cycle still = queue(120);
    CHECK(totals(still).distance == 0);
    CHECK(still.selector.front() == Selector::park);
    CHECK(still.engine_on.front() == 1);
    for (const double move : {1.0, 6.0, 20.0}) {
        const Cycle c = queue(200, {.selector = Selector::neutral, .move = move, .every = 40});
        INFO(move);
        CHECK(totals(c).distance == Approx(5 * move));
        CHECK(totals(c).maximum_speed <= 1.5 + 1e-9);
        CHECK(totals(c).duration == 200);
        CHECK(c.speed.back() == 0);
        for (std::size_t k = 0; k + 1 < c.size(); ++k)
            if (c.speed[k] > 0) CHECK(c.selector[k] == Selector::drive);
        CHECK(c.selector.front() == Selector::neutral);
    }
    // An engine that is off is started for the move, and stopped after it.
    const Cycle off = queue(60, {.engine = false, .move = 6, .every = 30});
    CHECK(off.engine_on.front() == 0);
    CHECK(off.engine_on.back() == 0);
    for (std::size_t k = 0; k + 1 < off.size(); ++k)
        CHECK((off.speed[k] + off.speed[k + 1] > 0) == (off.engine_on[k] != 0));
    CHECK(error_of([] { queue(60, {.move = 20, .every = 10}); }).second == "every");
    CHECK(error_of([] { queue(60, {.move = -1}); }).second == "move");
}

TEST_CASE(
    "a road rises by its grade from where it begins, and its air cools by 6.5 K a kilometre") {
    // 20 m/s up 6 % for 500 s: 10 km of road, 10 000 x 0.06 / sqrt(1 + 0.06^2) = 598.9 m.
    Cycle up = steady(20, 500);
    up.grade.assign(up.size(), 0.06);
    follow_road(up, 300);
    CHECK(up.altitude.front() == 300);
    CHECK(up.altitude.back() == Approx(300 + 598.9).margin(0.1));
    cool_with_height(up, 308.15, 300);
    CHECK(up.ambient.front() == Approx(308.15));
    CHECK(up.ambient.back() == Approx(308.15 - 6.5 * 0.5989).margin(1e-3));
    // A part whose altitude is known is moved, not bent.
    Cycle known = climb(20, 500, 0.06, 0, {.altitude = 50});
    follow_road(known, 300);
    CHECK(known.altitude.back() == Approx(up.altitude.back()));
    // There and back again is level and as warm.
    Cycle down = steady(20, 500);
    down.grade.assign(down.size(), -0.06);
    follow_road(down, up.altitude.back());
    CHECK(down.altitude.back() == Approx(300).margin(1e-6));
}

TEST_CASE("a drive that would take all memory is refused by the key that asks for it") {
    const auto key = [](const auto& make) { return error_of(make).second; };
    CHECK(key([] { (void)steady(20, 1e9); }) == "duration");
    CHECK(key([] { (void)pull_away(30, 1e-9); }) == "acceleration");
    CHECK(key([] {
              (void)stop_and_go(1e6, 1,
                                {.top_speed = 1e-9,
                                 .acceleration = 1e9,
                                 .braking = 1e9,
                                 .mean_wait = 0,
                                 .mean_roll = 0});
          }) == "acceleration");
    CHECK(key([] { (void)repeat(steady(20, 3000), 1000); }) == "repeat");
    CHECK(key([] {
              const Cycle day = steady(20, 86400);
              (void)chain(std::vector<Cycle>(25, day), "long");
          }) == "segments");
    CHECK(repeat(steady(20, 600), 1000).time.back() == Approx(600e3));
}
