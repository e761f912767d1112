// An invented front end, used by the checks and the benchmark of the air path.
#pragma once

#include <cmath>
#include <lapheat/airflow/path.hpp>

namespace lapheat::validation {

/// Louvred-fin like radiator, 0.65 m x 0.42 m: 190 Pa at 4 m/s face velocity.
inline airflow::Resistance radiator_resistance() {
    return airflow::fit_resistance([](double m) { return 116 * std::pow(m, 1.6); }, 0.05, 4, 1.2,
                                   1.81e-5);
}

/// Oil cooler, 0.30 m x 0.15 m: 160 Pa at 4 m/s.
inline airflow::Resistance cooler_resistance() {
    return airflow::fit_resistance([](double m) { return 1900 * std::pow(m, 1.6); }, 0.01, 1, 1.2,
                                   1.81e-5);
}

inline airflow::Fan electric_fan() {
    airflow::Fan fan;
    fan.curve = airflow::fan_curve(0.75, 210);
    fan.disc_area = 0.08;
    fan.rated_power = 180;
    return fan;
}

/// Radiator with two fans in a shroud, an oil cooler ahead of part of it, grille, engine bay.
inline airflow::PathDescription front_end() {
    airflow::PathDescription d;
    d.inlet.coefficient = 0.8;
    d.inlet.losses = {{.coefficient = airflow::grille_coefficient(0.6), .area = 0.13},
                      {.coefficient = 0.5, .area = 0.20}};
    d.exit.coefficient = -0.1;
    d.exit.losses = {{.coefficient = 1.5, .area = 0.20}};
    d.cores.push_back({.face = {0.15, 0.1, 0.30, 0.15}, .resistance = cooler_resistance()});
    d.cores.push_back({.face = {0, 0, 0.65, 0.42}, .resistance = radiator_resistance()});
    d.fans = {electric_fan(), electric_fan()};
    d.shrouds = {{.cover = {0.05, 0, 0.55, 0.42}, .fans = {0, 1}, .gap_area = 0.002}};
    d.leak_area = 0.006;
    return d;
}

}  // namespace lapheat::validation
