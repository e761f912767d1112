// Timed laps: the quickest quasi-steady drive of a point mass along a course.
//
// At every knot the speed is bounded by side grip and limits; then drive and braking join the
// bounds, once forwards with engine and grip, once backwards with brakes, until nothing moves.
// Friction ellipse (a_x/(mu_x g))^2 + (a_y/(mu_y g))^2 <= 1. Milliken & Milliken, Race Car Vehicle
// Dynamics (1995), chapter 9 (from memory); Brayshaw & Harrison, Proc. IMechE D 219 (2005) 725.
#pragma once

#include <lapheat/drive/course.hpp>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <vector>

namespace lapheat::drive {

/// Which gear is in.
///
/// `driver`: the course is cut into bends and straights. A straight is where less than 0.3 of the
/// side grip is used for longer than two shift times; what lies between is one bend (a slalom too).
/// The gear of a bend is chosen before it and held to its end: the highest that takes no more than
/// 0.2 % longer than the best to the end of the straight behind it, which is the highest gear that
/// still gives what the tyres can carry. On the straight the next gear is taken once it gives as
/// much as the present one or as the tyres can carry, if that pays before the next bend, never
/// below ShiftRule::light_speed. Down while braking. From rest in first. The two shares are common
/// practice, no source. `strongest`: at every moment the gear that pulls hardest, shifted in no
/// time; no driver can, and none is quicker.
enum class LapGears { driver, strongest };

/// How hard and how smoothly it is driven.
struct LapStyle {
    double effort = 1.0;          ///< fraction of grip and engine force used, 0.3 to 1
    double steering_time = 0.25;  ///< s, the hands spread a step of curvature over this time
    bool shift_times = true;      ///< no drive for ShiftRule::shift_time at each up-shift
    LapGears gears = LapGears::driver;
};

/// One lap or run. Columns at the course's knots.
struct Lap {
    std::vector<double> distance;              ///< m
    std::vector<double> time;                  ///< s
    std::vector<double> speed;                 ///< m/s
    std::vector<double> acceleration;          ///< m/s^2 along
    std::vector<double> lateral_acceleration;  ///< m/s^2, positive left
    std::vector<double> throttle;              ///< 0 to 1 of the force the engine has there
    std::vector<double> brake;                 ///< 0 to 1 of braking grip
    std::vector<double> engine_speed;          ///< rad/s
    std::vector<int> gear;
    std::vector<double> steering_angle;  ///< rad of the steering wheel
    std::vector<double> steering_rate;   ///< rad/s
    std::vector<double> grade;
    double lap_time = 0;   ///< s
    int sweeps = 0;        ///< forward and backward passes until settled
    bool settled = false;  ///< false: not converged in 50 sweeps
};

/// Air thins the drag and the engine's breath; wind is left out, a lap goes both ways through it.
/// Throws Error when the car cannot start or climb somewhere (the speed would fall to nothing).
Lap solve_lap(const Vehicle& vehicle, const Course& course, const LapStyle& style = {},
              const Surroundings& s = {});

/// A lap as a cycle with knots every `step` s (0.2 s keeps slalom steering).
Cycle lap_cycle(const Lap& lap, const std::string& name, const Surroundings& s = {},
                double step = 0.2);

/// A day at the course: the queue, then laps, then the cool-down.
struct SessionPlan {
    int runs = 1;               ///< runs or sessions
    int laps = 1;               ///< laps in each run (closed courses)
    double wait = 120;          ///< s before each run
    Queue queue = {};           ///< how the wait is spent
    double cool_lap_speed = 0;  ///< m/s, one more lap at this speed after each run; 0: none
    double step = 0.2;          ///< s, knots while moving; waits have knots every second
};

/// Pulls away, drives the laps, stops; phases "wait 1", "lap 1.1", ... Open courses are driven from
/// rest at `entry_speed` and stopped after the finish.
Cycle session(const Vehicle& vehicle, const Course& course, const SessionPlan& plan,
              const Surroundings& s = {}, const LapStyle& style = {});

}  // namespace lapheat::drive
