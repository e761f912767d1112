#include "environment.hpp"

#include <algorithm>
#include <cmath>

#include "air_side.hpp"
#include "lapheat/airflow/inlet.hpp"
#include "lapheat/heat/surroundings.hpp"

namespace lapheat::model {
namespace {

constexpr double bay_lag = 20.0;  // s, air and thin sheet of an engine bay; assumption

/// K of the exhaust parts in sight, never below the air's.
double exhaust_surface(const Instant& now) {
    return std::max(now.row.exhaust_surface, now.row.ambient);
}

}  // namespace

Environment::Environment(const Model& model)
    : model_(model), bay_(model.layout[StateKind::bay].first), leaving_(model.paths.size()) {}

double Environment::air_at(Zone place, const Instant& now) const {
    if (place == Zone::engine_bay) return now.y[bay_];
    if (place == Zone::under_floor) return now.row.under_floor;
    return now.row.ambient;
}

void Environment::surfaces(const Instant& now) const {
    const std::vector<double>& kelvin = now.out.cell_temperature;
    for (const SurfaceLoss& loss : model_.losses)
        now.balance.out_of_cell(loss.cell,
                                (loss.at_rest + loss.speed_gain * now.row.sqrt_speed) *
                                    (kelvin[at(loss.cell)] - air_at(loss.surroundings, now)),
                                loss.ledger);
    for (const Irradiated& r : model_.radiations)
        now.balance.into_cell(
            r.cell,
            airflow::radiation({.view_factor = r.view, .area = r.area, .shields = r.shields},
                               exhaust_surface(now), kelvin[at(r.cell)]),
            model_.radiation);
}

Environment::Leaving Environment::leaving(std::size_t n, const Instant& now) const {
    const FlatPath& path = model_.paths[n];
    double flow = 0, sum = 0;
    for (int i = 0; i < path.passages; ++i) {
        const FlatPassage& p = model_.passages[at(path.first_passage + i)];
        if (p.downstream != none) continue;
        const double m = std::abs(now.out.paths[n].flow.passage_flow[at(i)]);
        flow += m;
        sum += m * now.y[p.state];
    }
    return {flow, (sum + creeping_air * now.y[path.state]) / (flow + creeping_air)};
}

void Environment::inlets(const Instant& now) {
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        leaving_[n] = leaving(n, now);
        inlet(n, now);
    }
}

void Environment::inlet(std::size_t n, const Instant& now) const {
    const FlatPath& path = model_.paths[n];
    const ForcingRow& row = now.row;
    const Leaving& behind = leaving_[n];
    const int face = path.cores.empty() ? none : model_.cores[at(path.cores.front())].first_cell;
    const std::vector<double>& kelvin = now.out.cell_temperature;
    airflow::PlaceConditions around;
    around.ambient_temperature = row.ambient;
    around.road_temperature = row.road;
    around.vehicle_speed = row.speed;
    around.headwind = row.headwind;
    around.exhaust_temperature = exhaust_surface(now);
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
    if (path.brake_air_share > 0)
        air.temperature += path.brake_air_share * row.brake_air /
                           (std::max(behind.flow, creeping_air) * row.air_specific_heat);
    now.out.paths[n].shares_limited = air.shares_limited;
    now.dydt[path.state] = (air.temperature - now.y[path.state]) / air_lag;
    if (face == none) return;
    if (path.brake_view_area > 0)
        air.radiation +=
            heat::radiant_heat(row.brakes, around.core_temperature, path.brake_view_area);
    now.balance.into_cell(face, air.radiation, model_.radiation);
}

void Environment::bay(const Instant& now) const {
    double flow = 0, heat = 0;
    for (std::size_t n = 0; n < model_.paths.size(); ++n) {
        if (!model_.paths[n].into_bay) continue;
        flow += leaving_[n].flow;
        heat += leaving_[n].flow * leaving_[n].temperature;
    }
    const double target =
        heat::bay_temperature(model_.car.bay, now.row.ambient, now.row.speed, now.row.surface_heat,
                              flow, flow > 0 ? heat / flow : now.row.ambient);
    now.out.bay_temperature = now.y[bay_];
    now.dydt[bay_] = (target - now.y[bay_]) / bay_lag;
}

}  // namespace lapheat::model
