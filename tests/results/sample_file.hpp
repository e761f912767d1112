// A small result with one of everything (invented numbers), for the tests in C++ and in Python.
#pragma once

#include <lapheat/results/hdf5_file.hpp>

#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

inline std::vector<double> sample_times() {
    std::vector<double> out;
    for (int i = 0; i < 3600; ++i) out.push_back(i);
    return out;
}

inline std::vector<double> sample_temperatures() {
    std::vector<double> out;
    for (const double t : sample_times()) out.push_back(363.15 + 8.0 * std::sin(t / 300.0));
    return out;
}

inline std::string sample_text() {
    // Longer than the 64 KiB that an HDF5 attribute could hold.
    return "# Überprüft: 90 °C\n" + std::string(100000, 'x');
}

inline void write_sample(const std::filesystem::path& path) {
    using namespace lapheat::results;
    Hdf5Writer w(path);
    w.attributes("/", {{"title", "a sample"},
                       {"mass", 1234.5},
                       {"versions", std::vector<std::string>{"a 1", "b 2"}},
                       {"limits", std::vector<double>{1.0, 2.0}}});
    w.scale("/time", sample_times(), {{"units", "s"}, {"long_name", "time since the start"}});
    w.group("/coolant", {{"long_name", "coolant loop"}});
    w.numbers("/coolant/radiator/inlet_temperature", sample_temperatures(), {"/time"},
              {{"units", "K"}, {"long_name", "coolant temperature at the radiator's inlet"}});
    w.scale("/coolant/radiator/cell", std::vector<std::int64_t>{1, 2, 3});
    std::vector<double> walls;
    for (const double t : sample_temperatures()) {
        for (int cell = 0; cell < 3; ++cell) walls.push_back(t - cell);
    }
    w.numbers("/coolant/radiator/wall_temperature", walls, {"/time", "/coolant/radiator/cell"},
              {{"units", "K"}});
    w.scale("/events/event", std::vector<std::int64_t>{1, 2});
    w.strings("/events/what", std::vector<std::string>{"fan on", "over limit: 120 °C"},
              {"/events/event"});
    w.numbers("/events/at", std::vector<double>{17.25, 905.5}, {"/events/event"}, {{"units", "s"}});
    w.integers("/events/step", std::vector<std::int64_t>{17, 905}, {"/events/event"});
    w.text("/scenario/text", sample_text());
    w.number("/closure", 1.5e-9, {{"units", "1"}});
    w.commit();
}
