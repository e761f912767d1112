#include "lap_tables.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::drive {

TractionTable::TractionTable(const Vehicle& v, const Surroundings& s)
    : gears(static_cast<int>(v.gearbox.ratio.size())) {
    const Flat flat(v);
    const double factor = air_factor(v.engine, s.ambient, s.altitude);
    const double top = v.engine.redline / flat.turbine_rate[static_cast<std::size_t>(gears)];
    const auto count = static_cast<std::size_t>(std::ceil(top / grid)) + 2;
    force.assign(static_cast<std::size_t>(gears), std::vector<double>(count));
    engine_speed = force;
    for (std::size_t g = 0; g < force.size(); ++g)
        for (std::size_t k = 0; k < count; ++k) {
            const Traction t =
                flat.traction(static_cast<int>(g) + 1, grid * static_cast<double>(k), factor);
            force[g][k] = t.force;
            engine_speed[g][k] = t.engine_speed;
        }
    for (int g = 1; g <= gears; ++g) turbine_rate.push_back(flat.turbine_speed(g, 1));
    // Up where the next gear pulls harder, at the latest at the redline.
    for (int g = 1; g < gears; ++g) {
        const double rate = flat.turbine_rate[static_cast<std::size_t>(g)];
        double up = 0.985 * v.engine.redline / rate;
        for (double u = 0.3 * up; u < up; u += 0.5 * grid)
            if (pull(g + 1, u) > pull(g, u) || turn(g, u) > 0.985 * v.engine.redline) up = u;
        up_speed.push_back(up);
    }
}

double TractionTable::interpolate(const std::vector<double>& y, double speed) const {
    const double p = std::min(speed / grid, static_cast<double>(y.size() - 1) - 1e-9);
    const auto k = static_cast<std::size_t>(p);
    return y[k] + (p - static_cast<double>(k)) * (y[k + 1] - y[k]);
}

double TractionTable::inertia_mass(const Vehicle& v, int gear, double speed) const {
    // J w dw = m u du: the engine's rotation as mass, with the slip of the converter in it.
    if (speed < grid) return 0;
    const double w0 = turn(gear, speed - 0.5 * grid), w1 = turn(gear, speed + 0.5 * grid);
    return std::max(0.0, v.engine.inertia * 0.5 * (w1 * w1 - w0 * w0) / (speed * grid));
}

namespace {

constexpr double slowest = 0.3;  // m/s; below this a car on a climb counts as stuck

}  // namespace

LapForces::LapForces(const Vehicle& vehicle, const Course& course, const LapStyle& how,
                     const Surroundings& s)
    : v(vehicle),
      c(course),
      style(how),
      density(air_density(s.ambient, s.altitude)),
      table(vehicle, s),
      step(course.length() / static_cast<double>(course.distance.size() - 1)) {}

double LapForces::side_limit(std::size_t k) const {
    const double limit = c.speed_limit[k] * c.speed_limit[k];
    const double bend = std::abs(c.curvature[k]);
    const double most = v.grip_lat * grip(k);
    return bend * limit > most ? most / bend : limit;
}

namespace {

/// What the ellipse leaves along the way when `square * curvature` is used across it.
double left(double square, double curvature, double across) {
    const double used = square * curvature / across;
    return std::sqrt(std::max(0.0, 1 - used * used));
}

}  // namespace

double LapForces::resist(double square, double curvature, double grade) const {
    RoadPoint p;
    p.speed = std::sqrt(square);
    p.grade = grade;
    p.air_density = density;
    p.lateral_acceleration = square * curvature;
    return road_load(v, p).total();
}

double LapForces::traction(double square, std::size_t k, std::size_t next) const {
    const double bend = 0.5 * (c.curvature[k] + c.curvature[next]);
    const double adhesion = 0.5 * (grip(k) + grip(next));
    return v.mass * adhesion * driven_grip(v) * left(square, bend, v.grip_lat * adhesion);
}

double LapForces::pull(double square, std::size_t k, std::size_t next, int gear, bool cut) const {
    const double bend = 0.5 * (c.curvature[k] + c.curvature[next]);
    const double speed = std::sqrt(square);
    const double road = resist(square, bend, 0.5 * (c.grade[k] + c.grade[next]));
    const double engine = cut ? 0.0 : style.effort * table.pull(gear, speed);
    // What turns the engine faster does not pass through the tyre.
    const double mass = v.mass * v.rotating_factor;
    const double turning = cut ? 0.0 : table.inertia_mass(v, gear, speed);
    return std::min((engine - road) / (mass + turning), (traction(square, k, next) - road) / mass);
}

double LapForces::reach(double square, std::size_t k, int gear, bool cut) const {
    // Midpoint rule in the square of speed over distance.
    const double a0 = pull(square, k, k + 1, gear, cut);
    const double mid = std::max(0.0, square + a0 * step);
    return std::max(square + 2 * step * pull(mid, k, k + 1, gear, cut), slowest * slowest);
}

double LapForces::slow(double square, std::size_t k, std::size_t next) const {
    const double bend = 0.5 * (c.curvature[k] + c.curvature[next]);
    const double adhesion = 0.5 * (grip(k) + grip(next));
    const double road = resist(square, bend, 0.5 * (c.grade[k] + c.grade[next]));
    const double brakes =
        v.mass * v.grip_long * adhesion * left(square, bend, v.grip_lat * adhesion);
    return (brakes + road) / (v.mass * v.rotating_factor);
}

int LapForces::strongest(double speed) const {
    int best = 1;
    for (int g = 2; g <= table.gears; ++g)
        if (table.pull(g, speed) > table.pull(best, speed)) best = g;
    return best;
}

namespace {

class Solver {
  public:
    Solver(const Vehicle& vehicle, const Course& course, const LapStyle& style,
           const Surroundings& s)
        : surroundings_(s),
          forces_(vehicle, course, style, s),
          c_(course),
          n_(course.distance.size()),
          step_(course.length() / static_cast<double>(n_ - 1)) {}

    Lap run() {
        square_.resize(n_);
        for (std::size_t k = 0; k < n_; ++k) square_[k] = forces_.side_limit(k);
        if (!c_.closed) square_[0] = std::min(square_[0], c_.entry_speed * c_.entry_speed);
        Lap lap;
        gear_.assign(n_, 1);
        settle(lap, true);
        // Any lap with these gears is slower everywhere than the one with all gears at hand.
        if (forces_.style.gears == LapGears::driver && forces_.table.gears > 1) {
            gear_ = plan_gears(forces_, square_);
            settle(lap, false);
        }
        fill_lap(forces_.v, c_, forces_.style, surroundings_, forces_.table, square_, gear_, lap);
        return lap;
    }

  private:
    void settle(Lap& lap, bool any_gear) {
        lap.settled = false;
        for (int sweep = 1; sweep <= 50 && !lap.settled; ++sweep) {
            change_ = 0;
            forward(any_gear);
            backward();
            ++lap.sweeps;
            lap.settled = change_ < 1e-9;
        }
    }

    void lower(std::size_t k, double square) {
        if (square >= square_[k]) return;
        change_ = std::max(change_, square_[k] - square);
        square_[k] = square;
    }

    [[nodiscard]] std::size_t slowest_knot() const {
        return static_cast<std::size_t>(std::min_element(square_.begin(), square_.end()) -
                                        square_.begin());
    }

    void forward(bool any_gear) {
        const std::size_t start = c_.closed ? slowest_knot() : 0;
        const std::size_t steps = n_ - 1;
        double cut = 0;
        int last = 0;
        for (std::size_t j = 0; j < steps; ++j) {
            const std::size_t k = c_.closed ? (start + j) % steps : j;
            const std::size_t next = k + 1;
            const double speed = std::sqrt(square_[k]);
            if (any_gear) gear_[k] = forces_.strongest(speed);
            if (!any_gear && forces_.style.shift_times && last > 0 && gear_[k] > last)
                cut = forces_.v.shift.shift_time;
            last = gear_[k];
            const double safe = forces_.reach(square_[k], k, last, cut > 0);
            if (safe <= slowest * slowest && cut <= 0)
                throw Error("the car cannot pull away or climb at " +
                                fmt::format("{:.6g}", c_.distance[k]) + " m of the course",
                            "more engine, a lower gear or less grade", {}, "course");
            if (cut > 0) cut -= 2 * step_ / (speed + std::sqrt(safe));
            lower(next, safe);
            tie(next);
        }
        gear_.back() = c_.closed ? gear_.front() : gear_[n_ - 2];
    }

    void backward() {
        const std::size_t start = c_.closed ? slowest_knot() : n_ - 1;
        const std::size_t steps = n_ - 1;
        for (std::size_t j = 0; j < steps; ++j) {
            std::size_t next = start >= j ? start - j : start + steps - j;
            if (next == 0) next = steps;
            const std::size_t k = next - 1;
            const double a0 = forces_.slow(square_[next], k, next);
            const double mid = std::max(0.0, square_[next] + a0 * step_);
            lower(k, square_[next] + 2 * step_ * std::max(0.0, forces_.slow(mid, k, next)));
            tie(k);
        }
    }

    /// Keeps both ends of a closed course the same.
    void tie(std::size_t k) {
        if (!c_.closed) return;
        if (k == 0) lower(n_ - 1, square_[0]);
        if (k == n_ - 1) lower(0, square_[n_ - 1]);
    }

    const Surroundings& surroundings_;
    LapForces forces_;
    const Course& c_;
    std::size_t n_;
    double step_;
    double change_ = 0;
    std::vector<double> square_;
    std::vector<int> gear_;
};

}  // namespace

void fill_lap(const Vehicle& v, const Course& c, const LapStyle& style, const Surroundings& s,
              const TractionTable& table, const std::vector<double>& square,
              const std::vector<int>& gear, Lap& lap) {
    const std::size_t n = square.size();
    lap.distance = c.distance;
    lap.grade = c.grade;
    lap.gear = gear;
    lap.time.assign(n, 0);
    lap.speed.resize(n);
    for (auto* x : {&lap.acceleration, &lap.lateral_acceleration, &lap.throttle, &lap.brake,
                    &lap.engine_speed, &lap.steering_angle, &lap.steering_rate})
        x->assign(n, 0);
    const double step = c.length() / static_cast<double>(n - 1);
    for (std::size_t k = 0; k < n; ++k) lap.speed[k] = std::sqrt(square[k]);
    for (std::size_t k = 0; k + 1 < n; ++k)
        lap.time[k + 1] = lap.time[k] + 2 * step / (lap.speed[k] + lap.speed[k + 1]);
    lap.lap_time = lap.time.back();
    const double clutch_or_idle =
        v.coupling == Coupling::clutch ? v.clutch.launch_speed : v.engine.idle_speed;
    const Flat flat(v);
    const double density = air_density(s.ambient, s.altitude);
    for (std::size_t k = 0; k < n; ++k) {
        const std::size_t i = std::min(k, n - 2);
        lap.acceleration[k] = (square[i + 1] - square[i]) / (2 * step);
        lap.lateral_acceleration[k] = square[k] * c.curvature[k];
        RoadPoint p;
        p.speed = lap.speed[k];
        p.acceleration = lap.acceleration[k];
        p.grade = c.grade[k];
        p.air_density = density;
        p.lateral_acceleration = lap.lateral_acceleration[k];
        const int g = gear[k];
        const double push = road_load(v, p).total();
        const double with_engine = push + table.inertia_mass(v, g, p.speed) * p.acceleration;
        const double force = std::max(1.0, table.pull(g, p.speed));
        lap.throttle[k] = std::clamp(with_engine / force, 0.0, 1.0);
        lap.brake[k] = std::clamp(-push / (v.mass * v.grip_long * c.grip[k] * gravity), 0.0, 1.0);
        const double turbine = flat.turbine_speed(g, p.speed);
        lap.engine_speed[k] = std::max(
            clutch_or_idle, turbine + lap.throttle[k] * (table.turn(g, p.speed) - turbine));
    }
    steer(v, c, style.steering_time, lap);
}

void steer(const Vehicle& v, const Course& c, double spread, Lap& lap) {
    // The hands: angle averaged over `spread` seconds about now, whose rate is exact from the ends.
    const std::size_t n = lap.time.size();
    std::vector<double> raw(n), sum(n, 0);
    for (std::size_t k = 0; k < n; ++k)
        raw[k] = steering_for_curve(v, c.curvature[k], lap.speed[k]);
    for (std::size_t k = 0; k + 1 < n; ++k)
        sum[k + 1] = sum[k] + 0.5 * (raw[k] + raw[k + 1]) * (lap.time[k + 1] - lap.time[k]);
    const double end = lap.lap_time;
    auto locate = [&](double t) {
        const auto up = std::upper_bound(lap.time.begin(), lap.time.end(), t);
        const auto k = static_cast<std::size_t>(up - lap.time.begin());
        return std::clamp<std::size_t>(k, 1, n - 1) - 1;
    };
    auto angle_at = [&](double t) {
        const std::size_t k = locate(t);
        return raw[k] + (t - lap.time[k]) / (lap.time[k + 1] - lap.time[k]) * (raw[k + 1] - raw[k]);
    };
    // Angle and its integral beyond the ends: the lap again, or the end's angle held.
    auto angle = [&](double t) {
        if (c.closed) return angle_at(t < 0 ? t + end : t > end ? t - end : t);
        return angle_at(std::clamp(t, 0.0, end));
    };
    auto inside = [&](double t) {
        const std::size_t k = locate(t);
        return sum[k] + 0.5 * (raw[k] + angle_at(t)) * (t - lap.time[k]);
    };
    auto integral = [&](double t) {
        if (t < 0) return c.closed ? inside(t + end) - sum.back() : raw.front() * t;
        if (t > end) return sum.back() + (c.closed ? inside(t - end) : raw.back() * (t - end));
        return inside(t);
    };
    if (!(spread > 0 && spread < end)) {
        for (std::size_t k = 0; k < n; ++k) {
            const std::size_t i = std::min(k, n - 2);
            lap.steering_angle[k] = raw[k];
            lap.steering_rate[k] = (raw[i + 1] - raw[i]) / (lap.time[i + 1] - lap.time[i]);
        }
        return;
    }
    for (std::size_t k = 0; k < n; ++k) {
        const double before = lap.time[k] - 0.5 * spread, after = lap.time[k] + 0.5 * spread;
        lap.steering_angle[k] = (integral(after) - integral(before)) / spread;
        lap.steering_rate[k] = std::clamp((angle(after) - angle(before)) / spread,
                                          -fastest_steering, fastest_steering);
    }
}

Lap solve_lap(const Vehicle& vehicle, const Course& course, const LapStyle& style,
              const Surroundings& s) {
    validate(vehicle);
    validate(course);
    if (!(style.effort >= 0.3 && style.effort <= 1))
        throw Error("effort " + fmt::format("{:.6g}", style.effort) + " is out of range",
                    "0.3 to 1", {}, "effort");
    return Solver(vehicle, course, style, s).run();
}

}  // namespace lapheat::drive
