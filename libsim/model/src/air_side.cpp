#include "air_side.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/exchangers/film.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/heat/surroundings.hpp"

namespace lapheat::model {
namespace {

// Drift that ages an air path's flow and films as a kelvin in a liquid does: air changes its
// density only, and a core's film goes with less than the flow.
constexpr double air_hold = 5;      // K of air for each K of hold
constexpr double flow_hold = 0.02;  // share of a core's liquid flow for each K of hold
constexpr double fan_hold = 0.01;   // of full speed for each K of hold
constexpr double fan_drift = 1e-3;  // of full speed, between steps
constexpr double fan_there = 2e-4;  // of full speed, from where a fan counts as at its target
constexpr double fan_range = 0.1;   // of its speed, that it changes in an implicit step
constexpr double fan_all_but_still = 0.015;
constexpr double air_step_tolerance = 1e-5;  // of flows that are held over a step

double smooth(double s) { return s * s * (3 - 2 * s); }

/// Of what the air that enters a passage is a mix, continuous through rest: at creeping flow of
/// what lies at both ends, so that buoyancy cannot make the right-hand side jump.
struct RestShares {
    double before = 0, behind = 0, moving = 1;
};
RestShares shares_around_rest(double flow) {
    const double x = flow / creeping_air;
    if (std::abs(x) >= 2) return {};
    const double moving = smooth(std::clamp(std::abs(x) - 1, 0.0, 1.0));
    const double before = std::clamp(0.5 + 0.5 * x, 0.0, 1.0);
    return {(1 - moving) * before, (1 - moving) * (1 - before), moving};
}
double around_rest(double flow, double before, double behind, double moving) {
    const RestShares s = shares_around_rest(flow);
    return s.before * before + s.behind * behind + s.moving * moving;
}

}  // namespace

AirSide::AirSide(const Model& model, double hold, const ForcingRow& first, Outputs& out,
                 bool by_step)
    : model_(model),
      hold_(hold),
      by_step_(by_step),
      bay_(model.layout[StateKind::bay].first),
      fan_energy_(model.layout[StateKind::fan_energy].first),
      bay_capacity_(model.car.bay.air),
      stale_(model.paths.size(), 1),
      columns_(model.passages.size()),
      liquid_(model.cores.size()),
      inlet_(model.paths.size()),
      fan_target_(model.fans.size()) {
    for (std::size_t n = 0; n < model.paths.size(); ++n) {
        const FlatPath& path = model.paths[n];
        inputs_.push_back(airflow::make_inputs(path.path, first.density, first.ambient));
        if (by_step) inputs_.back().tolerance = air_step_tolerance;
        passage_inlet_.emplace_back(at(path.passages));
        out.paths[n].flow = airflow::make_flow(path.path);
    }
}

void AirSide::enter_interval(const ForcingRow& row) {
    for (airflow::PathInputs& in : inputs_) {
        in.vehicle_speed = row.speed;
        in.headwind = row.headwind;
        in.ambient_density = row.density;
        in.ambient_temperature = row.ambient;
        in.viscosity = row.viscosity;
        in.supply_voltage = supply_voltage(row);
    }
}

void AirSide::stale() { std::fill(stale_.begin(), stale_.end(), 1); }

bool AirSide::age(const double* y, const Outputs& out) {
    bool any = false;
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        if (!drifted(y, n, out)) continue;
        stale_[n] = 1;
        any = true;
    }
    return any;
}

bool AirSide::drifted(const double* y, std::size_t n, const Outputs& out) const {
    const FlatPath& path = model_.paths[n];
    const auto air = [&](double now, double then) {
        return std::abs(now - then) > air_hold * hold_;
    };
    for (int i = path.first_passage; i < path.first_passage + path.passages; ++i)
        if (air(y[model_.passages[at(i)].state], columns_[at(i)].outlet)) return true;
    for (const int c : path.cores) {
        const FlatCore& core = model_.cores[at(c)];
        const Liquid& then = liquid_[at(c)];
        const double flow = out.run_flow[at(core.first_run)];
        if (std::abs(out.cell_temperature[at(core.first_cell)] - then.temperature) > hold_ ||
            std::abs(flow - then.flow) > flow_hold * hold_ * std::abs(then.flow))
            return true;
    }
    return air(y[path.state], inlet_[n]);
}

/// The speed for which a path is solved. Held by step, a fan all but there is there: flows are not
/// left at what they were on the way.
double AirSide::fan_speed(std::size_t f, const double* y) const {
    const double speed = std::max(0.0, y[model_.fans[f].state]), target = fan_target_[f];
    return by_step_ && std::abs(target - speed) < fan_there ? target : speed;
}

/// A fan on its way to its target moves the flow within a step.
bool AirSide::spinning(const double* y, std::size_t n) const {
    const FlatPath& path = model_.paths[n];
    if (by_step_) {
        for (std::size_t f = 0; f < path.fans.size(); ++f) {
            const double speed = fan_speed(at(path.fans[f]), y);
            const bool there = speed == fan_target_[at(path.fans[f])];
            if (std::abs(speed - inputs_[n].fan_speed[f]) > (there ? 0.1 * fan_there : fan_drift))
                return true;
        }
        return false;
    }
    return std::any_of(path.fans.begin(), path.fans.end(), [&](int f) {
        return std::abs(fan_target_[at(f)] - y[model_.fans[at(f)].state]) > fan_hold * hold_;
    });
}

bool AirSide::flows(const Instant& now, const Controls& controls, const LiquidSide& liquid) {
    bool any = false;
    for (std::size_t n = 0; n < model_.paths.size(); ++n)
        if (hold_ <= 0 || stale_[n] || spinning(now.y, n) ||
            (by_step_ && drifted(now.y, n, now.out))) {
            solve_path(n, now, controls, liquid);
            any = true;
        }
    for (std::size_t f = 0; f < model_.fans.size(); ++f)
        if (model_.fans[f].path == none || model_.fans[f].ramped) drive_fan(f, now, controls);
    return any;
}

void AirSide::predict(double ahead, double* y) const {
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        double& speed = y[fan.state];
        const double target = fan_target_[f];
        const double lag = target > speed ? fan.drive.spin_up : fan.drive.run_down;
        speed = target + (speed - target) * std::exp(-ahead / lag);
    }
}

void AirSide::drive(const Instant& now, const Controls& controls) {
    for (std::size_t f = 0; f < model_.fans.size(); ++f) drive_fan(f, now, controls);
}

double AirSide::longest_step(const double* y, double reach) const {
    double longest = endless;
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        if (fan.path == none) continue;
        const double speed = y[fan.state], away = fan_target_[f] - speed;
        const double lag = away > 0 ? fan.drive.spin_up : fan.drive.run_down;
        // What air is left while it runs down goes with what speed is left.
        const double most =
            reach * fan_range * (away > 0 ? 1 : fan_all_but_still + std::max(0.0, speed));
        longest = std::min(longest, time_for(most, away, lag));
    }
    return longest;
}

/// The columns add up a core's outputs anew, for the liquid of now.
void AirSide::begin_cores(const FlatPath& path, Outputs& out) {
    for (const int c : path.cores) {
        const FlatCore& core = model_.cores[at(c)];
        liquid_[at(c)] = {out.cell_temperature[at(core.first_cell)],
                          out.run_flow[at(core.first_run)]};
        CoreOutput& found = out.cores[at(c)];
        found.second_flow = found.effectiveness = 0;
        found.resistance_second = found.resistance_wall = found.resistance_first = 0;
        found.flags = 0;
    }
}

void AirSide::solve_path(std::size_t n, const Instant& now, const Controls& controls,
                         const LiquidSide& liquid) {
    const FlatPath& path = model_.paths[n];
    const double* y = now.y;
    begin_cores(path, now.out);
    airflow::PathInputs& in = inputs_[n];
    in.inlet_temperature = inlet_[n] = y[path.state];
    in.bay_temperature = path.into_bay ? y[bay_] : now.row.ambient;
    for (int i = 0; i < path.passages; ++i) {
        const FlatPassage& p = model_.passages[at(path.first_passage + i)];
        in.passage_inlet_temperature[at(i)] = y[state_before(p)];
        in.passage_outlet_temperature[at(i)] = y[p.state];
        columns_[at(path.first_passage + i)].outlet = y[p.state];
    }
    for (std::size_t f = 0; f < path.fans.size(); ++f)
        in.fan_speed[f] = fan_speed(at(path.fans[f]), y);
    airflow::PathFlow& flow = now.out.paths[n].flow;
    airflow::operating_point(path.path, in, flow);
    if (!flow.converged) ++now.out.failures;
    for (int i = 0; i < path.passages; ++i) hold_column(at(path.first_passage + i), now, liquid);
    for (const int f : path.fans) drive_fan(at(f), now, controls);
    stale_[n] = 0;
}

void AirSide::hold_column(std::size_t passage, const Instant& now, const LiquidSide& liquid) {
    const FlatPassage& p = model_.passages[passage];
    const ForcingRow& row = now.row;
    Column& held = columns_[passage];
    held.air = std::abs(now.out.paths[at(p.path)].flow.passage_flow[at(p.local)]);
    held.capacity = held.air * row.air_specific_heat;
    held.heat = 0;
    if (p.heat) {
        const airflow::Passage& geometry = model_.paths[at(p.path)].path.passages[at(p.local)];
        held.heat =
            heat::condenser_rejected(row.heat[*p.heat] * geometry.core_fraction, held.capacity);
    }
    if (p.core == none || model_.cores[at(p.core)].first_cell == none) return;
    const FlatCore& core = model_.cores[at(p.core)];
    const double flow = std::abs(now.out.run_flow[at(core.first_run)]) * p.fraction;
    const fluids::Properties& properties = liquid.properties(core.first_cell);
    // The air's film has the properties of the air's mean temperature in the core, as in rate().
    const airflow::PathInputs& in = inputs_[at(p.path)];
    const double air_inlet = in.passage_inlet_temperature[at(p.local)];
    const fluids::AirState mean{.temperature =
                                    0.5 * (air_inlet + in.passage_outlet_temperature[at(p.local)])};
    const fluids::Properties air{row.density, row.air_specific_heat, fluids::conductivity(mean),
                                 fluids::viscosity(mean)};
    const exchangers::CoreOperation o = exchangers::operate_with_wall(
        p.slice, {flow, now.out.cell_temperature[at(core.first_cell)], properties, 0},
        {held.air, air_inlet, air, 0},
        &model_.loops[at(model_.cells[at(core.first_cell)].loop)].fluid, nullptr);
    // A standing liquid has no effectiveness; its core then gives heat from where it is,
    // through the air side alone. The change is made where the liquid's capacity rate is a few
    // percent of UA and steady effectiveness-NTU says nothing about the metal.
    const double carried = flow * properties.specific_heat, threshold = 0.03 * o.ua;
    const double moving =
        carried > 0 ? 1 / (1 + (threshold / carried) * (threshold / carried)) : 0.0;
    held.working = moving * o.effectiveness * std::min(carried, held.capacity);
    held.standing =
        moving < 1 && held.capacity > 0 && o.resistance_second > 0 &&
                std::isfinite(o.resistance_second)
            ? (1 - moving) * held.capacity * -std::expm1(-1 / (o.resistance_second * held.capacity))
            : 0.0;
    // Air that all but stands in a core has its temperature; the limit of heat over capacity.
    held.mixing =
        held.capacity > 0 ? smooth(std::clamp(held.air / creeping_air - 1, 0.0, 1.0)) : 0.0;
    CoreOutput& found = now.out.cores[at(p.core)];
    found.second_flow += held.air;
    found.effectiveness += p.fraction * o.effectiveness;
    // Slices work side by side: conductances add.
    if (o.ua > 0) {
        found.resistance_second += o.resistance_second * p.fraction * p.fraction;
        found.resistance_wall += o.resistance_wall * p.fraction * p.fraction;
        found.resistance_first += o.resistance_first * p.fraction * p.fraction;
    }
    found.flags |= o.flags;
}

int AirSide::state_before(const FlatPassage& p) const {
    return p.upstream == none ? model_.paths[at(p.path)].state
                              : model_.passages[at(p.upstream)].state;
}

/// Air that runs backwards comes from behind the cores: the engine bay, or the air of the place
/// with all that warms it. It is never as fresh as what ram would bring.
int AirSide::state_behind(const FlatPassage& p) const {
    if (p.downstream != none) return model_.passages[at(p.downstream)].state;
    const FlatPath& path = model_.paths[at(p.path)];
    return path.into_bay ? bay_ : path.state;
}

void AirSide::cores(const Instant& now) {
    const double* y = now.y;
    now.out.condenser = 0;
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        const FlatPath& path = model_.paths[n];
        PathOutput& found = now.out.paths[n];
        for (const int c : path.cores) {
            CoreOutput& core = now.out.cores[at(c)];
            core.heat = core.second_inlet = 0;
        }
        airflow::PathInputs& in = inputs_[n];
        found.inlet = y[path.state];
        found.heat = found.heat_back = 0;
        const double bay = path.into_bay ? y[bay_] : y[path.state];
        for (int i = 0; i < path.passages; ++i)
            in.passage_outlet_temperature[at(i)] =
                y[model_.passages[at(path.first_passage + i)].state];
        airflow::passage_inlet_temperatures(path.path, found.flow, y[path.state], bay,
                                            in.passage_outlet_temperature, passage_inlet_[n]);
        for (int i = 0; i < path.passages; ++i) {
            const FlatPassage& p = model_.passages[at(path.first_passage + i)];
            work_column(at(path.first_passage + i),
                        around_rest(found.flow.passage_flow[at(i)], y[state_before(p)],
                                    y[state_behind(p)], passage_inlet_[n][at(i)]),
                        now);
        }
        for (const int c : path.cores) {
            CoreOutput& core = now.out.cores[at(c)];
            if (core.second_flow > 0)
                core.second_inlet /= core.second_flow;
            else  // no air moves: what stands before the path
                core.second_inlet = found.inlet;
        }
    }
}

void AirSide::work_column(std::size_t passage, double temperature_in, const Instant& now) {
    const FlatPassage& p = model_.passages[passage];
    const Column& held = columns_[passage];
    double rise = held.heat > 0 ? held.heat / held.capacity : 0.0;
    PathOutput& path = now.out.paths[at(p.path)];
    const bool back = path.flow.passage_flow[at(p.local)] < 0;
    path.heat += held.heat;
    if (back) path.heat_back += held.heat;
    if (p.heat) {
        now.balance.cross(held.heat, model_.condenser);
        now.out.condenser += held.heat;
    }
    if (p.core != none && model_.cores[at(p.core)].first_cell != none) {
        const FlatCore& core = model_.cores[at(p.core)];
        CoreOutput& found = now.out.cores[at(p.core)];
        const double still = now.out.cell_temperature[at(core.first_cell)] - temperature_in;
        const double heat =
            held.working * (found.first_inlet - temperature_in) + held.standing * still;
        now.balance.out_of_cell(core.first_cell, heat, core.ledger);
        path.heat += heat;
        if (back) path.heat_back += heat;
        found.heat += heat;
        found.second_inlet += held.air * temperature_in;
        rise += still + (held.mixing > 0 ? held.mixing * (heat / held.capacity - still) : 0.0);
    }
    now.dydt[p.state] = (temperature_in + rise - now.y[p.state]) / air_lag;
}

void AirSide::drive_fan(std::size_t f, const Instant& now, const Controls& controls) {
    const FlatFan& fan = model_.fans[f];
    const ForcingRow& row = now.row;
    const double command = controls.command(f, now);
    double behind = row.ambient, density_ratio = 1;
    if (fan.path != none) {
        const FlatPath& path = model_.paths[at(fan.path)];
        const airflow::FanPoint& point = now.out.paths[at(fan.path)].flow.fans[at(fan.local)];
        now.out.fans[f].flow = point.flow;
        if (path.passages > 0)
            behind = now.y[model_.passages[at(path.first_passage + path.passages - 1)].state];
        const airflow::Fan& blades = path.path.description.fans[at(fan.local)];
        density_ratio = row.density * row.ambient / behind / blades.curve.reference_density;
        // A motor carries torque: a fan that takes more at this flow is as denser air to it.
        density_ratio *= airflow::fan_load(blades, point.flow, now.y[fan.state]);
    }
    airflow::DriveState target;
    if (command > 0)
        target = airflow::drive_state(fan.drive, command, supply_voltage(row), density_ratio,
                                      row.engine_speed, behind);
    fan_target_[f] = target.speed;
    now.out.fans[f].current = target.current;
    now.out.fans[f].power = target.current * supply_voltage(row);
}

void AirSide::fans(const Instant& now) {
    double power = 0;
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        const double target = fan_target_[f], speed = now.y[fan.state];
        power += now.out.fans[f].power;
        now.out.fans[f].speed = speed;
        now.dydt[fan.state] =
            (target - speed) / (target > speed ? fan.drive.spin_up : fan.drive.run_down);
    }
    now.dydt[fan_energy_] = power;
}

void AirSide::slopes(const Instant& now, const LiquidSide& liquid, Slopes& slopes) const {
    for (std::size_t i = 0; i < model_.passages.size(); ++i) column_slopes(i, now, liquid, slopes);
    for (std::size_t f = 0; f < model_.fans.size(); ++f) {
        const FlatFan& fan = model_.fans[f];
        const bool up = fan_target_[f] > now.y[fan.state];
        slopes.rate(fan.state, fan.state, -1 / (up ? fan.drive.spin_up : fan.drive.run_down));
    }
}

/// At rest from both ends.
template <class Use>
void AirSide::sources_of_air(std::size_t passage, const Instant& now, Use&& use) const {
    const FlatPassage& p = model_.passages[passage];
    const RestShares rest =
        shares_around_rest(now.out.paths[at(p.path)].flow.passage_flow[at(p.local)]);
    if (rest.before > 0) use(state_before(p), rest.before);
    if (rest.behind > 0) use(state_behind(p), rest.behind);
    if (rest.moving > 0)
        sources_of_moving_air(passage, now,
                              [&](int state, double share) { use(state, rest.moving * share); });
}

/// Air from the side with what its own column had there.
template <class Use>
void AirSide::sources_of_moving_air(std::size_t passage, const Instant& now, Use&& use) const {
    const FlatPassage& p = model_.passages[passage];
    const FlatPath& path = model_.paths[at(p.path)];
    const airflow::PathFlow& flow = now.out.paths[at(p.path)].flow;
    const auto ahead = [&](const FlatPassage& of) {
        return flow.passage_flow[at(of.local)] < 0 ? state_behind(of) : state_before(of);
    };
    const double own = flow.passage_flow[at(p.local)];
    double sum = 0;
    const auto each_side = [&](auto&& add) {
        if (p.upstream == none || own <= 0) return;
        for (std::size_t l = 0; l < path.path.links.size(); ++l) {
            const airflow::GapLink& link = path.path.links[l];
            const bool into = static_cast<int>(link.to) == p.local;
            if (!into && static_cast<int>(link.from) != p.local) continue;
            const double side = into ? flow.link_flow[l] : -flow.link_flow[l];
            if (side > 0) add(side, into ? link.from : link.to);
        }
    };
    each_side([&](double side, std::size_t) { sum += side; });
    if (sum <= 0) {
        use(ahead(p), 1.0);
        return;
    }
    const double straight =
        std::max(0.0, flow.passage_flow[at(model_.passages[at(p.upstream)].local)]);
    sum += straight;
    if (straight > 0) use(ahead(p), straight / sum);
    each_side([&](double side, std::size_t from) {
        const FlatPassage& other = model_.passages[at(path.first_passage) + from];
        const bool back = flow.passage_flow[from] < 0;
        use(back ? other.state : ahead(other), side / sum);
    });
}

void AirSide::column_slopes(std::size_t passage, const Instant& now, const LiquidSide& liquid,
                            Slopes& slopes) const {
    const FlatPassage& p = model_.passages[passage];
    const FlatPath& path = model_.paths[at(p.path)];
    const Column& held = columns_[passage];
    const bool back = now.out.paths[at(p.path)].flow.passage_flow[at(p.local)] < 0;
    if (p.core == none || model_.cores[at(p.core)].first_cell == none) {
        slopes.rate(p.state, p.state, -1 / air_lag);
        sources_of_air(passage, now, [&](int state, double share) {
            slopes.rate(p.state, state, share / air_lag);
        });
        return;
    }
    const FlatCore& core = model_.cores[at(p.core)];
    const int cell = core.first_cell;
    // rise = (1 − mixing) (cell − in) + mixing heat / capacity
    const double share = held.mixing > 0 ? held.mixing / held.capacity : 0.0;
    const auto heat = [&](int state, double watts) {
        slopes.into_cell(cell, state, -watts);
        slopes.cross(core.ledger, state, watts);
        if (!path.into_bay) {
            slopes.cross(path.air_out, state, watts);
        } else if (back) {
            slopes.cross(model_.bay_out, state, watts);
        } else {
            slopes.into_store(bay_, bay_capacity_, state, watts);
        }
        slopes.rate(p.state, state, share * watts / air_lag);
    };
    sources_of_air(passage, now, [&](int state, double part) {
        heat(state, -part * (held.working + held.standing));
        slopes.rate(p.state, state, part * held.mixing / air_lag);
    });
    heat(cell, held.standing * slopes.kelvin(cell));
    liquid.inlet_slopes(cell, core.first_run, slopes, now.out,
                        [&](int from, double kelvin) { heat(from, held.working * kelvin); });
    slopes.rate(p.state, p.state, -1 / air_lag);
    slopes.rate(p.state, cell, (1 - held.mixing) * slopes.kelvin(cell) / air_lag);
}

}  // namespace lapheat::model
