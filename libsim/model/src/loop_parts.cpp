// Each kind of part as cells and hydraulic elements.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/units/constants.hpp"
#include "line_loss.hpp"
#include "loop_builder.hpp"

namespace lapheat::model {
namespace {

/// The rule of thumb where no data sheet is at hand. Centrifugal: a suction specific speed
/// ω√Q/(g·NPSH)^¾ of 3, the middle of what the Hydraulic Institute (ANSI/HI 9.6.1) finds in
/// ordinary pumps, at 60 % of the free flow, half as much at no flow. Displacement: 3 m, a third
/// of an atmosphere, below which dissolved air comes out of oil (common practice, no source).
hydraulics::SuctionNeed suction_need(const SuctionHead& given, double speed, double free_flow) {
    if (given.at_flow > 0) return {given.still, given.at_flow, given.flow, speed};
    const double flow = 0.6 * free_flow;
    const double head = std::pow(speed * std::sqrt(flow) / 3, 4.0 / 3) / constants::gravity;
    return {0.5 * head, head, flow, speed};
}

}  // namespace

void LoopBuilder::add(const At& at, const Line& line) {
    const double area = std::numbers::pi / 4 * line.inner_diameter * line.inner_diameter;
    const double outer = line.inner_diameter + 2 * line.wall_thickness;
    const double wall_area = std::numbers::pi / 4 * outer * outer - area;
    // One cell per half metre, eight at the most: the delay is right with any number, the
    // sharpness of a front grows with it (see hydraulics/line.hpp for the spread, and
    // validation/model/check_transport.cpp for what it costs a peak temperature).
    const int cells = line.cells > 0
                          ? line.cells
                          : std::clamp(static_cast<int>(std::lround(line.length / 0.5)), 1, 8);
    const double length = line.length / cells;
    const LineLoss ua = line_conductance(line, loop_.fluid, length);
    for (int i = 0; i < cells; ++i) {
        const int cell = add_cell(
            area * length, wall_area * length * line.wall_heat_capacity, at,
            cells > 1 ? fmt::format("{} {}/{}", at.part.name, i + 1, cells) : at.part.name);
        surface_loss(cell, line.surroundings, ua.at_rest, ua.speed_gain);
        if (line.exhaust_view > 0)
            model_.radiations.push_back({cell, std::numbers::pi * outer * length, line.exhaust_view,
                                         line.heat_shields, line.exhaust_part});
    }
    auto& elements = at.branch.elements;
    // A collapsed hose: its bore, and narrowing and widening as a length of pipe at f = 0.02, so
    // that the loop keeps its elements when it collapses on the way.
    const double left = 1 - line.collapsed;
    const double bore = line.inner_diameter * std::sqrt(left);
    const double squeeze = 0.5 * (1 - left) + (1 - left) * (1 - left);
    elements.push_back({at.part.name,
                        hydraulics::Pipe{line.length + squeeze * bore / 0.02, bore, line.roughness},
                        line.rise});
    if (line.bends > 0) {
        hydraulics::MinorLoss bends = hydraulics::bend(line.inner_diameter, line.bend_radius_ratio,
                                                       line.bend_angle, line.roughness);
        const double count = line.bends * loop_.bend_level.value;
        bends.loss_coefficient *= count;
        bends.laminar_coefficient *= count;
        elements.push_back({at.part.name + " bends", bends, 0.0});
    }
    if (line.end_bore > 0 && line.end_bore < line.inner_diameter) {
        hydraulics::MinorLoss ends = hydraulics::barb(line.inner_diameter, line.end_bore);
        const double both = 2 * loop_.fitting_level.value;
        ends.loss_coefficient *= both;
        ends.laminar_coefficient *= both;
        elements.push_back({at.part.name + " ends", ends, 0.0});
    }
}

void LoopBuilder::add(const At& at, const Fitting& fitting) {
    const Assumed& level = fitting.tee ? loop_.tee_level : loop_.fitting_level;
    const double count = fitting.count * level.value;
    at.branch.elements.push_back(
        {at.part.name,
         hydraulics::MinorLoss{count * fitting.loss_coefficient,
                               count * fitting.laminar_coefficient, fitting.diameter},
         0.0});
}

void LoopBuilder::add(const At& at, const Restriction& r) {
    const auto& fluid = loop_.fluid;
    at.branch.elements.push_back(
        {at.part.name,
         hydraulics::MeasuredLoss{
             r.flow, r.pressure_loss,
             r.density > 0 ? r.density : fluid.density(reference_temperature),
             r.viscosity > 0 ? r.viscosity : fluid.viscosity(reference_temperature),
             r.laminar_share},
         0.0});
}

void LoopBuilder::add(const At& at, const Volume& v) {
    const int cell = add_cell(v.volume, v.metal_heat_capacity, at, at.part.name);
    surface_loss(cell, v.surroundings, v.ambient_conductance, v.ambient_speed_gain);
    if (v.usual_case) {
        const heat::TransmissionModel& t = model_.car.transmission;
        const auto holds = [&](const char* stream) {
            return std::find(v.heat.begin(), v.heat.end(), stream) != v.heat.end();
        };
        const double part = (holds("converter") ? t.converter_share : 0) +
                            (holds("gears") ? 1 - t.converter_share : 0);
        surface_loss(cell, Zone::under_floor, part * t.case_conductance,
                     part * t.case_conductance_slope);
    }
    if (v.rise != 0)  // wide: it costs height, no pressure
        at.branch.elements.push_back({at.part.name, hydraulics::MinorLoss{0.01, 0, 0.05}, v.rise});
    int wall = none;
    if (v.wall_heat_capacity > 0) {
        wall = static_cast<int>(model_.walls.size());
        model_.walls.push_back({.cell = cell,
                                .run = at.run,
                                .state = 0,
                                .capacity = v.wall_heat_capacity,
                                .conductance = v.wall_conductance,
                                .flow = std::max(v.wall_flow, 1e-6),
                                .at_rest = v.static_conductance});
    }
    for (const std::string& stream : v.heat) {
        const StreamEntry* entry = find_stream(stream);
        if (!entry || !entry->warms_liquid)
            throw Error("no heat '" + stream + "' for a fluid", known(stream_names()),
                        at.part.place, "heat", stream);
        model_.heats.push_back({entry->stream, wall == none ? cell : none, wall,
                                model_.stream_ledger[entry->stream], 1});
    }
}

void LoopBuilder::add(const At& at, const CorePass& pass) {
    const auto& cores = model_.car.cores;
    const auto entry = std::find_if(cores.begin(), cores.end(),
                                    [&](const CoreEntry& c) { return c.name == pass.core; });
    if (entry == cores.end()) {
        std::vector<std::string> names;
        for (const CoreEntry& c : cores) names.push_back(c.name);
        throw Error("no core '" + pass.core + "'", known(names), at.part.place, "core", pass.core);
    }
    FlatCore& core = model_.cores[static_cast<std::size_t>(entry - cores.begin())];
    int& used = pass.second_side ? core.second_cell : core.first_cell;
    if (used != none)
        throw Error("the core '" + pass.core + "' already has a liquid on this side",
                    "one run for each side of a core", at.part.place, "core", pass.core);
    const exchangers::Side& side = pass.second_side ? entry->core.second : entry->core.first;
    const double volume = pass.second_side ? entry->core.second_volume : entry->core.first_volume;
    // The metal counts with the first side: its conductance is the higher one for a liquid.
    const double metal = pass.second_side ? 0 : entry->core.heat_capacity;
    used = add_cell(std::max(volume, 2e-5), metal, at, at.part.name);
    (pass.second_side ? core.second_run : core.first_run) = at.run;
    const fluids::Properties p = loop_.fluid.at(reference_temperature);
    at.branch.elements.push_back(
        {at.part.name,
         hydraulics::CurveLoss{hydraulics::sampled_curve(
             [&](double m) { return exchangers::pressure_drop(side, m, p.density, p.viscosity); },
             p.density, p.viscosity, 1e-4, 10.0)},
         pass.rise});
}

void LoopBuilder::add(const At& at, const Pump& pump) {
    const double w = pump.reference_speed;
    hydraulics::CentrifugalPump curve;
    double free_flow = pump.free_flow;
    if (pump.points.empty()) {
        curve = hydraulics::parabolic_pump(pump.shutoff_head, pump.free_flow, pump.density, w);
    } else {
        std::vector<hydraulics::PumpPoint> points;
        for (const PumpPoint& p : pump.points) points.push_back({p.flow, p.pressure});
        const hydraulics::PumpFit fit = hydraulics::fit_pump(points, pump.density, w);
        curve = fit.pump;
        if (fit.worst_error > 0.05)
            model_.warnings.push_back(
                {Code::pump_curve_misses, loop_.name, {at.part.name}, {{fit.worst_error}}});
        free_flow = std::max_element(points.begin(), points.end(),
                                     [](const auto& a, const auto& b) { return a.flow < b.flow; })
                        ->flow /
                    0.6;  // the last point of a data sheet is near the best one
    }
    at.branch.elements.push_back({at.part.name, curve, 0.0});
    if (pump.electric_speed > 0)
        control(at, pump.after_run ? Kind::fixed : Kind::fixed_speed, pump.electric_speed);
    else
        control(at, Kind::engine_speed, pump.speed_ratio);
    pumps_.push_back({at.branch.name, at.part.name, pump.efficiency,
                      suction_need(pump.suction, w, free_flow), pump.suction.bore});
}

void LoopBuilder::add(const At& at, const FlowSource& source) {
    at.branch.elements.push_back(
        {at.part.name,
         hydraulics::DisplacementPump{.displacement = source.displacement,
                                      .controlled_flow = source.maximum_flow,
                                      .relief_pressure = source.relief_pressure,
                                      .relief_override = source.relief_override,
                                      .leakage = std::max(source.leakage, 1e-15)},
         0.0});
    control(at, Kind::engine_speed, source.speed_ratio);
    const SuctionHead& given = source.suction;
    hydraulics::SuctionNeed need{3, 3, 1, 0};  // no reference speed: the same at every speed
    if (given.at_flow > 0) need = {given.still, given.at_flow, given.flow, 0};
    pumps_.push_back({at.branch.name, at.part.name, 0, need, given.bore});
}

void LoopBuilder::add(const At& at, const CoolerFeed&) {
    // A constant pressure behind an orifice: flow falls with the circuit's pressure p as
    // sqrt(1 − p/p0). The orifice's area follows the warm, open flow of the moment.
    const heat::TransmissionModel& t = model_.car.transmission;
    const double density = loop_.fluid.density(reference_temperature);
    const double full = 1.5 * t.cooler_flow;
    at.branch.elements.push_back(
        {at.part.name, hydraulics::CentrifugalPump{t.cooler_pressure / density, 0.0, 1e-3}, 0.0});
    control(at, Kind::feed_pressure, 1);
    at.branch.elements.push_back(
        {at.part.name + " orifice",
         hydraulics::Valve{full * std::sqrt(density / (2 * t.cooler_pressure)), 0.0, 1.0, false},
         0.0});
    control(at, Kind::feed_orifice, full, " orifice");
}

void LoopBuilder::add(const At& at, const Thermostat& t) {
    at.branch.elements.push_back(
        {at.part.name,
         hydraulics::Valve{t.open_area, t.closed_area, t.loss_coefficient, t.reversed}, 0.0});
    control(at, Kind::valve, 0);  // its thermostat: compile_controls()
}

void LoopBuilder::add(const At& at, const Valve& v) {
    at.branch.elements.push_back(
        {at.part.name, hydraulics::Valve{v.open_area, 0.0, v.loss_coefficient}, 0.0});
    control(at, Kind::fixed, v.opening);
}

void LoopBuilder::add(const At& at, const CheckValve& v) {
    at.branch.elements.push_back({at.part.name,
                                  hydraulics::CheckValve{.loss_coefficient = v.loss_coefficient,
                                                         .diameter = v.diameter,
                                                         .cracking_pressure = v.cracking_pressure,
                                                         .cracking_flow = v.cracking_flow},
                                  0.0});
}

}  // namespace lapheat::model
