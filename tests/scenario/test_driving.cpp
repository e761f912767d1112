// What a builder may write about engine, driveline, courses, cycles and faults.
#include <catch2/catch.hpp>
#include <fstream>
#include <lapheat/drive/trace.hpp>
#include <lapheat/scenario/scenario.hpp>
#include <numbers>

using namespace lapheat;
namespace fs = std::filesystem;

namespace {

const fs::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";
constexpr double rpm = 2 * std::numbers::pi / 60;

/// The demo placement with more text.
scenario::Scenario demo(const std::string& more, const std::string& extends = "under_floor") {
    const std::string text = "extends = \"placements/" + extends + ".toml\"\ncycles = []\n" + more;
    return scenario::read(scenario::parse(text, (scenarios / "test.toml").string()), scenarios, {});
}

fs::path write(const std::string& name, const std::string& text) {
    const fs::path folder = fs::path(LAPHEAT_BINARY_DIR) / "scenario_driving";
    fs::create_directories(folder);
    std::ofstream(folder / name) << text;
    return folder / name;
}

drive::Cycle cycle(const std::string& text) {
    return scenario::read_cycle(write("cycle.toml", text), demo("").car.vehicle);
}

std::string problems_of(const std::string& text) {
    try {
        demo(text);
    } catch (const scenario::Errors& e) {
        std::string out;
        for (const scenario::Problem& p : e.problems()) out += p.key + ": " + p.expected + '\n';
        return out;
    }
    return {};
}

}  // namespace

TEST_CASE("an engine's own full-load curve takes the place of its peaks") {
    const auto car = demo(R"([engine]
full_load = [["engine_speed [rev/min]", "torque [N m]"], [1000, 400], [4000, 500], [6000, 400]]
boosted = true
)")
                         .car;
    CHECK(drive::full_torque(car.vehicle.engine, 4000 * rpm) == Approx(500));
    CHECK(drive::full_torque(car.vehicle.engine, 2500 * rpm) == Approx(450));
    CHECK(car.vehicle.engine.boosted);
}

TEST_CASE("a user's heat map is what the engine gives, in any order of its rows") {
    const auto car = demo(R"([engine]
heat_map = [["engine_speed [rev/min]", "torque [N m]", "coolant_heat [kW]", "fuel [g/s]"],
            [6000, 500, 120, 22], [1000, 0, 8, 0.5], [1000, 500, 45, 4], [6000, 0, 40, 4]]
)")
                         .car;
    const double speed = 6000 * rpm;
    const heat::EnginePoint p = heat::engine_point(car.engine, speed, 500 * speed);
    CHECK(p.coolant == Approx(120e3));
    CHECK(p.fuel == Approx(0.022 * car.engine.heating_value));
    CHECK(car.engine.oil_map.empty());
    CHECK_THAT(problems_of(R"([engine]
heat_map = [["engine_speed [rev/min]", "torque [N m]", "coolant_heat [kW]"],
            [1000, 0, 8], [1000, 500, 45], [6000, 0, 40], [6000, 400, 90]]
)"),
               Catch::Contains("a full grid"));
}

TEST_CASE("a converter's own table is taken as printed") {
    const auto car = demo(R"([converter]
pump_speed = "2000 rev/min"
table = [["speed_ratio", "torque_ratio", "pump_torque [N m]"],
         [0, 2.1, 300], [0.5, 1.5, 290], [0.85, 1.0, 200], [1, 1, 0]]
)")
                         .car;
    const auto point = drive::converter_at(car.vehicle.converter, 2000 * rpm, 0);
    CHECK(point.pump_torque == Approx(300));
    CHECK(point.turbine_torque == Approx(630));
}

TEST_CASE("without a converter the car has a clutch and a dry gearbox") {
    std::string text;
    {
        std::ifstream in(scenarios / "car.toml");
        text.assign(std::istreambuf_iterator<char>(in), {});
    }
    const auto cut = [&](const std::string& from, const std::string& to) {
        const auto a = text.find(from), b = text.find(to, a);
        REQUIRE(a != std::string::npos);
        text.erase(a, b - a);
    };
    cut("[converter]", "[shift]");
    cut("lockup = true", "\n[steering]");
    text += "\n[clutch]\nlaunch_speed = \"2500 rev/min\"\n";
    write("car.toml", text);
    const fs::path file = write("manual.toml",
                                "extends = \"car.toml\"\nplacement = \"none\"\n"
                                "cores = {cooler = false}\ncycles = []\n");
    const auto car = scenario::read(file).car;
    CHECK(car.vehicle.coupling == drive::Coupling::clutch);
    CHECK(car.vehicle.clutch.launch_speed == Approx(2500 * rpm));
    CHECK_FALSE(car.transmission.automatic);
    CHECK(car.vehicle.gearbox.pump_torque == 0);
}

TEST_CASE("an engine is of an era, and its open numbers are a value or a value with both ends") {
    const heat::EngineModel modern = demo("").car.engine;
    CHECK(modern.era == heat::Era::modern);
    const heat::EngineModel classic = demo("[engine]\nera = \"classic\"\n").car.engine;
    CHECK(classic.era == heat::Era::classic);
    CHECK(heat::friction_pressure(classic, 300) > heat::friction_pressure(modern, 300));
    const heat::EngineModel own = demo(
                                      "[engine]\nfriction_level = 1.2\n"
                                      "wall_heat_level = [0.9, 0.8, 1.0]\n")
                                      .car.engine;
    CHECK(own.friction_level.value == 1.2);
    CHECK(own.friction_level.high == modern.friction_level.high);
    CHECK(heat::friction_pressure(own, 300) == Approx(1.2 * heat::friction_pressure(modern, 300)));
    CHECK(own.wall_heat_level.low == 0.8);
    CHECK(own.wall_heat_level.value == 0.9);
    CHECK(own.wall_heat_level.high == 1.0);
    CHECK_THAT(problems_of("[engine]\nwall_heat_level = [0.9, 1.0, 1.1]\n"),
               Catch::Contains("low <= value <= high"));
    CHECK_THAT(problems_of("[engine]\nera = \"future\"\n"), Catch::Contains("classic"));
}

TEST_CASE("a link's conductance follows from the engine's size where the file says none") {
    const auto usual = demo("").car;
    REQUIRE(usual.links.size() == 1);
    const heat::EngineLumps lumps = heat::engine_lumps(usual.engine, false);
    CHECK(usual.links[0].conductance.value == Approx(lumps.oil_to_coolant));
    CHECK(usual.links[0].conductance.high > usual.links[0].conductance.value);
    const auto own = demo(R"([[links]]
first_loop = "engine_oil"
first_part = "pan"
second_loop = "coolant"
second_part = "jacket"
conductance = "270 W/K"
speed_exponent = 0
)")
                         .car;
    REQUIRE(own.links.size() == 1);  // lists replace
    CHECK(own.links[0].conductance.value == Approx(270));
    CHECK(own.links[0].conductance.low == own.links[0].conductance.high);  // theirs: not open
    CHECK(own.links[0].speed_exponent == 0);
}

TEST_CASE("of an engine's lumps its size is enough") {
    const auto car = demo(R"([loops.engine_oil.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "oil pump", displacement = "14 cm3/rev", speed_ratio = 0.5 },
  { kind = "volume", name = "pan", of_engine = "sump", heat = ["engine_oil"] },
]
)")
                         .car;
    const heat::EngineLumps lumps = heat::engine_lumps(car.engine, false);
    std::size_t found = 0;
    for (const model::Loop& loop : car.loops) {
        if (loop.name != "engine_oil") continue;
        ++found;
        const auto& pan = std::get<model::Volume>(loop.runs[0].parts[1].body);
        CHECK(pan.volume == Approx(lumps.oil_volume).epsilon(1e-3));
        CHECK(pan.metal_heat_capacity == Approx(lumps.oil_metal).epsilon(1e-3));
    }
    CHECK(found == 1);
}

TEST_CASE("a cycle's table may hold gear, trailer, throttle, sun and ambient") {
    const drive::Cycle c = cycle(R"(name = "own"
[[segments]]
kind = "table"
table = [["time [s]", "speed [km/h]", "gear", "trailer_mass [kg]", "held_throttle [%]",
          "sun [W/m2]", "ambient [degC]", "steering_angle [degree]"],
         [0, 0, 1, 900, 30, 800, 20, 0], [10, 36, 1, 900, 0, 800, 25, 90], [20, 36, 2, 900, 0, 0, 25, 0]]
)");
    CHECK(c.gear[0] == 1);
    CHECK(c.gear[2] == 2);
    CHECK(c.trailer_mass[1] == 900);
    CHECK(c.held_throttle[0] == Approx(0.3));
    CHECK(c.sun[0] == 800);
    CHECK(c.ambient[1] == Approx(298.15));
    CHECK(c.steering_angle[1] == Approx(std::numbers::pi / 2));
}

TEST_CASE("a table's totals are held against those that its user expects") {
    const fs::path file = write("totals.toml", R"(name = "own"
[[segments]]
kind = "table"
table = { "time [s]" = [0, 10, 90, 100], "speed [m/s]" = [0, 20, 20, 0] }
expected = { distance = "1.9 km", maximum_speed = "20 m/s" }
)");
    const scenario::Scenario s =
        scenario::read(scenario::parse("extends = \"placements/under_floor.toml\"\n",
                                       (scenarios / "test.toml").string()),
                       scenarios, {file});
    REQUIRE(s.warnings.size() == 1);
    CHECK_THAT(s.warnings[0].hint, Catch::Contains("distance is 1800"));
}

TEST_CASE("surroundings that are refused are told once, and nothing that follows from them") {
    try {
        (void)cycle(
            "name = \"c\"\n[surroundings]\nambient = \"900 degC\"\naltitude = \"90 km\"\n"
            "[[segments]]\nkind = \"idle\"\nduration = \"20 s\"\n");
        FAIL("accepted");
    } catch (const scenario::Errors& e) {
        REQUIRE(e.problems().size() == 2);
        CHECK(e.problems()[0].key == "surroundings.ambient");
        CHECK(e.problems()[1].key == "surroundings.altitude");
    }
}

TEST_CASE("cycles and courses without end are refused, and where they are stated") {
    const auto refused = [](const std::string& text) {
        try {
            (void)cycle(text);
        } catch (const scenario::Errors& e) {
            const scenario::Problem& p = e.problems().front();
            return p.key + ": " + p.found + "; " + p.expected + "; line " +
                   std::to_string(p.place.line);
        }
        return std::string();
    };
    using Catch::Contains;
    const auto idles = [](int count) {
        std::string text = "name = \"c\"\n";
        for (int i = 0; i < count; ++i)
            text += "[[segments]]\nkind = \"idle\"\nduration = \"1 s\"\n";
        return text;
    };
    CHECK(refused(idles(2000)).empty());
    CHECK_THAT(refused(idles(2001)), Contains("2000 segments at most"));
    const std::string traffic =
        "name = \"c\"\n[[segments]]\nkind = \"traffic\"\nduration = \"3 h\"\n"
        "top_speed = \"45 km/h\"\nrepeat = 1000\n";
    CHECK_THAT(refused(traffic), Contains("2 000 000 knots at most") && Contains("repeat"));
    const std::string course =
        "name = \"c\"\n[[course]]\nkind = \"straight\"\nlength = \"201 km\"\n"
        "[[segments]]\nkind = \"laps\"\ncourse = \"own\"\nlaps = 1\n";
    CHECK_THAT(refused(course), Contains("200 km and 50 000 steps at most"));
}

TEST_CASE("cycles are built of other cycles, and none comes back to itself") {
    write("part.toml",
          "name = \"part\"\n[surroundings]\nambient = \"10 degC\"\n"
          "[[segments]]\nkind = \"steady\"\nspeed = \"20 m/s\"\nduration = \"60 s\"\n");
    const std::string whole =
        "name = \"whole\"\n[[segments]]\nkind = \"cycle\"\nfile = \"part.toml\"\n"
        "[[segments]]\nkind = \"cycle\"\nfile = \"part.toml\"\nambient = \"30 degC\"\n"
        "name = \"hot part\"\n";
    const drive::Cycle c = cycle(whole);
    CHECK(c.time.back() == Approx(120));
    CHECK(c.ambient.front() == Approx(283.15));
    CHECK(c.ambient.back() == Approx(303.15));
    CHECK(c.phases.back().name == "hot part");
    CHECK_THROWS_AS(
        cycle("name = \"own\"\n[[segments]]\nkind = \"cycle\"\nfile = \"cycle.toml\"\n"),
        scenario::Errors);
}

TEST_CASE("a course may be points in a file, and laps may fill a time") {
    std::string points = "x [m],y [m]\n";
    for (int i = 0; i < 24; ++i) {
        const double a = 2 * std::numbers::pi * i / 24;
        points += std::to_string(150 * std::cos(a)) + ',' + std::to_string(80 * std::sin(a)) + '\n';
    }
    write("oval.csv", points);
    const drive::Cycle c = cycle(R"(name = "oval"
course_points = "oval.csv"
[[segments]]
kind = "laps"
course = "own"
laps_for = "5 min"
wait = "30 s"
)");
    // Ramanujan's second approximation of the ellipse's length.
    const double a = 150, b = 80, h = (a - b) * (a - b) / ((a + b) * (a + b));
    const double length = std::numbers::pi * (a + b) * (1 + 3 * h / (10 + std::sqrt(4 - 3 * h)));
    double laps = 0;
    for (const drive::Phase& phase : c.phases) laps += phase.name.rfind("lap ", 0) == 0 ? 1 : 0;
    CHECK(laps > 5);
    CHECK(c.time.back() == Approx(330).margin(60));
    CHECK(drive::totals(c).distance == Approx(laps * length).epsilon(0.06));
}

TEST_CASE("backing with a trailer is a steady segment in reverse") {
    const drive::Cycle c = cycle(R"(name = "back"
[[segments]]
kind = "climb"
speed = "5 km/h"
duration = "60 s"
grade = "8 %"
trailer = "1200 kg"
reverse = true
)");
    const drive::Trace t = drive::backward(demo("").car.vehicle, c);
    CHECK(t.gear[10] == -1);
    CHECK(t.converter_loss[10] > 1000);
}

TEST_CASE("faults are written in the scenario, with the time they begin") {
    const auto car = demo(R"([[faults]]
kind = "hose_collapsed"
hose = "lower hose"
lost = "70 %"
begins = "10 min"

[[faults]]
kind = "core_blocked"
core = "cooler"
blocked = "33 %"
)")
                         .car;
    REQUIRE(car.faults.size() == 2);
    CHECK(car.faults[0].begins == 600);
    CHECK(car.faults[0].amount == Approx(0.7));
    CHECK(model::describe(car.faults[1]) == "33 % of the face of the cooler is blocked");
    CHECK_THAT(problems_of("[[faults]]\nkind = \"fan_dead\"\nfan = \"left\"\n"),
               Catch::Contains("faults[1].fan"));
    CHECK_THAT(problems_of("[[faults]]\nkind = \"belt_slip\"\nslip = \"130 %\"\n"),
               Catch::Contains("faults[1].slip"));
    CHECK_THAT(problems_of("[[faults]]\nkind = \"gremlins\"\n"), Catch::Contains("fan_dead"));
}

TEST_CASE("the faults and the event day of the demo are sound") {
    for (const auto& entry : fs::directory_iterator(scenarios / "faults")) {
        const scenario::Scenario s = scenario::read(entry.path());
        INFO(entry.path());
        CHECK(s.car.faults.size() == 1);
    }
    const scenario::Scenario day = scenario::read(scenarios / "event_day.toml");
    REQUIRE(day.cycles.size() == 1);
    const drive::Totals t = drive::totals(day.cycles.front());
    CHECK(t.duration / 3600 == Approx(7).margin(0.1));
    CHECK_FALSE(day.car.start_warm);
}

TEST_CASE("a line that cannot be read is told, and no laps that a car without it would drive") {
    const fs::path file =
        write("broken.toml", "extends = \"" + (scenarios / "placements/rear.toml").string() +
                                 "\"\n[engine]\nredline = \"6200 rev/min\n");
    try {
        (void)scenario::read(file);
        FAIL("accepted");
    } catch (const scenario::Errors& e) {
        REQUIRE(e.problems().size() == 1);
        CHECK(e.problems().front().place.line == 3);
    }
}

TEST_CASE("a tyre's size on the wall takes the place of its radius") {
    const auto car = demo("[vehicle]\ntyre = \"225/50R16\"\n");
    CHECK(car.car.vehicle.tyre_radius == Approx(0.3065).epsilon(1e-3));
    CHECK(problems_of("[vehicle]\ntyre = \"225/50\"\n").find("tyre:") != std::string::npos);
}

TEST_CASE("a queue is waited in park, and what drive would cost stands among the assumptions") {
    const auto laps = [](const std::string& more) {
        return cycle("name = \"laps\"\n[[segments]]\nkind = \"laps\"\ncourse = \"cone_course\"\n" +
                     more);
    };
    const drive::Cycle usual = laps("wait = \"120 s\"\n");
    CHECK(usual.selector.front() == drive::Selector::park);
    CHECK(usual.engine_on.front() == 1);
    CHECK(laps("wait = \"4 min\"\n").engine_on.front() == 0);
    CHECK(laps("wait = \"4 min\"\n[segments.queue]\nengine = \"on\"\n").engine_on.front() == 1);
    const drive::Cycle creeping =
        laps("wait = \"120 s\"\n[segments.queue]\nselector = \"drive\"\nmove = \"6 m\"\n");
    CHECK(creeping.selector.front() == drive::Selector::drive);
    CHECK(drive::totals(creeping).distance - drive::totals(usual).distance ==
          Approx(24).margin(0.5));
    const auto file = write("queue.toml",
                            "name = \"laps\"\n[[segments]]\nkind = \"laps\"\n"
                            "course = \"cone_course\"\n");
    const auto told = scenario::read(scenarios / "placements" / "under_floor.toml", {file});
    bool found = false;
    for (const model::AssumedText& a : told.car.assumptions)
        found = found || (a.key.ends_with("queue.selector") && a.text.starts_with("park") &&
                          a.text.find("kJ in a wait in drive") != std::string::npos);
    CHECK(found);
}

TEST_CASE("the road goes on where the segment before ended, and cools with height") {
    const std::string up =
        "[[segments]]\nkind = \"climb\"\nspeed = \"20 m/s\"\nduration = \"500 s\"\n"
        "grade = \"6 %\"\n";
    const std::string level =
        "[[segments]]\nkind = \"steady\"\nspeed = \"20 m/s\"\nduration = \"60 s\"\n";
    const std::string where =
        "name = \"road\"\n[surroundings]\nambient = \"35 degC\"\naltitude = \"300 m\"\n";
    const drive::Cycle c = cycle(where + up + level);
    CHECK(c.altitude.front() == Approx(300));
    CHECK(c.altitude.back() == Approx(898.9).margin(0.5));
    CHECK(c.ambient.back() == Approx(308.15 - 6.5 * 0.5989).margin(0.01));
    // What a segment states of its own holds from its beginning.
    const drive::Cycle own =
        cycle(where + up + level + "ambient = \"30 degC\"\naltitude = \"1 km\"\n");
    CHECK(own.altitude.back() == Approx(1000));
    CHECK(own.ambient.back() == Approx(303.15));
    const drive::Cycle twice = cycle(where + up + "repeat = 2\n");
    CHECK(twice.altitude.back() == Approx(300 + 2 * 598.9).margin(1));
}

TEST_CASE(
    "a fan of two numbers has a straight curve, and its spread stands among the assumptions") {
    const auto car = demo("").car;
    bool told = false;
    for (const model::AssumedText& a : car.assumptions)
        told = told || (a.key.ends_with("radiator_left.curve_shape") && a.text.starts_with("0") &&
                        a.text.find("six measured fans") != std::string::npos);
    CHECK(told);
    std::size_t seen = 0;
    for (const model::FanEntry& fan : car.fans) {
        if (fan.name.rfind("radiator", 0) != 0) continue;
        ++seen;
        const airflow::FanCurve& c = fan.fan.curve;
        const double half = airflow::fan_pressure(fan.fan, 0.5 * c.flow.back(), 1, 1.2).rise;
        CHECK(half == Approx(0.5 * c.pressure.front()).epsilon(1e-3));
    }
    CHECK(seen == 2);
}
