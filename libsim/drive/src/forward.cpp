#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/trace.hpp>
#include <lapheat/units/error.hpp>

#include "driveline.hpp"
#include "trace_columns.hpp"

// One step is the explicit midpoint rule, and every power is torque or force at the midpoint times
// the mean of the speeds before and after. With that the change of kinetic energy is the work done
// to the last bit, for car and engine, and the balances of trace.hpp hold in this trace too.

namespace lapheat::drive {

namespace {

class ForwardCar {
  public:
    ForwardCar(const Vehicle& v, const DriverModel& d) : v_(v), d_(d), flat_(v) {}

    struct Now {
        double reference = 0;  ///< m/s at the end of the step
        double wanted = 0;     ///< m/s^2 of the reference
        RoadPoint road;        ///< grade, wind, density, lateral acceleration, trailer
        double accessory_power = 0;
        double held_throttle = 0;
        double air_factor = 1;
        bool engine_on = true;
        Selector selector = Selector::drive;
        int gear = 0;
    };

    /// Moving at `speed` (m/s) in the gear the rule gives, engine turning with the wheels.
    void begin(const Now& now, double speed);
    void step(const Now& now, double h, Trace& t, std::size_t k);

  private:
    /// What driver, pedals and selector ask for over one step.
    struct Command {
        bool standing = false;
        double wheel_torque = 0;   ///< N m wanted at the wheels
        double brake = 0;          ///< N m at the wheels
        double engine_torque = 0;  ///< N m
    };
    struct Torques {
        double engine = 0, losses = 0, pump = 0;
        GearTorques gear;
        double resist = 0;  ///< N, road without inertia
        /// N m at the wheels that the tyres do not take: a jerk of the driveline, before the driver
        /// has lifted. Booked to the brakes.
        double spun = 0;
        double acceleration = 0;  ///< m/s^2
        double spin_up = 0;       ///< rad/s^2 of the engine
    };
    /// How a step ends.
    struct End {
        double speed = 0, engine = 0;
        double brake_force = 0;
        double missing = 0;  ///< N that a hill takes beyond what is needed to stop
    };

    /// N that the driven tyres can put down beside what the bend takes of the friction ellipse.
    [[nodiscard]] double traction(const Now& now) const {
        const double across = now.road.lateral_acceleration / (v_.grip_lat * gravity);
        const double cosine = 1 / std::sqrt(1 + now.road.grade * now.road.grade);
        return driven_grip(v_) * v_.mass * gravity * cosine *
               std::sqrt(std::max(0.0, 1 - across * across));
    }
    [[nodiscard]] double resist(const Now& now, double speed) const {
        RoadPoint p = now.road;
        p.speed = std::max(0.0, speed);
        p.acceleration = 0;
        return road_load(v_, p).total();
    }

    void choose(const Now& now, double push, double h);
    void close_clutch(Trace& t, std::size_t k);
    [[nodiscard]] Command drive(const Now& now, double h, Trace& t, std::size_t k);
    [[nodiscard]] double pedal(const Now& now, double wheel_torque, double& brake) const;
    [[nodiscard]] double rate() const {
        return gear_ == 0 ? 0.0 : flat_.turbine_rate[Flat::index(gear_)];
    }
    [[nodiscard]] Torques torques(const Now& now, const Command& c, double speed,
                                  double engine) const;
    [[nodiscard]] double slipping(const Command& c, double engine, double turbine,
                                  Torques& q) const;
    void as_one(const Command& c, double turbine, Torques& q) const;
    [[nodiscard]] End end(const Now& now, const Command& c, double h, double mid_speed,
                          Torques& q) const;

    const Vehicle& v_;
    const DriverModel& d_;
    Flat flat_;
    double speed_ = 0, engine_ = 0, integral_ = 0, mass_ = 0;
    double starved_ = 0;  ///< s with the pedal down and not enough
    int gear_ = 0;
    bool closed_ = false;
    ShiftState shift_;
};

void ForwardCar::choose(const Now& now, double push, double h) {
    const double load = std::clamp(push * speed_ / flat_.peak, 0.0, 1.0);
    switch (now.selector) {
        case Selector::park:
        case Selector::neutral:
            gear_ = 0;
            closed_ = false;
            return;
        case Selector::reverse:
            gear_ = -1;
            closed_ = v_.coupling == Coupling::clutch &&
                      flat_.turbine_speed(-1, speed_) >= v_.engine.idle_speed;
            return;
        case Selector::drive:
            break;
    }
    if (now.gear > 0) {
        shift_.gear = std::min(now.gear, flat_.gears);
    } else {
        choose_gear(flat_, speed_, load, h, shift_);
        // Kick-down after a moment of too little.
        const double most = now.air_factor * full_torque(v_.engine, engine_) * engine_;
        starved_ = push * speed_ > most ? starved_ + h : 0.0;
        if (starved_ > 0.3 && shift_.gear > 1 &&
            flat_.turbine_speed(shift_.gear - 1, speed_) < 0.98 * v_.engine.redline) {
            --shift_.gear;
            shift_.since = 0;
            starved_ = 0;
        }
    }
    gear_ = shift_.gear;
    closed_ = choose_lockup(flat_, speed_, load, shift_);
    // A clutch bites when the speeds meet, not before.
    if (v_.coupling == Coupling::clutch && closed_ && !shift_.locked && push > 0)
        closed_ = flat_.turbine_speed(gear_, speed_) >= 0.98 * engine_;
    shift_.locked = closed_;
}

// Closing a clutch between engine and car is an impact without rebound: momentum stays, the energy
// lost is heat in the clutch.
void ForwardCar::close_clutch(Trace& t, std::size_t k) {
    const double rate = flat_.turbine_rate[Flat::index(gear_)];
    const double turbine = rate * speed_;
    if (turbine == engine_) return;
    const double j = v_.engine.inertia, car = mass_ / (rate * rate);
    const double after = (j * engine_ + car * turbine) / (j + car);
    const double into_engine = 0.5 * j * (after * after - engine_ * engine_);
    const double into_car = 0.5 * mass_ * (after * after / (rate * rate) - speed_ * speed_);
    t.engine_inertia_power[k] += into_engine;
    t.wheel_power[k] += into_car;
    t.inertia_power[k] += into_car;
    t.shift_loss[k] += -(into_engine + into_car);
    speed_ = after / rate;
    engine_ = after;
}

/// Engine torque the driver asks for, and the brake torque at the wheels (N m).
double ForwardCar::pedal(const Now& now, double wheel_torque, double& brake) const {
    const Engine& e = v_.engine;
    const double full = now.air_factor * full_torque(e, engine_),
                 drag = motoring_torque(e, engine_);
    const double losses =
        flat_.idle_losses(std::max(engine_, 0.5 * e.idle_speed), now.accessory_power);
    if (now.held_throttle > 0 && gear_ != 0) {
        // Throttle against the brakes: they take what is more than the driver wants at the wheels.
        const double torque = -drag + now.held_throttle * (full + drag);
        const double turbine = flat_.turbine_speed(gear_, speed_);
        const double input = closed_ || v_.coupling == Coupling::clutch
                                 ? torque - losses
                                 : converter_at(v_.converter, engine_, turbine).turbine_torque;
        const double got = flat_.from_turbine(gear_, input, turbine).wheel;
        brake = std::max(0.0, got - wheel_torque);
        return torque;
    }
    auto limit = [&](double x) { return std::clamp(x, -drag, full); };
    if (gear_ == 0) {
        brake = std::max(0.0, -wheel_torque);
        return limit(losses + e.inertia * (e.idle_speed - engine_) / d_.engine_time);
    }
    const double turbine = flat_.turbine_speed(gear_, speed_);
    const double asked = flat_.from_wheel(gear_, wheel_torque, turbine).turbine;
    if (closed_) {
        const double torque =
            limit(asked + losses + e.inertia * now.wanted * flat_.turbine_rate[Flat::index(gear_)]);
        const double got = flat_.from_turbine(gear_, torque - losses, turbine).wheel;
        if (torque <= -drag) brake = std::max(0.0, got - wheel_torque);
        return torque;
    }
    if (v_.coupling == Coupling::clutch) {
        brake = std::max(0.0, -wheel_torque);
        const double load =
            std::clamp(wheel_torque * flat_.wheel_rate * speed_ / flat_.peak, 0.0, 1.0);
        const double aim = std::max(
            turbine, e.idle_speed + std::sqrt(load) * (v_.clutch.launch_speed - e.idle_speed));
        return limit(std::max(0.0, asked) + losses + e.inertia * (aim - engine_) / d_.engine_time);
    }
    const ConverterPoint aim = converter_for_torque(v_.converter, asked, turbine);
    const ConverterPoint is = converter_at(v_.converter, engine_, turbine);
    const double aim_speed = std::max(aim.pump_speed, e.idle_speed);
    // The torque of the aim, the engine's share of the acceleration, and a pull towards the aim.
    const double pump = aim.pump_speed >= e.idle_speed
                            ? aim.pump_torque
                            : converter_at(v_.converter, e.idle_speed, turbine).pump_torque;
    const double torque = limit(pump + losses +
                                e.inertia * ((aim_speed - engine_) / d_.engine_time +
                                             now.wanted * flat_.turbine_rate[Flat::index(gear_)]));
    if (aim.pump_speed <= e.idle_speed || wheel_torque < 0) {
        const double got = flat_.from_turbine(gear_, is.turbine_torque, turbine).wheel;
        brake = std::max(0.0, got - wheel_torque);
    }
    return torque;
}

void ForwardCar::begin(const Now& now, double speed) {
    speed_ = speed;
    mass_ = v_.mass * v_.rotating_factor + now.road.trailer_mass;
    if (!now.engine_on) return;
    engine_ = v_.engine.idle_speed;
    choose(now, resist(now, speed), 0);
    if (gear_ != 0) engine_ = std::max(engine_, flat_.turbine_speed(gear_, speed));
}

ForwardCar::Command ForwardCar::drive(const Now& now, double h, Trace& t, std::size_t k) {
    const double error = now.reference - speed_;
    const double asked = now.wanted + d_.proportional * error + integral_;
    // A driver lifts before the wheels spin.
    const double push = std::min(mass_ * asked + resist(now, speed_), traction(now));
    Command c;
    c.standing = now.reference <= 0 && now.wanted <= 0 && speed_ < 0.05;
    choose(now, push, h);
    if (!now.engine_on) {
        gear_ = 0;
        closed_ = false;
    }
    if (closed_) close_clutch(t, k);
    c.wheel_torque = c.standing ? 0.0 : push * v_.tyre_radius;
    c.engine_torque = now.engine_on ? pedal(now, c.wheel_torque, c.brake) : 0.0;
    if (!now.engine_on) c.brake = std::max(0.0, -c.wheel_torque);
    const double full = now.air_factor * full_torque(v_.engine, engine_);
    const bool saturated =
        now.engine_on && (c.engine_torque >= full - 1e-9 || push >= traction(now) - 1e-9);
    if (!saturated && std::abs(error) < 2)
        integral_ = std::clamp(integral_ + d_.integral * error * h, -0.5, 0.5);
    if (c.standing) integral_ = 0;
    return c;
}

/// Torque at the gearbox's input through a slipping clutch or a converter.
double ForwardCar::slipping(const Command& c, double engine, double turbine, Torques& q) const {
    if (v_.coupling == Coupling::clutch) {
        const double foot = flat_.from_wheel(gear_, c.wheel_torque, turbine).turbine;
        return q.pump = std::clamp(foot, 0.0,
                                   std::max(0.0, c.engine_torque - q.losses +
                                                     (engine > v_.engine.idle_speed ? 50.0 : 0.0)));
    }
    const ConverterPoint point = converter_at(v_.converter, engine, turbine);
    q.pump = point.pump_torque;
    return point.turbine_torque;
}

/// Engine and car move as one; the mesh efficiency follows the sign of its torque.
void ForwardCar::as_one(const Command& c, double turbine, Torques& q) const {
    const double inertia = v_.engine.inertia, spin = flat_.spin_torque(turbine);
    auto solve = [&](double sign) {
        const GearTorques unit = flat_.from_turbine(gear_, sign, 0);
        const double gain = unit.wheel / sign * flat_.wheel_rate;  // N per N m at the mesh
        const double force =
            gain * (q.engine - q.losses - spin) - q.resist - c.brake * flat_.wheel_rate;
        return force / (mass_ + gain * inertia * rate());
    };
    q.acceleration = solve(1.0);
    double mesh = q.engine - q.losses - inertia * rate() * q.acceleration - spin;
    if (mesh < 0) {
        q.acceleration = solve(-1.0);
        mesh = q.engine - q.losses - inertia * rate() * q.acceleration - spin;
    }
    q.pump = mesh + spin;
    q.gear = flat_.from_turbine(gear_, q.pump, turbine);
    q.spin_up = rate() * q.acceleration;
}

/// Torques at given speeds under the driver's command.
ForwardCar::Torques ForwardCar::torques(const Now& now, const Command& c, double speed,
                                        double engine) const {
    Torques q;
    q.engine = c.engine_torque;
    q.resist = resist(now, speed);
    if (now.engine_on)
        q.losses =
            flat_.idle_losses(std::max(engine, 0.5 * v_.engine.idle_speed), now.accessory_power);
    const double turbine = rate() * speed;
    if (closed_) {
        as_one(c, turbine, q);
        return q;
    }
    if (gear_ != 0) {
        const double input = slipping(c, engine, turbine, q);
        q.gear = flat_.from_turbine(gear_, input, turbine);
    }
    q.spun = std::max(0.0, q.gear.wheel - c.brake - traction(now) * v_.tyre_radius);
    q.acceleration = ((q.gear.wheel - c.brake - q.spun) * flat_.wheel_rate - q.resist) / mass_;
    q.spin_up = now.engine_on ? (q.engine - q.losses - q.pump) / v_.engine.inertia : 0.0;
    return q;
}

/// The brakes hold at rest: never backwards, and no faster than they must.
ForwardCar::End ForwardCar::end(const Now& now, const Command& c, double h, double mid_speed,
                                Torques& q) const {
    const double inertia = v_.engine.inertia;
    End e;
    e.brake_force = (c.brake + q.spun) * flat_.wheel_rate;
    if (c.standing || speed_ + h * q.acceleration < 0) {
        q.acceleration = -speed_ / h;
        if (closed_) {
            q.spin_up = rate() * q.acceleration;
            q.pump = q.engine - q.losses - inertia * q.spin_up;
            q.gear = flat_.from_turbine(gear_, q.pump, rate() * mid_speed);
        }
        e.brake_force = q.gear.wheel * flat_.wheel_rate - q.resist - mass_ * q.acceleration;
        // A hill may stop the car sooner than the step ends.
        e.missing = std::max(0.0, -e.brake_force);
        e.brake_force = std::max(0.0, e.brake_force);
    }
    e.speed = std::max(0.0, speed_ + h * q.acceleration);
    if (now.engine_on) {
        e.engine = engine_ + h * q.spin_up;
        if (!closed_ && e.engine < 1) {  // about to stall: the starter holds it
            e.engine = 1;
            q.spin_up = (e.engine - engine_) / h;
            q.engine = q.losses + q.pump + inertia * q.spin_up;
        }
    }
    return e;
}

void ForwardCar::step(const Now& now, double h, Trace& t, std::size_t k) {
    const Engine& e = v_.engine;
    mass_ = v_.mass * v_.rotating_factor + now.road.trailer_mass;
    if (now.engine_on && engine_ <= 0) engine_ = e.idle_speed;  // the starter's work is not booked
    if (!now.engine_on) engine_ = 0;

    const Command c = drive(now, h, t, k);
    const double full = now.air_factor * full_torque(e, engine_),
                 drag = motoring_torque(e, engine_);
    const Torques before = torques(now, c, speed_, engine_);
    const double mid_speed = std::max(0.0, speed_ + 0.5 * h * before.acceleration);
    const double mid_engine = std::max(0.0, engine_ + 0.5 * h * before.spin_up);
    Torques q = torques(now, c, c.standing ? 0.0 : mid_speed, mid_engine);
    const End after = end(now, c, h, mid_speed, q);
    const double u = 0.5 * (speed_ + after.speed), w = 0.5 * (engine_ + after.engine);
    const double turbine = rate() * u;
    const double shaft_speed = v_.gearbox.final_drive * flat_.wheel_rate;

    RoadPoint p = now.road;
    p.speed = c.standing ? 0.0 : mid_speed;
    const RoadLoad road = road_load(v_, p);
    auto add = [&](std::vector<double>& column, double value) { column[k] += value * h; };
    add(t.speed, u);
    add(t.acceleration, q.acceleration);
    add(t.rolling_power, road.rolling * u);
    add(t.drag_power, road.drag * u);
    add(t.cornering_power, road.cornering * u);
    add(t.grade_power, road.grade * u);
    add(t.inertia_power, mass_ * q.acceleration * u);
    add(t.brake_power, after.brake_force * u);
    add(t.shortfall, after.missing * u);
    add(t.engine_speed, w);
    add(t.engine_torque, q.engine);
    add(t.engine_power, q.engine * w);
    add(t.throttle, now.engine_on ? std::clamp((q.engine + drag) / (full + drag), 0.0, 1.0) : 0.0);
    add(t.turbine_speed, turbine);
    add(t.converter_speed_ratio, w > 0 ? turbine / w : 0.0);
    const double pump_drag = now.engine_on ? flat_.pump_torque(mid_engine) : 0.0;
    add(t.pump_drag, pump_drag * w);
    add(t.accessory_power, (q.losses - pump_drag) * w);
    add(t.engine_inertia_power, e.inertia * q.spin_up * w);
    add(t.converter_loss, q.pump * w - q.gear.turbine * turbine);
    add(t.gear_loss, q.gear.turbine * turbine - q.gear.shaft * shaft_speed * u);
    add(t.axle_loss, q.gear.shaft * shaft_speed * u - q.gear.wheel * flat_.wheel_rate * u);
    add(t.wheel_power, q.gear.wheel * flat_.wheel_rate * u);
    t.gear[k] = static_cast<std::int8_t>(gear_);
    t.lockup[k] = closed_ ? 1 : 0;
    engine_ = closed_ ? rate() * after.speed : after.engine;
    speed_ = after.speed;
}

}  // namespace

Trace forward(const Vehicle& vehicle, const Cycle& c, const DriverModel& driver) {
    validate(vehicle);
    validate(c);
    if (!(driver.step > 0 && driver.step <= 0.02))
        throw Error(
            "the driver's step " + fmt::format("{:.6g}", driver.step) + " s is out of range",
            "above 0, at most 0.02 s", {}, "step");
    if (!(driver.engine_time > driver.step))
        throw Error("the driver's engine time must be longer than the step", "about 0.2 s", {},
                    "engine_time");
    const std::size_t n = c.size();
    Trace t;
    resize(t, n);
    pass_through(vehicle, c, t);
    ForwardCar car(vehicle, driver);
    for (std::size_t k = 0; k + 1 < n; ++k) {
        const double span = c.time[k + 1] - c.time[k];
        const auto count = std::max(1.0, std::ceil(span / driver.step - 1e-9));
        const double h = span / count;
        ForwardCar::Now now;
        now.wanted = (c.speed[k + 1] - c.speed[k]) / span;
        now.road.grade = t.grade[k];
        now.road.wind = t.wind[k];
        now.road.air_density = air_density(t.ambient[k], t.altitude[k]);
        now.road.lateral_acceleration = t.lateral_acceleration[k];
        now.road.trailer_mass = t.trailer_mass[k];
        now.accessory_power =
            vehicle.accessory_power + vehicle.air_conditioning_power * t.ac_demand[k];
        now.air_factor = air_factor(vehicle.engine, t.ambient[k], t.altitude[k]);
        now.held_throttle = c.held_throttle[k];
        now.engine_on = c.engine_on[k] != 0;
        now.selector = c.selector[k];
        now.gear = std::max<int>(0, c.gear[k]);
        if (k == 0) car.begin(now, c.speed.front());
        for (double j = 1; j <= count; ++j) {
            now.reference = c.speed[k] + now.wanted * j * h;
            car.step(now, h, t, k);
        }
        for (std::vector<double>* column :
             {&t.speed,         &t.acceleration,    &t.rolling_power,
              &t.drag_power,    &t.cornering_power, &t.grade_power,
              &t.inertia_power, &t.brake_power,     &t.shortfall,
              &t.engine_speed,  &t.engine_torque,   &t.engine_power,
              &t.throttle,      &t.turbine_speed,   &t.converter_speed_ratio,
              &t.pump_drag,     &t.accessory_power, &t.engine_inertia_power,
              &t.shift_loss,    &t.converter_loss,  &t.gear_loss,
              &t.axle_loss,     &t.wheel_power})
            (*column)[k] /= span;
    }
    repeat_last(t);
    return t;
}

}  // namespace lapheat::drive
