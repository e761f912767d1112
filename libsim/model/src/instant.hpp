// What the parts of the right-hand side share at one evaluation: the state, the inputs, where heat
// goes, and what was found.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "flat.hpp"
#include "forcing.hpp"

namespace lapheat::model {

/// Heat on its way, W: what cells and walls gain, and what crosses the car's boundary. Whatever
/// warms or cools a fluid goes through one of these, so that the ledger closes by construction.
struct Balance {
    explicit Balance(const Model& model)
        : cell(model.cells.size()), wall(model.walls.size()), crossed(model.ledger.size()) {}

    void clear() {
        for (auto* v : {&cell, &wall, &crossed}) std::fill(v->begin(), v->end(), 0.0);
        bay = sheet = 0;
    }

    void into_cell(int c, double watts, LedgerId path) {
        cell[at(c)] += watts;
        crossed[at(path.index)] += watts;
    }
    void into_wall(int w, double watts, LedgerId path) {
        wall[at(w)] += watts;
        crossed[at(path.index)] += watts;
    }
    void out_of_cell(int c, double watts, LedgerId path) {
        cell[at(c)] -= watts;
        crossed[at(path.index)] += watts;
    }
    /// Across the car's boundary, or between parts that keep their own count.
    void cross(double watts, LedgerId path) { crossed[at(path.index)] += watts; }
    /// Between two cells, within the car.
    void across(int from, int to, double watts) {
        cell[at(from)] -= watts;
        cell[at(to)] += watts;
    }

    std::vector<double> cell, wall;
    double bay = 0, sheet = 0;    ///< of the engine bay's air and sheet, but for air that flows
    std::vector<double> crossed;  ///< of each path of the ledger, along its direction
};

struct CoreOutput {
    double heat = 0;                           ///< W that the first liquid gives
    double first_inlet = 0, second_inlet = 0;  ///< K
    double second_flow = 0;                    ///< kg/s of air or of the second liquid
    double effectiveness = 0;                  ///< −
    double resistance_first = 0;               ///< K/W of the first liquid's film
    double resistance_wall = 0;                ///< K/W
    double resistance_second = 0;              ///< K/W
    unsigned flags = 0;                        ///< see exchangers::describe_core_flags
};

struct FanOutput {
    double speed = 0;    ///< over full speed
    double flow = 0;     ///< m³/s
    double power = 0;    ///< W electrical, wires and relay included
    double current = 0;  ///< A
};

struct ThermostatOutput {
    double lift = 0;  ///< 0–1
    double wax = 0;   ///< K
};

struct LoopOutput {
    double boiling = 0;  ///< K at which it boils with its cap at its pressure; 0: it does not
    double vapour = 0;   ///< W that leave with vapour
    double lost = 0;     ///< kg boiled away so far
    /// Inputs of the last network solve, of each element, for reports of single elements.
    std::vector<double> density, viscosity, control;
    hydraulics::Flow flow;
};

struct PathOutput {
    airflow::PathFlow flow;       ///< as last solved
    double inlet = 0;             ///< K of the air that enters
    double heat = 0;              ///< W that its air takes up in cores and condenser
    double heat_back = 0;         ///< W of that in air that runs backwards, out at the front
    bool shares_limited = false;  ///< see airflow::InletAir
};

inline constexpr double endless = 1e9;  ///< s
/// s in which what is `away` from where it goes, with a lag (s), moves by `most` of that.
inline double time_for(double most, double away, double lag) {
    const double part = most / std::abs(away);
    return part < 1 ? -lag * std::log1p(-part) : endless;
}

/// What the last evaluation found. Arrays as the model numbers its parts.
struct Outputs {
    explicit Outputs(const Model& model)
        : cell_temperature(model.cells.size()),
          wall_temperature(model.walls.size()),
          run_flow(model.runs.size()),
          cores(model.cores.size()),
          fans(model.fans.size()),
          thermostats(model.thermostats.size()),
          loops(model.loops.size()),
          paths(model.paths.size()) {}

    std::vector<double> cell_temperature, wall_temperature;  ///< K
    std::vector<double> run_flow;                            ///< kg/s
    std::vector<CoreOutput> cores;
    std::vector<FanOutput> fans;
    std::vector<ThermostatOutput> thermostats;
    std::vector<LoopOutput> loops;
    std::vector<PathOutput> paths;
    double bay_temperature = 0;  ///< K
    double bay_sheet = 0;        ///< K
    double exhaust_more = 0;     ///< W that the exhaust has over the row's: walls that take less
    double condenser = 0;        ///< W that the condenser's air takes
    heat::ExhaustMoment exhaust;
    double worst_residual = 0;  ///< of any liquid network, since the start
    std::size_t failures = 0;   ///< network solves that did not converge, since the start
};

/// One evaluation of the right-hand side.
struct Instant {
    const ForcingRow& row;
    const double* y;
    double* dydt;
    Balance& balance;
    Outputs& out;
};

}  // namespace lapheat::model
