#include <algorithm>
#include <cmath>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/solve/relation.hpp>

namespace lapheat::drive {

double steering_for_curve(const Vehicle& v, double curvature, double speed) {
    const double angle =
        v.steering_ratio * curvature * (v.wheelbase + v.understeer * speed * speed);
    return std::clamp(angle, -v.steering_lock, v.steering_lock);
}

double parking_torque(const Vehicle& v, double front_load) {
    const double wheel = 0.5 * front_load;
    return solve::perturbed(
        solve::Relation::steering_demand,
        2 * v.grip_lat * wheel * std::sqrt(wheel) / (3 * std::sqrt(v.tyre_pressure)));
}

double kingpin_torque(const Vehicle& v, double speed, double road_wheel_rate,
                      double lateral_acceleration, double front_load) {
    // Contact length of a car's tyre (common practice, no source).
    constexpr double contact_length = 0.15;
    const double turn = contact_length * std::abs(road_wheel_rate);
    const double scrub =
        turn > 0 ? parking_torque(v, front_load) * turn / std::sqrt(turn * turn + speed * speed)
                 : 0;
    const double side = front_load / gravity * std::abs(lateral_acceleration);
    return std::max(scrub, side * v.steering_trail);
}

}  // namespace lapheat::drive
