// The gears of a driver who knows the course, see LapGears in lap.hpp.
#include <algorithm>
#include <cmath>

#include "lap_tables.hpp"

namespace lapheat::drive {

namespace {

constexpr double straight_use = 0.3;      // of side grip, below which hands and gears are free
constexpr double shifts_on_straight = 2;  // shift times that a straight is at least long
constexpr double worth = 0.002;           // of the time, that a higher gear may cost
constexpr double lingering = 1.0;         // s over which speed missing at a stretch's end is felt
constexpr double walking = 2.0;  // m/s; slower than this a start is one from rest, in first

/// A bend (it may be empty, at the start) and the straight behind it, as steps along the drive.
struct BendAndStraight {
    std::size_t begin = 0, straight = 0, end = 0;
};

/// One stretch driven in one way.
struct WayDriven {
    double time = 0;        ///< s
    double cost = 0;        ///< s, with what speed lost at the end costs later
    double square = 0;      ///< m^2/s^2 at the end
    std::vector<int> gear;  ///< at each step
};

class Planner {
  public:
    Planner(const LapForces& f, const std::vector<double>& square)
        : f_(f), square_(square), steps_(square.size() - 1) {}

    std::vector<int> run() {
        cut_up();
        std::vector<int> gear(steps_ + 1, 1);
        double square = square_[knot(0)];
        int last = 0;
        for (const BendAndStraight& s : stretches_) {
            const WayDriven best = choose(s, square, last);
            for (std::size_t j = s.begin; j < s.end; ++j) gear[knot(j)] = best.gear[j - s.begin];
            square = best.square;
            last = best.gear.back();
        }
        ready(gear);
        gear.back() = f_.c.closed ? gear.front() : gear[steps_ - 1];
        return gear;
    }

  private:
    [[nodiscard]] std::size_t knot(std::size_t step) const { return (start_ + step) % steps_; }
    [[nodiscard]] double span(std::size_t k) const {
        return 2 * f_.step / (std::sqrt(square_[k]) + std::sqrt(square_[k + 1]));
    }
    [[nodiscard]] bool calm(std::size_t k) const {
        return square_[k] * std::abs(f_.c.curvature[k]) < straight_use * f_.v.grip_lat * f_.grip(k);
    }

    /// Bends and straights. A closed course begins with a bend, if it has a straight at all.
    void cut_up() {
        const double least = shifts_on_straight * f_.v.shift.shift_time;
        std::vector<char> straight(steps_, 0);
        for (std::size_t k = 0; k < steps_;) {
            std::size_t to = k;
            double time = 0;
            while (to < steps_ && calm(to)) time += span(to++);
            // At the line of a closed course a straight may go on; its parts count on their own.
            if (time >= least)
                std::fill(straight.begin() + static_cast<std::ptrdiff_t>(k),
                          straight.begin() + static_cast<std::ptrdiff_t>(to), 1);
            k = std::max(to, k + 1);
        }
        start_ = 0;
        if (f_.c.closed)
            for (std::size_t k = 0; k < steps_; ++k)
                if (straight[k] == 0 && straight[(k + steps_ - 1) % steps_] != 0) {
                    start_ = k;
                    break;
                }
        for (std::size_t j = 0; j < steps_;) {
            BendAndStraight s{j, j, j};
            while (s.straight < steps_ && straight[knot(s.straight)] == 0) ++s.straight;
            s.end = s.straight;
            while (s.end < steps_ && straight[knot(s.end)] != 0) ++s.end;
            stretches_.push_back(s);
            j = s.end;
        }
    }

    /// The stretch entered at `square` in a gear; on its straight `shifting` up where that pays.
    [[nodiscard]] WayDriven drive(const BendAndStraight& s, double square, int last, int gear,
                                  bool shifting) const {
        WayDriven t;
        const double cut_time = f_.style.shift_times ? f_.v.shift.shift_time : 0.0;
        double cut = last > 0 && gear > last ? cut_time : 0.0;
        for (std::size_t j = s.begin; j < s.end; ++j) {
            const std::size_t k = knot(j);
            if (shifting && j >= s.straight && cut <= 0 && gear < f_.table.gears &&
                next_gives(square, k, gear)) {
                ++gear;
                cut = cut_time;
            }
            const double after = std::min(square_[k + 1], f_.reach(square, k, gear, cut > 0));
            const double time = 2 * f_.step / (std::sqrt(square) + std::sqrt(after));
            cut -= time;
            t.time += time;
            t.gear.push_back(gear);
            square = after;
        }
        t.square = square;
        const double best = square_[knot(s.end - 1) + 1];
        t.cost = t.time + lingering * (std::sqrt(best / square) - 1);
        return t;
    }

    /// The next gear gives as much as this one, or as the tyres can carry, at a speed at which the
    /// box would ever take it.
    [[nodiscard]] bool next_gives(double square, std::size_t k, int gear) const {
        const double speed = std::sqrt(square), effort = f_.style.effort;
        if (f_.table.turbine(gear, speed) < f_.v.shift.light_speed) return false;
        return effort * f_.table.pull(gear + 1, speed) >=
               std::min(effort * f_.table.pull(gear, speed), f_.traction(square, k, k + 1));
    }

    [[nodiscard]] WayDriven choose(const BendAndStraight& s, double square, int last) const {
        std::vector<WayDriven> trials;  // the highest gear first, without a shift before with
        const bool from_rest = last == 0 && square < walking * walking;
        for (int g = from_rest ? 1 : f_.table.gears; g >= 1; --g) {
            trials.push_back(drive(s, square, last, g, false));
            if (g < f_.table.gears) trials.push_back(drive(s, square, last, g, true));
        }
        double least = trials.front().cost;
        for (const WayDriven& t : trials) least = std::min(least, t.cost);
        return *std::find_if(trials.begin(), trials.end(),
                             [&](const WayDriven& t) { return t.cost <= (1 + worth) * least; });
    }

    /// The gear of a bend is in before the bend: taken while braking, else a shift time before.
    void ready(std::vector<int>& gear) const {
        const std::size_t count = stretches_.size();
        for (std::size_t i = 0; i < count; ++i) {
            if (i + 1 == count && !f_.c.closed) break;
            const BendAndStraight& s = stretches_[i];
            const int next = gear[knot(stretches_[(i + 1) % count].begin)];
            double time = 0;
            for (std::size_t j = s.end; j-- > s.straight;) {
                const std::size_t k = knot(j);
                if (gear[k] == next) break;
                const bool braking = square_[k + 1] < square_[k];
                const bool turns_too_fast =
                    f_.table.turn(next, std::sqrt(square_[k])) > 0.9 * f_.v.engine.redline;
                if (next < gear[k] ? !braking || turns_too_fast : time > f_.v.shift.shift_time)
                    break;
                time += span(k);
                gear[k] = next;
            }
        }
    }

    const LapForces& f_;
    const std::vector<double>& square_;
    std::size_t steps_;
    std::size_t start_ = 0;
    std::vector<BendAndStraight> stretches_;
};

}  // namespace

std::vector<int> plan_gears(const LapForces& forces, const std::vector<double>& square) {
    return Planner(forces, square).run();
}

}  // namespace lapheat::drive
