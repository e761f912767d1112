#include "forcing.hpp"

#include <algorithm>
#include <array>
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

/// Rows of the trace that are driven as one: [first, last), with their means over time. Of one row
/// alone its own numbers, to the last digit.
class RowGroup {
  public:
    RowGroup(const std::vector<double>& time, std::size_t first, std::size_t last)
        : first(first), last(last), time_(time) {}

    const std::size_t first, last;

    [[nodiscard]] double mean(const std::vector<double>& column) const {
        return mean_of([&](std::size_t k) { return column[k]; });
    }
    template <class Of>
    [[nodiscard]] double mean_of(Of&& of) const {
        if (last == first + 1) return of(first);
        double sum = 0;
        for (std::size_t k = first; k < last; ++k) sum += (time_[k + 1] - time_[k]) * of(k);
        return sum / (time_[last] - time_[first]);
    }

  private:
    const std::vector<double>& time_;
};

/// The trace's rows, as they come or up to so many seconds together; engine on or off and lock-up
/// are never mixed.
std::vector<RowGroup> groups_of(const drive::Trace& trace, double seconds) {
    std::vector<RowGroup> out;
    const std::size_t rows = trace.size() - 1;
    for (std::size_t first = 0; first < rows;) {
        std::size_t last = first + 1;
        while (last < rows && trace.time[last + 1] - trace.time[first] <= seconds &&
               trace.engine_on[last] == trace.engine_on[first] &&
               trace.lockup[last] == trace.lockup[first])
            ++last;
        out.emplace_back(trace.time, first, last);
        first = last;
    }
    return out;
}

void air_of(const drive::Trace& trace, const RowGroup& group, ForcingRow& row) {
    row.ambient = group.mean(trace.ambient);
    const fluids::AirState air =
        fluids::ambient_air(row.ambient, group.mean(trace.altitude), group.mean(trace.humidity));
    row.pressure = air.pressure;
    row.density = fluids::density(air);
    row.viscosity = fluids::viscosity(air);
    row.air_specific_heat = fluids::specific_heat(air);
    row.air_conductivity = fluids::conductivity(air);
}

/// The surface of the road, K, worked out anew where its air or its sun changes.
class Road {
  public:
    double at(double ambient, double sun, double wind) {
        if (std::array now{ambient, sun, wind}; now != under_) {
            under_ = now;
            surface_ = airflow::road_temperature(ambient, sun, wind);
        }
        return surface_;
    }

  private:
    std::array<double, 3> under_{-1, -1, -1};
    double surface_ = 0;
};

/// What a little more power at the crank makes of heat, and what the alternator has left for fans.
/// On overrun the road turns it, and nothing is burned for that.
void burden(const Driven& car, const airflow::AlternatorCurve& alternator,
            const drive::Trace& trace, const heat::EngineHeat& engine, const RowGroup& group,
            ForcingRow& row) {
    constexpr double more = 500;  // W
    const double amperes = alternator.at(row.engine_speed) - car.electrics.other_loads;
    row.spare_power = supply_voltage(true) * std::max(0.0, amperes);
    if (group.mean(engine.fuel) <= 0 || row.spare_power <= 0) return;
    const double power = group.mean(trace.engine_power);
    const auto at = [&](double watts) {
        return heat::engine_point(car.engine, row.engine_speed, watts, row.ambient);
    };
    const heat::EnginePoint p = at(power + more);
    heat::EnginePoint here;
    if (group.last == group.first + 1) {
        here.coolant = engine.coolant[group.first];
        here.oil = engine.oil[group.first];
        here.exhaust = engine.exhaust[group.first];
    } else {
        here = at(power);
    }
    row.coolant_each = (p.coolant - here.coolant) / more;
    row.oil_each = (p.oil - here.oil) / more;
    row.exhaust_each = (p.exhaust - here.exhaust) / more;
}

/// The heats of a row's streams, its gas and its brakes.
void heats_of(const Heats& heats, const heat::ExhaustFilmLaw& films, double reaction_share,
              const RowGroup& group, ForcingRow& row) {
    const heat::EngineHeat& engine = heats.engine;
    const double gas = row.engine_on ? group.mean(engine.gas_flow) : 0;
    row.exhaust = films.at(gas, group.mean(engine.exhaust_temperature), row.speed);
    // Only what oxygen is left for burns: of a rich mixture's fuel no more than of another's.
    row.reaction = gas > 0 ? reaction_share * group.mean(engine.fuel) : 0;
    row.cold_exhaust = group.mean(engine.cold_exhaust);
    row.surface_heat = group.mean(engine.surface);
    row.cooler_flow = group.mean(heats.gearbox.cooler_flow);
    for (const StreamEntry& entry : stream_table)
        row.heat[entry.stream] =
            group.mean_of([&](std::size_t i) { return watts(entry.stream, heats, i); });
    row.cold_coolant = group.mean(engine.cold_coolant);
    row.cold_oil = group.mean(engine.cold_oil);
}

/// Distance, and the share of rows in which something was out of reach, as warnings.
void note_rows(const drive::Trace& trace, const heat::EngineHeat& engine,
               const heat::SteeringHeat& steering, Forcing& out) {
    std::size_t short_of_power = 0, outside = 0, catching = 0;
    const std::size_t rows = trace.size() - 1;
    for (std::size_t k = 0; k < rows; ++k) {
        out.distance += trace.speed[k] * (trace.time[k + 1] - trace.time[k]);
        short_of_power += trace.shortfall[k] > 1.0;
        outside += (engine.flags[k] & heat::outside_map) != 0;
        catching += (steering.flags[k] & heat::pump_catch) != 0;
    }
    note(out, short_of_power, rows, Code::engine_too_weak);
    note(out, outside, rows, Code::engine_map_left);
    note(out, catching, rows, Code::steering_flow_short);
}

}  // namespace

Driven driven(const Model& model) {
    const Car& car = model.car;
    Driven out{.vehicle = car.vehicle,
               .engine = car.engine,
               .exhaust = model.exhaust,
               .transmission = car.transmission,
               .steering = car.steering,
               .air_conditioning = car.air_conditioning,
               .brakes = car.brakes,
               .electrics = car.electrics};
    out.road_rise_level = car.road_rise_level.value;
    out.forward_driver = car.forward_driver;
    out.condenser = has_condenser(car);
    // Discs cool all the time: where nobody feels them they would only make every row another.
    out.brakes_felt = std::any_of(car.air.begin(), car.air.end(), [](const AirPath& path) {
        return path.brake_view_area > 0 || path.brake_air_share > 0;
    });
    return out;
}

Forcing make_forcing(const Driven& car, const drive::Cycle& cycle, double begin, double end,
                     double averaged) {
    const drive::Trace trace = car.forward_driver ? drive::forward(car.vehicle, cycle)
                                                  : drive::backward(car.vehicle, cycle);
    const heat::EngineHeat engine = heat::engine_heat(car.engine, trace);
    const heat::TransmissionHeat gearbox = heat::transmission_heat(car.transmission, trace);
    const heat::SteeringHeat steering =
        heat::steering_heat(car.steering, car.vehicle, trace, begin, end);
    const std::vector<double> condenser =
        heat::condenser_heat(car.air_conditioning, car.vehicle, trace);
    if (!car.condenser &&
        std::any_of(condenser.begin(), condenser.end(), [](double heat) { return heat > 0; }))
        throw Error("the cycle '" + cycle.name +
                        "' asks for air conditioning, and the car has no condenser",
                    "a condenser in the stack of an air path, or no air conditioning");
    const Heats heats{engine, gearbox, steering, condenser};
    const heat::ExhaustFilmLaw films(car.exhaust);
    const airflow::AlternatorCurve alternator = airflow::alternator_curve(car.electrics.alternator);
    const std::vector<double> discs =
        car.brakes_felt ? heat::brake_temperature(car.brakes, trace) : std::vector<double>{};
    Forcing out;
    out.cycle = trace.name;
    out.phases = trace.phases;
    const std::vector<RowGroup> groups = groups_of(trace, averaged);
    out.rows.resize(groups.size());
    Road road;
    for (std::size_t n = 0; n < groups.size(); ++n) {
        const RowGroup& group = groups[n];
        ForcingRow& row = out.rows[n];
        out.time.push_back(trace.time[group.first]);
        row.speed = group.mean(trace.speed);
        row.sqrt_speed = std::sqrt(row.speed);
        row.headwind = group.mean(trace.wind);
        row.engine_speed = group.mean(trace.engine_speed);
        row.engine_on = trace.engine_on[group.first] != 0;
        row.locked = trace.lockup[group.first] != 0;
        air_of(trace, group, row);
        const double surface = road.at(row.ambient, group.mean(trace.sun), row.headwind);
        row.road = row.ambient + car.road_rise_level * (surface - row.ambient);
        row.under_floor = airflow::under_floor_air(row.ambient, surface, row.speed);
        heats_of(heats, films, car.exhaust.reaction_share, group, row);
        if (!discs.empty()) {
            row.brakes =
                group.mean_of([&](std::size_t i) { return 0.5 * (discs[i] + discs[i + 1]); });
            row.brake_air = heat::brake_air_heat(car.brakes, row.brakes, row.ambient, row.speed);
        }
        if (row.engine_on && row.engine_speed > 0)
            burden(car, alternator, trace, engine, group, row);
    }
    out.time.push_back(trace.time.back());
    note_rows(trace, engine, steering, out);
    out.sources = sources_of(trace, engine, steering.energy, condenser, begin, end);
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

Forcing joined_forcing(const Driven& car, const drive::Cycle& cycle, double begin, double end,
                       double averaged) {
    Forcing forcing = make_forcing(car, cycle, begin, end, averaged);
    join_equal_rows(forcing);
    return forcing;
}

}  // namespace lapheat::model
