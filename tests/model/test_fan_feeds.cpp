// What turns the fans of a whole car, what they feel, and what feeds them.
#include <catch2/catch.hpp>
#include <map>

#include "demo.hpp"
#include "lapheat/scenario/document.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

using Changes = std::vector<std::pair<const char*, const char*>>;

Car fan_car_with(const Changes& changes) {
    const auto file = scenarios / "placements" / "tank_only.toml";
    scenario::Document document = scenario::load(file);
    for (const auto& [path, value] : changes) document = document.with(path, value);
    Car car =
        scenario::read(document, file.parent_path(), {scenarios / "cycles" / "traffic.toml"}).car;
    // Fans that stand at the start: no cruise before it has blown them round.
    car.settled_speed = 0;
    const std::map<std::string, double> stated = {{"coolant", 358.15},
                                                  {"transmission", 353.15},
                                                  {"steering", 338.15},
                                                  {"engine_oil", 363.15}};
    for (Loop& loop : car.loops) loop.warm_start = stated.at(loop.name);
    return car;
}

const drive::Cycle five_minutes_idle = drive::idle(300, drive::Selector::drive, hot_day);

double first(const Result& result, EventKind kind, const std::string& subject) {
    for (const Event& e : events(result, kind))
        if (e.subject == subject) return e.time;
    return 1e9;
}

const std::vector<double>& speed(const Result& r, const char* fan = "fans/radiator_left") {
    return series(r, fan, "speed");
}

double highest(const std::vector<double>& values) {
    return *std::max_element(values.begin(), values.end());
}

}  // namespace

TEST_CASE("a switch in the head or the inlet hose closes before one in the outlet tank") {
    const auto closes = [](const char* part) {
        Car car = fan_car_with({});
        car.start_warm = false;
        car.start_temperature = 340;
        for (FanEntry& fan : car.fans)
            for (FanSwitch& s : fan.switches) s.part = part;
        return first(run(car, drive::idle(1200, drive::Selector::drive, hot_day)),
                     EventKind::fan_switch_closes, "radiator_left");
    };
    const double head = closes("jacket"), inlet = closes("upper hose"), outlet = closes("radiator");
    INFO("head " << head << " s, inlet hose " << inlet << " s, outlet tank " << outlet << " s");
    CHECK(head <= inlet);
    CHECK(inlet < outlet);
    CHECK(outlet < 1200);
}

TEST_CASE("fans that go with the air conditioning run when it does and not otherwise") {
    drive::Cycle cold = drive::idle(60, drive::Selector::drive, hot_day), cooled = cold;
    std::fill(cooled.ac_demand.begin(), cooled.ac_demand.end(), 0.5);
    Car car = fan_car_with({});
    CHECK(highest(speed(run(car, cold))) < 0.01);
    CHECK(highest(speed(run(car, cooled))) > 0.9);
}

TEST_CASE("a pulse-width fan follows its sensor between two temperatures and holds steady") {
    const char* ramp =
        "[{ loop = \"coolant\", part = \"upper hose\", on = \"85 degC\", off = \"80 degC\", full = "
        "\"110 degC\", command = 0.3 }]";
    const Changes both = {{"fans.radiator_left.drive", "pulse_width"},
                          {"fans.radiator_left.switches", ramp},
                          {"fans.radiator_right.drive", "pulse_width"},
                          {"fans.radiator_right.switches", ramp}};
    const Result r = run(fan_car_with(both), drive::idle(1200, drive::Selector::drive, hot_day));
    const double now = speed(r).back();
    INFO("speed " << now << ", switched " << events(r, EventKind::fan_switch_closes).size()
                  << " times");
    CHECK(now > 0.35);
    CHECK(now < 0.98);
    CHECK(events(r, EventKind::fan_switch_closes).size() <= 2);
    const std::vector<double>& all = speed(r);
    CHECK(all[1100] == Approx(now).margin(0.02));
}

TEST_CASE("a two-stage fan runs slow on its first switch and full on its second") {
    const Changes stages = {
        {"fans.radiator_left.drive", "two_stage"},
        {"fans.radiator_left.low_stage", "0.5"},
        {"fans.radiator_left.switches",
         "[{ loop = \"coolant\", part = \"jacket\", on = \"88 degC\", off = \"84 degC\", command = "
         "0.5 }, { loop = \"coolant\", part = \"jacket\", on = \"91 degC\", off = \"87 degC\" }]"},
        {"fans.radiator_right.dead", "true"}};
    const Result r = run(fan_car_with(stages), drive::idle(900, drive::Selector::drive, hot_day));
    const std::vector<double>& all = speed(r);
    const auto near = [&](double x) {
        return std::any_of(all.begin(), all.end(),
                           [&](double v) { return std::abs(v - x) < 0.03; });
    };
    CHECK(near(0.5));
    CHECK(near(1.0));
}

TEST_CASE("a clutch fan turns with the engine, little while its air is cool and more when hot") {
    const Changes clutch = {{"fans.radiator_left",
                             "{ drive = \"viscous_clutch\", "
                             "free_flow = \"1.6 m3/s\", shut_off_pressure = "
                             "\"450 Pa\", diameter = \"450 mm\", full_speed = "
                             "\"2500 rev/min\" }"},
                            {"fans.radiator_right.dead", "true"}};
    Car car = fan_car_with(clutch);
    car.start_warm = false;
    const Result r = run(car, drive::idle(1500, drive::Selector::drive, hot_day));
    const std::vector<double>& all = speed(r);
    INFO(all[20] << " cool, " << all.back() << " hot");
    CHECK(all[20] > 0.02);
    CHECK(all.back() > 1.3 * all[20]);
    CHECK(r.peak_fan_current == 0);
}

TEST_CASE("a soft start takes longer, and a thin wire costs speed and current") {
    const auto with = [](const char* spin_up, const char* wire) {
        return run(fan_car_with({{"fans.radiator_left.switches", "[]"},
                                 {"fans.radiator_left.with_air_conditioning", "false"},
                                 {"fans.radiator_left.spin_up", spin_up},
                                 {"fans.radiator_left.wiring_resistance", wire},
                                 {"fans.radiator_right.dead", "true"}}),
                   drive::idle(60, drive::Selector::drive, hot_day));
    };
    const Result usual = with("0.5 s", "0.02 ohm"), soft = with("5 s", "0.02 ohm"),
                 thin = with("0.5 s", "0.2 ohm");
    CHECK(speed(soft)[3] < 0.7 * speed(usual)[3]);
    CHECK(speed(soft).back() == Approx(speed(usual).back()).margin(1e-3));
    CHECK(speed(thin).back() < 0.93 * speed(usual).back());
    CHECK(thin.peak_fan_current < usual.peak_fan_current);
}

TEST_CASE("a fan whose curve states its power draws more where the curve says so") {
    // Alone in its shroud: beside a dead one it would run near free flow, air going in circles.
    const auto current = [](const std::string& power) {
        const std::string fan =
            "{ curve = [[\"flow [m3/s]\", \"pressure [Pa]\", \"power [W]\"], [0, 210, " + power +
            "], [0.5, 0, 169]], diameter = \"280 mm\", current = \"13 A\" }";
        const Result r = run(fan_car_with({{"fans.radiator_right", "false"},
                                           {"air.front.shrouds[1].fans", "[\"radiator_left\"]"},
                                           {"fans.radiator_left", fan.c_str()}}),
                             drive::idle(60, drive::Selector::drive, hot_day));
        return series(r, "fans/radiator_left", "electrical_power").back();
    };
    const double level = current("169"), rising = current("260");
    INFO(level << " W with level power, " << rising << " W with more towards shut-off");
    CHECK(rising > 1.03 * level);
}

TEST_CASE("loads beyond the alternator at idle are told, with what the battery gives") {
    const auto with = [](const char* alternator, const char* loads) {
        return run(fan_car_with({{"alternator.current", alternator},
                                 {"alternator.other_loads", loads},
                                 {"fans.radiator_left.switches", "[]"},
                                 {"fans.radiator_left.with_air_conditioning", "false"},
                                 {"fans.radiator_right.switches", "[]"},
                                 {"fans.radiator_right.with_air_conditioning", "false"}}),
                   five_minutes_idle);
    };
    const Result small = with("60 A", "40 A"), large = with("140 A", "40 A");
    CHECK(small.peak_current == Approx(small.peak_fan_current + 40));
    CHECK(small.current_shortfall == Approx(small.peak_current - small.idle_capacity).margin(2));
    CHECK(small.battery_charge > 0.8 * 250 * small.current_shortfall);
    CHECK(small.battery_charge <= 300 * small.current_shortfall);
    const Diagnostic* told = warning(small, Code::loads_beyond_alternator);
    REQUIRE(told);
    CHECK(told->values.at(0).si == small.current_shortfall);
    CHECK(told->values.at(1).si == small.battery_charge);
    CHECK(large.current_shortfall == 0);
    CHECK(large.battery_charge == 0);
    CHECK_FALSE(warning(large, Code::loads_beyond_alternator));
    CHECK(large.idle_capacity > 2 * small.idle_capacity);
}
