// Steering as work: how far and how fast the wheel turns, and what the tyres set against it.
#pragma once

#include <lapheat/drive/vehicle.hpp>

namespace lapheat::drive {

/// Steering wheel angle (rad) on a curve: steering ratio (L kappa + K_us a_y), held at the lock.
/// Gillespie (1992), eq. 6-15. Curvature in 1/m (positive left), speed in m/s.
double steering_for_curve(const Vehicle& vehicle, double curvature, double speed);

/// Torque about both kingpins together (N m) that turns a tyre standing still:
/// mu W^1.5 / (3 sqrt(p)), W the load (N) of one wheel, p its pressure (Pa). Gough's relation, in
/// Sharp & Granger, Proc. IMechE D 217 (2003) 193 (from memory).
double parking_torque(const Vehicle& vehicle, double front_load);

/// Torque about both kingpins (N m) resisting the turn. At walking pace scrub, which fades as the
/// tyre rolls: parking torque times x/sqrt(1+x^2), x = (contact length) |road wheel rate| / speed
/// (turn slip of a brush tyre saturating within its contact length; a simplification of ours);
/// above, the front side force times the trail. Not negative.
double kingpin_torque(const Vehicle& vehicle, double speed, double road_wheel_rate,
                      double lateral_acceleration, double front_load);

/// Largest steering rate a driver reaches, rad/s of the steering wheel (about 1000 deg/s; common
/// practice, no source).
inline constexpr double fastest_steering = 17.0;

}  // namespace lapheat::drive
