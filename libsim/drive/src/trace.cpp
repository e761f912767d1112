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

namespace {

/// The car from one interval to the next, for a speed that is given.
class BackwardCar {
  public:
    BackwardCar(const Vehicle& v, const Cycle& c, Trace& t) : v_(v), c_(c), t_(t), flat_(v) {}

    void interval(std::size_t k);

  private:
    [[nodiscard]] RoadPoint road_point(std::size_t k);
    void in_drive(std::size_t k, Ask& ask, DrivelineState& link, int& gear);

    const Vehicle& v_;
    const Cycle& c_;
    Trace& t_;
    Flat flat_;
    ShiftState shift_;
    double engine_speed_ = 0;
    int last_gear_ = 0;
    bool last_closed_ = false;
    double density_ = 0, breath_ = 1, altitude_ = -1e9, ambient_ = -1;  ///< of the last interval
};

RoadPoint BackwardCar::road_point(std::size_t k) {
    if (t_.altitude[k] != altitude_ || t_.ambient[k] != ambient_) {
        altitude_ = t_.altitude[k];
        ambient_ = t_.ambient[k];
        density_ = air_density(ambient_, altitude_);
        breath_ = air_factor(v_.engine, ambient_, altitude_);
    }
    RoadPoint p;
    p.speed = 0.5 * (c_.speed[k] + c_.speed[k + 1]);
    p.acceleration = (c_.speed[k + 1] - c_.speed[k]) / (c_.time[k + 1] - c_.time[k]);
    p.grade = t_.grade[k];
    p.wind = t_.wind[k];
    p.air_density = density_;
    p.lateral_acceleration = t_.lateral_acceleration[k];
    p.trailer_mass = t_.trailer_mass[k];
    return p;
}

/// The gear by the rule or the file; then down, where the engine could not give what was asked.
void BackwardCar::in_drive(std::size_t k, Ask& ask, DrivelineState& link, int& gear) {
    const double load =
        std::clamp(ask.wheel_torque * flat_.wheel_rate * ask.speed / flat_.peak, 0.0, 1.0);
    const bool by_rule = c_.gear[k] == 0;
    if (by_rule) {
        choose_gear(flat_, ask.speed, load, ask.step, shift_);
    } else {
        shift_.since = shift_.gear == c_.gear[k] ? shift_.since + ask.step : 0.0;
        shift_.gear = std::min<int>(c_.gear[k], flat_.gears);
    }
    bool closed = choose_lockup(flat_, ask.speed, load, shift_);
    gear = shift_.gear;
    const auto solve = [&](int in) {
        ask.shifted = last_gear_ != 0 && (in != last_gear_ || closed != last_closed_);
        return flat_.solve(in, closed, ask);
    };
    link = solve(gear);
    if (!link.met && closed && v_.coupling == Coupling::converter) {
        closed = false;
        link = solve(gear);
    }
    while (!link.met && by_rule && gear > 1 &&
           flat_.turbine_speed(gear - 1, ask.speed) < 0.98 * v_.engine.redline) {
        const DrivelineState lower = solve(gear - 1);
        if (lower.shortfall >= link.shortfall) break;
        link = lower;
        --gear;
    }
    if (gear != shift_.gear) {
        shift_.gear = gear;
        shift_.since = 0;
    }
    shift_.locked = closed;
}

void BackwardCar::interval(std::size_t k) {
    const RoadPoint p = road_point(k);
    const RoadLoad road = road_load(v_, p);
    t_.speed[k] = p.speed;
    t_.acceleration[k] = p.acceleration;
    t_.rolling_power[k] = road.rolling * p.speed;
    t_.drag_power[k] = road.drag * p.speed;
    t_.cornering_power[k] = road.cornering * p.speed;
    t_.grade_power[k] = road.grade * p.speed;
    t_.inertia_power[k] = road.inertia * p.speed;

    Ask ask;
    ask.speed = p.speed;
    // At rest the brakes hold whatever the hill asks.
    ask.wheel_torque = p.speed > 0 ? road.total() * v_.tyre_radius : 0.0;
    ask.accessory_power = v_.accessory_power + v_.air_conditioning_power * t_.ac_demand[k];
    ask.step = c_.time[k + 1] - c_.time[k];
    ask.held_throttle = c_.held_throttle[k];
    ask.air_factor = breath_;
    ask.last_engine_speed = engine_speed_;

    DrivelineState link;
    int gear = 0;
    if (!c_.engine_on[k]) {
        const double asked = ask.wheel_torque * flat_.wheel_rate * p.speed;
        link.brake_power = std::max(0.0, -asked);
        link.shortfall = std::max(0.0, asked);
        shift_.gear = 1;
        shift_.locked = false;
    } else if (c_.selector[k] == Selector::park || c_.selector[k] == Selector::neutral) {
        link = flat_.running_free(ask);
    } else if (c_.selector[k] == Selector::reverse) {
        gear = -1;
        const bool closed = v_.coupling == Coupling::clutch &&
                            flat_.turbine_speed(-1, p.speed) >= v_.engine.idle_speed;
        link = flat_.solve(gear, closed, ask);
    } else {
        in_drive(k, ask, link, gear);
    }
    store(t_, k, link, gear);
    engine_speed_ = link.engine_speed;
    last_gear_ = gear;
    last_closed_ = link.closed;
}

}  // namespace

void backward(const Vehicle& vehicle, const Cycle& c, Trace& t) {
    validate(vehicle);
    validate(c);
    resize(t, c.size());
    pass_through(vehicle, c, t);
    BackwardCar car(vehicle, c, t);
    for (std::size_t k = 0; k + 1 < c.size(); ++k) car.interval(k);
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
