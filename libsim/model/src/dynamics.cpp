#include "dynamics.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/heat/engine.hpp"
#include "lapheat/heat/surroundings.hpp"
#include "lapheat/heat/transmission.hpp"

namespace lapheat::model {
namespace {

constexpr double running_voltage = 13.8, resting_voltage = 12.4;  // V; common practice, no source
constexpr double air_lag = 1.0;  // s, air through a stack and back: a core's air is renewed in less
constexpr double bay_lag = 20.0;     // s, air and thin sheet of an engine bay; assumption
constexpr double least_flow = 1e-7;  // kg/s below which a stream stands

constexpr double creeping_air = 2e-3;  // kg/s of a passage below which both its ends breathe

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// Temperature of the air that enters a passage, continuous through rest: at creeping flow a mix of
/// what lies at both ends, so that buoyancy cannot make the right-hand side jump.
double around_rest(double flow, double before, double behind, double moving) {
    const double x = flow / creeping_air;
    if (std::abs(x) >= 2) return moving;
    const double share = std::clamp(0.5 + 0.5 * x, 0.0, 1.0);
    const double still = share * before + (1 - share) * behind;
    const double s = std::clamp(std::abs(x) - 1, 0.0, 1.0);
    return still + s * s * (3 - 2 * s) * (moving - still);
}

}  // namespace

Dynamics::Dynamics(const Model& model, const Forcing& forcing) : model_(model), forcing_(forcing) {
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
    lift.assign(model.thermostats.size(), 0.0);
    path_inlet.assign(model.paths.size(), 0.0);
    heat_into.assign(model.ledger_names.size(), 0.0);
    node_in_.assign(at(model.nodes), 0.0);
    node_out_.assign(at(model.nodes), 0.0);
    switch_on_.assign(model.switches.size(), false);
    play_.assign(model.thermostats.size(), Play::warming);
    rest_.assign(model.thermostats.size(), 0.0);
    network_flow.resize(model.loops.size());
    loop_inputs_.resize(model.loops.size());
    for (std::size_t l = 0; l < model.loops.size(); ++l) {
        solvers_.emplace_back(model.loops[l].network);
        const std::size_t n = model.loops[l].network->elements();
        loop_inputs_[l] = {std::vector<double>(n), std::vector<double>(n), std::vector<double>(n)};
    }
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
    for (airflow::PathInputs& in : path_inputs_) {
        in.vehicle_speed = row_->speed;
        in.headwind = row_->headwind;
        in.ambient_density = row_->density;
        in.ambient_temperature = row_->ambient;
        in.viscosity = row_->viscosity;
        in.supply_voltage = row_->engine_on ? running_voltage : resting_voltage;
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
        properties_[c] = loop.fluid.at(t);
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w)
        wall_temperature[w] = y[model_.walls[w].state];
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& t = model_.thermostats[i];
        lift[i] = t.stuck
                      ? t.stuck_at
                      : std::clamp((stem(i, y[t.state]) - t.opens) / (t.full - t.opens), 0.0, 1.0);
    }
}

void Dynamics::liquid_flows() {
    const double engine = row_->engine_on ? row_->engine_speed : 0.0;
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const FlatLoop& loop = model_.loops[l];
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
                case Kind::valve:
                    out = lift[static_cast<std::size_t>(c.value)];
                    break;
                case Kind::feed_pressure:
                    out = row_->engine_on ? 1 : 0;
                    break;
                case Kind::feed_orifice:
                    out = row_->engine_on
                              ? std::min(1.0, heat::cooler_flow(model_.car.transmission, engine,
                                                                in.viscosity[at(c.element)],
                                                                row_->locked) /
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
    }
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
        const double flow = std::abs(run_flow[at(wall.run)]) / wall.flow;
        const double g = wall.at_rest + (flow > 0 ? wall.conductance * std::pow(flow, 0.8) : 0.0);
        const double q = g * (y[wall.state] - cell_temperature[at(wall.cell)]);
        gain_[at(wall.cell)] += q;
        dydt[wall.state] = (wall_gain_[w] - q) / wall.capacity;
    }
    for (const FlatLink& link : model_.links) {
        const double q = link.conductance * (cell_temperature[at(link.first_cell)] -
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
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const FlatLoop& loop = model_.loops[l];
        if (loop.pump_element == none) continue;
        const auto& body = std::get<hydraulics::CentrifugalPump>(
            loop.network->element(at(loop.pump_element)).body);
        const auto e = at(loop.pump_element);
        const double w = loop_inputs_[l].control[e];
        const double m = network_flow[l].mass_flow[at(loop.pump_branch)];
        const double q = m / loop_inputs_[l].density[e];
        const double work =
            (body.shutoff * w * w - body.linear * w * q - body.quadratic * q * std::abs(q)) * m /
            loop.pump_efficiency;
        if (work <= 0) continue;
        gain_[at(loop.pump_cell)] += work;
        heat_into[at(loop.pump_ledger)] += work;
    }
}

void Dynamics::air_core(const double* y, double* dydt, std::size_t passage, double temperature_in) {
    const FlatPassage& p = model_.passages[passage];
    const airflow::PathFlow& flow = path_flow_[at(p.path)];
    const airflow::Path& path = model_.paths[at(p.path)].path;
    const double air = std::abs(flow.passage_flow[at(p.local)]);
    const double capacity = air * row_->air_specific_heat;
    double rise = 0;
    if (p.heat_stream != none) {
        const airflow::Passage& geometry = path.passages[at(p.local)];
        // A condenser in still air trips on pressure before its air is 60 K hotter; smooth in flow.
        const double heat = row_->heat[at(p.heat_stream)] * geometry.core_fraction;
        if (heat > 0) rise += 60 * heat / (heat + 60 * capacity);
    }
    if (p.core != none && model_.cores[at(p.core)].first_cell != none) {
        const FlatCore& core = model_.cores[at(p.core)];
        const double liquid = std::abs(run_flow[at(core.first_run)]) * p.fraction;
        const fluids::Properties& liquid_properties = properties_[at(core.first_cell)];
        const double inlet = core_liquid_inlet[at(p.core)];
        const fluids::Properties air_properties{row_->density, row_->air_specific_heat,
                                                row_->air_conductivity, row_->viscosity};
        const exchangers::CoreOperation o =
            exchangers::operate_thermal(p.slice, {liquid, inlet, liquid_properties, 0},
                                        {air, temperature_in, air_properties, 0});
        // A standing liquid has no effectiveness; its core then gives heat from where it is,
        // through the air side alone. The change is made where the liquid's capacity rate is a few
        // percent of UA and steady effectiveness-NTU says nothing about the metal.
        const double carried = liquid * liquid_properties.specific_heat, threshold = 0.03 * o.ua;
        const double moving =
            carried > 0 ? 1 / (1 + (threshold / carried) * (threshold / carried)) : 0.0;
        double heat = moving * o.heat;
        if (moving < 1 && capacity > 0 && o.resistance_second > 0 &&
            std::isfinite(o.resistance_second))
            heat += (1 - moving) * capacity * -std::expm1(-1 / (o.resistance_second * capacity)) *
                    (cell_temperature[at(core.first_cell)] - temperature_in);
        gain_[at(core.first_cell)] -= heat;
        heat_into[at(core.ledger)] += heat;
        core_heat[at(p.core)] += heat;
        core_air_flow[at(p.core)] += air;
        core_air_inlet[at(p.core)] += air * temperature_in;
        core_effectiveness[at(p.core)] += p.fraction * o.effectiveness;
        // Slices work side by side: conductances add.
        if (o.ua > 0) {
            core_resistance_air[at(p.core)] += o.resistance_second * p.fraction * p.fraction;
            core_resistance_wall[at(p.core)] += o.resistance_wall * p.fraction * p.fraction;
            core_resistance_liquid[at(p.core)] += o.resistance_first * p.fraction * p.fraction;
        }
        core_flags[at(p.core)] = o.flags;
        // Air that all but stands in a core has its temperature; the limit of heat over capacity.
        const double still = cell_temperature[at(core.first_cell)] - temperature_in;
        const double share = std::clamp(air / creeping_air - 1, 0.0, 1.0);
        rise += still +
                (capacity > 0 ? share * share * (3 - 2 * share) * (heat / capacity - still) : 0.0);
    }
    dydt[p.state] = (temperature_in + rise - y[p.state]) / air_lag;
}

void Dynamics::air(const double* y, double* dydt) {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        core_heat[i] = core_air_flow[i] = core_air_inlet[i] = core_effectiveness[i] = 0;
        core_resistance_air[i] = core_resistance_wall[i] = core_resistance_liquid[i] = 0;
        const FlatCore& core = model_.cores[i];
        if (core.first_cell != none)
            core_liquid_inlet[i] = core_inlet(core.first_cell, core.first_run);
    }
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        const FlatPath& path = model_.paths[n];
        airflow::PathInputs& in = path_inputs_[n];
        path_inlet[n] = y[path.state];
        in.inlet_temperature = y[path.state];
        in.bay_temperature = path.into_bay ? y[model_.bay] : row_->ambient;
        for (int i = 0; i < path.passages; ++i) {
            const FlatPassage& p = model_.passages[at(path.first_passage + i)];
            in.passage_inlet_temperature[at(i)] =
                p.upstream == none ? y[path.state] : y[model_.passages[at(p.upstream)].state];
            in.passage_outlet_temperature[at(i)] = y[p.state];
        }
        for (std::size_t f = 0; f < path.fans.size(); ++f)
            in.fan_speed[f] = std::max(0.0, y[model_.fans[at(path.fans[f])].state]);
        airflow::solve(path.path, in, path_flow_[n]);
        if (!path_flow_[n].converged) ++failures;
        airflow::passage_inlet_temperatures(path.path, path_flow_[n], y[path.state],
                                            in.bay_temperature, in.passage_outlet_temperature,
                                            passage_inlet_[n]);
        for (int i = 0; i < path.passages; ++i) {
            const FlatPassage& p = model_.passages[at(path.first_passage + i)];
            const double before =
                p.upstream == none ? y[path.state] : y[model_.passages[at(p.upstream)].state];
            const double behind = p.downstream == none ? in.bay_temperature
                                                       : y[model_.passages[at(p.downstream)].state];
            air_core(y, dydt, at(path.first_passage + i),
                     around_rest(path_flow_[n].passage_flow[at(i)], before, behind,
                                 passage_inlet_[n][at(i)]));
        }
    }
    for (std::size_t i = 0; i < model_.cores.size(); ++i)
        if (core_air_flow[i] > 0) core_air_inlet[i] /= core_air_flow[i];
}

void Dynamics::liquid_cores() {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        const double first = std::abs(run_flow[at(core.first_run)]);
        const double second = std::abs(run_flow[at(core.second_run)]);
        const double first_in = core_liquid_inlet[i];
        const double second_in = core_inlet(core.second_cell, core.second_run);
        const exchangers::CoreOperation o = exchangers::operate_thermal(
            core.core, {first, first_in, properties_[at(core.first_cell)], 0},
            {second, second_in, properties_[at(core.second_cell)], 0});
        gain_[at(core.first_cell)] -= o.heat;
        gain_[at(core.second_cell)] += o.heat;
        core_heat[i] = o.heat;
        core_effectiveness[i] = o.effectiveness;
        core_air_inlet[i] = second_in;
        core_air_flow[i] = second;
        core_resistance_air[i] = o.resistance_second;
        core_resistance_wall[i] = o.resistance_wall;
        core_resistance_liquid[i] = o.resistance_first;
        core_flags[i] = o.flags;
    }
}

void Dynamics::fans(const double* y, double* dydt) {
    double power = 0;
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        double command = fan.switched ? 0.0 : 1.0;
        for (std::size_t s = 0; s < model_.switches.size(); ++s)
            if (switch_on_[s] && model_.switches[s].fan == static_cast<int>(f))
                command = std::max(command, model_.switches[s].command);
        if (fan.dead || (!row_->engine_on && !fan.after_run)) command = 0;
        double behind = row_->ambient, density_ratio = 1;
        if (fan.path != none) {
            const FlatPath& path = model_.paths[at(fan.path)];
            const airflow::FanPoint& point = path_flow_[at(fan.path)].fans[at(fan.local)];
            fan_flow[f] = point.flow;
            fan_power[f] = point.electrical_power;
            fan_current[f] = point.current;
            power += point.electrical_power;
            if (path.passages > 0)
                behind = y[model_.passages[at(path.first_passage + path.passages - 1)].state];
            density_ratio = row_->density * row_->ambient / behind /
                            path.path.description.fans[at(fan.local)].curve.reference_density;
        }
        const double voltage = row_->engine_on ? running_voltage : resting_voltage;
        const double target = command > 0
                                  ? airflow::drive_state(fan.drive, command, voltage, density_ratio,
                                                         row_->engine_speed, behind)
                                        .speed
                                  : 0.0;
        fan_speed[f] = y[fan.state];
        dydt[fan.state] = (target - y[fan.state]) /
                          (target > y[fan.state] ? fan.drive.spin_up : fan.drive.run_down);
    }
    dydt[model_.fan_energy] = power;
}

void Dynamics::surroundings(const double* y, double* dydt) {
    double bay_flow = 0, bay_heat = 0;
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        const FlatPath& path = model_.paths[n];
        const airflow::PathFlow& flow = path_flow_[n];
        double leaving = 0, sum = 0;
        for (int i = 0; i < path.passages; ++i) {
            const FlatPassage& p = model_.passages[at(path.first_passage + i)];
            if (p.downstream != none) continue;
            const double m = std::abs(flow.passage_flow[at(i)]);
            leaving += m;
            sum += m * y[p.state];
        }
        const double outlet = (sum + creeping_air * y[path.state]) / (leaving + creeping_air);
        if (path.into_bay) {
            bay_flow += leaving;
            bay_heat += leaving * outlet;
        }
        const int face =
            path.cores.empty() ? none : model_.cores[at(path.cores.front())].first_cell;
        airflow::Surroundings now;
        now.ambient_temperature = row_->ambient;
        now.sun = row_->sun;
        now.vehicle_speed = row_->speed;
        now.headwind = row_->headwind;
        now.exhaust_temperature = std::max(row_->exhaust_surface, row_->ambient);
        now.bay_temperature = y[model_.bay];
        now.gearbox_temperature =
            model_.gearbox_cell != none ? cell_temperature[at(model_.gearbox_cell)] : row_->ambient;
        now.core_outlet_temperature = outlet;
        now.core_temperature = face != none ? cell_temperature[at(face)] : outlet;
        now.condenser_heat = row_->heat[at(static_cast<int>(Stream::condenser))];
        now.air_flow = leaving;
        now.bay_backflow = std::min(1.0, flow.backflow / (leaving + creeping_air));
        const airflow::InletAir air = airflow::inlet(path.parameters, now);
        dydt[path.state] = (air.temperature - y[path.state]) / air_lag;
        if (face != none) {
            gain_[at(face)] += air.radiation;
            heat_into[at(model_.radiation_ledger)] += air.radiation;
        }
    }
    const double target =
        heat::bay_temperature(model_.car.bay, row_->ambient, row_->speed, row_->surface_heat,
                              bay_flow, bay_flow > 0 ? bay_heat / bay_flow : row_->ambient);
    bay_temperature = y[model_.bay];
    dydt[model_.bay] = (target - y[model_.bay]) / bay_lag;
}

void Dynamics::rhs(double, const double* y, double* dydt) {
    temperatures(y);
    liquid_flows();
    transport();
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

void Dynamics::events(double, const double* y, double* g) const {
    std::size_t n = 0;
    for (std::size_t i = 0; i < model_.switches.size(); ++i) {
        const FlatSwitch& s = model_.switches[i];
        g[n++] = switch_on_[i] ? s.off - y[s.state] : y[s.state] - s.on;
    }
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& w = model_.thermostats[i];
        const double wax = y[w.state], fluid = model_.cells[at(w.cell)].temperature(y[w.cell]);
        // Turning: the wax cools below what the stem followed, or warms above it.
        if (w.stuck) {
            for (int k = 0; k < 4; ++k) g[n++] = 1;
            continue;
        }
        switch (play_[i]) {
            case Play::warming:
                g[n++] = wax - fluid, g[n++] = -1;
                break;
            case Play::cooling:
                g[n++] = fluid - wax, g[n++] = -1;
                break;
            case Play::resting:
                g[n++] = wax - rest_[i];                 // the stem follows upward again
                g[n++] = rest_[i] - w.hysteresis - wax;  // and downward
                break;
        }
        const bool moves = play_[i] != Play::resting;
        g[n++] = moves ? stem(i, wax) - w.opens : 1;
        g[n++] = moves ? stem(i, wax) - w.full : 1;
    }
}

solve::Direction Dynamics::event_direction(std::size_t i) const {
    if (i < model_.switches.size()) return solve::Direction::rising;
    return (i - model_.switches.size()) % 4 < 2 ? solve::Direction::rising
                                                : solve::Direction::either;
}

solve::EventAction Dynamics::handle(std::size_t i, double t, double* y) {
    if (i < model_.switches.size()) {
        switch_on_[i] = !switch_on_[i];
        const FlatSwitch& s = model_.switches[i];
        happened.push_back(
            {t, switch_on_[i] ? "fan switch closes" : "fan switch opens", s.name, y[s.state]});
        return solve::EventAction::restart;
    }
    const std::size_t w = (i - model_.switches.size()) / 4,
                      which = (i - model_.switches.size()) % 4;
    const FlatThermostat& thermostat = model_.thermostats[w];
    const double wax = y[thermostat.state];
    if (which == 0 && play_[w] != Play::resting) {
        rest_[w] = stem(w, wax);
        play_[w] = Play::resting;
        return solve::EventAction::restart;
    }
    if (which < 2) {
        play_[w] = which == 0 ? Play::warming : Play::cooling;
        return solve::EventAction::restart;
    }
    const bool up = play_[w] == Play::warming;
    happened.push_back({t,
                        which == 2
                            ? (up ? "thermostat starts to open" : "thermostat is shut")
                            : (up ? "thermostat is fully open" : "thermostat starts to close"),
                        thermostat.name, wax});
    return solve::EventAction::restart;
}

}  // namespace lapheat::model
