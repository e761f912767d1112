// What each foot of line and each elbow costs in temperature: the car driven again with a line
// longer, and again with a bend more.
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/simulate.hpp"

namespace lapheat::study {

/// Derivatives by finite differences, of the loop that the line is in.
struct LineCost {
    std::string loop, part, cycle;
    double length = 0, inner_diameter = 0;  ///< m
    double peak_per_metre = 0;              ///< K of the loop's peak for each metre more
    double margin_per_metre = 0;            ///< K of its least margin lost for each metre more
    double flow_per_metre = 0;              ///< m³/s of its mean flow lost for each metre more
    double peak_per_bend = 0;    ///< K for each bend more (90 degrees, radius as the line's)
    double margin_per_bend = 0;  ///< K
    double flow_per_bend = 0;    ///< m³/s
};

struct LineCostOptions {
    double metres = 0.5;      ///< how much longer a line is made; a quarter of it if that is more
    double bends = 2;         ///< how many are added
    double tolerance = 2e-4;  ///< K, of the runs: differences are small
    int threads = 0;          ///< 0: as many as the machine has
    model::Options run;       ///< its tolerance, progress and cancel are not used
    std::function<void(double)> progress;
    const std::atomic<bool>* cancel = nullptr;
};

/// Every hose and tube of the car's open runs, in the order of the files; two runs for each and one
/// for all. A line that saves heat (it sheds more than its loss of flow costs) has negative
/// numbers. Throws Error as simulate() does.
[[nodiscard]] std::vector<LineCost> line_costs(const model::Car& car, const drive::Cycle& cycle,
                                               const LineCostOptions& options = {});

}  // namespace lapheat::study
