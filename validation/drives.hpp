// The nine logged drives of validation/drives (CC BY 4.0, see the README there), read for checks.
#pragma once

#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace lapheat::validation {

/// One drive, a row a second; SI units.
struct LoggedDrive {
    std::string name;
    std::vector<double> time;          ///< s from the first complete row; gaps are left
    std::vector<double> coolant;       ///< K, logged in whole kelvins
    std::vector<double> speed;         ///< m/s
    std::vector<double> engine_speed;  ///< rad/s
    std::vector<double> air_flow;      ///< kg/s into the engine (a diesel)
    std::vector<double> intake_air;    ///< K; 110 to 150 degC when stopped is the log's own error
    std::vector<double> ambient;       ///< K
    std::vector<double> manifold_pressure;  ///< Pa
};

inline constexpr int logged_drives = 9;
inline const char* const logged_drives_source =
    "M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology 2023, doi "
    "10.35097/1130 "
    "(CC BY 4.0)";

/// Drive 1 to 9; 5 to 9 are cold starts in winter.
inline LoggedDrive logged_drive(int number) {
    LoggedDrive d;
    d.name = "drive " + std::to_string(number);
    const std::string path =
        LAPHEAT_SOURCE_DIR "/validation/drives/drive_" + std::to_string(number) + ".csv";
    std::ifstream file(path);
    if (!file) throw std::runtime_error("cannot read " + path);
    for (std::string line; std::getline(file, line);) {
        if (line.empty() || line[0] == '#' || line[0] == 't') continue;
        std::istringstream cells(line);
        std::vector<double> row;
        for (std::string cell; std::getline(cells, cell, ',');) row.push_back(std::stod(cell));
        if (row.size() != 8) throw std::runtime_error(path + ": a row without eight cells");
        d.time.push_back(row[0]);
        d.coolant.push_back(row[1] + 273.15);
        d.speed.push_back(row[2] / 3.6);
        d.engine_speed.push_back(row[3] * 3.14159265358979 / 30);
        d.air_flow.push_back(row[4] * 1e-3);
        d.intake_air.push_back(row[5] + 273.15);
        d.ambient.push_back(row[6] + 273.15);
        d.manifold_pressure.push_back(row[7] * 1e3);
    }
    return d;
}

/// s until the coolant first shows `kelvin`; NaN if it never does.
inline double seconds_to(const LoggedDrive& d, double kelvin) {
    for (std::size_t i = 0; i < d.time.size(); ++i)
        if (d.coolant[i] >= kelvin) return d.time[i] - d.time.front();
    return NAN;
}

/// Means over what is warm (after 20 minutes) and driven (above 30 km/h), K.
struct WarmMeans {
    double coolant = 0, ambient = 0;
    std::size_t rows = 0;
};
inline WarmMeans warm_means(const LoggedDrive& d) {
    WarmMeans m;
    for (std::size_t i = 0; i < d.time.size(); ++i) {
        if (d.time[i] < 1200 || d.speed[i] < 30 / 3.6) continue;
        m.coolant += d.coolant[i];
        m.ambient += d.ambient[i];
        ++m.rows;
    }
    if (m.rows > 0) {
        m.coolant /= static_cast<double>(m.rows);
        m.ambient /= static_cast<double>(m.rows);
    }
    return m;
}

}  // namespace lapheat::validation
