#include "lap_tables.hpp"

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
    // Up where the next gear pulls harder, at the latest at the redline; down with hysteresis.
    for (int g = 1; g < gears; ++g) {
        const double rate = flat.turbine_rate[static_cast<std::size_t>(g)];
        double up = 0.985 * v.engine.redline / rate;
        for (double u = 0.3 * up; u < up; u += 0.5 * grid)
            if (pull(g + 1, u) > pull(g, u) || turn(g, u) > 0.985 * v.engine.redline) up = u;
        up_speed.push_back(up);
        down_speed.push_back(0.75 * up);
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

class Solver {
  public:
    Solver(const Vehicle& vehicle, const Course& course, const LapStyle& style,
           const Surroundings& s)
        : v_(vehicle),
          c_(course),
          style_(style),
          surroundings_(s),
          density_(air_density(s.ambient, s.altitude)),
          table_(vehicle, s),
          n_(course.distance.size()),
          step_(course.length() / static_cast<double>(n_ - 1)) {}

    Lap run() {
        square_.resize(n_);
        for (std::size_t k = 0; k < n_; ++k) square_[k] = side_limit(k);
        if (!c_.closed) square_[0] = std::min(square_[0], c_.entry_speed * c_.entry_speed);
        Lap lap;
        for (lap.sweeps = 1; lap.sweeps <= 50; ++lap.sweeps) {
            change_ = 0;
            forward();
            backward();
            if (change_ < 1e-9) {
                lap.settled = true;
                break;
            }
        }
        fill_lap(v_, c_, style_, surroundings_, table_, square_, gear_, lap);
        return lap;
    }

  private:
    [[nodiscard]] double grip(std::size_t k) const { return style_.effort * c_.grip[k] * gravity; }

    [[nodiscard]] double side_limit(std::size_t k) const {
        const double limit = c_.speed_limit[k] * c_.speed_limit[k];
        const double bend = std::abs(c_.curvature[k]);
        const double most = v_.grip_lat * grip(k);
        return bend * limit > most ? most / bend : limit;
    }

    /// Forces of road and air without inertia, N, at a speed squared.
    [[nodiscard]] RoadLoad resist(double square, double curvature, double grade) const {
        RoadPoint p;
        p.speed = std::sqrt(square);
        p.grade = grade;
        p.air_density = density_;
        p.lateral_acceleration = square * curvature;
        return road_load(v_, p);
    }

    /// What the ellipse leaves along the way when `square * curvature` is used across it.
    [[nodiscard]] double left(double square, double curvature, double across) const {
        const double used = square * curvature / across;
        return std::sqrt(std::max(0.0, 1 - used * used));
    }

    /// Acceleration of the quickest pull, m/s^2.
    [[nodiscard]] double pull(double square, std::size_t k, std::size_t next, int gear,
                              bool cut) const {
        const double bend = 0.5 * (c_.curvature[k] + c_.curvature[next]);
        const double adhesion = 0.5 * (grip(k) + grip(next));
        const double speed = std::sqrt(square);
        const double road = resist(square, bend, 0.5 * (c_.grade[k] + c_.grade[next])).total();
        const double engine = cut ? 0.0 : style_.effort * table_.pull(gear, speed);
        const double traction =
            v_.mass * adhesion * traction_share() * left(square, bend, v_.grip_lat * adhesion);
        // What turns the engine faster does not pass through the tyre.
        const double mass = v_.mass * v_.rotating_factor;
        const double turning = cut ? 0.0 : table_.inertia_mass(v_, gear, speed);
        return std::min((engine - road) / (mass + turning), (traction - road) / mass);
    }

    [[nodiscard]] double slow(double square, std::size_t k, std::size_t next) const {
        const double bend = 0.5 * (c_.curvature[k] + c_.curvature[next]);
        const double adhesion = 0.5 * (grip(k) + grip(next));
        const double road = resist(square, bend, 0.5 * (c_.grade[k] + c_.grade[next])).total();
        const double brakes =
            v_.mass * v_.grip_long * adhesion * left(square, bend, v_.grip_lat * adhesion);
        return (brakes + road) / (v_.mass * v_.rotating_factor);
    }

    /// Force over weight that the driven axle can put down, load transfer in it.
    [[nodiscard]] double traction_share() const {
        const double mu = v_.grip_long, lever = mu * v_.centre_height / v_.wheelbase;
        if (v_.driven == DrivenAxle::both) return mu;
        if (v_.driven == DrivenAxle::front) return mu * v_.front_share / (1 + lever);
        return std::min(mu, mu * (1 - v_.front_share) / std::max(0.1, 1 - lever));
    }

    void lower(std::size_t k, double square) {
        if (square >= square_[k]) return;
        change_ = std::max(change_, square_[k] - square);
        square_[k] = square;
    }

    void forward() {
        const std::size_t start =
            c_.closed ? static_cast<std::size_t>(std::min_element(square_.begin(), square_.end()) -
                                                 square_.begin())
                      : 0;
        const std::size_t steps = n_ - 1;
        gear_.assign(n_, 1);
        int gear = 1;
        while (gear < table_.gears && std::sqrt(square_[start]) > table_.up(gear)) ++gear;
        double cut = 0;
        for (std::size_t j = 0; j < steps; ++j) {
            const std::size_t k = c_.closed ? (start + j) % steps : j;
            const std::size_t next = k + 1;
            const double speed = std::sqrt(square_[k]);
            if (gear < table_.gears && speed > table_.up(gear)) {
                ++gear;
                if (style_.shift_times) cut = v_.shift.shift_time;
            }
            while (gear > 1 && speed < table_.down(gear)) --gear;
            gear_[k] = gear;
            // Midpoint rule in the square of speed over distance.
            const double a0 = pull(square_[k], k, next, gear, cut > 0);
            const double mid = std::max(0.0, square_[k] + a0 * step_);
            const double reach = square_[k] + 2 * step_ * pull(mid, k, next, gear, cut > 0);
            if (reach < slowest * slowest && cut <= 0)
                throw Error("the car cannot pull away or climb at " +
                                std::to_string(c_.distance[k]) + " m of the course",
                            "more engine, a lower gear or less grade", {}, "course");
            const double safe = std::max(reach, slowest * slowest);
            if (cut > 0) cut -= 2 * step_ / (speed + std::sqrt(safe));
            lower(next, safe);
            tie(next);
        }
        gear_.back() = c_.closed ? gear_.front() : gear_[n_ - 2];
    }

    void backward() {
        const std::size_t start =
            c_.closed ? static_cast<std::size_t>(std::min_element(square_.begin(), square_.end()) -
                                                 square_.begin())
                      : n_ - 1;
        const std::size_t steps = n_ - 1;
        for (std::size_t j = 0; j < steps; ++j) {
            std::size_t next = start >= j ? start - j : start + steps - j;
            if (next == 0) next = steps;
            const std::size_t k = next - 1;
            const double a0 = slow(square_[next], k, next);
            const double mid = std::max(0.0, square_[next] + a0 * step_);
            lower(k, square_[next] + 2 * step_ * std::max(0.0, slow(mid, k, next)));
            tie(k);
        }
    }

    /// Keeps both ends of a closed course the same.
    void tie(std::size_t k) {
        if (!c_.closed) return;
        if (k == 0) lower(n_ - 1, square_[0]);
        if (k == n_ - 1) lower(0, square_[n_ - 1]);
    }

    const Vehicle& v_;
    const Course& c_;
    const LapStyle& style_;
    const Surroundings& surroundings_;
    double density_;
    TractionTable table_;
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
        throw Error("effort " + std::to_string(style.effort) + " is out of range", "0.3 to 1", {},
                    "effort");
    return Solver(vehicle, course, style, s).run();
}

}  // namespace lapheat::drive
