#include "forcing.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

#include "lapheat/airflow/inlet.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/heat/engine.hpp"
#include "lapheat/heat/steering.hpp"
#include "lapheat/heat/surroundings.hpp"
#include "lapheat/heat/transmission.hpp"

namespace lapheat::model {
namespace {

void note(Forcing& forcing, std::size_t count, std::size_t of, Code code) {
    if (2000 * count >= of && count > 0)  // less reads as 0.0 %
        forcing.warnings.push_back(
            {code, {}, {}, {{static_cast<double>(count) / static_cast<double>(of)}}});
}

/// Sums of columns of power over a stretch of the trace.
class Sums {
  public:
    Sums(const std::vector<double>& time, double begin, double end) : step_(time.size(), 0.0) {
        for (std::size_t k = 0; k + 1 < time.size(); ++k)
            step_[k] = std::max(0.0, std::min(time[k + 1], end) - std::max(time[k], begin));
    }
    [[nodiscard]] double of(const std::vector<double>& watts) const {
        return std::inner_product(step_.begin(), step_.end(), watts.begin(), 0.0);
    }

  private:
    std::vector<double> step_;  ///< s of each interval that lie in the stretch
};

std::vector<HeatSource> sources_of(const drive::Trace& trace, const heat::EngineHeat& engine,
                                   const heat::SteeringHeat::Energy& steering,
                                   const std::vector<double>& condenser, double begin, double end) {
    const Sums sum(trace.time, begin, end);
    const std::vector<HeatSource> all = {
        {"engine", "fuel", sum.of(engine.fuel)},
        {"engine", "work", sum.of(engine.brake)},
        {"engine", "to coolant", sum.of(engine.coolant)},
        {"engine", "to oil", sum.of(engine.oil)},
        {"engine", "to exhaust", sum.of(engine.exhaust)},
        {"engine", "to its bay", sum.of(engine.surface)},
        {"transmission", "converter or clutch slip", sum.of(trace.converter_loss)},
        {"transmission", "gears and bearings", sum.of(trace.gear_loss)},
        {"transmission", "oil pump", sum.of(trace.pump_drag)},
        {"transmission", "shifts", sum.of(trace.shift_loss)},
        {"axle", "final drive", sum.of(trace.axle_loss)},
        {"steering", "relief dwell", steering.relief},
        {"steering", "throttling", steering.throttling},
        {"steering", "flow control", steering.flow_control},
        {"steering", "line loss", steering.line},
        {"steering", "friction and leakage",
         steering.rack_friction + steering.pump_friction + steering.leakage},
        {"air conditioning", "condenser", sum.of(condenser)},
        {"brakes", "discs", sum.of(trace.brake_power)}};
    // A source that is not there is not spoken of; a way that stayed cold is worth knowing.
    std::vector<HeatSource> out;
    for (const HeatSource& s : all)
        if (std::any_of(all.begin(), all.end(),
                        [&](const HeatSource& o) { return o.source == s.source && o.joules != 0; }))
            out.push_back(s);
    return out;
}

/// What the drive makes of heat, over the trace's intervals.
struct Heats {
    const heat::EngineHeat& engine;
    const heat::TransmissionHeat& gearbox;
    const heat::SteeringHeat& steering;
    const std::vector<double>& condenser;  ///< W
};

double watts(Stream stream, const Heats& h, std::size_t k) {
    switch (stream) {
        case Stream::engine_coolant:
            return h.engine.coolant[k];
        case Stream::engine_oil:
            return h.engine.oil[k];
        case Stream::converter:
            return h.gearbox.converter[k];
        case Stream::gears:
            return h.gearbox.sump[k];
        case Stream::gearbox_case:
            return h.gearbox.housing[k];
        case Stream::steering_pump:
            return h.steering.pump[k];
        case Stream::steering_gear:
            return h.steering.rack[k] + h.steering.line[k];
        case Stream::condenser:
            return h.condenser[k];
    }
    throw std::logic_error("a stream of heat without watts");
}

void air_of(const drive::Trace& trace, std::size_t k, ForcingRow& row) {
    row.ambient = trace.ambient[k];
    const fluids::AirState air =
        fluids::ambient_air(row.ambient, trace.altitude[k], trace.humidity[k]);
    row.pressure = air.pressure;
    row.density = fluids::density(air);
    row.viscosity = fluids::viscosity(air);
    row.air_specific_heat = fluids::specific_heat(air);
    row.air_conductivity = fluids::conductivity(air);
}

/// What a little more power at the crank makes of heat, and what the alternator has left for fans.
/// On overrun the road turns it, and nothing is burned for that.
void burden(const Car& car, const airflow::AlternatorCurve& alternator, double power,
            const heat::EngineHeat& engine, std::size_t k, ForcingRow& row) {
    constexpr double more = 500;  // W
    const double amperes = alternator.at(row.engine_speed) - car.electrics.other_loads;
    row.spare_power = supply_voltage(true) * std::max(0.0, amperes);
    if (engine.fuel[k] <= 0 || row.spare_power <= 0) return;
    const heat::EnginePoint p =
        heat::engine_point(car.engine, row.engine_speed, power + more, row.ambient);
    row.coolant_each = (p.coolant - engine.coolant[k]) / more;
    row.oil_each = (p.oil - engine.oil[k]) / more;
    row.exhaust_each = (p.exhaust - engine.exhaust[k]) / more;
}

}  // namespace

Forcing make_forcing(const Model& model, const drive::Cycle& cycle, double begin, double end) {
    const Car& car = model.car;
    const drive::Trace trace = car.forward_driver ? drive::forward(car.vehicle, cycle)
                                                  : drive::backward(car.vehicle, cycle);
    const heat::EngineHeat engine = heat::engine_heat(car.engine, trace);
    const heat::TransmissionHeat gearbox = heat::transmission_heat(car.transmission, trace);
    const heat::SteeringHeat steering =
        heat::steering_heat(car.steering, car.vehicle, trace, begin, end);
    const std::vector<double> condenser =
        heat::condenser_heat(car.air_conditioning, car.vehicle, trace);
    if (!has_condenser(car) &&
        std::any_of(condenser.begin(), condenser.end(), [](double heat) { return heat > 0; }))
        throw Error("the cycle '" + cycle.name +
                        "' asks for air conditioning, and the car has no condenser",
                    "a condenser in the stack of an air path, or no air conditioning");
    const Heats heats{engine, gearbox, steering, condenser};
    const heat::ExhaustFilmLaw films(model.exhaust);
    const airflow::AlternatorCurve alternator = airflow::alternator_curve(car.electrics.alternator);
    // Discs cool all the time: where nobody feels them they would only make every row another.
    const bool felt = std::any_of(car.air.begin(), car.air.end(), [](const AirPath& path) {
        return path.brake_view_area > 0 || path.brake_air_share > 0;
    });
    const std::vector<double> discs =
        felt ? heat::brake_temperature(car.brakes, trace) : std::vector<double>{};
    Forcing out;
    out.cycle = trace.name;
    out.time = trace.time;
    out.phases = trace.phases;
    out.rows.resize(trace.size() - 1);
    std::size_t short_of_power = 0, outside = 0, catching = 0;
    double road = 0;  // K, as long as its air and sun stay
    for (std::size_t k = 0; k < out.rows.size(); ++k) {
        ForcingRow& row = out.rows[k];
        const double dt = trace.time[k + 1] - trace.time[k];
        row.speed = trace.speed[k];
        row.sqrt_speed = std::sqrt(row.speed);
        row.headwind = trace.wind[k];
        row.engine_speed = trace.engine_speed[k];
        row.engine_on = trace.engine_on[k] != 0;
        row.locked = trace.lockup[k] != 0;
        air_of(trace, k, row);
        if (k == 0 || row.ambient != trace.ambient[k - 1] || trace.sun[k] != trace.sun[k - 1] ||
            trace.wind[k] != trace.wind[k - 1])
            road = airflow::road_temperature(row.ambient, trace.sun[k], row.headwind);
        row.road = row.ambient + model.car.road_rise_level.value * (road - row.ambient);
        row.under_floor = airflow::under_floor_air(row.ambient, road, row.speed);
        const double gas = row.engine_on ? engine.gas_flow[k] : 0;
        row.exhaust = films.at(gas, engine.exhaust_temperature[k], row.speed);
        // Only what oxygen is left for burns: of a rich mixture's fuel no more than of another's.
        row.reaction = gas > 0 ? model.exhaust.reaction_share * engine.fuel[k] : 0;
        row.cold_exhaust = engine.cold_exhaust[k];
        row.surface_heat = engine.surface[k];
        if (!discs.empty()) {
            row.brakes = 0.5 * (discs[k] + discs[k + 1]);
            row.brake_air = heat::brake_air_heat(car.brakes, row.brakes, row.ambient, row.speed);
        }
        row.cooler_flow = gearbox.cooler_flow[k];
        if (row.engine_on && row.engine_speed > 0)
            burden(car, alternator, trace.engine_power[k], engine, k, row);
        for (const StreamEntry& entry : stream_table)
            row.heat[entry.stream] = watts(entry.stream, heats, k);
        row.cold_coolant = engine.cold_coolant[k];
        row.cold_oil = engine.cold_oil[k];
        out.distance += row.speed * dt;
        short_of_power += trace.shortfall[k] > 1.0;
        outside += (engine.flags[k] & heat::outside_map) != 0;
        catching += (steering.flags[k] & heat::pump_catch) != 0;
    }
    out.sources = sources_of(trace, engine, steering.energy, condenser, begin, end);
    note(out, short_of_power, out.rows.size(), Code::engine_too_weak);
    note(out, outside, out.rows.size(), Code::engine_map_left);
    note(out, catching, out.rows.size(), Code::steering_flow_short);
    return out;
}

void join_equal_rows(Forcing& forcing) {
    auto& rows = forcing.rows;
    std::size_t kept = 0;
    for (std::size_t k = 1; k < rows.size(); ++k) {
        if (rows[k] == rows[kept]) continue;
        ++kept;
        rows[kept] = rows[k];
        forcing.time[kept] = forcing.time[k];
    }
    forcing.time[kept + 1] = forcing.time.back();
    rows.resize(kept + 1);
    forcing.time.resize(kept + 2);
}

namespace {

// Of 46 numbers and two answers: another is to be averaged too.
static_assert(sizeof(ForcingRow) == 47 * sizeof(double));

/// Calls f with each number of a row and the same of another.
template <class F>
void for_numbers(ForcingRow& a, const ForcingRow& b, const F& f) {
    for (const auto member :
         {&ForcingRow::speed,        &ForcingRow::headwind,          &ForcingRow::engine_speed,
          &ForcingRow::ambient,      &ForcingRow::pressure,          &ForcingRow::density,
          &ForcingRow::viscosity,    &ForcingRow::air_specific_heat, &ForcingRow::air_conductivity,
          &ForcingRow::road,         &ForcingRow::under_floor,       &ForcingRow::reaction,
          &ForcingRow::cold_exhaust, &ForcingRow::surface_heat,      &ForcingRow::brakes,
          &ForcingRow::brake_air,    &ForcingRow::sqrt_speed,        &ForcingRow::cooler_flow,
          &ForcingRow::spare_power,  &ForcingRow::coolant_each,      &ForcingRow::oil_each,
          &ForcingRow::exhaust_each, &ForcingRow::cold_coolant,      &ForcingRow::cold_oil})
        f(a.*member, b.*member);
    f(a.exhaust.capacity, b.exhaust.capacity);
    f(a.exhaust.port, b.exhaust.port);
    for (std::size_t i = 0; i < a.exhaust.keeps.size(); ++i) {
        f(a.exhaust.keeps[i], b.exhaust.keeps[i]);
        f(a.exhaust.outside[i], b.exhaust.outside[i]);
    }
    for (std::size_t i = 0; i < a.heat.values.size(); ++i) f(a.heat.values[i], b.heat.values[i]);
}

}  // namespace

void average_rows(Forcing& forcing, double seconds) {
    const std::vector<double> time = std::move(forcing.time);
    const std::vector<ForcingRow> rows = std::move(forcing.rows);
    forcing.time.clear();
    forcing.rows.clear();
    for (std::size_t k = 0; k < rows.size();) {
        std::size_t end = k + 1;
        while (end < rows.size() && time[end + 1] - time[k] <= seconds &&
               rows[end].engine_on == rows[k].engine_on && rows[end].locked == rows[k].locked)
            ++end;
        ForcingRow mean = rows[k];
        if (end > k + 1) {
            for_numbers(mean, mean, [](double& a, double) { a = 0; });
            for (std::size_t i = k; i < end; ++i) {
                const double share = (time[i + 1] - time[i]) / (time[end] - time[k]);
                for_numbers(mean, rows[i], [share](double& a, double b) { a += share * b; });
            }
        }
        forcing.time.push_back(time[k]);
        forcing.rows.push_back(mean);
        k = end;
    }
    forcing.time.push_back(time.back());
}

}  // namespace lapheat::model
