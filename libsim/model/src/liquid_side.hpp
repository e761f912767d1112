// The liquid's part of the right-hand side: networks, transport between cells, heat of the drive
// into fluids and walls, cores of two liquids, pump work.
//
// A loop's network and films are held until its cells have drifted (see dynamics.hpp); one with a
// thermostat is solved at every call, for its stem moves the flow within a step.
#pragma once

#include <vector>

#include "instant.hpp"
#include "slopes.hpp"

namespace lapheat::model {

class LiquidSide {
  public:
    /// hold: K of drift until a network is solved again; 0: nothing is held.
    /// by_step: a loop with a thermostat too is held, within its drift; stems move between steps.
    LiquidSide(const Model& model, double hold, Outputs& out, bool by_step = false);

    /// Everything held is too old: an interval or a mode begins.
    void stale();
    /// Ages the loops whose cells have drifted; true if any.
    bool age(const Outputs& out);

    // The steps of one evaluation, in their order.
    void temperatures(const Instant& now);  ///< of cells and walls
    bool flows(const Instant& now);         ///< networks that are due, with films and pump work
    void transport(const Instant& now);     ///< between cells; inlets of cores
    void sources(const Instant& now);       ///< streams of heat, walls, links
    void boil(const Instant& now);          ///< vapour of what is above its boiling point
    void pumps(const Instant& now) const;   ///< shaft work into the fluid
    void cores(const Instant& now) const;   ///< cores of two liquids
    /// Pumps' heads in `ahead` s, put into a state.
    void predict(double ahead, double* y) const;
    /// s in which no pump changes its head by more than `reach` times a share of it.
    [[nodiscard]] double longest_step(const double* y, double reach) const;

    /// Slopes of what the steps above do, after them: transport, walls, cores, vapour.
    void slopes(const Instant& now, Slopes& slopes) const;
    /// Calls `use(state, slope)` for what a cell's inlet enthalpy (J/kg) grows by.
    template <class Use>
    void upstream_slopes(int cell, const Slopes& slopes, const Outputs& out, Use&& use) const;
    /// The same for the temperature (K) of what enters a core's cell, as inlet() has it.
    template <class Use>
    void inlet_slopes(int cell, int run, const Slopes& slopes, const Outputs& out,
                      Use&& use) const {
        if (out.run_flow[at(run)] == 0) {
            use(cell, slopes.kelvin(cell));
            return;
        }
        const double cp = model_.loops[at(model_.cells[at(cell)].loop)].caloric.specific_heat(
            inlet(cell, run, out));
        upstream_slopes(cell, slopes, out, [&](int from, double h) { use(from, h / cp); });
    }
    /// K of what enters a core's cell; where nothing flows, of what stands in it.
    [[nodiscard]] double inlet(int cell, int run, const Outputs& out) const;
    /// J/(kg K) of a cell as the states' energies have it.
    [[nodiscard]] double specific_heat(int cell, const Outputs& out) const {
        return model_.loops[at(model_.cells[at(cell)].loop)].caloric.specific_heat(
            out.cell_temperature[at(cell)]);
    }

    /// As last taken at a cell by flows().
    [[nodiscard]] const fluids::Properties& properties(int cell) const {
        return properties_[at(cell)];
    }

  private:
    static constexpr double head_lag = 1;  ///< s in which a pump's inlet fills with vapour

    void solve_loop(std::size_t loop, const Instant& now);
    [[nodiscard]] double control(const FlatLoop::Control& c, double viscosity,
                                 const Instant& now) const;
    void hold_pumps(std::size_t loop, const Outputs& out);
    void hold_heads(std::size_t loop, const Instant& now);
    [[nodiscard]] double tank_pressure(std::size_t loop, const Instant& now) const;
    [[nodiscard]] double pumped(std::size_t loop, const Instant& now) const;
    [[nodiscard]] bool due(std::size_t loop, const Instant& now) const;
    void hold_walls(std::size_t loop, const Outputs& out);
    void hold_cores(const Instant& now);
    [[nodiscard]] PerStream<double> heat_at(const Instant& now) const;

    const Model& model_;
    const double hold_;
    const bool by_step_;
    const int heads_, lost_;  ///< states
    std::vector<hydraulics::NetworkSolver> solvers_;
    std::vector<fluids::Properties> properties_;  ///< of each cell
    std::vector<double> enthalpy_, upstream_;     ///< J/kg of each cell and of what enters it
    std::vector<double> node_in_, node_out_;      ///< W and kg/s at each node
    std::vector<std::vector<int>> node_runs_;     ///< runs that begin or end at each node

    // Held.
    std::vector<char> stale_, quick_;  ///< of each loop; quick: never held
    std::vector<double> core_;         ///< W/K of a core between two liquids
    std::vector<double> wall_;         ///< W/K
    std::vector<double> pump_;         ///< W of each pump into its fluid
    std::vector<double> head_target_;  ///< part of its head that each pump goes for
    std::vector<double> head_held_;    ///< for which its loop was solved
    std::vector<double> lift_;         ///< of each thermostat, for which its loop was solved
    std::vector<double> pressure_;     ///< Pa around, of each loop's boiling point
    std::vector<double> cell_;         ///< K for which its loop was solved
};

template <class Use>
void LiquidSide::upstream_slopes(int cell, const Slopes& slopes, const Outputs& out,
                                 Use&& use) const {
    const FlatRun& run = model_.runs[at(model_.cells[at(cell)].run)];
    const double m = out.run_flow[at(model_.cells[at(cell)].run)];
    const auto enthalpy = [&](int c) { return specific_heat(c, out) * slopes.kelvin(c); };
    const bool forward = m >= 0;
    const int last = run.first_cell + run.cells - 1;
    if (cell != (forward ? run.first_cell : last)) {
        const int before = forward ? cell - 1 : cell + 1;
        use(before, enthalpy(before));
        return;
    }
    const int node = forward ? run.from : run.to;
    if (m == 0 || node_out_[at(node)] <= 0) {
        use(cell, enthalpy(cell));
        return;
    }
    for (const int r : node_runs_[at(node)]) {
        const FlatRun& other = model_.runs[at(r)];
        const double flow = out.run_flow[at(r)];
        if (flow > 0 && other.to == node) {
            const int end = other.first_cell + other.cells - 1;
            use(end, flow / node_out_[at(node)] * enthalpy(end));
        } else if (flow < 0 && other.from == node) {
            use(other.first_cell, -flow / node_out_[at(node)] * enthalpy(other.first_cell));
        }
    }
}

}  // namespace lapheat::model
