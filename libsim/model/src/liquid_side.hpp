// The liquid's part of the right-hand side: networks, transport between cells, heat of the drive
// into fluids and walls, cores of two liquids, pump work.
//
// A loop's network and films are held until its cells have drifted (see dynamics.hpp); one with a
// thermostat is solved at every call, for its stem moves the flow within a step.
#pragma once

#include <vector>

#include "instant.hpp"

namespace lapheat::model {

class LiquidSide {
  public:
    /// hold: K of drift until a network is solved again; 0: nothing is held.
    LiquidSide(const Model& model, double hold, Outputs& out);

    /// Everything held is too old: an interval or a mode begins.
    void stale();
    /// Ages the loops whose cells have drifted; true if any.
    bool age(const Outputs& out);

    // The steps of one evaluation, in their order.
    void temperatures(const Instant& now);  ///< of cells and walls
    void flows(const Instant& now);         ///< networks that are due, with films and pump work
    void transport(const Instant& now);     ///< between cells; inlets of cores
    void sources(const Instant& now);       ///< streams of heat, walls, links
    void boil(const Instant& now);          ///< vapour of what is above its boiling point
    void pumps(const Instant& now) const;   ///< shaft work into the fluid
    void cores(const Instant& now) const;   ///< cores of two liquids

    /// As last taken at a cell by flows().
    [[nodiscard]] const fluids::Properties& properties(int cell) const {
        return properties_[at(cell)];
    }

  private:
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
    [[nodiscard]] double inlet(int cell, int run, const Outputs& out) const;

    const Model& model_;
    const double hold_;
    const int heads_, lost_;  ///< states
    std::vector<hydraulics::NetworkSolver> solvers_;
    std::vector<fluids::Properties> properties_;  ///< of each cell
    std::vector<double> enthalpy_, upstream_;     ///< J/kg of each cell and of what enters it
    std::vector<double> node_in_, node_out_;      ///< W and kg/s at each node

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

}  // namespace lapheat::model
