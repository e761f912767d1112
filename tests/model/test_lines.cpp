// Lines, valves and pumps in the whole car: what they do to flow, temperature and pressure.
#include <catch2/catch.hpp>

#include "../scenario/trial.hpp"
#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

const LineState& line(const Result& r, const std::string& name) {
    for (const LineState& l : r.lines)
        if (l.part == name) return l;
    throw Error("no line " + name);
}

const PumpState& pump(const Result& r, const std::string& name) {
    for (const PumpState& p : r.pumps)
        if (p.pump == name) return p;
    throw Error("no pump " + name);
}

Result drive_on(const Car& car, double speed, double duration, double altitude = 300,
                double ambient = 311.15) {
    drive::Surroundings s = hot_day;
    s.altitude = altitude;
    s.ambient = ambient;
    return run(car, drive::steady(speed, duration, s));
}

const std::string sump =
    "  { kind = \"volume\", name = \"sump\", volume = \"6 L\", heat = [\"gears\", "
    "\"gearbox_case\"], "
    "metal_heat_capacity = \"36 kJ/K\", ambient_conductance = \"9 W/K\" },\n]\n";
const std::string feed =
    "parts = [\n  { kind = \"cooler_feed\", name = \"feed\" },\n  { kind = \"volume\", name = "
    "\"converter\", volume = \"4 L\", heat = [\"converter\"] },\n";

/// A tank cooler and the combined cooler in one run, in either order.
Car both_coolers(bool tank_first) {
    const std::string tank = "  { kind = \"core\", name = \"tank\", core = \"tank_cooler\" },\n",
                      outer =
                          "  { kind = \"hose\", name = \"out\", size = \"-6\", length = \"0.7 m\" "
                          "},\n  { kind = \"core\", name = \"cooler\", core = "
                          "\"cooler.transmission\" },\n  { kind = \"hose\", name = \"back\", "
                          "size = \"-6\", length = \"0.7 m\" },\n";
    return trial::read(R"([cores.tank_cooler]
kind = "tank_plate"
fluid = "atf"
second_fluid = "coolant"
length = "280 mm"
plate_width = "36 mm"
plates = 4
oil_height = "2.5 mm"
tank_width = "50 mm"
tank_depth = "55 mm"
turbulator_fins = "14 1/inch"
[fans.cooler_fan]
switches = [ { loop = "transmission", part = "sump", on = "85 degC", off = "77 degC" } ]
[loops.coolant.runs.radiator]
parts = [
  { kind = "thermostat", name = "thermostat", opens = "82 degC", full = "94 degC", bore = "32 mm", bleed = "3 mm", sensor = "jacket" },
  { kind = "core", name = "radiator", core = "radiator" },
  { kind = "core", name = "outlet tank", core = "tank_cooler", second_side = true },
  { kind = "hose", name = "lower hose", inner_diameter = "1.75 inch", length = "550 mm" },
]
[loops.transmission.runs.cooler]
)" + feed + (tank_first ? tank + outer : outer + tank) +
                       sump)
        .car;
}

}  // namespace

TEST_CASE("every network of every run is solved as far as steps ask, and the result says so") {
    for (const std::string& placement : placements) {
        const Car car = demo_car(placement);
        const Result r = run(car, demo_cycle("traffic", car.vehicle));
        CHECK(r.cost.network_failures == 0);
        CHECK(r.cost.network_residual > 0);
        CHECK(r.cost.network_residual <= 1e-6);  // what flows held over a step are solved to
    }
}

TEST_CASE("the fluid returns colder when the air cooler comes last than when the tank does") {
    const Result tank_first = drive_on(both_coolers(true), 30, 1200);
    const Result tank_last = drive_on(both_coolers(false), 30, 1200);
    const auto end = [](const Result& r, const char* part) {
        return series(r, std::string("loops/transmission/") + part, "temperature").back();
    };
    // In either order both take part; what comes last sets what returns to the sump.
    CHECK(end(tank_first, "back") < end(tank_last, "tank"));
}

TEST_CASE("a thermal bypass keeps cold fluid out of the cooler and lets warm fluid in") {
    const Car car = trial::read(R"([start]
warm = false
[loops.transmission.runs.supply]
from = "pan"
to = "tee"
)" + feed + R"(]
[loops.transmission.runs.cooler]
from = "tee"
to = "return"
parts = [
  { kind = "thermostat", name = "cooler gate", opens = "75 degC", full = "85 degC", bore = "9 mm", bleed = "1 mm", sensor = "converter" },
  { kind = "hose", name = "supply hose", size = "-6", length = "0.7 m" },
  { kind = "core", name = "cooler", core = "cooler.transmission" },
]
[loops.transmission.runs.bypass]
from = "tee"
to = "return"
parts = [
  { kind = "thermostat", name = "bypass gate", opens = "75 degC", full = "85 degC", bore = "9 mm", sensor = "converter", closes_when_hot = true },
  { kind = "hose", name = "short way", size = "-6", length = "0.1 m" },
]
[loops.transmission.runs.return]
from = "return"
to = "pan"
parts = [
)" + sump)
                        .car;
    const Result r = drive_on(car, 30, 2400, 300, 311.15);
    const auto& through = series(r, "loops/transmission/cooler", "mass_flow");
    const auto& past = series(r, "loops/transmission/bypass", "mass_flow");
    CHECK(through[60] < 0.1 * past[60]);
    const auto hottest = static_cast<std::size_t>(std::max_element(through.begin(), through.end()) -
                                                  through.begin());
    CHECK(celsius(series(r, "loops/transmission/converter", "temperature")[hottest]) > 75);
    CHECK(through[hottest] > past[hottest]);
}

TEST_CASE("a heater valve sets the heater's share and a shut one stops it, the rest runs on") {
    const auto with = [](double opening) {
        return drive_on(trial::read(R"([loops.coolant.runs.heater]
capped = false
parts = [
  { kind = "valve", name = "heater valve", bore = "12 mm", opening = )" +
                                    std::to_string(opening) + R"( },
  { kind = "hose", name = "heater hose", size = "5/8 inch", length = "2.4 m", bends = 4 },
  { kind = "restriction", name = "heater core", flow = "10 L/min", pressure_loss = "8 kPa" },
])")
                            .car,
                        25, 300);
    };
    const auto flow = [](const Result& r, const char* run) {
        return series(r, std::string("loops/coolant/") + run, "mass_flow").back();
    };
    const Result open = with(1), half = with(0.3), shut = with(0);
    CHECK(flow(shut, "heater") == 0);
    CHECK(flow(half, "heater") > 0);
    CHECK(flow(open, "heater") > flow(half, "heater"));
    CHECK(flow(shut, "radiator") > 0);
    CHECK(shut.ledger.closure < 1e-9);
}

TEST_CASE("a vent line past the radiator carries a trickle, set by its hole") {
    const Result r = drive_on(trial::read(R"([loops.coolant.runs.vent]
from = "engine_outlet"
to = "pump_inlet"
parts = [
  { kind = "orifice", name = "vent hole", bore = "3 mm" },
  { kind = "hose", name = "vent hose", size = "5/16 inch", length = "0.9 m", bends = 2 },
  { kind = "volume", name = "header tank", volume = "1.5 L", ambient_conductance = "1.5 W/K" },
])")
                                  .car,
                              25, 300);
    const double vent = series(r, "loops/coolant/vent", "mass_flow").back();
    CHECK(vent > 0);
    CHECK(vent < 0.1 * series(r, "loops/coolant/engine", "mass_flow").back());
    CHECK(line(r, "vent hole").pressure_loss > 5 * line(r, "vent hose").pressure_loss);
}

TEST_CASE(
    "an electric pump with its own curve runs on after the engine stops, and cools the jacket") {
    const auto standing = [](bool after_run) {
        const Car car =
            trial::read(
                R"([loops.coolant.runs.engine]
parts = [
  { kind = "pump", name = "water pump", reference_speed = "5000 rev/min", electric_speed = "4500 rev/min", after_run = )" +
                std::string(after_run ? "true" : "false") +
                R"(, points = [["flow [L/min]", "pressure [kPa]"], [0, 60], [60, 45], [110, 10]] },
  { kind = "restriction", name = "jacket passages", flow = "150 L/min", pressure_loss = "25 kPa" },
  { kind = "volume", name = "jacket", volume = "6.5 L", heat = ["engine_coolant"], wall_heat_capacity = "62 kJ/K", wall_conductance = "2600 W/K", wall_flow = "2.0 kg/s" },
])")
                .car;
        return run(car, drive::soak(1200, hot_day));
    };
    const Result runs = standing(true), stops = standing(false);
    CHECK(series(runs, "loops/coolant/engine", "mass_flow").back() > 0.3);
    CHECK(series(stops, "loops/coolant/engine", "mass_flow").back() == Approx(0).margin(1e-3));
    CHECK(series(runs, "loops/coolant/jacket", "temperature").back() <
          series(stops, "loops/coolant/jacket", "temperature").back());
    CHECK(runs.ledger.closure < 1e-9);
}

TEST_CASE("two pumps in series on a loop: both give pressure, and each one's work is counted") {
    Car car = trial::read(R"([loops.coolant.runs.radiator]
parts = [
  { kind = "thermostat", name = "thermostat", opens = "60 degC", full = "70 degC", bore = "32 mm", bleed = "3 mm", sensor = "jacket" },
  { kind = "pump", name = "booster", reference_speed = "5000 rev/min", electric_speed = "5000 rev/min", shut_off_pressure = "30 kPa", free_flow = "300 L/min" },
  { kind = "core", name = "radiator", core = "radiator" },
  { kind = "hose", name = "lower hose", inner_diameter = "1.75 inch", length = "550 mm", bends = 2 },
])")
                  .car;
    const Result r = drive_on(car, 25, 300);
    const auto flow = [](const Result& result, const char* run) {
        return series(result, std::string("loops/coolant/") + run, "mass_flow").back();
    };
    // Fluid power over efficiency: all of what a shaft gives ends as heat in the fluid. By then the
    // speed is steady, and each pump's rise its highest.
    const auto shaft = [&](const char* name, const char* run) {
        return pump(r, name).pressure_rise_peak * flow(r, run) / 1030 /
               std::get<Pump>(part(car, "coolant", name).body).efficiency;
    };
    const double booster = shaft("booster", "radiator"), water_pump = shaft("water pump", "engine");
    CHECK(booster > 20);
    CHECK(water_pump > 20);
    CHECK(entry(r, "pump work of coolant") == Approx(300 * (booster + water_pump)).epsilon(0.05));
    CHECK(r.ledger.closure < 1e-9);
    // Standing still it only resists.
    std::get<Pump>(part(car, "coolant", "booster").body).electric_speed = 1;
    CHECK(flow(drive_on(car, 25, 300), "radiator") < 0.9 * flow(r, "radiator"));
}

TEST_CASE("an oil cooler behind its filter takes the engine oil's heat to the air") {
    const Car plain = demo_car("under_floor");
    const Car cooled = trial::read(R"([cores.oil_cooler]
kind = "bar_plate"
fluid = "oil"
width = "250 mm"
height = "120 mm"
depth = "38 mm"
liquid_fin_height = "2.5 mm"
air_fin_height = "7 mm"
passages = 11
liquid_fins = "14 1/inch"
air_fins = "13 1/inch"
[air.front]
stack = [
  { core = "oil_cooler", offset_y = "-140 mm" },
  { heat = "condenser", width = "560 mm", height = "360 mm", pressure_loss = "45 Pa" },
  { core = "radiator" },
]
[loops.engine_oil.runs.circuit]
parts = [
  { kind = "displacement_pump", name = "oil pump", displacement = "14 cm3/rev", speed_ratio = 0.5, relief_pressure = "450 kPa" },
  { kind = "filter", name = "oil filter", flow = "30 L/min", pressure_loss = "30 kPa" },
  { kind = "hose", name = "to oil cooler", size = "-10", length = "0.8 m", bends = 2 },
  { kind = "core", name = "oil cooler", core = "oil_cooler" },
  { kind = "hose", name = "from oil cooler", size = "-10", length = "0.8 m", bends = 2 },
  { kind = "restriction", name = "bearings", flow = "30 L/min", pressure_loss = "350 kPa", laminar_share = 0.7 },
  { kind = "volume", name = "pan", volume = "5.5 L", heat = ["engine_oil"], metal_heat_capacity = "48 kJ/K", ambient_conductance = "8 W/K", ambient_speed_gain = 2.5, surroundings = "under_floor" },
])")
                           .car;
    const drive::Cycle climb = drive::climb(28, 900, 0.06, 0, hot_day);
    CHECK(verdict(run(cooled, climb), "engine_oil").peak <
          verdict(run(plain, climb), "engine_oil").peak - 4);  // the block takes its share
}

TEST_CASE(
    "an oil pump's relief valve opens when thick oil asks more than it holds, and is told once") {
    Car car = demo_car("under_floor");
    car.start_warm = false;
    std::get<FlowSource>(part(car, "engine_oil", "oil pump").body).relief_pressure = 150e3;
    const Result r = drive_on(car, 25, 300, 300, 263.15);
    CHECK(pump(r, "oil pump").time_relieving > 10);
    CHECK(pump(r, "oil pump").pressure_rise_peak < 1.2 * 150e3);
    CHECK(events(r, EventKind::relief_opens_first).size() == 1);
}

TEST_CASE("barbed ends with a narrow bore cost flow") {
    const auto flow = [](double bore) {
        Car car = demo_car("rear");
        for (const char* hose : {"supply hose", "return hose"})
            std::get<Line>(part(car, "transmission", hose).body).end_bore = bore;
        return verdict(drive_on(car, 30, 300), "transmission").flow;
    };
    CHECK(flow(0.004) < 0.99 * flow(0.007));
    CHECK(flow(0.007) < flow(0));
}

TEST_CASE("a water pump keeps its suction head under a cap and loses it open on a mountain") {
    Car capped = demo_car("under_floor");
    Car open = capped;
    for (Loop& loop : open.loops)
        if (loop.name == "coolant") loop.cap_pressure = 0;
    const Result with = drive_on(capped, 30, 900, 3000), without = drive_on(open, 30, 900, 3000);
    CHECK(pump(with, "water pump").suction_margin > pump(without, "water pump").suction_margin);
    CHECK(pump(with, "water pump").inlet_pressure > pump(without, "water pump").inlet_pressure);
    // A pump that asks for a lot of head is caught at it, as an event and as a warning.
    std::get<Pump>(part(open, "coolant", "water pump").body).suction = {4, 8, 2e-3, 0.04};
    const Result starved = drive_on(open, 30, 900, 3000);
    CHECK(pump(starved, "water pump").suction_margin < 0);
    CHECK(pump(starved, "water pump").time_cavitating > 0);
    CHECK_FALSE(events(starved, EventKind::pump_cavitates).empty());
    const Diagnostic* told = warning(starved, Code::pump_cavitates, "coolant");
    REQUIRE(told);
    CHECK(told->names == std::vector<std::string>{"water pump"});
    const PumpState& state = pump(starved, "water pump");
    CHECK(told->values.at(0).si == state.time_cavitating);
    CHECK(told->values.at(1).si == state.suction_available);
    CHECK(told->values.at(2).si == state.suction_required);
}

TEST_CASE("under a closed cap the pressure rises with the coolant, and a small tank spills") {
    const Car car = demo_car("under_floor");
    const Result r = drive_on(car, 30, 900);
    const auto& p = series(r, "loops/coolant", "pressure");
    CHECK(p.back() > 1.05e5);
    CHECK(p.back() <= 98e3 + 16 * 6894.8);
    Car small = car;
    for (Loop& loop : small.loops) loop.expansion_volume = 1e-4;
    small.start_warm = false;
    const Result spilt = drive_on(small, 30, 1800);
    CHECK_FALSE(events(spilt, EventKind::liquid_pushed_out).empty());
}

TEST_CASE("losses of the parts of a run add up to what its pump gives") {
    const Car car = demo_car("rear");
    const Result r = drive_on(car, 30, 600);
    double share = 0;
    for (const LineState& l : r.lines)
        if (l.loop == "steering") share += l.share;
    CHECK(share == Approx(1).epsilon(1e-6));
    const LineState& hose = line(r, "supply hose");
    CHECK(hose.length == Approx(3.2));
    CHECK(hose.velocity == Approx(hose.flow / (3.14159265 / 4 * 0.009525 * 0.009525)));
    const auto loop = std::find_if(car.loops.begin(), car.loops.end(),
                                   [](const Loop& l) { return l.name == "transmission"; });
    const double kelvin = series(r, "loops/transmission/supply_hose_1_6", "temperature").back();
    CHECK(hose.reynolds ==
          Approx(hose.velocity * 0.009525 / loop->fluid.at(kelvin).kinematic_viscosity())
              .epsilon(0.02));
    CHECK(hose.pressure_loss_peak >= hose.pressure_loss);
    CHECK(verdict(r, "steering").return_pressure > 0);
}

TEST_CASE("bends cost cold oil more of its flow than hot oil, for their loss is partly laminar") {
    const auto flows = [](double bends, double start) {
        Car car = demo_car("rear");
        for (const char* hose : {"supply hose", "return hose"})
            std::get<Line>(part(car, "transmission", hose).body).bends = bends;
        car.start_temperature = start;
        car.start_warm = false;
        drive::Surroundings cold = hot_day;
        cold.ambient = std::min(start, 311.15);
        return run(car, drive::idle(20, drive::Selector::drive, cold));
    };
    const auto bends_loss = [&](double start) {
        const Result straight = flows(0, start), bent = flows(12, start);
        const double with = line(bent, "supply hose").pressure_loss,
                     without = line(straight, "supply hose").pressure_loss;
        const double head = std::pow(line(bent, "supply hose").velocity, 2);
        return (with / line(bent, "supply hose").flow -
                without / line(straight, "supply hose").flow) *
               line(bent, "supply hose").flow / head;
    };
    // In velocity heads: K + K1/Re grows as the oil thickens.
    CHECK(bends_loss(263.15) > 3 * bends_loss(353.15));
}

TEST_CASE("a line beside the exhaust takes up heat that a shield keeps off") {
    const auto peak = [](double view, int shields) {
        Car car = demo_car("rear");
        auto& hose = std::get<Line>(part(car, "transmission", "supply hose").body);
        hose.exhaust_view = view;
        hose.heat_shields = shields;
        const Result r = run(car, drive::climb(28, 900, 0.06, 0, hot_day));
        CHECK(r.ledger.closure < 1e-9);
        return series(r, "loops/transmission/supply_hose_6_6", "temperature").back();
    };
    const double away = peak(0, 0), beside = peak(0.3, 0), shielded = peak(0.3, 1);
    CHECK(beside > away + 0.1);
    CHECK(shielded < away + 0.3 * (beside - away));
}

TEST_CASE("what comes back from the rear is late by the time its line takes to pass") {
    const auto lag = [](const std::string& placement) {
        Car car = demo_car(placement);
        car.start_warm = false;
        // The cooler's way stands open from the start.
        for (const char* valve : {"thermal bypass valve", "thermal bypass disc"})
            std::get<Thermostat>(part(car, "transmission", valve).body).stuck = 1;
        const Result r = drive_on(car, 25, 900, 300, 293.15);
        const auto& t = series(r, "loops/transmission/cooler", "temperature");
        const std::string last = placement == "rear" ? "return_hose_6_6" : "return_hose";
        const auto& back = series(r, "loops/transmission/" + last, "temperature");
        // When the cooler's outlet and the line's end have each risen by ten kelvin.
        const auto when = [&](const std::vector<double>& v) {
            std::size_t i = 0;
            while (i < v.size() && v[i] < 303.15) ++i;
            return r.time[std::min(i, r.time.size() - 1)];
        };
        return when(back) - when(t);
    };
    CHECK(lag("rear") > lag("under_floor") + 1);
}

TEST_CASE("a line that runs too fast or above its rating is named in the warnings") {
    Car car = demo_car("under_floor");
    auto& hose = std::get<Line>(part(car, "transmission", "supply hose").body);
    hose.inner_diameter = 0.0045;
    hose.rated_temperature = 320;
    hose.rated_pressure = 1e4;
    const Result r = drive_on(car, 30, 600);
    const auto values = [&](Code code) {
        const Diagnostic* told = warning(r, code, "transmission");
        REQUIRE(told);
        CHECK(told->names.at(0) == "supply hose");
        return told->values;
    };
    const auto speed = values(Code::cooler_line_fast), hot = values(Code::part_too_hot),
               pressed = values(Code::part_over_pressure);
    CHECK(speed.at(0).si > speed.at(1).si);
    CHECK(speed.at(2).si > 0.0045);  // the bore that would do
    CHECK(hot.at(0).si > 320);
    CHECK(hot.at(1).si == 320);
    CHECK(pressed.at(0).si > 1e4);
    CHECK(pressed.at(1).si == 1e4);
}
