// The air's part of the right-hand side: cores in their columns, fans, and what surrounds them.
#include <algorithm>
#include <cmath>

#include "dynamics.hpp"
#include "lapheat/exchangers/film.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/heat/surroundings.hpp"

namespace lapheat::model {
namespace {

constexpr double air_lag = 1.0;  // s, air through a stack and back: a core's air is renewed in less
constexpr double bay_lag = 20.0;  // s, air and thin sheet of an engine bay; assumption
// Drift that ages an air path's flow and films as a kelvin in a liquid does: air changes its
// density only, and a core's film goes with less than the flow.
constexpr double air_hold = 5;         // K of air for each K of hold
constexpr double flow_hold = 0.02;     // share of a core's liquid flow for each K of hold
constexpr double fan_hold = 0.01;      // of full speed for each K of hold
constexpr double creeping_air = 2e-3;  // kg/s of a passage below which both its ends breathe

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

/// What a switch that is on asks of its fan: a step, or a ramp over the sensor's temperature.
double asked(const FlatSwitch& s, double sensed) {
    if (s.full <= s.on) return s.command;
    return s.command + (1 - s.command) * std::clamp((sensed - s.on) / (s.full - s.on), 0.0, 1.0);
}

}  // namespace

void Dynamics::hold_core(std::size_t passage) {
    const FlatPassage& p = model_.passages[passage];
    Held::Passage& held = held_.passages[passage];
    held.air = std::abs(path_flow_[at(p.path)].passage_flow[at(p.local)]);
    held.capacity = held.air * row_->air_specific_heat;
    held.rise = 0;
    if (p.heat_stream != none) {
        const airflow::Passage& geometry = model_.paths[at(p.path)].path.passages[at(p.local)];
        // A condenser in still air trips on pressure before its air is 60 K hotter; smooth in flow.
        const double heat = row_->heat[at(p.heat_stream)] * geometry.core_fraction;
        if (heat > 0) held.rise = 60 * heat / (heat + 60 * held.capacity);
    }
    if (p.core == none || model_.cores[at(p.core)].first_cell == none) return;
    const std::size_t c = at(p.core);
    const FlatCore& core = model_.cores[c];
    const double liquid = std::abs(run_flow[at(core.first_run)]) * p.fraction;
    const fluids::Properties& properties = properties_[at(core.first_cell)];
    // The air's film has the properties of the air's mean temperature in the core, as in rate().
    const airflow::PathInputs& in = path_inputs_[at(p.path)];
    const double air_inlet = in.passage_inlet_temperature[at(p.local)];
    const fluids::AirState mean{.temperature =
                                    0.5 * (air_inlet + in.passage_outlet_temperature[at(p.local)])};
    const fluids::Properties air{row_->density, row_->air_specific_heat, fluids::conductivity(mean),
                                 fluids::viscosity(mean)};
    const exchangers::CoreOperation o = exchangers::operate_with_wall(
        p.slice, {liquid, cell_temperature[at(core.first_cell)], properties, 0},
        {held.air, air_inlet, air, 0},
        &model_.loops[at(model_.cells[at(core.first_cell)].loop)].fluid, nullptr);
    // A standing liquid has no effectiveness; its core then gives heat from where it is,
    // through the air side alone. The change is made where the liquid's capacity rate is a few
    // percent of UA and steady effectiveness-NTU says nothing about the metal.
    const double carried = liquid * properties.specific_heat, threshold = 0.03 * o.ua;
    const double moving =
        carried > 0 ? 1 / (1 + (threshold / carried) * (threshold / carried)) : 0.0;
    held.working = moving * o.effectiveness * std::min(carried, held.capacity);
    held.standing =
        moving < 1 && held.capacity > 0 && o.resistance_second > 0 &&
                std::isfinite(o.resistance_second)
            ? (1 - moving) * held.capacity * -std::expm1(-1 / (o.resistance_second * held.capacity))
            : 0.0;
    // Air that all but stands in a core has its temperature; the limit of heat over capacity.
    const double share = std::clamp(held.air / creeping_air - 1, 0.0, 1.0);
    held.mixing = held.capacity > 0 ? share * share * (3 - 2 * share) : 0.0;
    core_air_flow[c] += held.air;
    core_effectiveness[c] += p.fraction * o.effectiveness;
    // Slices work side by side: conductances add.
    if (o.ua > 0) {
        core_resistance_air[c] += o.resistance_second * p.fraction * p.fraction;
        core_resistance_wall[c] += o.resistance_wall * p.fraction * p.fraction;
        core_resistance_liquid[c] += o.resistance_first * p.fraction * p.fraction;
    }
    core_flags[c] = o.flags;
}

void Dynamics::air_flow(const double* y, std::size_t n) {
    const FlatPath& path = model_.paths[n];
    for (const int c : path.cores) {
        const std::size_t i = at(c);
        core_air_flow[i] = core_effectiveness[i] = 0;
        core_resistance_air[i] = core_resistance_wall[i] = core_resistance_liquid[i] = 0;
        held_.core_temperature[i] = cell_temperature[at(model_.cores[i].first_cell)];
        held_.core_flow[i] = run_flow[at(model_.cores[i].first_run)];
    }
    airflow::PathInputs& in = path_inputs_[n];
    in.inlet_temperature = y[path.state];
    in.bay_temperature = path.into_bay ? y[model_.bay] : row_->ambient;
    const auto held_air = [&](int state) -> double& {
        return held_.air[at(state - model_.first_air)];
    };
    held_air(path.state) = y[path.state];
    for (int i = 0; i < path.passages; ++i) {
        const FlatPassage& p = model_.passages[at(path.first_passage + i)];
        in.passage_inlet_temperature[at(i)] =
            p.upstream == none ? y[path.state] : y[model_.passages[at(p.upstream)].state];
        in.passage_outlet_temperature[at(i)] = y[p.state];
        held_air(p.state) = y[p.state];
    }
    for (std::size_t f = 0; f < path.fans.size(); ++f)
        in.fan_speed[f] = std::max(0.0, y[model_.fans[at(path.fans[f])].state]);
    airflow::solve(path.path, in, path_flow_[n]);
    if (!path_flow_[n].converged) ++failures;
    for (int i = 0; i < path.passages; ++i) hold_core(at(path.first_passage + i));
    for (const int f : path.fans) fan_drive(y, at(f));
    path_stale_[n] = 0;
}

/// A fan on its way to its target moves the flow within a step.
bool Dynamics::spinning(const double* y, const FlatPath& path) const {
    return std::any_of(path.fans.begin(), path.fans.end(), [&](int f) {
        return std::abs(held_.fan_target[at(f)] - y[model_.fans[at(f)].state]) > fan_hold * hold_;
    });
}

bool Dynamics::drifted(const double* y, std::size_t n) const {
    const FlatPath& path = model_.paths[n];
    const auto air = [&](int state) {
        return std::abs(y[state] - held_.air[at(state - model_.first_air)]) > air_hold * hold_;
    };
    for (int i = path.first_passage; i < path.first_passage + path.passages; ++i)
        if (air(model_.passages[at(i)].state)) return true;
    for (const int c : path.cores) {
        const FlatCore& core = model_.cores[at(c)];
        const double flow = run_flow[at(core.first_run)], was = held_.core_flow[at(c)];
        if (std::abs(cell_temperature[at(core.first_cell)] - held_.core_temperature[at(c)]) >
                hold_ ||
            std::abs(flow - was) > flow_hold * hold_ * std::abs(was))
            return true;
    }
    return air(path.state);
}

void Dynamics::air_core(const double* y, double* dydt, std::size_t passage, double temperature_in) {
    const FlatPassage& p = model_.passages[passage];
    const Held::Passage& held = held_.passages[passage];
    double rise = held.rise;
    if (p.core != none && model_.cores[at(p.core)].first_cell != none) {
        const FlatCore& core = model_.cores[at(p.core)];
        const double still = cell_temperature[at(core.first_cell)] - temperature_in;
        const double heat =
            held.working * (core_liquid_inlet[at(p.core)] - temperature_in) + held.standing * still;
        gain_[at(core.first_cell)] -= heat;
        heat_into[at(core.ledger)] += heat;
        core_heat[at(p.core)] += heat;
        core_air_inlet[at(p.core)] += held.air * temperature_in;
        rise += still + (held.mixing > 0 ? held.mixing * (heat / held.capacity - still) : 0.0);
    }
    dydt[p.state] = (temperature_in + rise - y[p.state]) / air_lag;
}

void Dynamics::air(const double* y, double* dydt) {
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        core_heat[i] = core_air_inlet[i] = 0;
        const FlatCore& core = model_.cores[i];
        if (core.first_cell != none)
            core_liquid_inlet[i] = core_inlet(core.first_cell, core.first_run);
    }
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        const FlatPath& path = model_.paths[n];
        airflow::PathInputs& in = path_inputs_[n];
        path_inlet[n] = y[path.state];
        // Air that runs backwards comes from behind the cores: the engine bay, or the air of the
        // place with all that warms it. It is never as fresh as what ram would bring.
        const double bay = path.into_bay ? y[model_.bay] : y[path.state];
        for (int i = 0; i < path.passages; ++i)
            in.passage_outlet_temperature[at(i)] =
                y[model_.passages[at(path.first_passage + i)].state];
        airflow::passage_inlet_temperatures(path.path, path_flow_[n], y[path.state], bay,
                                            in.passage_outlet_temperature, passage_inlet_[n]);
        for (int i = 0; i < path.passages; ++i) {
            const FlatPassage& p = model_.passages[at(path.first_passage + i)];
            const double before =
                p.upstream == none ? y[path.state] : y[model_.passages[at(p.upstream)].state];
            const double behind =
                p.downstream == none ? bay : y[model_.passages[at(p.downstream)].state];
            air_core(y, dydt, at(path.first_passage + i),
                     around_rest(path_flow_[n].passage_flow[at(i)], before, behind,
                                 passage_inlet_[n][at(i)]));
        }
    }
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const int path = model_.cores[i].path;
        if (path == none) continue;
        if (core_air_flow[i] > 0)
            core_air_inlet[i] /= core_air_flow[i];
        else  // no air moves: what stands before the path
            core_air_inlet[i] = path_inlet[at(path)];
    }
}

void Dynamics::fan_drive(const double* y, std::size_t f) {
    const FlatFan& fan = model_.fans[f];
    double command = fan.switched ? 0.0 : 1.0;
    for (std::size_t s = 0; s < model_.switches.size(); ++s)
        if (switch_on_[s] && model_.switches[s].fan == static_cast<int>(f))
            command = std::max(command, asked(model_.switches[s], y[model_.switches[s].state]));
    if (fan.with_air_conditioning && row_->heat[at(static_cast<int>(Stream::condenser))] > 0)
        command = 1;
    if (fan.dead || (!row_->engine_on && !fan.after_run)) command = 0;
    double behind = row_->ambient, density_ratio = 1;
    if (fan.path != none) {
        const FlatPath& path = model_.paths[at(fan.path)];
        const airflow::FanPoint& point = path_flow_[at(fan.path)].fans[at(fan.local)];
        fan_flow[f] = point.flow;
        if (path.passages > 0)
            behind = y[model_.passages[at(path.first_passage + path.passages - 1)].state];
        const airflow::Fan& blades = path.path.description.fans[at(fan.local)];
        density_ratio = row_->density * row_->ambient / behind / blades.curve.reference_density;
        // A motor carries torque: a fan that takes more at this flow is as denser air to it.
        density_ratio *= airflow::fan_load(blades, point.flow, y[fan.state]);
    }
    airflow::DriveState target;
    if (command > 0)
        target = airflow::drive_state(fan.drive, command, supply_voltage(*row_), density_ratio,
                                      row_->engine_speed, behind);
    held_.fan_target[f] = target.speed;
    fan_current[f] = target.current;
    fan_power[f] = target.current * supply_voltage(*row_);  // with what wires and relay take
}

void Dynamics::fans(const double* y, double* dydt) {
    double power = 0;
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        if (fan.path == none || fan.ramped) fan_drive(y, f);
        const double target = held_.fan_target[f];
        power += fan_power[f];
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
            const double m = flow.passage_flow[at(i)];
            if ((m >= 0 ? p.downstream : p.upstream) != none) continue;  // still inside the stack
            leaving += std::abs(m);
            sum += std::abs(m) * y[p.state];
            if (path.into_bay && m > 0) {  // what runs backwards leaves at the front
                bay_flow += m;
                bay_heat += m * y[p.state];
            }
        }
        const double outlet = (sum + creeping_air * y[path.state]) / (leaving + creeping_air);
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
        airflow::InletAir air = airflow::inlet(path.parameters, now);
        if (path.brake_air_share > 0)
            air.temperature += path.brake_air_share * row_->brake_air /
                               (std::max(leaving, creeping_air) * row_->air_specific_heat);
        shares_limited[n] = air.shares_limited;
        dydt[path.state] = (air.temperature - y[path.state]) / air_lag;
        if (face != none) {
            if (path.brake_view_area > 0)
                air.radiation +=
                    heat::radiant_heat(row_->brakes, now.core_temperature, path.brake_view_area);
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

}  // namespace lapheat::model
