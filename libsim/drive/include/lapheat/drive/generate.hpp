// Cycles made from a few numbers. All SI; every generator throws Error on values out of range.
#pragma once

#include <cstdint>
#include <lapheat/drive/cycle.hpp>

namespace lapheat::drive {

/// Constant speed (m/s) for `duration` s, knots every `step` s.
Cycle steady(double speed, double duration, const Surroundings& s = {}, double step = 1.0);

/// Constant speed up a grade (rise over run) with a trailer (kg, may be 0). Altitude rises along
/// from the surroundings' altitude; air temperature is left as given, see cool_with_height().
Cycle climb(double speed, double duration, double grade, double trailer_mass = 0,
            const Surroundings& s = {}, double step = 1.0);

/// Queueing traffic: pulls away, rolls, stops, waits, at random but the same for the same draw
/// on every machine (std::mt19937_64 with a mapping of our own).
struct Traffic {
    double top_speed = 12;      ///< m/s, each peak lies between 0.3 and 1 of it
    double acceleration = 1.2;  ///< m/s^2, each between 0.6 and 1 of it
    double braking = 1.5;       ///< m/s^2, each between 0.6 and 1 of it
    double mean_wait = 20;      ///< s, each between 0.3 and 1.7 of it
    double mean_roll = 15;      ///< s at the peak, each between 0.3 and 1.7 of it
};
Cycle stop_and_go(double duration, std::uint64_t draw, const Traffic& traffic = {},
                  const Surroundings& s = {}, double step = 1.0);

/// Standing with the engine running, in the given selector position.
Cycle idle(double duration, Selector selector = Selector::drive, const Surroundings& s = {},
           double step = 1.0);

/// Standing with the engine off, in park. Coarse knots do (default 10 s).
Cycle soak(double duration, const Surroundings& s = {}, double step = 10.0);

/// Engine against converter with the brakes on: `throttle` 0 to 1 for `duration` s.
Cycle brake_torque(double throttle, double duration, const Surroundings& s = {}, double step = 0.5);

/// How a queue is waited in.
struct Queue {
    Selector selector = Selector::park;  ///< while standing
    bool engine = true;                  ///< running while standing; a move starts it
    double move = 0;                     ///< m forward in each move, in drive; 0: none
    double every = 30;                   ///< s between moves
};
/// Waiting in a queue for `duration` s: stands, and at the end of every `every` s rolls `move` m at
/// up to 1.5 m/s with 0.5 m/s^2. Throws Error when a move takes longer than there is time for it.
Cycle queue(double duration, const Queue& how = {}, const Surroundings& s = {}, double step = 1.0);

/// Walking pace behind a lead car: `speed` (m/s) swelling by a fifth over 40 s, with a halt of
/// `halt` s every `interval` s.
Cycle parade(double speed, double duration, double interval = 180, double halt = 20,
             const Surroundings& s = {}, double step = 1.0);

/// Parking: `moves` times forwards or backwards at walking pace, wheel turned lock to lock at rest
/// in `turn_time` s and held at the lock for `dwell` s.
Cycle parking(double steering_lock, int moves = 4, double turn_time = 3.0, double dwell = 1.5,
              const Surroundings& s = {}, double step = 0.2);

/// Full-throttle pull from rest: asks for `acceleration` (m/s^2) up to `speed`; what the engine
/// cannot do appears as shortfall in the trace.
Cycle pull_away(double speed, double acceleration, const Surroundings& s = {}, double step = 0.2);

}  // namespace lapheat::drive
