// Inside of the room: the numeric columns of a cycle, with names, defaults and ranges.
#pragma once

#include <array>
#include <lapheat/drive/cycle.hpp>

namespace lapheat::drive {

struct CycleColumn {
    const char* name;
    std::vector<double> Cycle::*field;
    double low, high;
    const char* expected;
};

inline constexpr std::array<CycleColumn, 12> cycle_columns{{
    {"speed", &Cycle::speed, 0, 150, "0 to 150 m/s"},
    {"grade", &Cycle::grade, -0.5, 0.5, "-0.5 to 0.5, rise over run"},
    {"altitude", &Cycle::altitude, -500, 6000, "-500 to 6000 m"},
    {"ambient", &Cycle::ambient, 223, 333, "223 to 333 K"},
    {"humidity", &Cycle::humidity, 0, 1, "0 to 1"},
    {"sun", &Cycle::sun, 0, 1400, "0 to 1400 W/m^2"},
    {"wind", &Cycle::wind, -40, 40, "-40 to 40 m/s, positive from ahead"},
    {"steering_angle", &Cycle::steering_angle, -30, 30, "-30 to 30 rad of the steering wheel"},
    {"lateral_acceleration", &Cycle::lateral_acceleration, -40, 40, "-40 to 40 m/s^2"},
    {"held_throttle", &Cycle::held_throttle, 0, 1, "0 to 1"},
    {"ac_demand", &Cycle::ac_demand, 0, 1, "0 to 1"},
    {"trailer_mass", &Cycle::trailer_mass, 0, 20000, "0 to 20 000 kg"},
}};

}  // namespace lapheat::drive
