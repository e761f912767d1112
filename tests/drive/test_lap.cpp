#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/drive/trace.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>

#include "invented_car.hpp"

using namespace lapheat::drive;
constexpr double pi = std::numbers::pi;

namespace {
double turned(const Course& c) {
    double sum = 0;
    for (std::size_t k = 0; k + 1 < c.distance.size(); ++k)
        sum += 0.5 * (c.curvature[k] + c.curvature[k + 1]) * (c.distance[k + 1] - c.distance[k]);
    return sum;
}
}  // namespace

TEST_CASE("arcs, spirals and box turns turn by their angle, a slalom by nothing") {
    for (const Segment& s : {arc(40, pi / 2), arc(40, -pi / 3, 10), box_turn(12, pi)}) {
        const Course c = course_from_segments("one", {straight(20), s, straight(20)}, false, 0.05);
        CHECK(turned(c) == Approx(s.angle).epsilon(5e-3));
    }
    const Course weave = course_from_segments("weave", {slalom(6, 18, 1.5)}, false, 0.05);
    CHECK(turned(weave) == Approx(0).margin(2e-3));
    CHECK(weave.length() > 6 * 18);
}

TEST_CASE("a circle through points has the circle's curvature and length") {
    std::vector<double> x, y;
    for (int k = 0; k < 48; ++k) {
        x.push_back(50 * std::cos(2 * pi * k / 48));
        y.push_back(50 * std::sin(2 * pi * k / 48));
    }
    const Course c = course_from_points("circle", x, y, true, 1.0);
    CHECK(c.length() == Approx(2 * pi * 50).epsilon(1e-4));
    for (const double k : c.curvature) CHECK(k == Approx(1.0 / 50).epsilon(5e-3));
    x.push_back(x.back());
    y.push_back(y.back());
    CHECK_THROWS_WITH(course_from_points("twice", x, y, true), Catch::Contains("row 49"));
    CHECK_THROWS_AS(course_from_points("short", {0, 1, 2}, {0, 0, 0}, false), lapheat::Error);
}

TEST_CASE("a line through some thousand points is found at once, closed or open") {
    // A trefoil: curvature and length by its own formula, r = 200 + 40 cos 3 u.
    const auto line = [](std::size_t points, double turns) {
        std::pair<std::vector<double>, std::vector<double>> out;
        for (std::size_t k = 0; k < points; ++k) {
            const double u = turns * 2 * pi * static_cast<double>(k) / static_cast<double>(points);
            const double r = 200 + 40 * std::cos(3 * u);
            out.first.push_back(r * std::cos(u)), out.second.push_back(r * std::sin(u));
        }
        return out;
    };
    double length = 0, tightest = 0;
    constexpr int parts = 200000;
    for (int k = 0; k < parts; ++k) {
        const double u = 2 * pi * k / parts, r = 200 + 40 * std::cos(3 * u),
                     r1 = -120 * std::sin(3 * u), r2 = -360 * std::cos(3 * u);
        length += std::hypot(r, r1) * 2 * pi / parts;
        tightest = std::max(
            tightest, std::abs(r * r + 2 * r1 * r1 - r * r2) / std::pow(r * r + r1 * r1, 1.5));
    }
    for (const bool closed : {true, false}) {
        const auto [x, y] = line(4000, closed ? 1 : 0.9999);
        const Course c = course_from_points("trefoil", x, y, closed, 1.0);
        CHECK(c.length() == Approx(length).epsilon(closed ? 1e-6 : 1e-3));
        double most = 0;
        for (const double k : c.curvature) most = std::max(most, std::abs(k));
        CHECK(most == Approx(tightest).epsilon(2e-3));
    }
    CHECK_THROWS_AS(course_from_points("far", {0, 1e6, 1e6, 0}, {0, 0, 1e6, 1e6}, true, 1.0),
                    lapheat::Error);
    CHECK_THROWS_AS(course_from_segments("far", {straight(1e7)}, false), lapheat::Error);
}

TEST_CASE("a segment with something missing is named by its number") {
    CHECK_THROWS_WITH(course_from_segments("c", {straight(10), arc(0, 1)}, false),
                      Catch::Contains("segment 2"));
    CHECK_THROWS_AS(course_from_segments("c", {slalom(0, 18, 1)}, false), lapheat::Error);
    CHECK_THROWS_AS(course_from_segments("c", {slalom(4, 18, 20)}, false), lapheat::Error);
    CHECK_THROWS_AS(course_from_segments("c", {braking_zone(20, 0)}, false), lapheat::Error);
    CHECK_THROWS_AS(course_from_segments("c", {arc(20, 0.3, 30)}, false), lapheat::Error);
    CHECK_THROWS_AS(course_from_segments("c", {}, false), lapheat::Error);
}

TEST_CASE("no point of a lap is outside the friction ellipse or above the engine") {
    const Vehicle v = invented_car();
    for (const Course& c : {cone_course(), road_circuit()}) {
        INFO(c.name);
        const Lap lap = solve_lap(v, c);
        CHECK(lap.settled);
        for (std::size_t k = 0; k < lap.speed.size(); ++k) {
            INFO("at " << lap.distance[k] << " m");
            const double g = gravity * c.grip[k];
            const double across = lap.lateral_acceleration[k] / (v.grip_lat * g);
            CHECK(std::abs(across) <= 1 + 1e-9);
            CHECK(lap.throttle[k] * lap.brake[k] == 0);
            CHECK(lap.speed[k] <= c.speed_limit[k] + 1e-9);
            const double along = lap.brake[k];
            CHECK(across * across + along * along <=
                  1.1);  // a knot's rounding on a step of curvature
        }
    }
}

TEST_CASE("the driver's gears cost at most 1 % over having every gear at hand in no time") {
    for (const Vehicle& v : {invented_car(), invented_manual_car()})
        for (const Course& c : {cone_course(), road_circuit()})
            for (const double effort : {0.6, 0.8, 1.0}) {
                INFO(c.name << " at " << effort);
                const double best =
                    solve_lap(v, c, {.effort = effort, .gears = LapGears::strongest}).lap_time;
                const double driven = solve_lap(v, c, {.effort = effort}).lap_time;
                CHECK(driven >= best - 1e-9);
                CHECK(driven <= 1.01 * best);
            }
}

TEST_CASE("cones are driven mostly in second, at far lower engine speed than the strongest gear") {
    const Vehicle v = invented_car();
    const Course c = cone_course();
    auto in_gear = [](const Lap& lap, int gear) {
        double time = 0;
        for (std::size_t k = 0; k + 1 < lap.time.size(); ++k)
            if (lap.gear[k] == gear) time += lap.time[k + 1] - lap.time[k];
        return time / lap.lap_time;
    };
    auto mean_turn = [](const Lap& lap) {
        double sum = 0;
        for (std::size_t k = 0; k + 1 < lap.time.size(); ++k)
            sum += lap.engine_speed[k] * (lap.time[k + 1] - lap.time[k]);
        return sum / lap.lap_time;
    };
    const Lap driven = solve_lap(v, c, {.effort = 0.95});
    const Lap strongest = solve_lap(v, c, {.effort = 0.95, .gears = LapGears::strongest});
    CHECK(driven.gear.front() == 1);  // from rest
    CHECK(in_gear(driven, 2) > 0.8);
    CHECK(in_gear(strongest, 1) > 0.8);
    CHECK(mean_turn(driven) < 0.75 * mean_turn(strongest));
}

TEST_CASE("a driver shifts on straights only, and once at most into a bend") {
    for (const Vehicle& v : {invented_car(), invented_manual_car()})
        for (const Course& c : {cone_course(), road_circuit()}) {
            INFO(c.name);
            const Lap lap = solve_lap(v, c);
            // Of what the side grip allows; 0.3 is the rule, on a lap a little quicker than this.
            double since = 1e9;
            for (std::size_t k = 1; k + 1 < lap.time.size(); ++k) {
                since += lap.time[k] - lap.time[k - 1];
                if (lap.gear[k] == lap.gear[k - 1]) continue;
                INFO("at " << lap.distance[k] << " m");
                const double side = v.grip_lat * gravity * c.grip[k];
                CHECK(std::abs(lap.lateral_acceleration[k]) < 0.35 * side);
                CHECK(since > v.shift.shift_time);
                since = 0;
            }
        }
}

TEST_CASE("one gear stays one gear, and bends without a straight are driven in one") {
    Vehicle v = invented_manual_car();
    std::vector<double> x, y;
    for (int k = 0; k < 48; ++k) {
        x.push_back(40 * std::cos(2 * pi * k / 48));
        y.push_back(40 * std::sin(2 * pi * k / 48));
    }
    const Lap round = solve_lap(v, course_from_points("pad", x, y, true));
    for (const int g : round.gear) CHECK(g == round.gear.front());
    v.gearbox.ratio = {1.35};
    v.gearbox.efficiency = {0.97};
    for (const int g : solve_lap(v, road_circuit()).gear) CHECK(g == 1);
}

TEST_CASE("a closed lap ends as it begins") {
    const Lap lap = solve_lap(invented_car(), road_circuit());
    CHECK(lap.speed.front() == Approx(lap.speed.back()).epsilon(1e-12));
}

TEST_CASE("more grip or more power never makes a lap slower; more weight never quicker") {
    const Vehicle v = invented_car();
    for (const Course& c : {cone_course(), road_circuit()}) {
        INFO(c.name);
        // With all gears at hand: a driver's choice of gear is worth some thousandths, either way.
        const LapStyle style{.shift_times = false, .gears = LapGears::strongest};
        const double base = solve_lap(v, c, style).lap_time;
        Vehicle other = v;
        other.grip_lat *= 1.1;
        other.grip_long *= 1.1;
        CHECK(solve_lap(other, c, style).lap_time < base);
        other = v;
        for (double& t : other.engine.full_torque) t *= 1.2;
        CHECK(solve_lap(other, c, style).lap_time <= base);
        other = v;
        other.mass *= 1.2;
        // Drag to the weight too: tyres that limit everywhere feel weight by nothing else.
        other.cornering_stiffness *= 1.2;
        other.drag_coefficient *= 1.2;
        CHECK(solve_lap(other, c, style).lap_time > base);
        CHECK(solve_lap(v, c, {.effort = 0.7}).lap_time > base);
        CHECK(solve_lap(v, c).lap_time >= base);
    }
}

TEST_CASE("the courses of our own are what their description says") {
    const Vehicle v = invented_car();
    const Lap cone = solve_lap(v, cone_course());
    CHECK(cone.lap_time > 45);
    CHECK(cone.lap_time < 60);
    const Course road = road_circuit();
    CHECK(road.length() > 2500);
    CHECK(road.length() < 3500);
    const Lap lap = solve_lap(v, road);
    CHECK(lap.lap_time > 80);
    CHECK(lap.lap_time < 120);
}

TEST_CASE("cones work the steering far more than a circuit, and a circuit more than a highway") {
    const Vehicle v = invented_car();
    auto per_second = [&](const Course& c) {
        const Lap lap = solve_lap(v, c);
        double sum = 0;
        for (std::size_t k = 0; k + 1 < lap.time.size(); ++k)
            sum += std::abs(lap.steering_angle[k + 1] - lap.steering_angle[k]);
        return sum / lap.lap_time;
    };
    const double cones = per_second(cone_course()), road = per_second(road_circuit());
    CHECK(cones > 2 * road);
    CHECK(road > 0);
}

TEST_CASE("the steering rate is the slope of the steering angle") {
    const Lap lap = solve_lap(invented_car(), cone_course());
    double angle = lap.steering_angle.front(), fastest = 0;
    for (std::size_t k = 0; k + 1 < lap.time.size(); ++k) {
        angle += 0.5 * (lap.steering_rate[k] + lap.steering_rate[k + 1]) *
                 (lap.time[k + 1] - lap.time[k]);
        CHECK(angle == Approx(lap.steering_angle[k + 1]).margin(0.08));
        fastest = std::max(fastest, std::abs(lap.steering_rate[k]));
    }
    CHECK(fastest > 3);
    CHECK(fastest <= fastest_steering);
}

TEST_CASE("a session waits, laps, cools and stops, each in a phase of its name") {
    const Vehicle v = invented_car();
    const Cycle c =
        session(v, road_circuit(), {.runs = 2, .laps = 3, .wait = 60, .cool_lap_speed = 20});
    REQUIRE(c.phases.size() == 10U);
    CHECK(c.phases[0].name == "wait 1");
    CHECK(c.phases[1].name == "lap 1.1");
    CHECK(c.phases[4].name == "cool-down 1");
    for (const Phase& p : c.phases) CHECK(p.waiting == p.name.starts_with("wait"));
    CHECK(c.speed.back() == Approx(0).margin(1e-9));
    // The first lap starts from rest and takes longer than a flying one.
    const double first = c.phases[1].end - c.phases[1].begin;
    const double flying = c.phases[2].end - c.phases[2].begin;
    CHECK(first > flying + 1);
    CHECK(c.phases[4].end - c.phases[4].begin > flying);
    const Cycle cones = session(v, cone_course(), {.runs = 3, .wait = 120});
    CHECK(cones.phases.size() == 9U);
    CHECK(totals(cones).stopped >= 3 * 120 - 1);
    CHECK_THROWS_AS(session(v, cone_course(), {.laps = 2}), lapheat::Error);
    CHECK_THROWS_AS(session(v, cone_course(), {.runs = 0}), lapheat::Error);
}

TEST_CASE("a lap driven as a cycle needs what the engine has") {
    for (const Vehicle& v : {invented_car(), invented_manual_car()})
        for (const Course& c : {cone_course(), road_circuit()}) {
            INFO(c.name);
            const Lap lap = solve_lap(v, c);
            const Cycle cycle = lap_cycle(lap, "lap");
            CHECK(totals(cycle).distance == Approx(c.length()).epsilon(2e-3));
            const TraceSummary s = summarize(backward(v, cycle), v);
            CHECK(s.shortfall < 0.01 * s.engine_work);
        }
}

TEST_CASE("a car too weak for the climb is told where") {
    Vehicle v = invented_manual_car();
    for (double& t : v.engine.full_torque) t *= 0.1;
    Segment hill = straight(300);
    hill.grade = 0.3;
    const Course c = course_from_segments("hill", {straight(50), hill}, false);
    CHECK_THROWS_WITH(solve_lap(v, c), Catch::Contains("m of the course"));
    CHECK_THROWS_AS(solve_lap(invented_car(), cone_course(), {.effort = 2}), lapheat::Error);
    Course bad = cone_course();
    bad.grip.pop_back();
    CHECK_THROWS_AS(solve_lap(invented_car(), bad), lapheat::Error);
}

TEST_CASE("waiting in drive makes heat in the converter, in park none") {
    const Vehicle v = invented_car();
    auto heat = [&](Selector selector) {
        const Cycle c =
            session(v, cone_course(), {.runs = 2, .wait = 60, .queue = {.selector = selector}});
        return summarize(backward(v, c), v).converter_loss;
    };
    const double park = heat(Selector::park);
    // The stalled converter at idle holds c w^2 at w: that power for the two waits.
    const double stalled = v.converter.pump_capacity.front() * std::pow(v.engine.idle_speed, 3);
    CHECK(heat(Selector::drive) - park == Approx(2 * 60 * stalled).epsilon(0.02));
    CHECK(heat(Selector::neutral) == Approx(park).epsilon(1e-3));
}
