// A grid of pipes as a file for the reference library, and its answer.
#pragma once

#include <unistd.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "grid.hpp"
#include "python.hpp"

namespace lapheat::validation {

/// Flow (l/s) of each pipe, then the microseconds of one solve started from the answer; empty
/// without the library.
inline std::vector<double> by_reference_library(const Grid& g) {
    const auto path = std::filesystem::temp_directory_path() /
                      ("lapheat_grid_" + std::to_string(getpid()) + ".inp");
    std::ofstream out(path);
    out << "[JUNCTIONS]\n";
    for (std::size_t i = 1; i < g.outflow.size(); ++i)
        out << 'n' << i << " 0 " << g.outflow[i] / 1000 * 1000 << '\n';  // l/s of 1000 kg/m³
    out << "[RESERVOIRS]\nn0 1000\n[PIPES]\n";
    out.precision(12);
    for (std::size_t i = 0; i < g.pipes.size(); ++i) {
        const GridPipe& p = g.pipes[i];
        out << 'p' << i << " n" << p.from << " n" << p.to << ' ' << p.length << ' '
            << p.diameter * 1000 << ' ' << p.roughness * 1000 << " 0 Open\n";
    }
    out << "[OPTIONS]\nUnits LPS\nHeadloss D-W\nViscosity 1e-6\nAccuracy 1e-8\nTrials 500\n"
           "[TIMES]\nDuration 0\n[END]\n";
    out.close();
    auto numbers = numbers_from(std::string("node ") + LAPHEAT_SOURCE_DIR +
                                "/validation/hydraulics/epanet.mjs " + path.string());
    std::filesystem::remove(path);
    return numbers;
}

/// Flow (l/s) from one tank to another at the same height, by a pump of one printed point (l/s, m;
/// the library makes it a parabola with 4/3 of the head at no flow) at a fraction of its speed,
/// through a loss of `velocity_heads` on 50 mm; NaN without the library.
inline double pumped_by_reference_library(double flow, double head, double speed,
                                          double velocity_heads) {
    const auto path = std::filesystem::temp_directory_path() /
                      ("lapheat_pump_" + std::to_string(getpid()) + ".inp");
    std::ofstream out(path);
    out.precision(12);
    out << "[JUNCTIONS]\nn1 0 0\n[RESERVOIRS]\na 100\nb 100\n[PIPES]\np n1 b 0.001 50 0.01 "
        << velocity_heads << " Open\n[PUMPS]\nq a n1 HEAD c SPEED " << speed << "\n[CURVES]\nc "
        << flow << ' ' << head
        << "\n[OPTIONS]\nUnits LPS\nHeadloss D-W\nViscosity 1e-6\nAccuracy 1e-8\nTrials 500\n"
           "[TIMES]\nDuration 0\n[END]\n";
    out.close();
    const auto numbers = numbers_from(std::string("node ") + LAPHEAT_SOURCE_DIR +
                                      "/validation/hydraulics/epanet.mjs " + path.string());
    std::filesystem::remove(path);
    return numbers.size() == 3 ? numbers[0] : NAN;
}

}  // namespace lapheat::validation
