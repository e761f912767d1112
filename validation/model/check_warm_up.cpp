// Warm-up against nine measured drives of a diesel car (validation/drives/README.md). Ours are
// other cars, with petrol engines, so the bands are wide and nothing was fitted: each drive's speed
// and ambient are driven from the coolant that it began with, and the times are put side by side.
#include <algorithm>
#include <fstream>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>
#include <sstream>

#include "check.hpp"

using namespace lapheat;
using validation::check;

namespace {

const std::filesystem::path root = LAPHEAT_SOURCE_DIR;
constexpr double zero = 273.15;

struct Drive {
    std::vector<double> time, speed, coolant, ambient;  ///< s, m/s, K, K
};

Drive read_drive(int number) {
    std::ifstream in(root / "validation" / "drives" / ("drive_" + std::to_string(number) + ".csv"));
    REQUIRE(in);
    std::string line;
    std::getline(in, line);
    REQUIRE(line == "time [s],speed [km/h],coolant [degC],ambient [degC],engine_speed [rev/min]");
    Drive d;
    while (std::getline(in, line)) {
        std::replace(line.begin(), line.end(), ',', ' ');
        std::istringstream row(line);
        double time = 0, speed = 0, coolant = 0, ambient = 0;
        REQUIRE(row >> time >> speed >> coolant >> ambient);
        d.time.push_back(time);
        d.speed.push_back(speed / 3.6);
        d.coolant.push_back(coolant + zero);
        d.ambient.push_back(ambient + zero);
    }
    return d;
}

model::Volume& volume(model::Car& car, const std::string& name) {
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs)
            for (model::Part& part : run.parts)
                if (auto* v = std::get_if<model::Volume>(&part.body); v && part.name == name)
                    return *v;
    throw Error("no volume \"" + name + "\"");
}

/// The invented car of the scenarios with its large engine.
model::Car large_car() {
    model::Car car = scenario::read(root / "scenarios" / "placements" / "under_floor.toml").car;
    car.start_warm = false;
    return car;
}

/// The same with an invented 2.0 L four and its metal and fluids by size.
model::Car small_car() {
    model::Car car = large_car();
    car.vehicle.mass = 1500;
    car.vehicle.drag_coefficient = 0.32;
    car.vehicle.engine = drive::engine_from_peaks(190, 420, 105e3, 600, 660, 80, 2.0e-3);
    car.engine = heat::engine_model(2.0e-3, 4, 190);
    const heat::EngineLumps l = heat::engine_lumps(car.engine, true);
    model::Volume& jacket = volume(car, "jacket");
    jacket.volume = l.jacket_volume;
    jacket.wall_heat_capacity = l.jacket_metal;
    jacket.wall_conductance = l.wall_conductance;
    jacket.wall_flow = l.wall_flow;
    jacket.static_conductance = l.still_conductance;
    model::Volume& pan = volume(car, "pan");
    pan.volume = l.oil_volume;
    pan.metal_heat_capacity = l.oil_metal;
    for (model::Link& link : car.links) link.conductance.value = l.oil_to_coolant;
    return car;
}

/// Opens the heater's run and gives it a core that sheds some 5 kW at 70 K (common practice).
model::Car with_heater(model::Car car) {
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs) {
            if (run.name != "heater") continue;
            run.closed = false;
            model::Part core;
            core.name = "heater core";
            model::Volume v;
            v.volume = 0.6e-3;
            v.metal_heat_capacity = 1e3;
            v.ambient_conductance = 70;
            v.surroundings = model::Surroundings::outside;
            core.body = v;
            run.parts.push_back(core);
            model::Part loss;
            loss.name = "heater loss";
            model::Restriction r;
            r.flow = 10.0 / 60e3;
            r.pressure_loss = 8e3;
            loss.body = r;
            run.parts.push_back(loss);
        }
    return car;
}

/// Seconds between the first passages of two temperatures; negative if not reached.
double between(const std::vector<double>& time, const std::vector<double>& kelvin, double from,
               double to) {
    double begin = -1;
    for (std::size_t i = 0; i < time.size(); ++i) {
        if (begin < 0 && kelvin[i] >= from) begin = time[i];
        if (kelvin[i] >= to) return time[i] - begin;
    }
    return -1;
}

struct Run {
    std::vector<double> time, coolant;
};

Run driven(model::Car car, const Drive& d) {
    car.start_temperature = d.coolant.front();
    drive::Cycle cycle = drive::make_cycle("measured drive", d.time, d.speed);
    cycle.ambient = d.ambient;
    const model::Result result = model::simulate(*model::compile(car), cycle);
    const model::Series* s = result.find("loops/coolant", "watched_temperature");
    REQUIRE(s != nullptr);
    return {result.time, s->values};
}

std::string seconds(double s) { return s < 0 ? "never" : std::to_string(std::lround(s)) + " s"; }

const char* const source =
    "M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology 2023, doi "
    "10.35097/1130 (CC BY 4.0)";

}  // namespace

TEST_CASE("coolant warms up on nine measured drives in the measured time, within another car's") {
    const model::Car small = small_car(), large = large_car();
    const model::Car small_heated = with_heater(small), large_heated = with_heater(large);
    const double from = 40 + zero, to = 70 + zero, near_thermostat = 80 + zero;
    double measured_all = 0, ours_all = 0, large_all = 0;
    for (int n = 1; n <= 9; ++n) {
        const Drive d = read_drive(n);
        const double measured = between(d.time, d.coolant, from, to);
        REQUIRE(measured > 0);
        // In winter people heat; whether this car's heater ran is not known.
        const bool winter = d.ambient.front() < 10 + zero;
        const Run off = driven(small, d), on = driven(small_heated, d);
        const Run big_off = driven(large, d), big_on = driven(large_heated, d);
        const auto time_of = [&](const Run& run, double end) {
            return between(run.time, run.coolant, from, end);
        };
        const double ours = time_of(winter ? on : off, to);
        measured_all += measured;
        ours_all += ours;
        large_all += time_of(winter ? big_on : big_off, to);
        check({.topic = "Warm-up",
               .quantity = "coolant from 40 to 70 degC, drive " + std::to_string(n) + ", air at " +
                           std::to_string(std::lround(d.ambient.front() - zero)) + " degC",
               .source = source,
               .published = measured,
               .ours = ours,
               .unit = "s",
               // Another car: from half to twice the time.
               .absolute = ours < measured ? 0.5 * measured : measured,
               .note = std::string("invented 2.0 L petrol car, heater ") + (winter ? "on" : "off") +
                       "; heater off " + seconds(time_of(off, to)) + ", on " +
                       seconds(time_of(on, to)) + "; invented 6.0 L car off " +
                       seconds(time_of(big_off, to)) + ", on " + seconds(time_of(big_on, to)) +
                       "; to 80 degC, where thermostats part, measured " +
                       seconds(between(d.time, d.coolant, from, near_thermostat)) + ", ours " +
                       seconds(time_of(winter ? on : off, near_thermostat))});
    }
    check({.topic = "Warm-up",
           .quantity = "coolant from 40 to 70 degC, sum of nine drives",
           .source = source,
           .published = measured_all,
           .ours = ours_all,
           .unit = "s",
           .absolute = 0.5 * measured_all,
           .note = "invented 6.0 L car " + seconds(large_all) +
                   "; a diesel gives less heat at light load than a petrol engine, so ours should "
                   "be the quicker"});
}
