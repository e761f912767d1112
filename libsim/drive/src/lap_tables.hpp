// Inside of the room: what lap solver and session share.
#pragma once

#include <lapheat/drive/course.hpp>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <vector>

#include "driveline.hpp"

namespace lapheat::drive {

/// Full-load force at the wheels and engine speed of each gear on an even grid of road speed.
struct TractionTable {
    TractionTable(const Vehicle& v, const Surroundings& s);

    static constexpr double grid = 0.5;  ///< m/s
    int gears;
    std::vector<std::vector<double>> force, engine_speed;
    std::vector<double> turbine_rate;  ///< rad/s of the gearbox input for each m/s
    std::vector<double> up_speed;  ///< m/s above which gear g at [g - 1] pulls less than the next

    [[nodiscard]] double interpolate(const std::vector<double>& y, double speed) const;
    [[nodiscard]] double pull(int gear, double speed) const {
        return interpolate(force[static_cast<std::size_t>(gear) - 1], speed);
    }
    [[nodiscard]] double turn(int gear, double speed) const {
        return interpolate(engine_speed[static_cast<std::size_t>(gear) - 1], speed);
    }
    /// Gearbox input, rad/s.
    [[nodiscard]] double turbine(int gear, double speed) const {
        return turbine_rate[static_cast<std::size_t>(gear) - 1] * speed;
    }
    [[nodiscard]] double up(int gear) const { return up_speed[static_cast<std::size_t>(gear) - 1]; }
    [[nodiscard]] double inertia_mass(const Vehicle& v, int gear, double speed) const;
};

/// What pushes and holds the point mass at the knots of a course. Squares of speed in m^2/s^2.
struct LapForces {
    LapForces(const Vehicle& vehicle, const Course& course, const LapStyle& how,
              const Surroundings& s);

    const Vehicle& v;
    const Course& c;
    const LapStyle& style;
    double density;  ///< kg/m^3
    TractionTable table;
    double step;  ///< m between knots

    /// m/s^2 that a friction coefficient of 1 holds.
    [[nodiscard]] double grip(std::size_t k) const { return style.effort * c.grip[k] * gravity; }
    /// Square of the speed that side grip and limits allow.
    [[nodiscard]] double side_limit(std::size_t k) const;
    /// Forces of road and air without inertia, N.
    [[nodiscard]] double resist(double square, double curvature, double grade) const;
    /// N that the driven tyres can put down beside what the bend takes.
    [[nodiscard]] double traction(double square, std::size_t k, std::size_t next) const;
    /// Acceleration of the quickest pull in a gear, m/s^2; `cut`: while it is shifted.
    [[nodiscard]] double pull(double square, std::size_t k, std::size_t next, int gear,
                              bool cut) const;
    /// The square of speed at knot k + 1 after that pull, never below that of a car that is stuck.
    [[nodiscard]] double reach(double square, std::size_t k, int gear, bool cut) const;
    /// Deceleration of the hardest braking, m/s^2.
    [[nodiscard]] double slow(double square, std::size_t k, std::size_t next) const;
    /// The gear that pulls hardest at a speed (m/s).
    [[nodiscard]] int strongest(double speed) const;
};

/// A driver's gears at the knots, by the rule in lap.hpp. `square`: the lap with all gears at hand.
std::vector<int> plan_gears(const LapForces& forces, const std::vector<double>& square);

/// Throws Error when the columns of a course do not fit together.
void validate(const Course& course);

/// The columns of a lap from the squares of its speeds.
void fill_lap(const Vehicle& v, const Course& c, const LapStyle& style, const Surroundings& s,
              const TractionTable& table, const std::vector<double>& square,
              const std::vector<int>& gear, Lap& lap);

/// Steering angle and rate of a lap whose time and speed stand.
void steer(const Vehicle& v, const Course& c, double spread, Lap& lap);

}  // namespace lapheat::drive
