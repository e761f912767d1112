// Coast-down and acceleration against their closed forms.
//
// m dv/dt = F - C v^2 has the solutions v = V tanh(atanh(v0/V) + ...) with drive (V^2 = F/C) and
// v = sqrt(A/C) tan(atan(v0 sqrt(C/A)) - t sqrt(A C)/m) coasting against A + C v^2. Gillespie,
// Fundamentals of Vehicle Dynamics (1992), chapter 4, gives the coasting form (from memory).
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/trace.hpp>

#include "../../tests/drive/invented_car.hpp"
#include "../check.hpp"

using namespace lapheat::drive;
using namespace lapheat::validation;

namespace {

const char* const coasting = "closed form of m dv/dt = -(A + C v^2); Gillespie 1992, chapter 4";

Row motion(const std::string& quantity, const char* source, const char* unit, Band band) {
    Row row{.topic = "Motion", .quantity = quantity, .source = source, .unit = unit};
    row.band = std::move(band);
    return row;
}

Vehicle plain_car() {
    Vehicle v = invented_manual_car();
    v.rolling_square = 0;
    v.rolling_slope = 0;
    return v;
}

double drag_factor(const Vehicle& v) {
    return 0.5 * air_density(298.15, 0) * v.drag_coefficient * v.frontal_area;
}

// A car whose only limit is a constant force at the driven wheels (grip of all four), with drag.
Vehicle grip_limited_car() {
    Vehicle v = plain_car();
    v.driven = DrivenAxle::both;
    v.rotating_factor = 1;
    v.rolling = 0;
    v.cornering_stiffness = 0;
    for (double& t : v.engine.full_torque) t = 1e5;
    v.engine.redline = 3000;  // out of the way
    return v;
}

}  // namespace

TEST_CASE("coasting in neutral follows the closed form") {
    const Vehicle v = plain_car();
    const double a = v.rolling * v.mass * gravity, c = drag_factor(v);
    const double m = v.mass * v.rotating_factor;
    // The driver asks for 35 m/s all along; in neutral the car can only coast.
    Cycle cycle = steady(35, 60, {}, 0.5);
    cycle.selector.assign(cycle.size(), Selector::neutral);
    const Trace t = forward(v, cycle);
    Row row = motion("speed when coasting from 35 m/s, after 10, 30 and 55 s", coasting, "m/s",
                     {1e-6, 0, "steps of 0.01 s"});
    row.relation = Relation::road_load;
    for (const double at : {10.0, 30.0, 55.0}) {
        const auto k = static_cast<std::size_t>(at / 0.5);
        // Mean over the interval, by the antiderivative: distance = (m/C) ln cos.
        const double phase = std::atan(35 * std::sqrt(c / a)), rate = std::sqrt(a * c) / m;
        auto distance = [&](double s) {
            return m / c * std::log(std::cos(phase - rate * s) / std::cos(phase));
        };
        row.points.push_back(
            {number(at) + " s", (distance(at + 0.5) - distance(at)) / 0.5, t.speed[k]});
    }
    closed_form(row);
}

TEST_CASE("driving the closed form of a coast-down backwards asks nothing of the engine") {
    const Vehicle v = plain_car();
    const double a = v.rolling * v.mass * gravity, c = drag_factor(v);
    const double m = v.mass * v.rotating_factor;
    std::vector<double> time, speed;
    for (int k = 0; k <= 240; ++k) {
        time.push_back(0.25 * k);
        speed.push_back(std::sqrt(a / c) * std::tan(std::atan(35 * std::sqrt(c / a)) -
                                                    std::sqrt(a * c) / m * time.back()));
    }
    Cycle cycle = make_cycle("coast", time, speed);
    cycle.selector.assign(cycle.size(), Selector::neutral);
    const Trace t = backward(v, cycle);
    double worst = 0;
    for (std::size_t k = 0; k < t.size(); ++k)
        worst = std::max(worst, t.shortfall[k] + t.brake_power[k]);
    Row row =
        motion("power missing or braked on a coast-down, largest", coasting, "W",
               {0, 0.5, "second order in the step of 0.25 s; rolling and drag are some 20 kW"});
    row.ours = worst;
    closed_form(row);
}

TEST_CASE("a constant force against drag reaches the closed form's speed") {
    const Vehicle v = grip_limited_car();
    const double force = v.mass * v.grip_long * gravity, c = drag_factor(v);
    Course course = course_from_segments("straight", {straight(400)}, false, 0.5);
    const Lap lap = solve_lap(v, course, {.shift_times = false});
    Row speed = motion("speed from rest by constant force after 10, 100 and 400 m",
                       "closed form v^2 = (F/C)(1 - exp(-2 C s/m))", "m/s", {1e-6, 0, "rounding"});
    Row times = motion("time from rest by constant force over 10, 100 and 400 m",
                       "closed form v = V tanh(t F/(m V))", "s",
                       {2e-4, 0, "constant acceleration inside each step of 0.5 m"});
    for (const double s : {10.0, 100.0, 400.0}) {
        const auto k = static_cast<std::size_t>(s / 0.5);
        const double exact = std::sqrt(force / c * (1 - std::exp(-2 * c * s / v.mass)));
        const double top = std::sqrt(force / c);
        speed.points.push_back({number(s) + " m", exact, lap.speed[k]});
        times.points.push_back({number(s) + " m",
                                v.mass / std::sqrt(force * c) * std::atanh(exact / top),
                                lap.time[k]});
    }
    closed_form(speed);
    closed_form(times);
}

TEST_CASE("constant power without drag gives speed with the cube root of distance") {
    // One gear, torque falling as 1/speed, nothing lost on the way.
    Vehicle v = grip_limited_car();
    v.drag_coefficient = 0;
    v.engine.redline = 640;
    v.engine.inertia = 1e-9;
    v.gearbox.ratio = {1.0};
    v.gearbox.efficiency = {1.0};
    v.gearbox.final_drive = 3.5;
    v.gearbox.final_drive_efficiency = 1;
    v.gearbox.spin_torque = v.gearbox.spin_torque_slope = 0;
    v.accessory_power = v.accessory_torque = 0;
    v.clutch.launch_speed = 75;
    v.engine.speed.clear();
    v.engine.full_torque.clear();
    constexpr double power = 150e3;
    for (double w = 60; w <= 640; w += 0.5) {
        v.engine.speed.push_back(w);
        v.engine.full_torque.push_back(power / w);
    }
    Course course = course_from_segments("straight", {straight(600)}, false, 0.5);
    course.entry_speed = 15;
    const Lap lap = solve_lap(v, course, {.shift_times = false});
    Row row =
        motion("speed by 150 kW from 15 m/s after 100, 300 and 600 m, 1500 kg",
               "closed form v^3 = v0^3 + 3 P s/m", "m/s", {2e-4, 0, "force table every 0.5 m/s"});
    for (const double s : {100.0, 300.0, 600.0})
        row.points.push_back({number(s) + " m", std::cbrt(15.0 * 15 * 15 + 3 * power * s / v.mass),
                              lap.speed[static_cast<std::size_t>(s / 0.5)]});
    closed_form(row);
}
