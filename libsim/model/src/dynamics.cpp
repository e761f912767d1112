#include "dynamics.hpp"

#include <algorithm>
#include <cmath>

namespace lapheat::model {

namespace {

/// What moves within a step while flows are held errs by the square of its way: whoever lets an
/// error of n times pass lets it go root n times as far.
double reach_of(double hold) {
    constexpr double as_shipped = 0.02;  // K
    return std::max(1.0, std::sqrt(hold / as_shipped));
}

}  // namespace

Dynamics::Dynamics(const Model& model, const Forcing& forcing, double hold, Holding holding)
    : model_(model),
      forcing_(forcing),
      row_(&forcing.rows.front()),
      hold_(hold),
      reach_(reach_of(hold)),
      holding_(holding),
      middle_(size()),
      kelvin_(model.cells.size()),
      out_(model),
      balance_(model),
      liquid_(model, hold, out_, holding == Holding::by_step),
      air_(model, hold, *row_, out_, holding == Holding::by_step),
      controls_(model),
      environment_(model) {}

void Dynamics::start(const std::vector<double>& loop_temperature, double* y) {
    std::fill(y, y + model_.layout.size(), 0.0);
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        y[c] = model_.cells[c].state(loop_temperature[at(model_.cells[c].loop)]);
    const auto as_fluid = [&](const auto& parts) {
        for (const auto& part : parts)
            y[part.state] = loop_temperature[at(model_.cells[at(part.cell)].loop)];
    };
    as_fluid(model_.walls);
    as_fluid(model_.switches);
    as_fluid(model_.thermostats);
    for (const StateKind air :
         {StateKind::passage, StateKind::path, StateKind::bay, StateKind::bay_sheet}) {
        const Block& block = model_.layout[air];
        std::fill(y + block.first, y + block.end(), forcing_.rows.front().ambient);
    }
    environment_.start(forcing_.rows.front(), y);
    const Block& heads = model_.layout[StateKind::head];
    std::fill(y + heads.first, y + heads.end(), 1.0);
    controls_.start(y);
}

Standing Dynamics::standing(const double* y) const {
    Standing out{{y, y + size()}, controls_.modes()};
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        out.state[c] = model_.cells[c].temperature(y[c]);
    return out;
}

void Dynamics::take_over(const Standing& before, double* y) {
    std::copy(before.state.begin(), before.state.end(), y);
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        y[c] = model_.cells[c].state(before.state[c]);
    controls_.take_over(before.modes);
}

void Dynamics::stale() {
    unsolved_ = true;
    liquid_.stale();
    air_.stale();
}

solve::AtKnot Dynamics::enter_interval(std::size_t k) {
    row_ = &forcing_.rows[std::min(k, forcing_.rows.size() - 1)];
    stale();
    air_.enter_interval(*row_);
    return solve::AtKnot::jump;
}

bool Dynamics::after_step(const double* y) {
    if (hold_ <= 0 || holding_ == Holding::by_step) return false;
    liquid_.temperatures(at_instant(y, nullptr));
    const bool liquid = liquid_.age(out_), air = air_.age(y, out_);
    return liquid || air;
}

solve::EventAction Dynamics::handle(std::size_t i, double t, double* y) {
    stale();
    controls_.handle(i, t, y, happened_);
    return solve::EventAction::restart;
}

void Dynamics::rhs(double, const double* y, double* dydt) {
    const Instant now = at_instant(y, dydt);
    balance_.clear();
    liquid_.temperatures(now);
    controls_.lifts(now);
    const bool find = holding_ == Holding::by_drift || unsolved_;
    if (find) liquid_.flows(now);
    liquid_.transport(now);
    if (find) air_.flows(now, controls_, liquid_);
    unsolved_ = false;
    liquid_.sources(now);
    environment_.exhaust(now);
    liquid_.boil(now);
    environment_.surfaces(now);
    liquid_.pumps(now);
    air_.cores(now);
    liquid_.cores(now);
    air_.fans(now);
    environment_.inlets(now);
    environment_.bay(now);
    controls_.follow(now);
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        dydt[c] = balance_.cell[c] / model_.cells[c].scale;
    std::copy(balance_.crossed.begin(), balance_.crossed.end(),
              dydt + model_.layout[StateKind::ledger].first);
}

void Dynamics::slopes(double, const double* y, solve::SparseMatrix& matrix) {
    for (std::size_t c = 0; c < model_.cells.size(); ++c) {
        const Cell& cell = model_.cells[c];
        kelvin_[c] = cell.scale / (cell.a + cell.b * out_.cell_temperature[c]);
    }
    const Instant now = at_instant(y, nullptr);
    Slopes slopes(model_, matrix, kelvin_);
    liquid_.slopes(now, slopes);
    air_.slopes(now, liquid_, slopes);
    environment_.slopes(now, slopes);
    controls_.slopes(slopes);
}

/// Fluids go on as they did, sensors and fans towards where they go; air that follows within a
/// second is taken as it is, for what it did before a jump says nothing of what it will.
void Dynamics::predict(double ahead, const double* y, const double* slope) {
    constexpr double most = 5;  // K
    std::copy(y, y + size(), middle_.begin());
    for (std::size_t c = 0; c < model_.cells.size(); ++c)
        middle_[c] += std::clamp(ahead * slope[c], -most, most);
    const auto lag = [&](const auto& sensor) {
        const double fluid = model_.cells[at(sensor.cell)].temperature(
            0.5 * (y[sensor.cell] + middle_[at(sensor.cell)]));
        middle_[at(sensor.state)] =
            fluid + (y[sensor.state] - fluid) * std::exp(-ahead / sensor.lag);
    };
    for (const FlatSwitch& s : model_.switches) lag(s);
    for (const FlatThermostat& t : model_.thermostats) lag(t);
    air_.predict(ahead, middle_.data());
    liquid_.predict(ahead, middle_.data());
}

double Dynamics::longest_step(const double* y, const double* slope) {
    if (unsolved_) air_.drive(at_instant(y, nullptr), controls_);
    return std::min({air_.longest_step(y, reach_), liquid_.longest_step(y, reach_),
                     controls_.longest_step(y, slope, reach_)});
}

bool Dynamics::begin_step(double, double h, const double* y, const double* slope) {
    predict(0.5 * h, y, slope);
    const Instant middle = at_instant(middle_.data(), nullptr);
    liquid_.temperatures(middle);
    controls_.lifts(middle);
    const bool liquid = liquid_.flows(middle);
    const bool air = air_.flows(middle, controls_, liquid_);
    unsolved_ = false;
    return liquid || air;
}

}  // namespace lapheat::model
