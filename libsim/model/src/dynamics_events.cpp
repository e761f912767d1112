// Thermostats and fan switches: what happens at a moment, and what it changes.
#include "dynamics.hpp"

namespace lapheat::model {

/// K beyond the play before a resting stem follows. Where it begins to rest the wax stands at one
/// end of the play; without slack the event function would begin at zero, and leaving zero is no
/// crossing.
constexpr double play_slack = 1e-6;

void Dynamics::events(double, const double* y, double* g) const {
    std::size_t n = 0;
    for (std::size_t i = 0; i < model_.switches.size(); ++i) {
        const FlatSwitch& s = model_.switches[i];
        g[n++] = switch_on_[i] ? s.off - y[s.state] : y[s.state] - s.on;
    }
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& w = model_.thermostats[i];
        const double wax = y[w.state], fluid = model_.cells[at(w.cell)].temperature(y[w.cell]);
        // Turning: the wax cools below what the stem followed, or warms above it.
        if (w.stuck) {
            for (int k = 0; k < 4; ++k) g[n++] = 1;
            continue;
        }
        switch (play_[i]) {
            case Play::warming:
                g[n++] = wax - fluid, g[n++] = -1;
                break;
            case Play::cooling:
                g[n++] = fluid - wax, g[n++] = -1;
                break;
            case Play::resting:
                g[n++] = wax - rest_[i] - play_slack;                 // the stem follows upward
                g[n++] = rest_[i] - w.hysteresis - play_slack - wax;  // and downward
                break;
        }
        const bool moves = play_[i] != Play::resting;
        g[n++] = moves ? stem(i, wax) - w.opens : 1;
        g[n++] = moves ? stem(i, wax) - w.full : 1;
    }
}

solve::Direction Dynamics::event_direction(std::size_t i) const {
    if (i < model_.switches.size()) return solve::Direction::rising;
    return (i - model_.switches.size()) % 4 < 2 ? solve::Direction::rising
                                                : solve::Direction::either;
}

solve::EventAction Dynamics::handle(std::size_t i, double t, double* y) {
    everything_stale();
    if (i < model_.switches.size()) {
        switch_on_[i] = !switch_on_[i];
        const FlatSwitch& s = model_.switches[i];
        happened.push_back(
            {t, switch_on_[i] ? "fan switch closes" : "fan switch opens", s.name, y[s.state]});
        return solve::EventAction::restart;
    }
    const std::size_t w = (i - model_.switches.size()) / 4,
                      which = (i - model_.switches.size()) % 4;
    const FlatThermostat& thermostat = model_.thermostats[w];
    const double wax = y[thermostat.state];
    if (which == 0 && play_[w] != Play::resting) {
        rest_[w] = stem(w, wax);
        play_[w] = Play::resting;
        return solve::EventAction::restart;
    }
    if (which < 2) {
        play_[w] = which == 0 ? Play::warming : Play::cooling;
        return solve::EventAction::restart;
    }
    const bool up = play_[w] == Play::warming;
    happened.push_back({t,
                        which == 2
                            ? (up ? "thermostat starts to open" : "thermostat is shut")
                            : (up ? "thermostat is fully open" : "thermostat starts to close"),
                        thermostat.name, wax});
    return solve::EventAction::restart;
}

}  // namespace lapheat::model
