// What the road and the air ask of the car at one instant: forces in N along the way, positive
// when they resist. Sources: Gillespie, Fundamentals of Vehicle Dynamics (1992), chapters 1, 2, 4.
#pragma once

#include <lapheat/drive/vehicle.hpp>
#include <lapheat/units/constants.hpp>

namespace lapheat::drive {

using constants::gravity;

/// One instant of the road. Grade is rise over run; wind is positive when it blows from ahead.
struct RoadPoint {
    double speed = 0;                 ///< m/s
    double acceleration = 0;          ///< m/s^2
    double grade = 0;                 ///< -
    double wind = 0;                  ///< m/s
    double air_density = 1.184;       ///< kg/m^3
    double lateral_acceleration = 0;  ///< m/s^2
    double trailer_mass = 0;          ///< kg
};

struct RoadLoad {
    double rolling = 0;  ///< zero at rest
    double drag = 0;
    double cornering = 0;  ///< side force times slip angle, (m a_y)^2 / cornering stiffness
    double grade = 0;
    double inertia = 0;  ///< mass and wheels, not the engine
    [[nodiscard]] double total() const { return rolling + drag + cornering + grade + inertia; }
};

RoadLoad road_load(const Vehicle& vehicle, const RoadPoint& point);

/// Density of dry air, kg/m^3, at ambient temperature (K) and altitude (m, -500 to 11 000):
/// pressure of the standard atmosphere (ISO 2533), ideal gas at the temperature given.
double air_density(double temperature, double altitude);

/// Force over weight that the driven axle can put down on level ground, with the load that this
/// force moves to the rear axle: mu (1 - f) / (1 - mu h / L) for the rear, mu f / (1 + mu h / L)
/// for the front axle, mu for both (f front share, h centre height, L wheelbase). Gillespie (1992),
/// eq. 2-15, 2-18 (from memory), without the differential's side to side transfer.
double driven_grip(const Vehicle& vehicle);

/// Load on the front axle, N, static plus load transfer h m a / L. Not below zero.
double front_axle_load(const Vehicle& vehicle, double acceleration, double grade = 0);

}  // namespace lapheat::drive
