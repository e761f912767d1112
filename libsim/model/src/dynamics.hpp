// The right-hand side of the whole car, with its discrete modes and events: what solve::integrate
// takes through time. One for each simulation; the model and the forcing are shared and constant.
//
// Flows, film coefficients and fan drives change little over a kelvin, temperatures of cells do at
// once. So what an air path with its cores, or the network of a loop without a thermostat, gives is
// held, and found anew when an interval or a mode begins, when a fan is on its way to a new speed,
// and when what it depends on has drifted by more than `hold` (see Held): in between the right-hand
// side is a cheap, nearly linear function of the state. With hold = 0 nothing is held.
#pragma once

#include <vector>

#include "flat.hpp"
#include "forcing.hpp"
#include "lapheat/model/result.hpp"
#include "lapheat/solve/integrate.hpp"

namespace lapheat::model {

/// V at the fans; common practice, no source.
inline double supply_voltage(const ForcingRow& row) { return row.engine_on ? 13.8 : 12.4; }

/// The play of a wax thermostat: its stem follows the wax when it warms, rests over the width of
/// the hysteresis, and follows again when it cools.
enum class Play { warming, resting, cooling };

class Dynamics {
  public:
    /// hold: K of drift in a fluid's temperature until the networks are solved again.
    Dynamics(const Model& model, const Forcing& forcing, double hold = 0);

    /// Fills the state for fluids at the given temperatures (K, one for each loop).
    void start(const std::vector<double>& loop_temperature, double* y);

    /// Goes on from where another model of the same car stopped: temperatures, switches and
    /// thermostats stay; a cell that holds less than before holds less energy.
    void take_over(const Dynamics& before, double* y);

    // What solve::System asks for.
    [[nodiscard]] std::size_t size() const { return static_cast<std::size_t>(model_.states); }
    void rhs(double t, const double* y, double* dydt);
    /// True if what is held has been found too old at the end of a step: rhs changes here.
    bool after_step(const double* y);
    [[nodiscard]] std::size_t event_count() const {
        return model_.switches.size() + 4 * model_.thermostats.size();
    }
    void events(double t, const double* y, double* g) const;
    [[nodiscard]] solve::Direction event_direction(std::size_t i) const;
    solve::EventAction handle(std::size_t i, double t, double* y);
    solve::AtKnot enter_interval(std::size_t k);

    // Last evaluation, for records. Arrays as the model numbers its parts.
    std::vector<double> cell_temperature, wall_temperature;  ///< K
    std::vector<double> run_flow;                            ///< kg/s
    std::vector<double> core_heat, core_air_flow, core_air_inlet, core_effectiveness;
    std::vector<double> core_resistance_air, core_resistance_wall, core_resistance_liquid;  ///< K/W
    std::vector<double> core_liquid_inlet;                                                  ///< K
    std::vector<double> fan_speed, fan_flow, fan_power, fan_current;
    std::vector<double> lift;             ///< of each thermostat, 0–1
    std::vector<double> wax_temperature;  ///< K, the same
    std::vector<double> path_inlet;       ///< K
    std::vector<bool> shares_limited;     ///< of each path, see airflow::InletAir
    double bay_temperature = 0;
    std::vector<double> heat_into;  ///< W of each ledger entry
    std::vector<unsigned> core_flags;
    std::vector<Event> happened;
    double worst_residual = 0;
    std::size_t failures = 0;
    std::vector<hydraulics::Flow> network_flow;

    [[nodiscard]] const Model& model() const { return model_; }
    [[nodiscard]] const ForcingRow& row() const { return *row_; }
    /// Inputs of the last network solve of a loop, for reports of single elements.
    struct LoopInputs {
        std::vector<double> density, viscosity, control;
    };
    [[nodiscard]] const LoopInputs& loop_inputs(std::size_t loop) const {
        return loop_inputs_[loop];
    }

    /// The air path as last solved.
    [[nodiscard]] const airflow::PathFlow& path_flow(std::size_t path) const {
        return path_flow_[path];
    }

  private:
    void temperatures(const double* y);
    void liquid_flow(std::size_t loop);
    void pump_work(std::size_t loop);
    void walls(std::size_t loop);
    void liquid_cores_at_work();
    void air_flow(const double* y, std::size_t path);
    void hold_core(std::size_t passage);
    void fan_drive(const double* y, std::size_t fan);
    [[nodiscard]] bool spinning(const double* y, const FlatPath& path) const;
    [[nodiscard]] bool drifted(const double* y, std::size_t path) const;
    void transport();
    void sources(const double* y, double* dydt);
    void air(const double* y, double* dydt);
    void air_core(const double* y, double* dydt, std::size_t passage, double temperature_in);
    void liquid_cores();
    void fans(const double* y, double* dydt);
    void surroundings(const double* y, double* dydt);
    void everything_stale();
    [[nodiscard]] double stem(std::size_t thermostat, double wax) const;
    [[nodiscard]] double core_inlet(int cell, int run) const;

    const Model& model_;
    const Forcing& forcing_;
    const ForcingRow* row_ = nullptr;
    std::vector<hydraulics::NetworkSolver> solvers_;
    std::vector<LoopInputs> loop_inputs_;
    std::vector<airflow::PathInputs> path_inputs_;
    std::vector<airflow::PathFlow> path_flow_;
    std::vector<std::vector<double>> passage_inlet_;  ///< K, of each path's passages
    std::vector<fluids::Properties> properties_;      ///< of each cell, held
    std::vector<double> enthalpy_, upstream_, gain_;  ///< J/kg, J/kg, W of each cell
    std::vector<double> wall_gain_;
    std::vector<double> node_in_, node_out_;  ///< W and kg/s at each node
    std::vector<double> link_conductance_;    ///< W/K, of this interval
    std::vector<bool> switch_on_;
    std::vector<Play> play_;
    std::vector<double> rest_;  ///< K, where a resting stem stands

    /// What networks and correlations gave, and what they gave it for.
    struct Held {
        /// One core's column: heat = working·(liquid in − air in) + standing·(cell − air in).
        struct Passage {
            double air = 0, capacity = 0;      ///< kg/s, W/K
            double working = 0, standing = 0;  ///< W/K
            double mixing = 0;                 ///< 0 air that stands – 1 air that flows
            double rise = 0;                   ///< K by heat that is not a fluid's
        };
        std::vector<Passage> passages;
        std::vector<double> liquid_core;  ///< W/K of a core between two liquids
        std::vector<double> wall;         ///< W/K
        std::vector<double> pump;         ///< W of each pump into its fluid
        std::vector<double> fan_target;   ///< speed fractions that the drives go for

        std::vector<double> cell;                         ///< K, for the loop's network
        std::vector<double> core_temperature, core_flow;  ///< K, kg/s, for the core's path
        std::vector<double> air;                          ///< K, for the path
    };
    Held held_;
    std::vector<char> loop_stale_, loop_quick_, path_stale_;  ///< quick: never held
    double hold_ = 0;
};

}  // namespace lapheat::model
