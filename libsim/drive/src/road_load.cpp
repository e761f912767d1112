#include <algorithm>
#include <cmath>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/solve/relation.hpp>

namespace lapheat::drive {

RoadLoad road_load(const Vehicle& v, const RoadPoint& p) {
    RoadLoad out;
    const bool trailer = p.trailer_mass > 0;
    const double cosine = 1 / std::sqrt(1 + p.grade * p.grade);
    const double u = p.speed;
    if (u > 0) {
        const double rolling = v.rolling + u * (v.rolling_slope + u * v.rolling_square);
        out.rolling = solve::perturbed(
            solve::Relation::road_load,
            (rolling * v.mass + v.trailer_rolling * p.trailer_mass) * gravity * cosine);
    }
    const double area = v.drag_coefficient * v.frontal_area + (trailer ? v.trailer_drag_area : 0.0);
    const double air_speed = u + p.wind;
    out.drag = solve::perturbed(solve::Relation::road_load,
                                0.5 * p.air_density * area * air_speed * std::abs(air_speed));
    const double side = v.mass * p.lateral_acceleration;
    out.cornering = v.cornering_stiffness > 0 ? side * side / v.cornering_stiffness : 0;
    out.grade = (v.mass + p.trailer_mass) * gravity * p.grade * cosine;
    out.inertia = (v.mass * v.rotating_factor + p.trailer_mass) * p.acceleration;
    return out;
}

double air_density(double temperature, double altitude) {
    // ISO 2533 (1975): p = 101325 (1 - 0.0065 h / 288.15)^5.25588; gas constant of dry air 287.053.
    const double pressure = 101325.0 * std::pow(1 - 0.0065 * altitude / 288.15, 5.25588);
    return pressure / (287.053 * temperature);
}

double driven_grip(const Vehicle& v) {
    const double mu = v.grip_long, lever = mu * v.centre_height / v.wheelbase;
    if (v.driven == DrivenAxle::both) return mu;
    if (v.driven == DrivenAxle::front) return mu * v.front_share / (1 + lever);
    return std::min(mu, mu * (1 - v.front_share) / std::max(0.1, 1 - lever));
}

double front_axle_load(const Vehicle& v, double acceleration, double grade) {
    const double along = acceleration + gravity * grade;
    const double load = v.mass * (gravity * v.front_share - v.centre_height / v.wheelbase * along);
    return std::max(0.0, load);
}

}  // namespace lapheat::drive
