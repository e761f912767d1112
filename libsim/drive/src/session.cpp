#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/units/error.hpp>
#include <string>
#include <utility>

#include "lap_tables.hpp"

namespace lapheat::drive {

namespace {

/// A stop on straight ground from `speed`, m/s.
Cycle run_off(double speed, const Surroundings& s, double step) {
    constexpr double braking = 4.0;  // m/s^2
    std::vector<double> t, v;
    const double end = speed / braking;
    for (double now = 0; now < end - 1e-6; now += step) {
        t.push_back(now);
        v.push_back(speed - braking * now);
    }
    t.push_back(end);
    v.push_back(0);
    return make_cycle("run-off", std::move(t), std::move(v), s);
}

/// The course's columns in the form the lap has, for speeds that another lap does not exceed.
Lap slower_lap(const Vehicle& v, const Course& c, const LapStyle& style, const Surroundings& s,
               const Lap& bound, const std::vector<double>& square) {
    const TractionTable table(v, s);
    std::vector<double> least(square.size());
    std::vector<int> gear = bound.gear;
    for (std::size_t k = 0; k < square.size(); ++k) {
        least[k] = std::min(square[k], bound.speed[k] * bound.speed[k]);
        if (least[k] < square[k]) continue;
        gear[k] = 1;
        while (gear[k] < table.gears && std::sqrt(least[k]) > table.up(gear[k])) ++gear[k];
    }
    Lap out;
    out.settled = true;
    fill_lap(v, c, style, s, table, least, gear, out);
    return out;
}

/// One slow lap from `bound`'s speed at the line to rest at the line, not faster than `speed`.
Lap cool_lap(const Vehicle& v, const Course& c, const LapStyle& style, const Surroundings& s,
             const Lap& bound, double speed) {
    constexpr double easing = 2.0;  // m/s^2 down to the cool speed and to the stop
    const double start = bound.speed.front();
    std::vector<double> square(c.distance.size());
    for (std::size_t k = 0; k < square.size(); ++k) {
        const double in = std::max(speed * speed, start * start - 2 * easing * c.distance[k]);
        square[k] = std::min(in, 2 * easing * (c.length() - c.distance[k]));
    }
    return slower_lap(v, c, style, s, bound, square);
}

}  // namespace

void validate(const Course& c) {
    const std::size_t n = c.distance.size();
    if (n < 5 || c.curvature.size() != n || c.grade.size() != n || c.grip.size() != n ||
        c.speed_limit.size() != n)
        throw Error("the course's columns are short or differ in length",
                    "five or more knots of distance, curvature, grade, grip and speed limit", {},
                    "course");
    const double step = c.length() / static_cast<double>(n - 1);
    for (std::size_t k = 1; k < n; ++k)
        if (std::abs(c.distance[k] - c.distance[k - 1] - step) > 1e-6 * step + 1e-9)
            throw Error(fmt::format("row {}: the course's knots are not evenly spaced", k + 1),
                        "equal steps of distance", {}, "distance");
    for (std::size_t k = 0; k < n; ++k)
        if (!(c.grip[k] > 0 && c.speed_limit[k] > 0 && std::isfinite(c.curvature[k])))
            throw Error(fmt::format("row {}: grip, limit or curvature is out of range", k + 1),
                        "grip and speed limit above 0", {}, "grip");
}

Cycle lap_cycle(const Lap& lap, const std::string& name, const Surroundings& s, double step) {
    if (!(step > 0)) throw Error("the step must be positive", "seconds above 0", {}, "step");
    if (lap.time.size() < 2) throw Error("the lap is empty", "a lap from solve_lap", {}, "lap");
    const auto count =
        std::max<std::size_t>(2, static_cast<std::size_t>(std::lround(lap.lap_time / step)));
    std::vector<double> t, v, grade, angle, side;
    std::vector<std::int8_t> gear;
    std::size_t k = 0;
    for (std::size_t j = 0; j <= count; ++j) {
        const double now = lap.lap_time * static_cast<double>(j) / static_cast<double>(count);
        while (k + 2 < lap.time.size() && lap.time[k + 1] <= now) ++k;
        const double part =
            std::clamp((now - lap.time[k]) / (lap.time[k + 1] - lap.time[k]), 0.0, 1.0);
        auto at = [&](const std::vector<double>& x) { return x[k] + part * (x[k + 1] - x[k]); };
        t.push_back(now);
        v.push_back(at(lap.speed));
        grade.push_back(at(lap.grade));
        angle.push_back(at(lap.steering_angle));
        side.push_back(at(lap.lateral_acceleration));
        gear.push_back(static_cast<std::int8_t>(lap.gear[k]));
    }
    Cycle c = make_cycle(name, std::move(t), std::move(v), s);
    c.grade = std::move(grade);
    c.steering_angle = std::move(angle);
    c.lateral_acceleration = std::move(side);
    c.gear = std::move(gear);
    c.phases = {{name, 0, lap.lap_time}};
    validate(c);
    return c;
}

Cycle session(const Vehicle& vehicle, const Course& course, const SessionPlan& plan,
              const Surroundings& s, const LapStyle& style) {
    if (plan.runs < 1 || plan.laps < 1)
        throw Error("a session needs at least one run of one lap", "runs and laps of 1 or more", {},
                    "runs");
    if (!(plan.wait >= 0))
        throw Error("the wait before a run must not be negative", "seconds", {}, "wait");
    if (!course.closed && (plan.laps > 1 || plan.cool_lap_speed > 0))
        throw Error("an open course has one lap in each run and no cool-down lap",
                    "laps = 1 and no cool lap, or a closed course", {}, "laps");

    Course from_rest = course;
    from_rest.closed = false;
    if (course.closed) from_rest.entry_speed = 0;
    Lap first = solve_lap(vehicle, from_rest, style, s);
    Lap flying;
    if (course.closed) {
        flying = solve_lap(vehicle, course, style, s);
        // What comes after the line binds the first lap too.
        std::vector<double> square(first.speed.size());
        for (std::size_t k = 0; k < square.size(); ++k)
            square[k] = flying.speed[k] * flying.speed[k];
        first = slower_lap(vehicle, from_rest, style, s, first, square);
    }

    std::vector<Cycle> parts;
    auto named = [](Cycle c, const std::string& name) {
        c.name = name;
        if (c.phases.empty()) c.phases = {{"", 0, c.time.back()}};
        c.phases.front().name = name;
        return c;
    };
    for (int run = 1; run <= plan.runs; ++run) {
        const std::string number = fmt::format("{}", run);
        if (plan.wait > 0)
            parts.push_back(named(queue(plan.wait, plan.queue, s), "wait " + number));
        for (int lap = 1; lap <= plan.laps; ++lap)
            parts.push_back(
                lap_cycle(lap == 1 ? first : flying,
                          course.closed ? fmt::format("lap {}.{}", number, lap) : "run " + number,
                          s, plan.step));
        if (plan.cool_lap_speed > 0) {
            const Lap cool = cool_lap(vehicle, course, style, s, flying, plan.cool_lap_speed);
            Cycle c = lap_cycle(cool, "cool-down " + number, s, plan.step);
            std::fill(c.gear.begin(), c.gear.end(), std::int8_t{0});
            parts.push_back(std::move(c));
        }
        if (parts.back().speed.back() > 0)
            parts.push_back(
                named(run_off(parts.back().speed.back(), s, plan.step), "run-off " + number));
    }
    return chain(parts, course.name);
}

}  // namespace lapheat::drive
