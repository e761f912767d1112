#include "environment.hpp"

#include <algorithm>
#include <cmath>

#include "air_side.hpp"
#include "lapheat/airflow/inlet.hpp"
#include "lapheat/heat/surroundings.hpp"

namespace lapheat::model {
namespace {

/// K of the exhaust part in sight, never below the air's.
double exhaust_skin(heat::ExhaustPart part, const Instant& now) {
    return std::max(now.out.exhaust.skin[static_cast<std::size_t>(part)], now.row.ambient);
}

}  // namespace

Environment::Environment(const Model& model)
    : model_(model),
      bay_(model.layout[StateKind::bay].first),
      sheet_(model.layout[StateKind::bay_sheet].first),
      exhaust_(model.layout[StateKind::exhaust].first),
      leaving_(model.paths.size()) {}

void Environment::start(const ForcingRow& row, double* y) const {
    std::fill_n(y + exhaust_, heat::exhaust_parts, row.ambient);
    if (!model_.car.start_warm || !row.engine_on) return;
    const auto metal = heat::exhaust_steady(model_.exhaust, row.exhaust, row.reaction,
                                            {row.ambient, row.ambient, row.under_floor});
    std::copy(metal.begin(), metal.end(), y + exhaust_);
}

void Environment::exhaust(const Instant& now) const {
    const ForcingRow& row = now.row;
    heat::ExhaustFilms films = row.exhaust;
    if (films.capacity > 0) films.port += now.out.exhaust_more / films.capacity;
    heat::ExhaustMoment& m = now.out.exhaust;
    const double below = model_.car.bay.radiated_below;
    heat::exhaust_moment(model_.exhaust, films, now.y + exhaust_, row.reaction,
                         {now.y[bay_], now.y[sheet_], row.under_floor}, m);
    for (std::size_t i = 0; i < heat::exhaust_parts; ++i) {
        const heat::ExhaustStretch& s = model_.exhaust.stretch[i];
        now.dydt[at(exhaust_) + i] = m.gained[i] / s.metal;
        if (s.in_bay) {
            now.balance.bay += m.to_air[i];
            now.balance.sheet += (1 - below) * m.radiated[i];
            now.balance.cross(below * m.radiated[i], model_.exhaust_below);
        } else {
            now.balance.cross(m.to_air[i] + m.radiated[i], model_.exhaust_below);
        }
    }
    now.balance.cross(films.capacity * (films.port - row.ambient), model_.exhaust_gas);
    now.balance.cross(films.capacity * (m.gas.back() - row.ambient), model_.tail_gas);
    now.balance.cross(m.reaction, model_.reaction);
}

/// What a cell takes of a stretch's radiation, its surroundings do not.
void Environment::radiate(int cell, double watts, heat::ExhaustPart from,
                          const Instant& now) const {
    now.balance.into_cell(cell, watts, model_.radiation);
    const double below = model_.exhaust.stretch[static_cast<std::size_t>(from)].in_bay
                             ? model_.car.bay.radiated_below
                             : 1;
    now.balance.sheet -= (1 - below) * watts;
    now.balance.cross(-below * watts, model_.exhaust_below);
}

double Environment::air_at(Zone place, const Instant& now) const {
    if (place == Zone::engine_bay) return now.y[bay_];
    if (place == Zone::under_floor) return now.row.under_floor;
    return now.row.ambient;
}

void Environment::surfaces(const Instant& now) const {
    const std::vector<double>& kelvin = now.out.cell_temperature;
    for (const SurfaceLoss& loss : model_.losses) {
        const double watts = (loss.at_rest + loss.speed_gain * now.row.sqrt_speed) *
                             (kelvin[at(loss.cell)] - air_at(loss.surroundings, now));
        now.balance.out_of_cell(loss.cell, watts, loss.ledger);
        if (loss.surroundings == Zone::engine_bay) now.balance.bay += watts;
    }
    for (const Irradiated& r : model_.radiations)
        radiate(r.cell,
                airflow::radiation({.view_factor = r.view, .area = r.area, .shields = r.shields},
                                   exhaust_skin(r.part, now), kelvin[at(r.cell)]),
                r.part, now);
}

Environment::Leaving Environment::leaving(std::size_t n, const Instant& now) const {
    const FlatPath& path = model_.paths[n];
    double flow = 0, back = 0, sum = 0;
    for (int i = 0; i < path.passages; ++i) {
        const FlatPassage& p = model_.passages[at(path.first_passage + i)];
        const double m = now.out.paths[n].flow.passage_flow[at(i)];
        if ((m >= 0 ? p.downstream : p.upstream) != none) continue;  // still inside the stack
        flow += std::abs(m);
        if (m < 0) back += -m;
        sum += std::abs(m) * now.y[p.state];
    }
    Leaving out;
    out.flow = flow;
    out.temperature = (sum + creeping_air * now.y[path.state]) / (flow + creeping_air);
    out.back = back;
    return out;
}

void Environment::inlets(const Instant& now) {
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        leaving_[n] = leaving(n, now);
        inlet(n, now);
    }
}

void Environment::inlet(std::size_t n, const Instant& now) {
    const FlatPath& path = model_.paths[n];
    const ForcingRow& row = now.row;
    Leaving& behind = leaving_[n];
    const int face = path.cores.empty() ? none : model_.cores[at(path.cores.front())].first_cell;
    const std::vector<double>& kelvin = now.out.cell_temperature;
    airflow::PlaceConditions around;
    around.ambient_temperature = row.ambient;
    around.road_temperature = row.road;
    around.vehicle_speed = row.speed;
    around.headwind = row.headwind;
    around.exhaust_temperature = exhaust_skin(path.exhaust_part, now);
    around.bay_temperature = now.y[bay_];
    around.gearbox_temperature =
        model_.gearbox_cell != none ? kelvin[at(model_.gearbox_cell)] : row.ambient;
    around.core_outlet_temperature = behind.temperature;
    around.core_temperature = face != none ? kelvin[at(face)] : behind.temperature;
    around.condenser_heat = row.heat[Stream::condenser];
    around.air_flow = behind.flow;
    around.bay_backflow =
        std::min(1.0, now.out.paths[n].flow.backflow / (behind.flow + creeping_air));
    airflow::InletAir air = airflow::inlet(path.parameters, around);
    behind.core_share = air.core_share;
    behind.bay_share = air.bay_share;
    behind.exhaust_share = air.exhaust_share;
    behind.gearbox_share = air.gearbox_share;
    if (path.brake_air_share > 0)
        air.temperature += path.brake_air_share * row.brake_air /
                           (std::max(behind.flow, creeping_air) * row.air_specific_heat);
    now.out.paths[n].shares_limited = air.shares_limited;
    now.dydt[path.state] = (air.temperature - now.y[path.state]) / air_lag;
    if (face == none) return;
    if (path.brake_view_area > 0)
        now.balance.into_cell(
            face, heat::radiant_heat(row.brakes, around.core_temperature, path.brake_view_area),
            model_.brakes);
    radiate(face, air.radiation, path.exhaust_part, now);
}

void Environment::bay(const Instant& now) const {
    const heat::EngineBay& bay = model_.car.bay;
    const ForcingRow& row = now.row;
    Balance& balance = now.balance;
    const double air = now.y[bay_], sheet = now.y[sheet_], rise = air - row.ambient;
    const double cp = row.air_specific_heat;
    double gained = balance.bay + row.surface_heat;
    double away = heat::bay_fresh_air(bay, rise, row.speed) * cp * rise;
    balance.cross(row.surface_heat, model_.engine_surface);
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        const FlatPath& path = model_.paths[n];
        const PathOutput& found = now.out.paths[n];
        // Backwards through a path into the bay goes air of the bay, which leaves at the front with
        // what it took up; fresh air takes its place.
        const double back = path.into_bay ? leaving_[n].back : 0;
        const double brought = (leaving_[n].flow - back) * cp * (found.inlet - row.ambient);
        balance.cross(brought, path.air_in);
        if (path.into_bay) {
            gained += brought + found.heat - found.heat_back;
            away += leaving_[n].flow * cp * rise;
            balance.cross(found.heat_back, model_.bay_out);
        } else {
            balance.cross(brought + found.heat, path.air_out);
        }
    }
    const double into_sheet = bay.air_to_sheet * (air - sheet);
    const double outside =
        (bay.sheet_to_outside + bay.sheet_slope * row.sqrt_speed) * (sheet - row.ambient);
    balance.cross(away, model_.bay_out);
    balance.cross(outside, model_.sheet_out);
    now.out.bay_temperature = air;
    now.out.bay_sheet = sheet;
    now.dydt[bay_] = (gained - away - into_sheet) / bay.air;
    now.dydt[sheet_] = (balance.sheet + into_sheet - outside) / bay.sheet;
}

/// Of the air that enters a path, by what comes back into it, and of what it brings into the bay.
void Environment::inlet_slopes(std::size_t n, const Instant& now, Slopes& slopes) const {
    const FlatPath& path = model_.paths[n];
    const Leaving& behind = leaving_[n];
    slopes.rate(path.state, path.state, -1 / air_lag);
    const double again = behind.core_share / (behind.flow + creeping_air) / air_lag;
    slopes.rate(path.state, path.state, again * creeping_air);
    for (int i = 0; i < path.passages; ++i) {
        const FlatPassage& p = model_.passages[at(path.first_passage + i)];
        const double m = now.out.paths[n].flow.passage_flow[at(i)];
        if ((m >= 0 ? p.downstream : p.upstream) == none)
            slopes.rate(path.state, p.state, again * std::abs(m));
    }
    slopes.rate(path.state, bay_, behind.bay_share / air_lag);
    const auto seen = static_cast<std::size_t>(path.exhaust_part);
    const double skin = now.out.exhaust.skin[seen];
    if (behind.exhaust_share > 0 && skin > now.row.ambient)
        slopes.rate(path.state, exhaust_ + static_cast<int>(seen),
                    behind.exhaust_share / air_lag *
                        heat::skin_slope(model_.exhaust.stretch[seen],
                                         now.row.exhaust.outside[seen], skin));
    if (model_.gearbox_cell != none)
        slopes.rate(path.state, model_.gearbox_cell,
                    behind.gearbox_share * slopes.kelvin(model_.gearbox_cell) / air_lag);
    const double back = path.into_bay ? behind.back : 0;
    const double brought = (behind.flow - back) * now.row.air_specific_heat;
    slopes.cross(path.air_in, path.state, brought);
    if (path.into_bay)
        slopes.into_store(bay_, model_.car.bay.air, path.state, brought);
    else
        slopes.cross(path.air_out, path.state, brought);
}

void Environment::slopes(const Instant& now, Slopes& slopes) const {
    const heat::EngineBay& bay = model_.car.bay;
    const ForcingRow& row = now.row;
    const double rise = now.y[bay_] - row.ambient;
    constexpr double small = 1e-3;  // K
    double renewed = heat::bay_fresh_air(bay, rise, row.speed);
    renewed += rise * (heat::bay_fresh_air(bay, rise + small, row.speed) - renewed) / small;
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        inlet_slopes(n, now, slopes);
        if (model_.paths[n].into_bay) renewed += leaving_[n].flow;
    }
    const double away = renewed * row.air_specific_heat;
    slopes.into_store(bay_, bay.air, bay_, -away - bay.air_to_sheet);
    slopes.cross(model_.bay_out, bay_, away);
    slopes.into_store(sheet_, bay.sheet, bay_, bay.air_to_sheet);
    slopes.into_store(bay_, bay.air, sheet_, bay.air_to_sheet);
    slopes.into_store(sheet_, bay.sheet, sheet_, -bay.air_to_sheet);
}

}  // namespace lapheat::model
