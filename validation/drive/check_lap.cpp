// The lap solver against the closed form of two straights and two arcs, and against a minimum-time
// optimum found by dynamic programming, which knows nothing of forward and backward passes.
#include <cmath>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <numbers>

#include "../../tests/drive/invented_car.hpp"
#include "../check.hpp"

using namespace lapheat::drive;
using namespace lapheat::validation;

namespace {

// All-wheel drive, one gear, drag, rolling and cornering drag optional, clutch, no shifts.
Vehicle one_gear_car() {
    Vehicle v = invented_manual_car();
    v.driven = DrivenAxle::both;
    v.rotating_factor = 1;
    v.engine.inertia = 1e-9;
    v.gearbox.ratio = {1.0};
    v.gearbox.efficiency = {1.0};
    v.gearbox.final_drive = 3.0;
    v.gearbox.final_drive_efficiency = 1.0;
    v.gearbox.spin_torque = v.gearbox.spin_torque_slope = 0;
    v.accessory_power = v.accessory_torque = 0;
    return v;
}

// Least time over the course by dynamic programming on a grid of distance and of squared speed.
// From every squared speed at a knot all reachable squared speeds at the next are tried; the time
// to go from there is interpolated between grid points. The limits are those the lap solver was
// given, written again here from the vehicle's numbers.
double least_time(const Vehicle& v, const Course& c, double top) {
    constexpr int levels = 1500, tries = 40;
    const std::size_t n = c.distance.size();
    const double ds = c.distance[1], de = top * top / levels, density = air_density(298.15, 0);
    const double infinity = 1e9;
    std::vector<double> next(levels + 1, 0.0), now(levels + 1);
    auto bound = [&](std::size_t k) {
        const double bend = std::abs(c.curvature[k]);
        return bend > 0 ? v.grip_lat * gravity / bend : top * top;
    };
    for (int e = 0; e <= levels; ++e)
        if (e * de > bound(n - 1)) next[e] = infinity;
    for (std::size_t k = n - 1; k-- > 0;) {
        const double bend = 0.5 * (c.curvature[k] + c.curvature[k + 1]);
        for (int e = 0; e <= levels; ++e) {
            now[e] = infinity;
            const double square = e * de;
            if (square > bound(k)) continue;
            const double speed = std::sqrt(square);
            const double across = square * bend / (v.grip_lat * gravity);
            const double left = std::sqrt(std::max(0.0, 1 - across * across));
            const double side = v.mass * square * bend;
            const double rolling = (v.rolling + v.rolling_square * square) * v.mass * gravity;
            const double road = rolling +
                                0.5 * density * v.drag_coefficient * v.frontal_area * square +
                                side * side / v.cornering_stiffness;
            const double w =
                std::max(speed / v.tyre_radius * v.gearbox.final_drive, v.clutch.launch_speed);
            const double engine = full_torque(v.engine, w) * v.gearbox.final_drive / v.tyre_radius;
            const double grip = v.mass * v.grip_long * gravity * left;
            const double high = (std::min(engine, grip) - road) / v.mass;
            const double low = -(grip + road) / v.mass;
            for (int j = 0; j <= tries; ++j) {
                const double a = low + (high - low) * j / tries;
                const double after = square + 2 * a * ds;
                if (after < 0 || after > top * top) continue;
                const double at = after / de;
                const int i = std::min(levels - 1, static_cast<int>(at));
                const double to_go = next[i] + (at - i) * (next[i + 1] - next[i]);
                const double speeds = speed + std::sqrt(after);
                if (speeds <= 0 || to_go > 1e6) continue;
                now[e] = std::min(now[e], 2 * ds / speeds + to_go);
            }
        }
        next = now;
    }
    const double at = c.entry_speed * c.entry_speed / de;
    const int i = static_cast<int>(at);
    return next[i] + (at - i) * (next[i + 1] - next[i]);
}

}  // namespace

TEST_CASE("two straights and two arcs take the closed form's time") {
    constexpr double pi = std::numbers::pi;
    Vehicle v = one_gear_car();
    v.drag_coefficient = 0;
    v.rolling = v.rolling_square = 0;
    v.cornering_stiffness = 0;
    for (double& t : v.engine.full_torque) t = 1e5;
    v.engine.redline = 3000;
    const double radius = 40, length = 200, mu_x = v.grip_long * gravity,
                 mu_y = v.grip_lat * gravity;
    // Corner at the limit, then full traction to the middle of the straight, then full braking.
    const double corner = std::sqrt(mu_y * radius);
    const double peak = std::sqrt(corner * corner + mu_x * length);
    const double exact = 2 * pi * radius / corner + 4 * (peak - corner) / mu_x;
    double last = 0;
    Row time{.topic = "Lap",
             .quantity = "time of two straights and two arcs, steps of 1, 0.25 and 0.05 m",
             .source = "closed form, constant friction, no drag",
             .unit = "s"};
    time.band = {4e-3, 0, "the first and last step of an arc lie half outside it"};
    Row top = time;
    top.quantity = "top speed of two straights and two arcs, steps of 1, 0.25 and 0.05 m";
    top.unit = "m/s";
    top.band.fraction = 5e-3;
    for (const double step : {1.0, 0.25, 0.05}) {
        const Course c = course_from_segments(
            "oval", {straight(length), arc(radius, pi), straight(length), arc(radius, pi)}, true,
            step);
        const Lap lap = solve_lap(v, c, {.shift_times = false});
        last = lap.lap_time;
        time.points.push_back({"step " + number(step) + " m", exact, lap.lap_time});
        top.points.push_back({"step " + number(step) + " m", peak,
                              *std::max_element(lap.speed.begin(), lap.speed.end())});
    }
    closed_form(time);
    closed_form(top);
    CHECK(last == Approx(exact).epsilon(3e-4));
}

TEST_CASE("a lap with engine, drag and bends is as quick as the numerical optimum") {
    const Vehicle v = one_gear_car();
    constexpr double pi = std::numbers::pi;
    Course c = course_from_segments("bends",
                                    {straight(120), arc(30, pi / 2, 15), straight(60),
                                     arc(45, -pi / 2, 20), slalom(4, 22, 1.2), straight(80)},
                                    false, 0.5);
    c.entry_speed = 15;
    const Lap lap = solve_lap(v, c, {.shift_times = false});
    const double top = *std::max_element(lap.speed.begin(), lap.speed.end()) + 3;
    Row row{.topic = "Lap",
            .quantity = "time of a course with bends, drag and engine limit",
            .source =
                "the least time by dynamic programming over distance and squared speed, 1500 x "
                "40 choices a step",
            .outside = least_time(v, c, top),
            .ours = lap.lap_time,
            .unit = "s"};
    row.band = {4e-3, 0, "the optimum is interpolated on its grid"};
    closed_form(row);
}
