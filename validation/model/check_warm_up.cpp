// Warm-up against nine measured drives of a diesel car (validation/drives/README.md). Ours are
// other cars, with petrol engines, so the bands are wide and nothing was fitted: each drive's speed
// and ambient are driven from the coolant that it began with, and the times are put side by side.
#include <algorithm>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>

#include "check.hpp"
#include "drives.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

const std::filesystem::path root = LAPHEAT_SOURCE_DIR;
constexpr double zero = 273.15;

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
    for (model::HeatLink& link : car.links) link.conductance.value = l.oil_to_coolant;
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
            v.surroundings = model::Zone::outside;
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

Run driven(model::Car car, const LoggedDrive& d) {
    car.start_temperature = d.coolant.front();
    drive::Cycle cycle = drive::make_cycle("measured drive", d.time, d.speed);
    cycle.ambient = d.ambient;
    const model::Result result = model::simulate(*model::compile(car), cycle);
    const model::Series* s = result.find("loops/coolant", "watched_temperature");
    REQUIRE(s != nullptr);
    return {result.time, s->values};
}

}  // namespace

TEST_CASE("coolant warms up on nine measured drives in the measured time, within another car's") {
    const model::Car small = small_car(), large = large_car();
    const model::Car small_heated = with_heater(small), large_heated = with_heater(large);
    const double from = 40 + zero, to = 70 + zero;
    Row row{.topic = "Warm-up",
            .quantity = "coolant from 40 to 70 degC over nine drives, ours over logged, base-2 log",
            .source = logged_drives_source,
            .read = "a public copy, bytes unchanged; thinned here to a row a second"};
    row.band = {0, 1, "ours: another car, of another fuel, from half to twice the time"};
    double measured_all = 0, ours_all = 0, large_all = 0;
    for (int n = 1; n <= logged_drives; ++n) {
        const LoggedDrive d = logged_drive(n);
        const double logged = between(d.time, d.coolant, from, to);
        REQUIRE(logged > 0);
        // In winter people heat; whether this car's heater ran is not known.
        const bool winter = d.ambient.front() < 10 + zero;
        const auto time_of = [&](const model::Car& car) {
            const Run run = driven(car, d);
            return between(run.time, run.coolant, from, to);
        };
        const double ours = time_of(winter ? small_heated : small);
        REQUIRE(ours > 0);
        measured_all += logged;
        ours_all += ours;
        large_all += time_of(winter ? large_heated : large);
        row.points.push_back({d.name + ", air at " + number(std::round(d.ambient.front() - zero)) +
                                  " degC, heater " + (winter ? "on" : "off") + ", " +
                                  number(logged) + " s and ours " + number(ours) + " s",
                              0, std::log2(ours / logged)});
    }
    row.note = "ours is an invented 2.0 L petrol car; the heater in winter is ours";
    measured(row);
    row.points.clear();
    row.quantity = "coolant from 40 to 70 degC, sum of nine drives";
    row.unit = "s";
    row.band = {0.5, 0, "ours: another car, of another fuel"};
    row.outside = measured_all;
    row.ours = ours_all;
    row.note = "the invented 6.0 L car takes " + number(large_all) +
               " s; a diesel gives less heat at light load than a petrol engine, so ours should be "
               "the quicker";
    measured(row);
}
