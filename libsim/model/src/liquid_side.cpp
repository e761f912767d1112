#include "liquid_side.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/exchangers/film.hpp"
#include "lapheat/heat/boiling.hpp"
#include "lapheat/heat/engine.hpp"
#include "lapheat/heat/faults.hpp"
#include "lapheat/heat/transmission.hpp"
#include "lapheat/hydraulics/expansion.hpp"
#include "lapheat/model/faults.hpp"

namespace lapheat::model {
namespace {

constexpr double liquid_step_tolerance = 1e-6;  // of flows that are held over a step
constexpr double stem_hold = 0.02;              // K of a stem's travel for each K of hold
constexpr double head_range = 0.05;  // of its head, that a pump changes in an implicit step
constexpr double least_flow = 1e-7;  // kg/s below which a stream stands

/// Anything in [0, n) further from what it was than allowed.
bool drifts(const double* now, const double* then, std::size_t n, double allowed) {
    for (std::size_t i = 0; i < n; ++i)
        if (std::abs(now[i] - then[i]) > allowed) return true;
    return false;
}

/// A coolant loop: its pump turns with the engine, its stem seldom rests, and what is held there
/// shifts the fans' cycles (measured: by half a second in fifty of them).
bool pumped_through_thermostat(const FlatLoop& loop) {
    if (std::none_of(loop.pumps.begin(), loop.pumps.end(),
                     [](const FlatPump& pump) { return pump.loses_head; }))
        return false;
    return std::any_of(loop.controls.begin(), loop.controls.end(),
                       [](const auto& c) { return c.kind == FlatLoop::Control::Kind::valve; });
}

}  // namespace

LiquidSide::LiquidSide(const Model& model, double hold, Outputs& out, bool by_step)
    : model_(model),
      hold_(hold),
      by_step_(by_step),
      heads_(model.layout[StateKind::head].first),
      lost_(model.layout[StateKind::lost].first),
      properties_(model.cells.size()),
      enthalpy_(model.cells.size()),
      upstream_(model.cells.size()),
      node_in_(at(model.nodes)),
      node_out_(at(model.nodes)),
      node_runs_(at(model.nodes)),
      stale_(model.loops.size(), 1),
      core_(model.cores.size()),
      wall_(model.walls.size()),
      pump_(at(model.pump_count)),
      head_target_(at(model.pump_count), 1.0),
      head_held_(at(model.pump_count), 1.0),
      lift_(model.thermostats.size(), -1.0),
      pressure_(model.loops.size(), 0.0),
      cell_(model.cells.size()) {
    for (std::size_t r = 0; r < model.runs.size(); ++r) {
        const FlatRun& run = model.runs[r];
        node_runs_[at(run.from)].push_back(static_cast<int>(r));
        if (run.to != run.from) node_runs_[at(run.to)].push_back(static_cast<int>(r));
    }
    for (std::size_t l = 0; l < model.loops.size(); ++l) {
        const FlatLoop& loop = model.loops[l];
        solvers_.emplace_back(
            loop.network, by_step ? hydraulics::SolverOptions{.tolerance = liquid_step_tolerance}
                                  : hydraulics::SolverOptions{});
        quick_.push_back(!by_step && pumped_through_thermostat(loop));
        LoopOutput& io = out.loops[l];
        for (auto* v : {&io.density, &io.viscosity, &io.control})
            v->assign(loop.network->elements(), 0.0);
    }
}

void LiquidSide::stale() { std::fill(stale_.begin(), stale_.end(), 1); }

bool LiquidSide::age(const Outputs& out) {
    bool any = false;
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const FlatLoop& loop = model_.loops[l];
        const std::size_t first = at(loop.first_cell);
        if (quick_[l] ||
            !drifts(&out.cell_temperature[first], &cell_[first], at(loop.cells), hold_))
            continue;
        stale_[l] = 1;
        any = true;
    }
    return any;
}

void LiquidSide::temperatures(const Instant& now) {
    for (std::size_t c = 0; c < model_.cells.size(); ++c) {
        const Cell& cell = model_.cells[c];
        const double t = cell.temperature(now.y[c]);
        now.out.cell_temperature[c] = t;
        enthalpy_[c] = model_.loops[at(cell.loop)].caloric.enthalpy(t);
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w)
        now.out.wall_temperature[w] = now.y[model_.walls[w].state];
}

bool LiquidSide::flows(const Instant& now) {
    bool solved = false;
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        if (!due(l, now)) continue;
        solve_loop(l, now);
        solved = true;
    }
    if (solved) hold_cores(now);
    return solved;
}

/// A stem that has moved since moves the flow within a step; so does a pump that is losing its head
/// or its liquid.
bool LiquidSide::due(std::size_t l, const Instant& now) const {
    constexpr double head_hold = 0.5;  // share of head for each K of hold
    const FlatLoop& loop = model_.loops[l];
    if (hold_ <= 0 || quick_[l] || stale_[l] || now.y[lost_ + static_cast<int>(l)] > 0) return true;
    for (const FlatPump& pump : loop.pumps)
        if (std::abs(now.y[heads_ + pump.number] - head_held_[at(pump.number)]) > head_hold * hold_)
            return true;
    if (by_step_ && drifts(&now.out.cell_temperature[at(loop.first_cell)],
                           &cell_[at(loop.first_cell)], at(loop.cells), hold_))
        return true;
    return std::any_of(loop.controls.begin(), loop.controls.end(), [&](const auto& c) {
        if (c.kind != FlatLoop::Control::Kind::valve) return false;
        const FlatThermostat& t = model_.thermostats[at(c.thermostat)];
        const double allowed = by_step_ ? stem_hold * hold_ / (t.full - t.opens) : 0;
        return std::abs(now.out.thermostats[at(c.thermostat)].lift - lift_[at(c.thermostat)]) >
               allowed;
    });
}

void LiquidSide::predict(double ahead, double* y) const {
    for (int p = 0; p < model_.pump_count; ++p) {
        double& head = y[heads_ + p];
        head = head_target_[at(p)] + (head - head_target_[at(p)]) * std::exp(-ahead / head_lag);
    }
}

double LiquidSide::longest_step(const double* y, double reach) const {
    double longest = endless;
    for (int p = 0; p < model_.pump_count; ++p)
        longest = std::min(
            longest, time_for(reach * head_range, head_target_[at(p)] - y[heads_ + p], head_lag));
    return longest;
}

/// Part of a pump's flow that is left when so much of its loop's liquid has boiled away.
double LiquidSide::pumped(std::size_t l, const Instant& now) const {
    const FlatLoop& loop = model_.loops[l];
    const double lost = now.y[lost_ + static_cast<int>(l)];
    if (lost <= 0 || loop.liquid <= 0) return 1;
    const double before = heat::gas_handling(heat::void_fraction(loop.missing, reserve_share));
    const double after =
        heat::gas_handling(heat::void_fraction(loop.missing + lost / loop.liquid, reserve_share));
    return before > 0 ? after / before : 1;
}

double LiquidSide::control(const FlatLoop::Control& c, double viscosity, const Instant& now) const {
    const double engine = now.row.engine_on ? now.row.engine_speed : 0.0;
    using Kind = FlatLoop::Control::Kind;
    switch (c.kind) {
        case Kind::engine_speed:
            return c.value * engine;
        case Kind::fixed_speed:
            return now.row.engine_on ? c.value : 0;
        case Kind::fixed:
            return c.value;
        case Kind::valve:
            return now.out.thermostats[at(c.thermostat)].lift;
        case Kind::feed_pressure:
            return now.row.engine_on ? 1 : 0;
        case Kind::feed_orifice:
            break;
    }
    if (!now.row.engine_on) return 0;
    return std::min(
        1.0,
        heat::cooler_flow(model_.car.transmission, engine, viscosity, now.row.locked) / c.value);
}

void LiquidSide::solve_loop(std::size_t l, const Instant& now) {
    const FlatLoop& loop = model_.loops[l];
    Outputs& out = now.out;
    LoopOutput& io = out.loops[l];
    for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c)
        properties_[at(c)] = loop.fluid.at(out.cell_temperature[at(c)]);
    for (std::size_t e = 0; e < loop.element_cell.size(); ++e) {
        const fluids::Properties& p = properties_[at(loop.element_cell[e])];
        io.density[e] = p.density;
        io.viscosity[e] = p.viscosity;
    }
    for (const FlatLoop::Control& c : loop.controls)
        io.control[at(c.element)] = control(c, io.viscosity[at(c.element)], now);
    // A pump's head goes with its speed's square, and its flow with its speed.
    const double drawn = pumped(l, now);
    for (const FlatPump& pump : loop.pumps) {
        const double head = std::clamp(now.y[heads_ + pump.number], 0.0, 1.0);
        head_held_[at(pump.number)] = head;
        if (pump.loses_head) io.control[at(pump.element)] *= drawn * std::sqrt(head);
    }
    for (const FlatLoop::Control& c : loop.controls)
        if (c.kind == FlatLoop::Control::Kind::valve)
            lift_[at(c.thermostat)] = now.out.thermostats[at(c.thermostat)].lift;
    solvers_[l].solve({.density = io.density, .viscosity = io.viscosity, .control = io.control},
                      io.flow);
    if (!io.flow.converged()) ++out.failures;
    out.worst_residual = std::max(out.worst_residual, io.flow.residual);
    for (int r = 0; r < loop.runs; ++r) {
        const double m = io.flow.mass_flow[at(r)];
        out.run_flow[at(loop.first_run + r)] = std::abs(m) < least_flow ? 0.0 : m;
    }
    hold_pumps(l, out);
    hold_heads(l, now);
    hold_walls(l, out);
    const auto cell = at(loop.first_cell);
    std::copy_n(&out.cell_temperature[cell], loop.cells, &cell_[cell]);
    stale_[l] = 0;
}

/// Shaft work of each pump, all of which ends as heat in the fluid.
void LiquidSide::hold_pumps(std::size_t l, const Outputs& out) {
    const FlatLoop& loop = model_.loops[l];
    const LoopOutput& io = out.loops[l];
    for (const FlatPump& pump : loop.pumps) {
        if (pump.efficiency <= 0) continue;
        const auto e = at(pump.element);
        const double m = io.flow.mass_flow[at(pump.branch)];
        pump_[at(pump.number)] = -hydraulics::element_loss(*loop.network, e, io.density[e],
                                                           io.viscosity[e], io.control[e], m) *
                                 m / io.density[e] / pump.efficiency;
    }
}

/// What cavitation would leave each pump, by the head at its inlet.
void LiquidSide::hold_heads(std::size_t l, const Instant& now) {
    const FlatLoop& loop = model_.loops[l];
    const LoopOutput& io = now.out.loops[l];
    for (const FlatPump& pump : loop.pumps) {
        double& target = head_target_[at(pump.number)];
        target = 1;
        const auto e = at(pump.element);
        const double speed = io.control[e];
        if (!pump.loses_head || speed <= 0) continue;
        const double m = io.flow.mass_flow[at(pump.branch)];
        double below = io.flow.pressure[at(loop.cap_node)] -
                       io.flow.pressure[at(loop.network->from[at(pump.branch)])];
        for (int i = loop.network->first_element[at(pump.branch)]; i < pump.element; ++i)
            below += hydraulics::element_loss(*loop.network, at(i), io.density[at(i)],
                                              io.viscosity[at(i)], io.control[at(i)], m);
        const double vapour =
            loop.fluid.vapour_pressure(now.out.cell_temperature[at(loop.element_cell[e])]);
        const double flow = std::max(0.0, m) / io.density[e];
        const double required = pump.need.speed > 0
                                    ? hydraulics::npsh_required(pump.need, speed, flow)
                                    : pump.need.at_flow;
        const auto left = [&](double tank) {
            return heat::head_left(
                hydraulics::npsh_available(tank - below, vapour, io.density[e], 0) / required);
        };
        if (required <= 0) continue;
        target = left(now.row.pressure);  // mostly enough, whatever the cap holds
        if (target < 1 && loop.cap_pressure > 0) target = left(tank_pressure(l, now));
    }
}

/// Pa in a closed loop's tank, of the gas that it was filled with: what a cap let out is not known
/// here. A loop without gas stands against its cap once it is warm.
double LiquidSide::tank_pressure(std::size_t l, const Instant& now) const {
    constexpr double filled = 293.15, warm = 353.15;  // K
    const FlatLoop& loop = model_.loops[l];
    const std::vector<double>& kelvin = now.out.cell_temperature;
    if (loop.expansion_volume <= 0)
        return now.row.pressure +
               (kelvin[at(loop.hottest(kelvin))] > warm ? loop.cap_pressure : 0.0);
    double mass = 0, swollen = 0, coldest = kelvin[at(loop.first_cell)];
    for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c) {
        const double fluid = model_.cells[at(c)].b / loop.caloric.c1;  // b = mass · c1
        mass += fluid;
        swollen += fluid / loop.fluid.density(kelvin[at(c)]);
        coldest = std::min(coldest, kelvin[at(c)]);
    }
    hydraulics::ExpansionVolume tank;
    tank.gas_volume = loop.expansion_volume;
    tank.cap_pressure = loop.cap_pressure;
    tank.fill_pressure = now.row.pressure;
    return hydraulics::system_pressure(tank,
                                       hydraulics::fill(tank, loop.fluid.vapour_pressure(filled)),
                                       swollen - mass / loop.fluid.density(filled), coldest,
                                       loop.fluid.vapour_pressure(coldest), now.row.pressure)
        .pressure;
}

/// Films inside the metal that stands behind a loop's cells.
void LiquidSide::hold_walls(std::size_t l, const Outputs& out) {
    for (std::size_t w = 0; w < model_.walls.size(); ++w) {
        const Wall& wall = model_.walls[w];
        if (model_.runs[at(wall.run)].loop != static_cast<int>(l)) continue;
        const double flow = std::abs(out.run_flow[at(wall.run)]) / wall.flow;
        wall_[w] = wall.at_rest + (flow > 0 ? wall.conductance * std::pow(flow, 0.8) : 0.0);
    }
}

void LiquidSide::hold_cores(const Instant& now) {
    Outputs& out = now.out;
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        const double first = std::abs(out.run_flow[at(core.first_run)]);
        const double second = std::abs(out.run_flow[at(core.second_run)]);
        const fluids::Properties &warm = properties(core.first_cell),
                                 &cold = properties(core.second_cell);
        const auto fluid = [&](int cell) {
            return &model_.loops[at(model_.cells[at(cell)].loop)].fluid;
        };
        const exchangers::CoreOperation o = exchangers::operate_with_wall(
            core.core, {first, out.cell_temperature[at(core.first_cell)], warm, 0},
            {second, out.cell_temperature[at(core.second_cell)], cold, 0}, fluid(core.first_cell),
            fluid(core.second_cell));
        core_[i] =
            o.effectiveness * std::min(first * warm.specific_heat, second * cold.specific_heat);
        CoreOutput& found = out.cores[i];
        found.effectiveness = o.effectiveness;
        found.second_flow = second;
        found.resistance_second = o.resistance_second;
        found.resistance_wall = o.resistance_wall;
        found.resistance_first = o.resistance_first;
        found.flags = o.flags;
    }
}

void LiquidSide::transport(const Instant& now) {
    const std::vector<double>& flow = now.out.run_flow;
    std::fill(node_in_.begin(), node_in_.end(), 0.0);
    std::fill(node_out_.begin(), node_out_.end(), 0.0);
    for (std::size_t r = 0; r < model_.runs.size(); ++r) {
        const FlatRun& run = model_.runs[r];
        const double m = flow[r];
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
        const double m = flow[r];
        const int first = m >= 0 ? run.first_cell : run.first_cell + run.cells - 1;
        const int step = m >= 0 ? 1 : -1;
        const int source = m >= 0 ? run.from : run.to;
        double h = m != 0 && node_out_[at(source)] > 0
                       ? node_in_[at(source)] / node_out_[at(source)]
                       : enthalpy_[at(first)];
        for (int i = 0, c = first; i < run.cells; ++i, c += step) {
            upstream_[at(c)] = h;
            now.balance.cell[at(c)] += std::abs(m) * (h - enthalpy_[at(c)]);
            h = enthalpy_[at(c)];
        }
    }
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.first_cell != none)
            now.out.cores[i].first_inlet = inlet(core.first_cell, core.first_run, now.out);
    }
}

double LiquidSide::inlet(int cell, int run, const Outputs& out) const {
    return out.run_flow[at(run)] == 0
               ? out.cell_temperature[at(cell)]
               : model_.loops[at(model_.cells[at(cell)].loop)].caloric.temperature(
                     upstream_[at(cell)]);
}

/// The drive's heat at the temperatures of now: a cold engine rubs more and gives its walls more.
PerStream<double> LiquidSide::heat_at(const Instant& now) const {
    PerStream<double> heat = now.row.heat;
    now.out.exhaust_more = 0;
    if (!now.row.engine_on) return heat;
    const std::vector<double>& kelvin = now.out.cell_temperature;
    double& coolant = heat[Stream::engine_coolant];
    if (model_.coolant_cell != none)
        coolant *= heat::wall_factor(model_.car.engine, kelvin[at(model_.coolant_cell)]);
    now.out.exhaust_more = now.row.heat[Stream::engine_coolant] - coolant;
    if (model_.oil_cell != none) {
        const double cold =
            heat::friction_factor(model_.car.engine, kelvin[at(model_.oil_cell)]) - 1;
        coolant += now.row.cold_coolant * cold;
        heat[Stream::engine_oil] += now.row.cold_oil * cold;
        now.out.exhaust_more += now.row.cold_exhaust * cold;
    }
    // The fans' power comes from the crank, as far as the alternator gives it.
    double fans = 0;
    for (std::size_t f = 0; f < model_.fans.size(); ++f)
        if (model_.fans[f].path != none) fans += now.out.fans[f].power;
    const double shaft =
        std::min(fans, now.row.spare_power) / model_.car.electrics.alternator.efficiency;
    coolant += shaft * now.row.coolant_each;
    heat[Stream::engine_oil] += shaft * now.row.oil_each;
    now.out.exhaust_more += shaft * now.row.exhaust_each;
    return heat;
}

void LiquidSide::sources(const Instant& now) {
    const std::vector<double>& kelvin = now.out.cell_temperature;
    const PerStream<double> heat = heat_at(now);
    for (const HeatInto& h : model_.heats) {
        const double watts = h.share * heat[h.stream];
        if (h.cell != none)
            now.balance.into_cell(h.cell, watts, h.ledger);
        else
            now.balance.into_wall(h.wall, watts, h.ledger);
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w) {
        const Wall& wall = model_.walls[w];
        const double q = wall_[w] * (now.y[wall.state] - kelvin[at(wall.cell)]);
        now.balance.cell[at(wall.cell)] += q;
        now.balance.wall[w] -= q;
        now.dydt[wall.state] = now.balance.wall[w] / wall.capacity;
    }
    for (const FlatLink& link : model_.links) {
        const double g = heat::oil_to_block(link.block, now.row.engine_speed, now.row.engine_on);
        now.balance.across(link.first_cell, link.second_cell,
                           g * (kelvin[at(link.first_cell)] - kelvin[at(link.second_cell)]));
    }
}

void LiquidSide::boil(const Instant& now) {
    for (int p = 0; p < model_.pump_count; ++p)
        now.dydt[heads_ + p] = (head_target_[at(p)] - now.y[heads_ + p]) / head_lag;
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const FlatLoop& loop = model_.loops[l];
        double& lost = now.dydt[lost_ + static_cast<int>(l)];
        lost = 0;
        if (!loop.vapour.counts()) continue;
        LoopOutput& io = now.out.loops[l];
        if (now.row.pressure != pressure_[l]) {
            pressure_[l] = now.row.pressure;
            io.boiling = loop.fluid.boiling_temperature(now.row.pressure + loop.cap_pressure);
        }
        io.lost = now.y[lost_ + static_cast<int>(l)];
        io.vapour = 0;
        for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c) {
            const double excess = now.out.cell_temperature[at(c)] - io.boiling;
            if (excess <= 0) continue;
            const Cell& cell = model_.cells[at(c)];
            const double watts = (cell.a + cell.b * io.boiling) * excess / heat::boiling_lag;
            now.balance.out_of_cell(c, watts, loop.vapour);
            io.vapour += watts;
        }
        if (io.vapour > 0) lost = io.vapour / heat::evaporation_heat(io.boiling);
    }
}

void LiquidSide::pumps(const Instant& now) const {
    for (const FlatLoop& loop : model_.loops)
        for (const FlatPump& pump : loop.pumps) {
            const double work = pump_[at(pump.number)];
            if (work > 0) now.balance.into_cell(pump.cell, work, pump.ledger);
        }
}

void LiquidSide::cores(const Instant& now) const {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        CoreOutput& found = now.out.cores[i];
        found.second_inlet = inlet(core.second_cell, core.second_run, now.out);
        found.heat = core_[i] * (found.first_inlet - found.second_inlet);
        now.balance.across(core.first_cell, core.second_cell, found.heat);
    }
}

}  // namespace lapheat::model
