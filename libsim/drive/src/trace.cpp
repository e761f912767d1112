#include <algorithm>
#include <cmath>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/drive/trace.hpp>
#include <lapheat/units/error.hpp>

#include "driveline.hpp"
#include "trace_columns.hpp"

namespace lapheat::drive {

void resize(Trace& t, std::size_t n) {
    t.time.resize(n);
    for (const TraceColumn c : trace_columns) (t.*c).resize(n);
    t.engine_on.resize(n);
    t.selector.resize(n);
    t.gear.resize(n);
    t.lockup.resize(n);
}

void repeat_last(Trace& t) {
    const std::size_t n = t.size();
    if (n < 2) return;
    for (const TraceColumn c : trace_columns) (t.*c)[n - 1] = (t.*c)[n - 2];
    t.engine_on[n - 1] = t.engine_on[n - 2];
    t.selector[n - 1] = t.selector[n - 2];
    t.gear[n - 1] = t.gear[n - 2];
    t.lockup[n - 1] = t.lockup[n - 2];
}

void pass_through(const Vehicle& v, const Cycle& c, Trace& t) {
    const std::size_t n = c.size();
    t.name = c.name;
    t.time = c.time;
    t.phases = c.phases;
    t.engine_on = c.engine_on;
    t.selector = c.selector;
    auto means = [n](const std::vector<double>& from, std::vector<double>& to) {
        for (std::size_t k = 0; k + 1 < n; ++k) to[k] = 0.5 * (from[k] + from[k + 1]);
    };
    means(c.grade, t.grade);
    means(c.altitude, t.altitude);
    means(c.ambient, t.ambient);
    means(c.humidity, t.humidity);
    means(c.sun, t.sun);
    means(c.wind, t.wind);
    means(c.ac_demand, t.ac_demand);
    means(c.trailer_mass, t.trailer_mass);
    means(c.steering_angle, t.steering_angle);
    means(c.lateral_acceleration, t.lateral_acceleration);
    for (std::size_t k = 0; k + 1 < n; ++k) {
        const double step = c.time[k + 1] - c.time[k];
        const double speed = 0.5 * (c.speed[k] + c.speed[k + 1]);
        const double load = front_axle_load(v, (c.speed[k + 1] - c.speed[k]) / step, t.grade[k]);
        t.front_axle_load[k] = load;
        t.steering_rate[k] = (c.steering_angle[k + 1] - c.steering_angle[k]) / step;
        t.kingpin_torque[k] = kingpin_torque(v, speed, t.steering_rate[k] / v.steering_ratio,
                                             t.lateral_acceleration[k], load);
    }
}

void store(Trace& t, std::size_t k, const DrivelineState& link, int gear) {
    t.gear[k] = static_cast<std::int8_t>(gear);
    t.lockup[k] = link.closed ? 1 : 0;
    t.engine_speed[k] = link.engine_speed;
    t.engine_torque[k] = link.engine_torque;
    t.engine_power[k] = link.engine_torque * link.engine_speed;
    t.throttle[k] = link.throttle;
    t.turbine_speed[k] = link.turbine_speed;
    t.converter_speed_ratio[k] =
        link.engine_speed > 0 ? link.turbine_speed / link.engine_speed : 0.0;
    t.accessory_power[k] = link.accessory_power;
    t.pump_drag[k] = link.pump_drag;
    t.engine_inertia_power[k] = link.engine_inertia_power;
    t.shift_loss[k] = link.shift_loss;
    t.converter_loss[k] = link.converter_loss;
    t.gear_loss[k] = link.gear_loss;
    t.axle_loss[k] = link.axle_loss;
    t.wheel_power[k] = link.wheel_power;
    t.brake_power[k] = link.brake_power;
    t.shortfall[k] = link.shortfall;
}

Trace backward(const Vehicle& vehicle, const Cycle& cycle) {
    Trace t;
    backward(vehicle, cycle, t);
    return t;
}

void backward(const Vehicle& vehicle, const Cycle& c, Trace& t) {
    validate(vehicle);
    validate(c);
    const Flat flat(vehicle);
    const std::size_t n = c.size();
    resize(t, n);
    pass_through(vehicle, c, t);

    ShiftState shift;
    double engine_speed = 0;
    int last_gear = 0;
    bool last_closed = false;
    double density = 0, breath = 1, density_altitude = -1e9, density_ambient = -1;
    for (std::size_t k = 0; k + 1 < n; ++k) {
        RoadPoint p;
        const double step = c.time[k + 1] - c.time[k];
        p.speed = 0.5 * (c.speed[k] + c.speed[k + 1]);
        p.acceleration = (c.speed[k + 1] - c.speed[k]) / step;
        p.grade = t.grade[k];
        p.wind = t.wind[k];
        if (t.altitude[k] != density_altitude || t.ambient[k] != density_ambient) {
            density_altitude = t.altitude[k];
            density_ambient = t.ambient[k];
            density = air_density(density_ambient, density_altitude);
            breath = air_factor(vehicle.engine, density_ambient, density_altitude);
        }
        p.air_density = density;
        p.lateral_acceleration = t.lateral_acceleration[k];
        p.trailer_mass = t.trailer_mass[k];
        const RoadLoad road = road_load(vehicle, p);
        t.speed[k] = p.speed;
        t.acceleration[k] = p.acceleration;
        t.rolling_power[k] = road.rolling * p.speed;
        t.drag_power[k] = road.drag * p.speed;
        t.cornering_power[k] = road.cornering * p.speed;
        t.grade_power[k] = road.grade * p.speed;
        t.inertia_power[k] = road.inertia * p.speed;

        Ask ask;
        ask.speed = p.speed;
        // At rest the brakes hold whatever the hill asks.
        ask.wheel_torque = p.speed > 0 ? road.total() * vehicle.tyre_radius : 0.0;
        ask.accessory_power =
            vehicle.accessory_power + vehicle.air_conditioning_power * t.ac_demand[k];
        ask.step = step;
        ask.held_throttle = c.held_throttle[k];
        ask.air_factor = breath;
        ask.last_engine_speed = engine_speed;

        DrivelineState link;
        int gear = 0;
        if (!c.engine_on[k]) {
            const double asked = ask.wheel_torque * flat.wheel_rate * p.speed;
            link.brake_power = std::max(0.0, -asked);
            link.shortfall = std::max(0.0, asked);
            shift.gear = 1;
            shift.locked = false;
        } else if (c.selector[k] == Selector::park || c.selector[k] == Selector::neutral) {
            link = flat.running_free(ask);
        } else if (c.selector[k] == Selector::reverse) {
            gear = -1;
            const bool closed = vehicle.coupling == Coupling::clutch &&
                                flat.turbine_speed(-1, p.speed) >= vehicle.engine.idle_speed;
            link = flat.solve(gear, closed, ask);
        } else {
            const double load =
                std::clamp(ask.wheel_torque * flat.wheel_rate * p.speed / flat.peak, 0.0, 1.0);
            const bool by_rule = c.gear[k] == 0;
            if (by_rule) {
                choose_gear(flat, p.speed, load, step, shift);
            } else {
                shift.since = shift.gear == c.gear[k] ? shift.since + step : 0.0;
                shift.gear = std::min<int>(c.gear[k], flat.gears);
            }
            bool closed = choose_lockup(flat, p.speed, load, shift);
            gear = shift.gear;
            const bool was_in_gear = last_gear != 0;
            ask.shifted = was_in_gear && (gear != last_gear || closed != last_closed);
            link = flat.solve(gear, closed, ask);
            if (!link.met && closed && vehicle.coupling == Coupling::converter) {
                closed = false;
                ask.shifted = was_in_gear && (gear != last_gear || closed != last_closed);
                link = flat.solve(gear, closed, ask);
            }
            while (!link.met && by_rule && gear > 1 &&
                   flat.turbine_speed(gear - 1, p.speed) < 0.98 * vehicle.engine.redline) {
                ask.shifted = was_in_gear && (gear - 1 != last_gear || closed != last_closed);
                const DrivelineState lower = flat.solve(gear - 1, closed, ask);
                if (lower.shortfall >= link.shortfall) break;
                link = lower;
                --gear;
            }
            if (gear != shift.gear) {
                shift.gear = gear;
                shift.since = 0;
            }
            shift.locked = closed;
        }
        store(t, k, link, gear);
        engine_speed = link.engine_speed;
        last_gear = gear;
        last_closed = link.closed;
    }
    repeat_last(t);
}

TraceSummary summarize(const Trace& t, const Vehicle& vehicle) {
    TraceSummary s;
    double moved = 0, driveline = 0, road = 0;
    for (std::size_t k = 0; k + 1 < t.size(); ++k) {
        const double dt = t.time[k + 1] - t.time[k];
        s.duration += dt;
        s.distance += t.speed[k] * dt;
        s.engine_work += t.engine_power[k] * dt;
        s.converter_loss += t.converter_loss[k] * dt;
        s.gear_loss += (t.gear_loss[k] + t.shift_loss[k]) * dt;
        s.axle_loss += t.axle_loss[k] * dt;
        s.pump_drag += t.pump_drag[k] * dt;
        s.brake_heat += t.brake_power[k] * dt;
        s.shortfall += t.shortfall[k] * dt;
        s.steering_work +=
            t.kingpin_torque[k] * std::abs(t.steering_rate[k]) / vehicle.steering_ratio * dt;
        if (t.shortfall[k] > 1) s.shortfall_time += dt;
        if (t.engine_speed[k] > vehicle.engine.redline) s.over_speed_time += dt;
        if (k > 0 && t.gear[k] != t.gear[k - 1] && t.gear[k] > 0 && t.gear[k - 1] > 0) ++s.shifts;
        moved += (std::abs(t.engine_power[k]) + std::abs(t.wheel_power[k])) * dt;
        driveline += std::abs(t.engine_power[k] - t.accessory_power[k] - t.pump_drag[k] -
                              t.engine_inertia_power[k] - t.shift_loss[k] - t.converter_loss[k] -
                              t.gear_loss[k] - t.axle_loss[k] - t.wheel_power[k]) *
                     dt;
        road += std::abs(t.wheel_power[k] + t.shortfall[k] - t.rolling_power[k] - t.drag_power[k] -
                         t.cornering_power[k] - t.grade_power[k] - t.inertia_power[k] -
                         t.brake_power[k]) *
                dt;
    }
    if (moved > 0) {
        s.driveline_closure = driveline / moved;
        s.road_closure = road / moved;
    }
    return s;
}

}  // namespace lapheat::drive
