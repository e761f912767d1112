#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>
#include <random>
#include <utility>

#include "sizes.hpp"

namespace lapheat::drive {

namespace {

void need(bool good, const char* key, double value, const char* expected) {
    if (!good)
        throw Error(std::string(key) + ' ' + fmt::format("{:.6g}", value) + " is out of range",
                    expected, {}, key);
}

std::vector<double> knots(double duration, double step) {
    need(duration > 0, "duration", duration, "s above 0");
    need(step > 0, "step", step, "s above 0");
    need(duration / step <= static_cast<double>(most_knots), "duration", duration,
         "s, of 2 000 000 steps at most");
    const auto n =
        std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(duration / step - 1e-9)));
    std::vector<double> t(n + 1);
    for (std::size_t k = 0; k < n; ++k) t[k] = static_cast<double>(k) * step;
    t[n] = duration;
    return t;
}

Cycle constant(const char* name, double speed, double duration, double step,
               const Surroundings& s) {
    std::vector<double> t = knots(duration, step);
    std::vector<double> v(t.size(), speed);
    Cycle c = make_cycle(name, std::move(t), std::move(v), s);
    c.phases = {{name, 0, duration}};
    return c;
}

/// A uniform number from 0 to 1 out of 53 bits: the standard's distributions differ by library.
double uniform(std::mt19937_64& engine) { return static_cast<double>(engine() >> 11) * 0x1p-53; }

double between(std::mt19937_64& engine, double low, double high) {
    return low + (high - low) * uniform(engine);
}

}  // namespace

Cycle steady(double speed, double duration, const Surroundings& s, double step) {
    need(speed >= 0, "speed", speed, "m/s, not negative");
    return constant("steady", speed, duration, step, s);
}

Cycle climb(double speed, double duration, double grade, double trailer_mass, const Surroundings& s,
            double step) {
    Cycle c = constant("climb", speed, duration, step, s);
    std::fill(c.grade.begin(), c.grade.end(), grade);
    std::fill(c.trailer_mass.begin(), c.trailer_mass.end(), trailer_mass);
    const double rise = speed * grade / std::sqrt(1 + grade * grade);
    for (std::size_t k = 0; k < c.size(); ++k) c.altitude[k] = s.altitude + rise * c.time[k];
    validate(c);
    return c;
}

Cycle stop_and_go(double duration, std::uint64_t draw, const Traffic& f, const Surroundings& s,
                  double step) {
    need(f.top_speed > 0, "top_speed", f.top_speed, "m/s above 0");
    need(f.acceleration > 0, "acceleration", f.acceleration, "m/s^2 above 0");
    need(f.braking > 0, "braking", f.braking, "m/s^2 above 0");
    need(f.mean_wait >= 0, "mean_wait", f.mean_wait, "s, not negative");
    need(f.mean_roll >= 0, "mean_roll", f.mean_roll, "s, not negative");
    const std::vector<double> t = knots(duration, step);
    std::mt19937_64 engine(draw);
    // Corners of the speed trace first, then its knots.
    std::vector<std::pair<double, double>> corner{{0, 0}};
    auto go = [&](double span, double speed) {
        if (span > 0) corner.emplace_back(corner.back().first + span, speed);
    };
    while (corner.back().first <= duration) {
        need(corner.size() < most_knots, "acceleration", f.acceleration,
             "m/s^2, waits and rolls of which not millions fit into the duration");
        const double wait = f.mean_wait * between(engine, 0.3, 1.7);
        const double peak = f.top_speed * between(engine, 0.3, 1.0);
        const double up = f.acceleration * between(engine, 0.6, 1.0);
        const double roll = f.mean_roll * between(engine, 0.3, 1.7);
        const double down = f.braking * between(engine, 0.6, 1.0);
        go(wait, 0);
        go(peak / up, peak);
        go(roll, peak);
        go(peak / down, 0);
    }
    std::vector<double> v(t.size());
    std::size_t j = 0;
    for (std::size_t k = 0; k < t.size(); ++k) {
        while (corner[j + 1].first < t[k]) ++j;
        const auto [t0, v0] = corner[j];
        const auto [t1, v1] = corner[j + 1];
        v[k] = std::max(0.0, v0 + (v1 - v0) * (t[k] - t0) / (t1 - t0));
    }
    Cycle c = make_cycle("stop and go", t, std::move(v), s);
    c.phases = {{"stop and go", 0, duration}};
    return c;
}

Cycle idle(double duration, Selector selector, const Surroundings& s, double step) {
    Cycle c = constant("idle", 0, duration, step, s);
    std::fill(c.selector.begin(), c.selector.end(), selector);
    return c;
}

Cycle soak(double duration, const Surroundings& s, double step) {
    Cycle c = constant("soak", 0, duration, step, s);
    std::fill(c.selector.begin(), c.selector.end(), Selector::park);
    std::fill(c.engine_on.begin(), c.engine_on.end(), std::uint8_t{0});
    return c;
}

Cycle queue(double duration, const Queue& how, const Surroundings& s, double step) {
    need(how.move >= 0, "move", how.move, "m, not negative");
    constexpr double pace = 1.5, pull = 0.5;  // m/s, m/s^2
    const double top = std::min(pace, std::sqrt(pull * how.move));
    const double ramp = top / pull;
    const double moving = how.move > 0 ? ramp + how.move / top : 0;
    if (how.move > 0) need(how.every > moving, "every", how.every, "s, longer than a move takes");
    if (how.move > 0)
        need(duration / how.every <= 1e4, "every", how.every, "s, of 10 000 moves at most");
    std::vector<double> t = knots(duration, step);
    std::vector<std::pair<double, double>> moves;  // begin and end, s
    if (how.move > 0)
        for (double end = how.every; end <= duration + 1e-9; end += how.every)
            moves.emplace_back(end - moving, std::min(end, duration));
    for (const auto& [begin, end] : moves)
        for (const double corner : {begin, begin + ramp, end - ramp, end}) t.push_back(corner);
    std::sort(t.begin(), t.end());
    t.erase(std::unique(t.begin(), t.end(), [](double a, double b) { return b - a < 1e-6; }),
            t.end());
    Cycle c = make_cycle("queue", t, std::vector<double>(t.size(), 0.0), s);
    std::fill(c.selector.begin(), c.selector.end(), how.selector);
    std::fill(c.engine_on.begin(), c.engine_on.end(), static_cast<std::uint8_t>(how.engine));
    for (const auto& [begin, end] : moves)
        for (std::size_t k = 0; k < t.size(); ++k) {
            if (t[k] < begin - 1e-6 || t[k] > end + 1e-6) continue;
            c.speed[k] = std::max(0.0, std::min({top, pull * (t[k] - begin), pull * (end - t[k])}));
            if (t[k] > end - 1e-6) continue;  // from here on it stands again
            c.selector[k] = Selector::drive;
            c.engine_on[k] = 1;
        }
    c.phases = {{"queue", 0, duration, true}};
    validate(c);
    return c;
}

Cycle brake_torque(double throttle, double duration, const Surroundings& s, double step) {
    need(throttle >= 0 && throttle <= 1, "throttle", throttle, "0 to 1");
    Cycle c = constant("brake torque", 0, duration, step, s);
    std::fill(c.held_throttle.begin(), c.held_throttle.end(), throttle);
    return c;
}

Cycle parade(double speed, double duration, double interval, double halt, const Surroundings& s,
             double step) {
    need(speed > 0, "speed", speed, "m/s above 0");
    need(halt >= 0 && interval > halt + 20, "interval", interval, "s, above the halt and 20 s");
    std::vector<double> t = knots(duration, step);
    std::vector<double> v(t.size());
    constexpr double ramp = 0.8;  // m/s^2 to and from each halt
    for (std::size_t k = 0; k < t.size(); ++k) {
        const double in = std::fmod(t[k], interval);
        const double moving = interval - halt;
        const double swell = speed * (1 + 0.2 * std::sin(2 * std::numbers::pi * in / 40));
        v[k] = std::max(0.0, std::min({swell, ramp * in, ramp * (moving - in)}));
    }
    Cycle c = make_cycle("parade lap", std::move(t), std::move(v), s);
    c.phases = {{"parade lap", 0, duration}};
    return c;
}

Cycle parking(double lock, int moves, double turn_time, double dwell, const Surroundings& s,
              double step) {
    need(lock > 0, "steering_lock", lock, "rad above 0");
    need(moves >= 1, "moves", moves, "1 or more");
    need(turn_time > 0, "turn_time", turn_time, "s above 0");
    need(dwell >= 0, "dwell", dwell, "s, not negative");
    constexpr double crawl = 1.0;  // m/s, reached in 1 s, held 2 s
    constexpr double roll = 4.0;   // s of each move
    const double each = turn_time + dwell + roll;
    std::vector<double> t = knots(each * moves, step);
    std::vector<double> v(t.size()), angle(t.size());
    std::vector<Selector> selector(t.size());
    for (std::size_t k = 0; k < t.size(); ++k) {
        const int move = std::min(moves - 1, static_cast<int>(t[k] / each));
        const double in = t[k] - move * each;
        const double side = move % 2 == 0 ? 1 : -1;
        const double from = move == 0 ? 0.0 : -side;  // the first turn begins straight ahead
        angle[k] = lock * (from + (side - from) * std::min(1.0, in / turn_time));
        v[k] = std::max(0.0, crawl * std::min({1.0, in - turn_time - dwell, each - in}));
        selector[k] = move % 2 == 0 ? Selector::drive : Selector::reverse;
    }
    v.back() = 0;
    Cycle c = make_cycle("parking", std::move(t), std::move(v), s);
    c.steering_angle = std::move(angle);
    c.selector = std::move(selector);
    c.phases = {{"parking", 0, c.time.back()}};
    validate(c);
    return c;
}

Cycle pull_away(double speed, double acceleration, const Surroundings& s, double step) {
    need(speed > 0, "speed", speed, "m/s above 0");
    need(acceleration > 0, "acceleration", acceleration, "m/s^2 above 0");
    need(speed / acceleration <= 3600, "acceleration", acceleration,
         "m/s^2, for the speed within an hour");
    std::vector<double> t = knots(speed / acceleration, step);
    std::vector<double> v(t.size());
    for (std::size_t k = 0; k < t.size(); ++k) v[k] = std::min(speed, acceleration * t[k]);
    Cycle c = make_cycle("pull away", std::move(t), std::move(v), s);
    c.phases = {{"pull away", 0, c.time.back()}};
    return c;
}

}  // namespace lapheat::drive
