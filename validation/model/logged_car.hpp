// The invented cars that are driven along the logged drives, for the checks of the whole car.
#pragma once

#include <filesystem>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>
#include <string>
#include <vector>

#include "check.hpp"
#include "drives.hpp"

namespace lapheat::validation {

inline constexpr double zero = 273.15;  // degC

inline model::Volume& volume(model::Car& car, const std::string& name) {
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs)
            for (model::Part& part : run.parts)
                if (auto* v = std::get_if<model::Volume>(&part.body); v && part.name == name)
                    return *v;
    throw Error("no volume \"" + name + "\"");
}

/// The invented car of the scenarios with its large engine.
inline model::Car large_car() {
    model::Car car = scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios" /
                                    "placements" / "under_floor.toml")
                         .car;
    car.start_warm = false;
    return car;
}

/// The same with an invented 2.0 L four and its metal and fluids by size.
inline model::Car small_car() {
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
inline model::Car with_heater(model::Car car) {
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

/// What a car's coolant does on a logged drive, from the coolant that the drive began with, K.
struct DrivenCoolant {
    std::vector<double> time, coolant, engine_speed;
};

inline DrivenCoolant driven(model::Car car, const LoggedDrive& d) {
    car.start_temperature = d.coolant.front();
    drive::Cycle cycle = drive::make_cycle("measured drive", d.time, d.speed);
    cycle.ambient = d.ambient;
    const model::Result result = model::simulate(*model::compile(car), cycle);
    const model::Series* s = result.find("loops/coolant", "watched_temperature");
    const model::Series* e = result.find("car", "engine_speed");
    REQUIRE(s != nullptr);
    REQUIRE(e != nullptr);
    return {result.time, s->values, e->values};
}

}  // namespace lapheat::validation
