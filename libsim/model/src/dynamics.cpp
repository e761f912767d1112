#include "dynamics.hpp"

#include <algorithm>

namespace lapheat::model {

Dynamics::Dynamics(const Model& model, const Forcing& forcing, double hold)
    : model_(model),
      forcing_(forcing),
      row_(&forcing.rows.front()),
      hold_(hold),
      out_(model),
      balance_(model),
      liquid_(model, hold, out_),
      air_(model, hold, *row_, out_),
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
    if (hold_ <= 0) return false;
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
    liquid_.flows(now);
    liquid_.transport(now);
    air_.flows(now, controls_, liquid_);
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

}  // namespace lapheat::model
