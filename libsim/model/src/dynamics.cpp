#include "dynamics.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/airflow/inlet.hpp"
#include "lapheat/exchangers/film.hpp"
#include "lapheat/heat/engine.hpp"
#include "lapheat/heat/surroundings.hpp"
#include "lapheat/heat/transmission.hpp"

namespace lapheat::model {
namespace {

constexpr double least_flow = 1e-7;  // kg/s below which a stream stands

/// Anything in [0, n) further from what it was than allowed.
bool drifts(const double* now, const double* then, std::size_t n, double allowed) {
    for (std::size_t i = 0; i < n; ++i)
        if (std::abs(now[i] - then[i]) > allowed) return true;
    return false;
}

}  // namespace

Dynamics::Dynamics(const Model& model, const Forcing& forcing, double hold)
    : model_(model), forcing_(forcing), hold_(hold) {
    const std::size_t cells = model.cells.size(), cores = model.cores.size(),
                      fans = model.fans.size();
    for (auto* v : {&cell_temperature, &enthalpy_, &upstream_, &gain_}) v->assign(cells, 0.0);
    properties_.resize(cells);
    for (auto* v : {&wall_temperature, &wall_gain_}) v->assign(model.walls.size(), 0.0);
    run_flow.assign(model.runs.size(), 0.0);
    for (auto* v :
         {&core_heat, &core_air_flow, &core_air_inlet, &core_effectiveness, &core_resistance_air,
          &core_resistance_wall, &core_resistance_liquid, &core_liquid_inlet})
        v->assign(cores, 0.0);
    core_flags.assign(cores, 0u);
    for (auto* v : {&fan_speed, &fan_flow, &fan_power, &fan_current}) v->assign(fans, 0.0);
    for (auto* v : {&lift, &wax_temperature}) v->assign(model.thermostats.size(), 0.0);
    path_inlet.assign(model.paths.size(), 0.0);
    shares_limited.assign(model.paths.size(), false);
    heat_into.assign(model.ledger_names.size(), 0.0);
    node_in_.assign(at(model.nodes), 0.0);
    node_out_.assign(at(model.nodes), 0.0);
    link_conductance_.assign(model.links.size(), 0.0);
    switch_on_.assign(model.switches.size(), false);
    play_.assign(model.thermostats.size(), Play::warming);
    rest_.assign(model.thermostats.size(), 0.0);
    network_flow.resize(model.loops.size());
    loop_inputs_.resize(model.loops.size());
    for (std::size_t l = 0; l < model.loops.size(); ++l) {
        solvers_.emplace_back(model.loops[l].network);
        const std::size_t n = model.loops[l].network->elements();
        loop_inputs_[l] = {std::vector<double>(n), std::vector<double>(n), std::vector<double>(n)};
        // A thermostat's stem moves the flow within a step, and its loop lives by that.
        const auto& controls = model.loops[l].controls;
        loop_quick_.push_back(std::any_of(controls.begin(), controls.end(), [](const auto& c) {
            return c.kind == FlatLoop::Control::Kind::valve;
        }));
    }
    loop_stale_.assign(model.loops.size(), 1);
    path_stale_.assign(model.paths.size(), 1);
    held_.passages.resize(model.passages.size());
    held_.liquid_core.assign(cores, 0.0);
    held_.wall.assign(model.walls.size(), 0.0);
    held_.pump.assign(at(model.pump_count), 0.0);
    held_.fan_target.assign(fans, 0.0);
    held_.cell.assign(cells, 0.0);
    for (auto* v : {&held_.core_temperature, &held_.core_flow}) v->assign(cores, 0.0);
    held_.air.assign(at(model.first_fan - model.first_air), 0.0);
    row_ = &forcing.rows.front();
    for (const FlatPath& path : model.paths) {
        path_inputs_.push_back(airflow::make_inputs(path.path, row_->density, row_->ambient));
        path_flow_.push_back(airflow::make_flow(path.path));
        passage_inlet_.emplace_back(at(path.passages));
    }
}

void Dynamics::start(const std::vector<double>& loop_temperature, double* y) {
    std::fill(y, y + model_.states, 0.0);
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        y[c] = model_.cells[c].state(loop_temperature[at(model_.cells[c].loop)]);
    const auto of_cell = [&](int cell) {
        return loop_temperature[at(model_.cells[at(cell)].loop)];
    };
    for (const Wall& w : model_.walls) y[w.state] = of_cell(w.cell);
    const double ambient = forcing_.rows.front().ambient;
    for (const FlatPassage& p : model_.passages) y[p.state] = ambient;
    for (const FlatPath& p : model_.paths) y[p.state] = ambient;
    y[model_.bay] = ambient;
    for (const FlatSwitch& s : model_.switches) y[s.state] = of_cell(s.cell);
    for (const FlatThermostat& w : model_.thermostats) y[w.state] = of_cell(w.cell);
    for (std::size_t i = 0; i < model_.switches.size(); ++i)
        switch_on_[i] = y[model_.switches[i].state] >= model_.switches[i].on;
}

void Dynamics::take_over(const Dynamics& before, double* y) {
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        y[c] = model_.cells[c].state(before.model_.cells[c].temperature(y[c]));
    switch_on_ = before.switch_on_;
    play_ = before.play_;
    rest_ = before.rest_;
}

double Dynamics::stem(std::size_t i, double wax) const {
    switch (play_[i]) {
        case Play::warming:
            return wax;
        case Play::cooling:
            return wax + model_.thermostats[i].hysteresis;
        default:
            return rest_[i];
    }
}

solve::AtKnot Dynamics::enter_interval(std::size_t k) {
    row_ = &forcing_.rows[std::min(k, forcing_.rows.size() - 1)];
    everything_stale();
    for (std::size_t i = 0; i < model_.links.size(); ++i)
        link_conductance_[i] =
            heat::oil_to_block(model_.links[i].block, row_->engine_speed, row_->engine_on);
    for (airflow::PathInputs& in : path_inputs_) {
        in.vehicle_speed = row_->speed;
        in.headwind = row_->headwind;
        in.ambient_density = row_->density;
        in.ambient_temperature = row_->ambient;
        in.viscosity = row_->viscosity;
        in.supply_voltage = supply_voltage(*row_);
    }
    return solve::AtKnot::jump;
}

void Dynamics::temperatures(const double* y) {
    for (std::size_t c = 0; c < model_.cells.size(); ++c) {
        const Cell& cell = model_.cells[c];
        const FlatLoop& loop = model_.loops[at(cell.loop)];
        const double t = cell.temperature(y[c]);
        cell_temperature[c] = t;
        enthalpy_[c] = loop.caloric.enthalpy(t);
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w)
        wall_temperature[w] = y[model_.walls[w].state];
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& t = model_.thermostats[i];
        wax_temperature[i] = y[t.state];
        lift[i] = t.stuck
                      ? t.stuck_at
                      : std::clamp((stem(i, y[t.state]) - t.opens) / (t.full - t.opens), 0.0, 1.0);
    }
}

void Dynamics::everything_stale() {
    std::fill(loop_stale_.begin(), loop_stale_.end(), 1);
    std::fill(path_stale_.begin(), path_stale_.end(), 1);
}

bool Dynamics::after_step(const double* y) {
    if (hold_ <= 0) return false;
    temperatures(y);
    bool any = false;
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const std::size_t first = at(model_.loops[l].first_cell), n = at(model_.loops[l].cells);
        if (!loop_quick_[l] && drifts(&cell_temperature[first], &held_.cell[first], n, hold_)) {
            loop_stale_[l] = 1;
            any = true;
        }
    }
    for (std::size_t n = 0; n < model_.paths.size(); ++n)
        if (drifted(y, n)) {
            path_stale_[n] = 1;
            any = true;
        }
    return any;
}

void Dynamics::liquid_flow(std::size_t l) {
    const double engine = row_->engine_on ? row_->engine_speed : 0.0;
    const FlatLoop& loop = model_.loops[l];
    for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c)
        properties_[at(c)] = loop.fluid.at(cell_temperature[at(c)]);
    LoopInputs& in = loop_inputs_[l];
    for (std::size_t e = 0; e < loop.element_cell.size(); ++e) {
        const fluids::Properties& p = properties_[at(loop.element_cell[e])];
        in.density[e] = p.density;
        in.viscosity[e] = p.viscosity;
    }
    for (const FlatLoop::Control& c : loop.controls) {
        double& out = in.control[at(c.element)];
        using Kind = FlatLoop::Control::Kind;
        switch (c.kind) {
            case Kind::engine_speed:
                out = c.value * engine;
                break;
            case Kind::fixed_speed:
                out = row_->engine_on ? c.value : 0;
                break;
            case Kind::fixed:
                out = c.value;
                break;
            case Kind::valve:
                out = lift[static_cast<std::size_t>(c.value)];
                break;
            case Kind::feed_pressure:
                out = row_->engine_on ? 1 : 0;
                break;
            case Kind::feed_orifice:
                out = row_->engine_on
                          ? std::min(1.0,
                                     heat::cooler_flow(model_.car.transmission, engine,
                                                       in.viscosity[at(c.element)], row_->locked) /
                                         c.value)
                          : 0;
                break;
        }
    }
    hydraulics::Flow& flow = network_flow[l];
    solvers_[l].solve({.density = in.density, .viscosity = in.viscosity, .control = in.control},
                      flow);
    if (!flow.converged()) ++failures;
    worst_residual = std::max(worst_residual, flow.residual);
    for (int r = 0; r < loop.runs; ++r) {
        const double m = flow.mass_flow[at(r)];
        run_flow[at(loop.first_run + r)] = std::abs(m) < least_flow ? 0.0 : m;
    }
    pump_work(l);
    walls(l);
    const auto cell = at(loop.first_cell);
    std::copy_n(&cell_temperature[cell], loop.cells, &held_.cell[cell]);
    loop_stale_[l] = 0;
}

void Dynamics::transport() {
    std::fill(node_in_.begin(), node_in_.end(), 0.0);
    std::fill(node_out_.begin(), node_out_.end(), 0.0);
    for (std::size_t r = 0; r < model_.runs.size(); ++r) {
        const FlatRun& run = model_.runs[r];
        const double m = run_flow[r];
        if (m > 0) {
            node_in_[at(run.to)] += m * enthalpy_[at(run.first_cell + run.cells - 1)];
            node_out_[at(run.from)] += m;
        } else if (m < 0) {
            node_in_[at(run.from)] -= m * enthalpy_[at(run.first_cell)];
            node_out_[at(run.to)] -= m;
        }
    }
    // A node passes on all the energy that reaches it, whatever the last digit of its mass balance.
    for (std::size_t r = 0; r < model_.runs.size(); ++r) {
        const FlatRun& run = model_.runs[r];
        const double m = run_flow[r];
        const int first = m >= 0 ? run.first_cell : run.first_cell + run.cells - 1;
        const int step = m >= 0 ? 1 : -1;
        const int source = m >= 0 ? run.from : run.to;
        double h = m != 0 && node_out_[at(source)] > 0
                       ? node_in_[at(source)] / node_out_[at(source)]
                       : enthalpy_[at(first)];
        for (int i = 0, c = first; i < run.cells; ++i, c += step) {
            upstream_[at(c)] = h;
            gain_[at(c)] = std::abs(m) * (h - enthalpy_[at(c)]);
            h = enthalpy_[at(c)];
        }
    }
}

double Dynamics::core_inlet(int cell, int run) const {
    return run_flow[at(run)] == 0
               ? cell_temperature[at(cell)]
               : model_.loops[at(model_.cells[at(cell)].loop)].caloric.temperature(
                     upstream_[at(cell)]);
}

void Dynamics::sources(const double* y, double* dydt) {
    std::fill(heat_into.begin(), heat_into.end(), 0.0);
    std::fill(wall_gain_.begin(), wall_gain_.end(), 0.0);
    std::array<double, stream_count> heat = row_->heat;
    if (row_->engine_on) {
        double& coolant = heat[at(static_cast<int>(Stream::engine_coolant))];
        double& oil = heat[at(static_cast<int>(Stream::engine_oil))];
        if (model_.coolant_cell != none)
            coolant *=
                heat::wall_factor(model_.car.engine, cell_temperature[at(model_.coolant_cell)]);
        if (model_.oil_cell != none) {
            const double cold =
                heat::friction_factor(model_.car.engine, cell_temperature[at(model_.oil_cell)]) - 1;
            coolant += row_->cold_coolant * cold;
            oil += row_->cold_oil * cold;
        }
    }
    for (const HeatInto& h : model_.heats) {
        const double watts = h.share * heat[at(h.stream)];
        (h.cell != none ? gain_[at(h.cell)] : wall_gain_[at(h.wall)]) += watts;
        heat_into[at(h.stream)] += watts;
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w) {
        const Wall& wall = model_.walls[w];
        const double q = held_.wall[w] * (y[wall.state] - cell_temperature[at(wall.cell)]);
        gain_[at(wall.cell)] += q;
        dydt[wall.state] = (wall_gain_[w] - q) / wall.capacity;
    }
    for (std::size_t i = 0; i < model_.links.size(); ++i) {
        const FlatLink& link = model_.links[i];
        const double q = link_conductance_[i] * (cell_temperature[at(link.first_cell)] -
                                                 cell_temperature[at(link.second_cell)]);
        gain_[at(link.first_cell)] -= q;
        gain_[at(link.second_cell)] += q;
    }
    for (const SurfaceLoss& loss : model_.losses) {
        double outside = row_->ambient;
        if (loss.surroundings == Surroundings::engine_bay) outside = y[model_.bay];
        if (loss.surroundings == Surroundings::under_floor) outside = row_->under_floor;
        const double q = (loss.at_rest + loss.speed_gain * row_->sqrt_speed) *
                         (cell_temperature[at(loss.cell)] - outside);
        gain_[at(loss.cell)] -= q;
        heat_into[at(loss.ledger)] += q;
    }
    for (const Irradiated& r : model_.radiations) {
        const double q = airflow::radiation(
            {.view_factor = r.view, .area = r.area, .shields = r.shields},
            std::max(row_->exhaust_surface, row_->ambient), cell_temperature[at(r.cell)]);
        gain_[at(r.cell)] += q;
        heat_into[at(model_.radiation_ledger)] += q;
    }
    for (const FlatLoop& loop : model_.loops)
        for (const FlatPump& pump : loop.pumps) {
            const double work = held_.pump[at(pump.number)];
            if (work <= 0) continue;
            gain_[at(pump.cell)] += work;
            heat_into[at(pump.ledger)] += work;
        }
}

/// Shaft work of each pump, all of which ends as heat in the fluid.
void Dynamics::pump_work(std::size_t l) {
    const FlatLoop& loop = model_.loops[l];
    const LoopInputs& in = loop_inputs_[l];
    for (const FlatPump& pump : loop.pumps) {
        if (pump.efficiency <= 0) continue;
        const auto e = at(pump.element);
        const double m = network_flow[l].mass_flow[at(pump.branch)];
        held_.pump[at(pump.number)] = -hydraulics::element_loss(*loop.network, e, in.density[e],
                                                                in.viscosity[e], in.control[e], m) *
                                      m / in.density[e] / pump.efficiency;
    }
}

/// Films inside the metal that stands behind a loop's cells.
void Dynamics::walls(std::size_t l) {
    for (std::size_t w = 0; w < model_.walls.size(); ++w) {
        const Wall& wall = model_.walls[w];
        if (model_.runs[at(wall.run)].loop != static_cast<int>(l)) continue;
        const double flow = std::abs(run_flow[at(wall.run)]) / wall.flow;
        held_.wall[w] = wall.at_rest + (flow > 0 ? wall.conductance * std::pow(flow, 0.8) : 0.0);
    }
}

void Dynamics::liquid_cores_at_work() {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        const double first = std::abs(run_flow[at(core.first_run)]);
        const double second = std::abs(run_flow[at(core.second_run)]);
        const fluids::Properties &warm = properties_[at(core.first_cell)],
                                 &cold = properties_[at(core.second_cell)];
        const auto liquid = [&](int cell) {
            return &model_.loops[at(model_.cells[at(cell)].loop)].fluid;
        };
        const exchangers::CoreOperation o = exchangers::operate_with_wall(
            core.core, {first, cell_temperature[at(core.first_cell)], warm, 0},
            {second, cell_temperature[at(core.second_cell)], cold, 0}, liquid(core.first_cell),
            liquid(core.second_cell));
        held_.liquid_core[i] =
            o.effectiveness * std::min(first * warm.specific_heat, second * cold.specific_heat);
        core_effectiveness[i] = o.effectiveness;
        core_air_flow[i] = second;
        core_resistance_air[i] = o.resistance_second;
        core_resistance_wall[i] = o.resistance_wall;
        core_resistance_liquid[i] = o.resistance_first;
        core_flags[i] = o.flags;
    }
}

void Dynamics::liquid_cores() {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        const double second_in = core_inlet(core.second_cell, core.second_run);
        const double heat = held_.liquid_core[i] * (core_liquid_inlet[i] - second_in);
        gain_[at(core.first_cell)] -= heat;
        gain_[at(core.second_cell)] += heat;
        core_heat[i] = heat;
        core_air_inlet[i] = second_in;
    }
}

void Dynamics::rhs(double, const double* y, double* dydt) {
    temperatures(y);
    bool flowed = false;
    for (std::size_t l = 0; l < model_.loops.size(); ++l)
        if (hold_ <= 0 || loop_quick_[l] || loop_stale_[l]) {
            liquid_flow(l);
            flowed = true;
        }
    if (flowed) liquid_cores_at_work();
    transport();
    for (std::size_t n = 0; n < model_.paths.size(); ++n)
        if (hold_ <= 0 || path_stale_[n] || spinning(y, model_.paths[n])) air_flow(y, n);
    sources(y, dydt);
    air(y, dydt);
    liquid_cores();
    fans(y, dydt);
    surroundings(y, dydt);
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        dydt[c] = gain_[c] / model_.cells[c].scale;
    for (const FlatSwitch& s : model_.switches)
        dydt[s.state] = (cell_temperature[at(s.cell)] - y[s.state]) / s.lag;
    for (const FlatThermostat& w : model_.thermostats)
        dydt[w.state] = (cell_temperature[at(w.cell)] - y[w.state]) / w.lag;
    for (std::size_t i = 0; i < heat_into.size(); ++i)
        dydt[at(model_.first_ledger) + i] = heat_into[i];
}

}  // namespace lapheat::model
