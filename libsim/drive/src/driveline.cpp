#include "driveline.hpp"

#include <algorithm>
#include <cmath>
#include <lapheat/solve/roots.hpp>

namespace lapheat::drive {

namespace {

// Root of a falling function, or the end of the bracket it lies beyond.
template <class F>
double falling_root(F f, double low, double high) {
    if (!(high > low) || f(low) <= 0) return low;
    if (f(high) >= 0) return high;
    return solve::bracketed_root(f, low, high, 1e-10 * high).x;
}

}  // namespace

Flat::Flat(const Vehicle& vehicle)
    : v(vehicle),
      gears(static_cast<int>(vehicle.gearbox.ratio.size())),
      peak(peak_power(vehicle.engine)),
      wheel_rate(1 / vehicle.tyre_radius) {
    const Gearbox& g = v.gearbox;
    ratio[0] = g.reverse_ratio;
    efficiency[0] = g.reverse_efficiency;
    for (std::size_t k = 0; k < g.ratio.size(); ++k) {
        ratio[k + 1] = g.ratio[k];
        efficiency[k + 1] = g.efficiency[k];
    }
    for (std::size_t k = 0; k < ratio.size(); ++k)
        turbine_rate[k] = ratio[k] * g.final_drive * wheel_rate;
}

GearTorques Flat::from_wheel(int gear, double wheel, double turbine) const {
    const Gearbox& g = v.gearbox;
    const double i = ratio[index(gear)], eta = efficiency[index(gear)];
    const double shaft = wheel >= 0 ? wheel / (g.final_drive * g.final_drive_efficiency)
                                    : wheel * g.final_drive_efficiency / g.final_drive;
    const double mesh = shaft >= 0 ? shaft / (i * eta) : shaft * eta / i;
    return {mesh + spin_torque(turbine), shaft, wheel};
}

GearTorques Flat::from_turbine(int gear, double torque, double turbine) const {
    const Gearbox& g = v.gearbox;
    const double i = ratio[index(gear)], eta = efficiency[index(gear)];
    const double mesh = torque - spin_torque(turbine);
    const double shaft = mesh >= 0 ? mesh * i * eta : mesh * i / eta;
    return {torque, shaft,
            shaft >= 0 ? shaft * g.final_drive * g.final_drive_efficiency
                       : shaft * g.final_drive / g.final_drive_efficiency};
}

Traction Flat::traction(int gear, double speed, double factor) const {
    const double w_t = turbine_speed(gear, speed);
    if (w_t > v.engine.redline) return {0, gear, w_t};
    double w = 0, torque = 0;
    if (v.coupling == Coupling::clutch) {
        w = std::max(w_t, v.clutch.launch_speed);
        torque = factor * full_torque(v.engine, w) - idle_losses(w, v.accessory_power);
    } else {
        w = falling_root(
            [&](double x) {
                return factor * full_torque(v.engine, x) - idle_losses(x, v.accessory_power) -
                       converter_at(v.converter, x, w_t).pump_torque;
            },
            v.engine.idle_speed, 1.03 * v.engine.redline);
        torque = converter_at(v.converter, w, w_t).turbine_torque;
    }
    return {from_turbine(gear, torque, w_t).wheel * wheel_rate, gear, w};
}

Traction Flat::best_traction(double speed) const {
    Traction best = traction(gears, speed);
    for (int g = gears - 1; g >= 1; --g) {
        const Traction t = traction(g, speed);
        if (t.force > best.force) best = t;
    }
    return best;
}

namespace {

/// The links between wheels and engine over one interval, in one gear.
class Links {
  public:
    Links(const Flat& flat, int gear, const Ask& ask)
        : f_(flat),
          e_(flat.v.engine),
          ask_(ask),
          gear_(gear),
          turbine_(flat.turbine_speed(gear, ask.speed)),
          t_(flat.from_wheel(gear, ask.wheel_torque, turbine_)) {}

    void closed();
    void clutch();
    void converter();
    [[nodiscard]] DrivelineState state(bool closed) const;

  private:
    [[nodiscard]] double full(double w) const { return ask_.air_factor * full_torque(e_, w); }
    /// Power into the engine's own rotation: the exact change of its energy over the interval.
    [[nodiscard]] double inertia_power(double w) const {
        const double last = ask_.last_engine_speed;
        return last > 0 ? e_.inertia * (w * w - last * last) / (2 * ask_.step) : 0.0;
    }
    /// A shift pulls the engine down through a slipping clutch: of the energy set free the clutch
    /// burns J (dw)^2 / 2, the rest pushes the car (momentum kept).
    [[nodiscard]] double shift_power(double w) const {
        const double drop = ask_.last_engine_speed - w;
        return ask_.shifted && drop > 0 ? e_.inertia * drop * drop / (2 * ask_.step) : 0.0;
    }
    [[nodiscard]] double before_coupling(double w) const {
        return f_.idle_losses(w, ask_.accessory_power) + (inertia_power(w) + shift_power(w)) / w;
    }
    void set_turbine(double torque) {
        t_ = f_.from_turbine(gear_, torque, turbine_);
        exact_ = false;
    }
    [[nodiscard]] double with_converter(double w) const {
        return before_coupling(w) + converter_at(f_.v.converter, w, turbine_).pump_torque;
    }

    const Flat& f_;
    const Engine& e_;
    const Ask& ask_;
    const int gear_;
    const double turbine_;  ///< rad/s
    GearTorques t_;
    bool exact_ = true;  ///< the wheel torque asked is the wheel torque got
    double w_ = 0;       ///< rad/s of the engine
    double pump_ = 0;    ///< N m into the coupling
};

void Links::closed() {
    w_ = turbine_;
    const double before = before_coupling(w_);
    const double most = full(w_) - before;
    const double least = -motoring_torque(e_, w_) - before;
    if (t_.turbine > most) set_turbine(most);
    if (t_.turbine < least) set_turbine(least);
    pump_ = t_.turbine;
}

/// Slipping: the engine is held between idle and launch speed, torque passes unchanged.
void Links::clutch() {
    const double load =
        std::clamp(ask_.wheel_torque * (f_.wheel_rate * ask_.speed) / f_.peak, 0.0, 1.0);
    const double pull = std::max(load, ask_.held_throttle);
    w_ = std::max(turbine_,
                  e_.idle_speed + std::sqrt(pull) * (f_.v.clutch.launch_speed - e_.idle_speed));
    const double most = full(w_) - before_coupling(w_);
    if (ask_.wheel_torque <= 0) {
        set_turbine(0);  // declutched
    } else if (t_.turbine > most) {
        set_turbine(most);
    }
    pump_ = t_.turbine;
}

void Links::converter() {
    ConverterPoint c = converter_for_torque(f_.v.converter, t_.turbine, turbine_);
    w_ = c.pump_speed;
    const auto move_to = [&](double w) {
        w_ = w;
        c = converter_at(f_.v.converter, w, turbine_);
        exact_ = false;
    };
    // Creep: the governor holds the idle, the brakes hold the car.
    if (w_ < e_.idle_speed) move_to(e_.idle_speed);
    const double wanted = before_coupling(w_) + c.pump_torque;
    const double drag = motoring_torque(e_, w_);
    if (wanted > full(w_)) {
        move_to(
            falling_root([&](double x) { return full(x) - with_converter(x); }, e_.idle_speed, w_));
    } else if (ask_.held_throttle > 0) {
        const auto surplus = [&](double x) {
            const double m = motoring_torque(e_, x);
            return ask_.held_throttle * (full(x) + m) - m - with_converter(x);
        };
        if (surplus(w_) > 0) move_to(falling_root(surplus, w_, 1.03 * e_.redline));
    } else if (wanted < -drag) {
        // Slowing quicker than closed throttle lets it: the engine runs on faster, the brakes
        // take what it then pushes.
        move_to(falling_root([&](double x) { return -motoring_torque(e_, x) - with_converter(x); },
                             w_, std::max(turbine_, ask_.last_engine_speed)));
    }
    if (!exact_) set_turbine(c.turbine_torque);
    pump_ = c.pump_torque;
}

DrivelineState Links::state(bool closed) const {
    const double wheel_speed = f_.wheel_rate * ask_.speed;
    DrivelineState out;
    out.turbine_speed = turbine_;
    out.engine_speed = w_;
    out.closed = closed;
    out.accessory_power = ask_.accessory_power + f_.v.accessory_torque * w_;
    out.pump_drag = f_.pump_torque(w_) * w_;
    out.engine_inertia_power = inertia_power(w_);
    out.shift_loss = shift_power(w_);
    out.engine_torque = before_coupling(w_) + pump_;
    out.converter_loss = pump_ * w_ - t_.turbine * turbine_;
    const double shaft_speed = f_.v.gearbox.final_drive * wheel_speed;
    out.gear_loss = t_.turbine * turbine_ - t_.shaft * shaft_speed;
    out.axle_loss = t_.shaft * shaft_speed - t_.wheel * wheel_speed;
    out.wheel_power = t_.wheel * wheel_speed;
    const double drag = motoring_torque(e_, w_);
    out.throttle = std::clamp((out.engine_torque + drag) / (full(w_) + drag), 0.0, 1.0);
    if (!exact_) {
        const double surplus = t_.wheel - ask_.wheel_torque;
        out.brake_power = std::max(0.0, surplus * wheel_speed);
        out.shortfall = std::max(0.0, -surplus * wheel_speed);
        out.met = surplus >= -1e-9 * std::abs(ask_.wheel_torque);
    }
    return out;
}

}  // namespace

DrivelineState Flat::solve(int gear, bool closed, const Ask& ask) const {
    Links links(*this, gear, ask);
    if (closed)
        links.closed();
    else if (v.coupling == Coupling::clutch)
        links.clutch();
    else
        links.converter();
    return links.state(closed);
}

DrivelineState Flat::running_free(const Ask& ask) const {
    const Engine& e = v.engine;
    auto full = [&](double x) { return ask.air_factor * full_torque(e, x); };
    DrivelineState out;
    const double last = ask.last_engine_speed;
    auto inertia_power = [&](double w) {
        return last > 0 ? e.inertia * (w * w - last * last) / (2 * ask.step) : 0.0;
    };
    auto wanted = [&](double w) {
        return idle_losses(w, ask.accessory_power) + inertia_power(w) / w;
    };
    double w = e.idle_speed;
    if (ask.held_throttle > 0) {
        w = falling_root(
            [&](double x) {
                const double m = motoring_torque(e, x);
                return ask.held_throttle * (full(x) + m) - m - wanted(x);
            },
            w, 1.03 * e.redline);
    } else if (wanted(w) < -motoring_torque(e, w)) {
        w = falling_root([&](double x) { return -motoring_torque(e, x) - wanted(x); }, w, last);
    }
    out.engine_speed = w;
    out.engine_torque = wanted(w);
    out.accessory_power = ask.accessory_power + v.accessory_torque * w;
    out.pump_drag = pump_torque(w) * w;
    out.engine_inertia_power = inertia_power(w);
    const double drag = motoring_torque(e, w);
    out.throttle = std::clamp((out.engine_torque + drag) / (full(w) + drag), 0.0, 1.0);
    const double asked = ask.wheel_torque * wheel_rate * ask.speed;
    out.brake_power = std::max(0.0, -asked);
    out.shortfall = std::max(0.0, asked);
    out.met = asked <= 0;
    return out;
}

bool choose_gear(const Flat& flat, double speed, double load, double step, ShiftState& s) {
    const ShiftRule& rule = flat.v.shift;
    const int before = s.gear;
    s.since += step;
    const double up = rule.light_speed + (rule.full_speed - rule.light_speed) * load;
    if (speed <= 0) {
        s.gear = 1;
    } else if (s.since >= rule.dwell) {
        while (s.gear < flat.gears && flat.turbine_speed(s.gear, speed) > up) ++s.gear;
        while (s.gear > 1 && flat.turbine_speed(s.gear - 1, speed) < rule.hysteresis * up) --s.gear;
    }
    while (s.gear < flat.gears && flat.turbine_speed(s.gear, speed) > flat.v.engine.redline)
        ++s.gear;
    if (s.gear != before) s.since = 0;
    return s.gear != before;
}

bool choose_lockup(const Flat& flat, double speed, double load, const ShiftState& s) {
    const Vehicle& v = flat.v;
    const double w_t = flat.turbine_speed(s.gear, speed);
    if (v.coupling == Coupling::clutch) return w_t >= v.engine.idle_speed;
    const ShiftRule& rule = v.shift;
    if (!rule.lockup || s.gear < rule.lockup_gear || w_t < v.engine.idle_speed) return false;
    return w_t > rule.lockup_speed * (s.locked ? 0.85 : 1.0) &&
           load < rule.lockup_load * (s.locked ? 1.0 : 0.8);
}

}  // namespace lapheat::drive
