// The right-hand side of the whole car, with its discrete modes and events: what solve::integrate
// takes through time. One for each simulation; the model and the forcing are shared and constant.
//
// Its parts, each with its own states: LiquidSide, AirSide, Controls, Environment. One evaluation
// (Instant) goes through them in the order that rhs() shows; what they found stands in Outputs.
//
// Flows, film coefficients and fan drives change little over a kelvin, temperatures of cells do at
// once. So what an air path with its cores, or the network of a loop without a thermostat, gives is
// held, and found anew when an interval or a mode begins, when a fan is on its way to a new speed,
// and when what it depends on has drifted by more than `hold`: in between the right-hand side is a
// cheap, nearly linear function of the state. With hold = 0 nothing is held.
//
// For implicit steps (Holding::by_step) everything is held within a step, at values found for the
// state predicted at its middle, so that what is held errs by the second power of the step alone.
#pragma once

#include <vector>

#include "air_side.hpp"
#include "controls.hpp"
#include "environment.hpp"
#include "instant.hpp"
#include "lapheat/solve/integrate.hpp"
#include "liquid_side.hpp"

namespace lapheat::model {

/// How a car stands at a moment, apart from any compiled model: another one of the same car, whose
/// parts are numbered alike, goes on from there.
struct Standing {
    std::vector<double> state;  ///< as Model lays it out, but the temperatures (K) of cells
    Controls::Modes modes;
};

enum class Holding { by_drift, by_step };

class Dynamics {
  public:
    /// hold: K of drift in a fluid's temperature until the networks are solved again.
    Dynamics(const Model& model, const Forcing& forcing, double hold = 0,
             Holding holding = Holding::by_drift);

    /// Fills the state for fluids at the given temperatures (K, one for each loop).
    void start(const std::vector<double>& loop_temperature, double* y);

    [[nodiscard]] Standing standing(const double* y) const;
    /// Goes on from where another model of the same car stopped: temperatures, switches and
    /// thermostats stay; a cell that holds less than before holds less energy. The models number
    /// their parts alike (compile() has made sure of those of one car's faults).
    void take_over(const Standing& before, double* y);

    // What solve::System asks for.
    [[nodiscard]] std::size_t size() const { return at(model_.layout.size()); }
    void rhs(double t, const double* y, double* dydt);
    /// True if what is held has been found too old at the end of a step: rhs changes here.
    bool after_step(const double* y);
    [[nodiscard]] std::size_t event_count() const { return controls_.event_count(); }
    void events(double, const double* y, double* g) const { controls_.events(y, g); }
    [[nodiscard]] solve::Crossing event_direction(std::size_t i) const {
        return controls_.event_direction(i);
    }
    solve::EventAction handle(std::size_t i, double t, double* y);
    solve::AtKnot enter_interval(std::size_t k);

    // What solve::Linearised asks for.
    /// At the state of the last rhs().
    void slopes(double t, const double* y, solve::SparseMatrix& matrix);
    /// Finds flows and films for the middle of the step, where they have drifted.
    bool begin_step(double t, double h, const double* y, const double* slope);
    /// As long as fans, pumps' heads and stems are nearly what they are at the step's middle.
    double longest_step(const double* y, const double* slope);

    // Of the last evaluation, for records.
    [[nodiscard]] const Outputs& out() const { return out_; }
    [[nodiscard]] const Balance& balance() const { return balance_; }
    [[nodiscard]] const std::vector<Event>& happened() const { return happened_; }
    [[nodiscard]] const Model& model() const { return model_; }
    [[nodiscard]] const ForcingRow& row() const { return *row_; }

  private:
    [[nodiscard]] Instant at_instant(const double* y, double* dydt) {
        return {*row_, y, dydt, balance_, out_};
    }
    void stale();
    void predict(double ahead, const double* y, const double* slope);

    const Model& model_;
    const Forcing& forcing_;
    const ForcingRow* row_;
    const double hold_;
    const double reach_;  ///< times what fans, heads and stems move in a step as shipped
    const Holding holding_;
    bool unsolved_ = true;        ///< an interval or a mode has begun since flows were found
    std::vector<double> middle_;  ///< the state predicted there
    std::vector<double> kelvin_;  ///< of each cell, K for each unit of its state
    Outputs out_;
    Balance balance_;
    LiquidSide liquid_;
    AirSide air_;
    Controls controls_;
    Environment environment_;
    std::vector<Event> happened_;
};

}  // namespace lapheat::model
