// What a builder may say about lines, valves and pumps, and what is refused, where.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/drive/generate.hpp"
#include "lapheat/model/faults.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/model/simulate.hpp"
#include "trial.hpp"

using Catch::Contains;
using namespace lapheat;
using trial::problems;

namespace {

template <class Body>
const Body& part(const scenario::Scenario& s, const std::string& name) {
    for (const model::Loop& loop : s.car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& p : run.parts)
                if (p.name == name) return std::get<Body>(p.body);
    throw Error("no part " + name);
}

/// The transmission's cooler run with other lines.
std::string transmission(const std::string& lines) {
    return "[loops.transmission.runs.cooler]\nparts = [\n"
           "  { kind = \"cooler_feed\", name = \"feed\" },\n"
           "  { kind = \"volume\", name = \"converter\", volume = \"4 L\", heat = [\"converter\"] "
           "},\n" +
           lines +
           "  { kind = \"core\", name = \"cooler\", core = \"cooler.transmission\" },\n"
           "  { kind = \"volume\", name = \"sump\", volume = \"6 L\", heat = [\"gears\", "
           "\"gearbox_case\"] },\n]\n"
           "[fans.cooler_fan]\nswitches = [ { loop = \"transmission\", part = \"sump\", on = \"85 "
           "degC\", off = \"77 degC\" } ]\n";
}

/// One problem, on this line of the changes (0: in the car's own file), with this key and words.
void refused(const std::string& changes, std::size_t line, const std::string& key,
             const std::string& words) {
    INFO(changes);
    const auto found = problems(changes);
    REQUIRE(found.size() == 1);
    if (line > 0) CHECK_THAT(found[0], Catch::StartsWith(std::to_string(line) + ": "));
    CHECK_THAT(found[0], Contains(key));
    CHECK_THAT(found[0], Contains(words));
}

}  // namespace

TEST_CASE("A size is a dash number, a fraction of an inch, or a bore, and they agree") {
    const auto bore = [](const std::string& size) {
        const auto s = trial::read(transmission("  { kind = \"hose\", name = \"line\", size = \"" +
                                                size + "\", length = \"1 m\" },\n"));
        return part<model::Line>(s, "line").inner_diameter;
    };
    CHECK(bore("-8") == Approx(0.0127));
    CHECK(bore("1/2 inch") == Approx(0.0127));
    CHECK(bore("5/16 inch") == Approx(0.0254 * 5 / 16));
    CHECK(bore("1 1/4 inch") == Approx(0.03175));
    CHECK(bore("12.7 mm") == Approx(0.0127));
    for (const char* as_sold : {"AN-8", "-8AN", "AN8", "1/2\\\"", "0.5 in."})
        CHECK(bore(as_sold) == Approx(0.0127));
    for (const char* wrong : {"8", "-0", "-65", "-8x", "wide", "5/16", "8 kg", "-"})
        refused(transmission(std::string("  { kind = \"hose\", name = \"line\", size = \"") +
                             wrong + "\", length = \"1 m\" },\n"),
                5, "size", "found");
}

TEST_CASE("A line's bends, ends, ratings and view of the exhaust come out in SI units") {
    const auto s = trial::read(transmission(
        "  { kind = \"tube\", name = \"line\", size = \"3/8 inch\", length = \"4 ft\", bends = 3, "
        "bend_angle = \"45 deg\", bend_radius = \"1.5 inch\", end_bore = \"7 mm\", exhaust_view = "
        "0.2, heat_shields = 1, rated_pressure = \"400 psi\", rated_temperature = \"150 degC\" "
        "},\n"));
    const auto& line = part<model::Line>(s, "line");
    CHECK_FALSE(line.hose);
    CHECK(line.length == Approx(1.2192));
    CHECK(line.bends == 3);
    CHECK(line.bend_angle == Approx(45));
    CHECK(line.bend_radius_ratio == Approx(4));
    CHECK(line.end_bore == Approx(7e-3));
    CHECK(line.exhaust_view == 0.2);
    CHECK(line.heat_shields == 1);
    CHECK(line.rated_pressure == Approx(400 * 6894.757).epsilon(1e-6));
    CHECK(line.rated_temperature == Approx(423.15));
    refused(transmission(
                "  { kind = \"hose\", name = \"line\", size = \"-6\", length = \"1 m\", end_bore "
                "= \"12 mm\" },\n"),
            5, "end_bore", "12 mm");
}

TEST_CASE("Every kind of fitting that is sold comes out as a loss with its laminar part") {
    const auto s = trial::read(transmission(
        R"(  { kind = "fitting", name = "coupling", fitting = "quick_disconnect", size = "-6", count = 2 },
  { kind = "barb", name = "ends", size = "-6", bore = "7 mm", count = 2 },
  { kind = "adapter", name = "step", size = "-8", to_diameter = "3/8 inch" },
  { kind = "orifice", name = "hole", bore = "4 mm" },
  { kind = "filter", name = "filter", flow = "8 L/min", pressure_loss = "12 kPa" },
  { kind = "valve", name = "tap", bore = "8 mm", opening = 0.5 },
  { kind = "check_valve", name = "one way", size = "-6", cracking_pressure = "20 kPa" },
)"));
    CHECK(part<model::Fitting>(s, "coupling").laminar_coefficient == 1500);
    CHECK(part<model::Fitting>(s, "coupling").count == 2);
    CHECK(part<model::Fitting>(s, "ends").diameter == Approx(7e-3));
    CHECK(part<model::Fitting>(s, "ends").what == "barb");
    CHECK(part<model::Fitting>(s, "step").diameter == Approx(0.0254 * 3 / 8));
    CHECK(part<model::Fitting>(s, "hole").loss_coefficient == Approx(2.7));
    CHECK(part<model::Restriction>(s, "filter").laminar_share == Approx(0.8));
    CHECK(part<model::Valve>(s, "tap").opening == 0.5);
    CHECK(part<model::CheckValve>(s, "one way").cracking_pressure == Approx(20e3));
}

TEST_CASE("A pump may be given by its curve, a thermostat by its stroke, a leak by efficiency") {
    const auto s = trial::read(R"([loops.coolant.runs.engine]
parts = [
  { kind = "pump", name = "water pump", reference_speed = "4000 rev/min", points = [["flow [L/min]", "pressure [kPa]"], [0, 180], [200, 140], [350, 60]], suction_head = "2 m", suction_head_flow = "200 L/min", inlet_bore = "38 mm" },
  { kind = "thermostat", name = "poppet", opens = "60 degC", full = "70 degC", seat = "30 mm", stroke = "7.5 mm", bleed = "3 mm" },
  { kind = "volume", name = "jacket", volume = "6 L", heat = ["engine_coolant"] },
]
[loops.steering.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "pump", displacement = "9.6 cm3/rev", controlled_flow = "8 L/min", relief_pressure = "85 bar", volumetric_efficiency = 0.9, rated_speed = "1000 rev/min", rated_pressure = "70 bar", rated_viscosity = "20 cP" },
  { kind = "volume", name = "gear", volume = "0.3 L", heat = ["steering_pump", "steering_gear"] },
  { kind = "hose", name = "return to cooler", dash = 6, length = "1 m" },
  { kind = "core", name = "cooler", core = "cooler.steering" },
  { kind = "volume", name = "reservoir", volume = "0.6 L" },
]
)");
    const auto& pump = part<model::Pump>(s, "water pump");
    REQUIRE(pump.points.size() == 3);
    CHECK(pump.points[1].pressure == Approx(140e3));
    CHECK(pump.suction.at_flow == 2);
    CHECK(pump.suction.still == 1);  // half, where the sheet does not say
    // A lift of a quarter of the seat opens the whole seat.
    const double circle = 3.14159265 / 4 * 0.03 * 0.03;
    CHECK(part<model::Thermostat>(s, "poppet").open_area == Approx(circle + 3.14159265 / 4 * 9e-6));
    // 10 % of 9.6 cm³/rev at 1000 rev/min through 70 bar and 20 cP.
    CHECK(part<model::FlowSource>(s, "pump").leakage ==
          Approx(0.1 * 9.6e-6 / 60 * 1000 * 0.02 / 70e5));
}

TEST_CASE("What cannot be plumbed is refused at the part, with its name") {
    refused(transmission("  { kind = \"hose\", name = \"line\", dash = 6, length = \"0 m\" },\n"),
            5, "length", "0 m");
    // A run that ends in the air.
    refused("[loops.coolant.runs.heater]\ncapped = false\nto = \"nowhere\"\n", 3, "",
            "run heater is not connected at its end nowhere");
    // A loop without a pump.
    refused(R"([loops.engine_oil.runs.circuit]
parts = [ { kind = "volume", name = "pan", volume = "5 L", heat = ["engine_oil"] } ]
)",
            2, "", "has no pump");
    CHECK_THAT(problems(R"([loops.engine_oil.runs.circuit]
parts = [ { kind = "volume", name = "pan", volume = "5 L", heat = ["engine_oil"] } ]
)")[0],
               !Contains("pumpless"));
    // A pump whose only way out is capped.
    refused(
        "[loops.coolant.runs.radiator]\ncapped = true\n[loops.coolant.runs.bypass]\ncapped = "
        "true\n",
        0, "", "deadhead: the pump in run engine has nowhere to deliver");
    // Or shut by hand.
    refused(R"([loops.engine_oil.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "oil pump", displacement = "14 cm3/rev" },
  { kind = "valve", name = "tap", bore = "10 mm", opening = 0 },
  { kind = "volume", name = "pan", volume = "5 L", heat = ["engine_oil"] },
]
)",
            4, "opening", "with tap shut, deadhead");
    // A cap that the radiator does not bear, or a hose does not.
    refused(
        "[cores.radiator]\nrated_pressure = \"13 psi\"\n[loops.coolant]\ncap_pressure = \"16 "
        "psi\"\n",
        4, "cap_pressure", "the core 'radiator' is rated for");
    refused(R"([loops.coolant]
cap_pressure = "20 psi"
[loops.coolant.runs.bypass]
parts = [ { kind = "hose", name = "bypass", size = "3/4 inch", length = "300 mm", rated_pressure = "1.2 bar" } ]
)",
            2, "cap_pressure", "the line 'bypass' is rated for");
    // A cap at a node that is not there.
    refused("[loops.coolant]\ncap_at = \"radiator_top\"\n", 2, "cap_at", "no node 'radiator_top'");
    // Sizes that cannot be.
    refused(
        transmission("  { kind = \"barb\", name = \"end\", size = \"-6\", bore = \"12 mm\" },\n"),
        5, "bore", "12 mm");
    refused(
        transmission("  { kind = \"hose\", name = \"l\", size = \"-6\", dash = 6, length = \"1 m\" "
                     "},\n"),
        5, "", "given beside");
    // A pump curve that rises with flow.
    refused(R"([loops.coolant.runs.engine]
parts = [
  { kind = "pump", name = "water pump", reference_speed = "4000 rev/min", points = [["flow [L/min]", "pressure [kPa]"], [0, 80], [200, 140]] },
  { kind = "volume", name = "jacket", volume = "6 L", heat = ["engine_coolant"] },
]
)",
            3, "", "pressure that grows with flow");
}

TEST_CASE("A coolant loop whose thermostat shuts needs a way round it, and a wax that is washed") {
    // Neither bleed nor bypass.
    const std::string tight = R"([loops.coolant.runs.radiator]
parts = [
  { kind = "thermostat", name = "thermostat", opens = "82 degC", full = "94 degC", bore = "32 mm", sensor = "jacket" },
  { kind = "core", name = "radiator", core = "radiator" },
]
)";
    refused(tight + "[loops.coolant.runs.bypass]\ncapped = true\n", 3, "bleed",
            "has nowhere to deliver");
    // A bypass, but the wax behind its own shut valve.
    refused(R"([loops.coolant.runs.radiator]
parts = [
  { kind = "thermostat", name = "thermostat", opens = "82 degC", full = "94 degC", bore = "32 mm" },
  { kind = "hose", name = "upper hose", inner_diameter = "1.5 inch", length = "400 mm" },
  { kind = "core", name = "radiator", core = "radiator" },
]
)",
            3, "sensor", "where nothing flows while it is shut");
    // With a bypass and the wax in the jacket, or with a bleed, it works.
    CHECK_NOTHROW(trial::read(tight));
}

TEST_CASE("A loop that takes heat has a way to give it off") {
    const std::string sealed = R"([loops.engine_oil.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "oil pump", displacement = "14 cm3/rev", relief_pressure = "450 kPa" },
  { kind = "volume", name = "pan", volume = "5 L", heat = ["engine_oil"], ambient_conductance = "0 W/K" },
]
)";
    // Linked to the coolant it has one.
    CHECK_NOTHROW(trial::read(sealed));
    CHECK_THAT(problems("links = []\n" + sealed)[0], Contains("no way to give it off"));
}

TEST_CASE("What a machine warms has its metal and its surface unless the file says otherwise") {
    const auto s = trial::read(R"([loops.engine_oil.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "oil pump", displacement = "14 cm3/rev", relief_pressure = "450 kPa" },
  { kind = "volume", name = "pan", volume = "5 L", heat = ["engine_oil"] },
  { kind = "volume", name = "filter", volume = "1 L" },
  { kind = "volume", name = "bare", volume = "1 L", metal_heat_capacity = "0 kJ/K", ambient_conductance = "0 W/K" },
]
)");
    CHECK(part<model::Volume>(s, "pan").metal_heat_capacity > 20e3);
    CHECK(part<model::Volume>(s, "pan").ambient_conductance > 3);
    CHECK(part<model::Volume>(s, "filter").metal_heat_capacity == 0);
    CHECK(part<model::Volume>(s, "filter").ambient_conductance ==
          Approx(10 * 6 * std::pow(1e-3, 2.0 / 3)).epsilon(0.01));
    CHECK(part<model::Volume>(s, "bare").ambient_conductance == 0);
    const auto said = [&](const std::string& key) {
        return std::any_of(s.assumptions.begin(), s.assumptions.end(),
                           [&](const auto& a) { return a.key.find(key) != std::string::npos; });
    };
    CHECK(said("metal_heat_capacity"));
    CHECK(said("ambient_conductance"));
}

TEST_CASE("What is possible but unwise is a warning that names the part") {
    const auto warned = [](const std::string& changes, Code code) {
        INFO(changes);
        const scenario::Scenario s = trial::read(changes);
        const auto model = model::compile(s.car);
        bool found = false, told = false;
        for (const Diagnostic& d : model::warnings(*model)) found = found || d.code == code;
        for (const scenario::Problem& p : s.warnings)
            told = told || (p.said && p.said->code == code && p.place.line > 0 &&
                            p.found == words(*p.said, units::System::si));
        CHECK(found);
        CHECK(told);
    };
    warned("[loops.coolant]\ncap_pressure = \"0 psi\"\n", Code::no_cap);
    warned("[loops.coolant]\nexpansion_volume = \"0 L\"\n", Code::no_expansion_volume);
    CHECK(model::warnings(*model::compile(trial::read("").car)).empty());
}

namespace {

/// The demo car's rear placement with each loop under another name, and its role said.
scenario::Scenario renamed() {
    scenario::Problems problems;
    scenario::Document d = scenario::load(
        std::string(LAPHEAT_SOURCE_DIR) + "/scenarios/placements/rear.toml", problems);
    const std::pair<const char*, const char*> names[] = {{"coolant", "water"},
                                                         {"transmission", "gear_oil"},
                                                         {"steering", "rack"},
                                                         {"engine_oil", "lube"}};
    for (const auto& [role, name] : names) d = d.with(std::string("loops.") + role + ".role", role);
    const auto other_name = [&](const std::string& loop) {
        for (const auto& [role, name] : names)
            if (loop == role) return std::string(name);
        return loop;
    };
    for (auto& entry : d.root.find("loops")->entries) entry.key = other_name(entry.key);
    for (auto& fan : d.root.find("fans")->entries)
        if (auto* switches = fan.value.find("switches"))
            for (auto& item : switches->items)
                item.find("loop")->text = other_name(item.find("loop")->text);
    for (auto& link : d.root.find("links")->items)
        for (const char* side : {"first_loop", "second_loop"})
            link.find(side)->text = other_name(link.find(side)->text);
    return scenario::read(d, std::string(LAPHEAT_SOURCE_DIR) + "/scenarios/placements");
}

}  // namespace

TEST_CASE("Loops may be called anything: their roles decide limits, seals and what a fault means") {
    const auto named = trial::read("", "rear");
    auto other = renamed();
    REQUIRE(other.car.loops.size() == named.car.loops.size());
    for (std::size_t i = 0; i < other.car.loops.size(); ++i) {
        const model::Loop &a = other.car.loops[i], &b = named.car.loops[i];
        INFO(a.name);
        CHECK(a.name != b.name);
        CHECK(a.role == b.role);
        CHECK(a.role != model::LoopRole::other);
        CHECK(a.limits.limit == b.limits.limit);
        CHECK(a.limits.caution == b.limits.caution);
        CHECK(a.limits.note == b.limits.note);
        CHECK(a.return_limit == b.return_limit);
    }
    // A fault that names no loop is of the coolant; one of the steering's belt slows the pump that
    // makes the heat.
    model::Fault low;
    low.kind = model::FaultKind::coolant_low;
    low.amount = 0.2;
    CHECK(model::with_faults(
              [&] {
                  other.car.faults = {low};
                  return other.car;
              }(),
              0)
              .loops[0]
              .liquid_share == Approx(0.8));
    model::Fault slip;
    slip.kind = model::FaultKind::belt_slip;
    slip.loop = "rack";
    slip.amount = 0.5;
    other.car.faults = {slip};
    CHECK(model::with_faults(other.car, 0).steering.speed_ratio ==
          Approx(0.5 * named.car.steering.speed_ratio));
}

TEST_CASE("The steering pump is stated once: a part of it takes what [steering] says") {
    const auto s = trial::read("[steering]\npump_displacement = \"11 cm3/rev\"\n", "rear");
    const auto& pump = part<model::FlowSource>(s, "pump");
    CHECK(pump.displacement == s.car.steering.displacement);
    CHECK(pump.displacement == Approx(11e-6 / (2 * 3.14159265358979)));
    CHECK(pump.speed_ratio == s.car.steering.speed_ratio);
    CHECK(pump.maximum_flow == s.car.steering.controlled_flow);
    CHECK(pump.relief_pressure == s.car.steering.relief_pressure);
    CHECK(problems(
              "[loops.steering.runs.circuit.parts]\npump = { relief_pressure = \"85 bar\" }\n") ==
          std::vector<std::string>{"none"});
    const auto found =
        problems("[loops.steering.runs.circuit.parts]\npump = { relief_pressure = \"90 bar\" }\n");
    REQUIRE(found.size() == 1);
    CHECK_THAT(found.front(), Contains("relief_pressure"));
    // Stated anew and otherwise, it is told.
    const auto twice = trial::read(
        "[loops.steering.runs.circuit.parts]\n"
        "pump = { replace = true, kind = \"displacement_pump\", name = \"pump\", "
        "displacement = \"9.6 cm3/rev\", speed_ratio = 1.0 }\n",
        "rear");
    CHECK(std::any_of(twice.warnings.begin(), twice.warnings.end(), [](const auto& w) {
        return w.expected == "the pump that [steering] states";
    }));
}

TEST_CASE(
    "Nonsense is refused where it is read: a start, a limit, a link, a part that is not there") {
    const auto first = [](const std::string& changes) { return problems(changes).front(); };
    using Catch::Contains;
    CHECK_THAT(first("[loops.transmission]\nwarm_start = \"80 K\"\n"),
               Contains("2: loops.transmission.warm_start"));
    CHECK_THAT(first("[loops.transmission]\nwarm_start = \"800 degC\"\n"),
               Contains("2: loops.transmission.warm_start"));
    CHECK_THAT(first("[loops.transmission]\nlimits = { part = \"nope\" }\n"),
               Contains("2: loops.transmission.limits.part") && Contains("nope"));
    CHECK_THAT(first("[loops.transmission.limits]\nlimit = \"100 degC\"\ncaution = \"120 degC\"\n"),
               Contains("3: loops.transmission.limits.caution"));
    const auto s = trial::read("[loops.transmission.limits]\nlimit = \"100 degC\"\n");
    const auto cooler = std::find_if(s.car.loops.begin(), s.car.loops.end(),
                                     [](const model::Loop& l) { return l.name == "transmission"; });
    REQUIRE(cooler != s.car.loops.end());
    CHECK(cooler->limits.limit == Approx(373.15));
    CHECK(cooler->limits.caution <= cooler->limits.limit);
    CHECK_THAT(first("[[links]]\nfirst_loop = \"coolant\"\nfirst_part = \"jacket\"\nsecond_loop = "
                     "\"coolant\"\nsecond_part = \"jacket\"\n"),
               Contains("5: links[1].second_part"));
    // Speeds of which tables of a lap would fill all memory.
    CHECK_THAT(first("[engine]\nredline = \"1e12 rev/min\"\n"), Contains("2: engine.redline"));
    CHECK_THAT(first("[gearbox]\nratios = [2.84, 1e-9]\n"), Contains("2: gearbox.ratios"));
    // A name of a part is told where it stands, not where the table of another file begins.
    CHECK_THAT(
        first("[fans.radiator_left]\nswitches = [ { loop = \"coolant\", part = \"nope\", on = "
              "\"93 degC\", off = \"87 degC\" } ]\n"),
        Contains("2: part") && Contains("'nope'"));
}

TEST_CASE("What a run would refuse is refused when it is read, at its line, all of it") {
    const std::vector<std::string> found = problems(
        "[gearbox]\ncooler_pressure = \"1 Pa\"\n[steering]\nrelief_pressure = \"90 Pa\"\n");
    REQUIRE(found.size() == 2);
    CHECK_THAT(found[0], Catch::Contains("2: gearbox.cooler_pressure"));
    CHECK_THAT(found[1], Catch::Contains("4: steering.relief_pressure"));
    // Every number of these tables that can be read at its smallest and largest power of ten is
    // either driven or refused at reading: nothing is left for the run.
    std::size_t driven = 0;
    for (const char* key : {"gearbox.cooler_flow", "gearbox.cooler_idle_flow", "steering.pump_flow",
                            "steering.pump_displacement", "engine.displacement",
                            "engine.idle_speed", "vehicle.mass", "vehicle.tyre_radius"})
        for (const char* value : {"1e-9", "1e9"}) {
            const std::string name(key);
            const std::size_t point = name.find('.');
            const std::string unit = name.find("flow") != std::string::npos    ? " L/min"
                                     : name.find("speed") != std::string::npos ? " rev/min"
                                     : name == "vehicle.mass"                  ? " kg"
                                     : name == "vehicle.tyre_radius"           ? " m"
                                     : name == "engine.displacement"           ? " L"
                                                                               : " cm3/rev";
            const std::string text = "[" + name.substr(0, point) + "]\n" + name.substr(point + 1) +
                                     " = \"" + value + unit + "\"\n";
            const std::string told = problems(text).front();
            INFO(key << " = " << value << unit << ": " << told);
            if (told == "none") {
                ++driven;
                const model::Result r =
                    model::simulate(*model::compile(trial::read(text).car), drive::steady(20, 60));
                CHECK(r.ledger.closure < 1e-6);
                for (const model::Verdict& v : r.verdicts) CHECK(std::isfinite(v.margin));
            } else  // that key, or what it must agree with
                CHECK_THAT(told, Catch::Contains("." + name.substr(point + 1).substr(0, 6)));
        }
    CHECK(driven > 0);
    CHECK(driven < 16);
}
