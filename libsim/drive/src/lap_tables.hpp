// Inside of the room: what lap solver and session share.
#pragma once

#include <lapheat/drive/course.hpp>
#include <lapheat/drive/lap.hpp>
#include <vector>

#include "driveline.hpp"

namespace lapheat::drive {

/// Full-load force at the wheels and engine speed of each gear on an even grid of road speed.
struct TractionTable {
    TractionTable(const Vehicle& v, const Surroundings& s);

    static constexpr double grid = 0.5;  ///< m/s
    int gears;
    std::vector<std::vector<double>> force, engine_speed;
    std::vector<double> up_speed, down_speed;  ///< m/s, of gear g at [g - 1] and down from g + 1

    [[nodiscard]] double interpolate(const std::vector<double>& y, double speed) const;
    [[nodiscard]] double pull(int gear, double speed) const {
        return interpolate(force[static_cast<std::size_t>(gear) - 1], speed);
    }
    [[nodiscard]] double turn(int gear, double speed) const {
        return interpolate(engine_speed[static_cast<std::size_t>(gear) - 1], speed);
    }
    [[nodiscard]] double up(int gear) const { return up_speed[static_cast<std::size_t>(gear) - 1]; }
    [[nodiscard]] double down(int gear) const {
        return down_speed[static_cast<std::size_t>(gear) - 2];
    }
    [[nodiscard]] double inertia_mass(const Vehicle& v, int gear, double speed) const;
};

/// Throws Error when the columns of a course do not fit together.
void validate(const Course& course);

/// The columns of a lap from the squares of its speeds.
void fill_lap(const Vehicle& v, const Course& c, const LapStyle& style, const Surroundings& s,
              const TractionTable& table, const std::vector<double>& square,
              const std::vector<int>& gear, Lap& lap);

/// Steering angle and rate of a lap whose time and speed stand.
void steer(const Vehicle& v, const Course& c, double spread, Lap& lap);

}  // namespace lapheat::drive
