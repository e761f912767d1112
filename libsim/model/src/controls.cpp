#include "controls.hpp"

#include <algorithm>

namespace lapheat::model {
namespace {

/// K beyond the play before a resting stem follows. Where it begins to rest the wax stands at one
/// end of the play; without slack the event function would begin at zero, and leaving zero is no
/// crossing.
constexpr double play_slack = 1e-6;

/// Of its travel, that a stem moves in an implicit step at most, more by a share of its lift: where
/// it is all but shut, little is much of the flow.
constexpr double stem_range = 0.0025, stem_share = 0.03;

/// What a switch that is on asks of its fan: a step, or a ramp over the sensor's temperature.
double asked(const FlatSwitch& s, double sensed) {
    if (s.full <= s.on) return s.command;
    return s.command + (1 - s.command) * std::clamp((sensed - s.on) / (s.full - s.on), 0.0, 1.0);
}

}  // namespace

Controls::Controls(const Model& model)
    : model_(model),
      modes_{std::vector<bool>(model.switches.size(), false),
             std::vector<Play>(model.thermostats.size(), Play::warming),
             std::vector<double>(model.thermostats.size(), 0.0)} {}

void Controls::start(const double* y) {
    for (std::size_t i = 0; i < model_.switches.size(); ++i)
        modes_.switch_on[i] = y[model_.switches[i].state] >= model_.switches[i].on;
}

double Controls::stem(std::size_t i, double wax) const {
    switch (modes_.play[i]) {
        case Play::warming:
            return wax;
        case Play::cooling:
            return wax + model_.thermostats[i].hysteresis;
        case Play::resting:
            break;
    }
    return modes_.rest[i];
}

void Controls::lifts(const Instant& now) const {
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& t = model_.thermostats[i];
        const double wax = now.y[t.state];
        now.out.thermostats[i] = {
            t.stuck ? t.stuck_at
                    : std::clamp((stem(i, wax) - t.opens) / (t.full - t.opens), 0.0, 1.0),
            wax};
    }
}

double Controls::command(std::size_t f, const Instant& now) const {
    const FlatFan& fan = model_.fans[f];
    if (fan.dead || (!now.row.engine_on && !fan.after_run)) return 0;
    if (fan.with_air_conditioning && now.row.heat[Stream::condenser] > 0) return 1;
    double command = fan.switched ? 0.0 : 1.0;
    for (std::size_t s = 0; s < model_.switches.size(); ++s) {
        const FlatSwitch& one = model_.switches[s];
        if (modes_.switch_on[s] && one.fan == static_cast<int>(f))
            command = std::max(command, asked(one, now.y[one.state]));
    }
    return command;
}

void Controls::follow(const Instant& now) const {
    const auto lag = [&](const auto& sensor) {
        now.dydt[sensor.state] =
            (now.out.cell_temperature[at(sensor.cell)] - now.y[sensor.state]) / sensor.lag;
    };
    for (const FlatSwitch& s : model_.switches) lag(s);
    for (const FlatThermostat& t : model_.thermostats) lag(t);
}

void Controls::slopes(Slopes& slopes) const {
    const auto lag = [&](const auto& sensor) {
        slopes.follows(sensor.state, sensor.cell, sensor.lag, slopes.kelvin(sensor.cell));
    };
    for (const FlatSwitch& s : model_.switches) lag(s);
    for (const FlatThermostat& t : model_.thermostats) lag(t);
}

double Controls::longest_step(const double* y, const double* slope, double reach) const {
    double longest = endless;
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i) {
        const FlatThermostat& t = model_.thermostats[i];
        if (t.stuck || modes_.play[i] == Play::resting) continue;
        const double lift = (stem(i, y[t.state]) - t.opens) / (t.full - t.opens);
        const double range = stem_range + stem_share * std::clamp(lift, 0.0, 1.0);
        longest = std::min(longest, reach * range * (t.full - t.opens) /
                                        std::max(std::abs(slope[t.state]), 1e-12));
        // However slowly it follows: flows that are held swing about it over longer steps, and it
        // rests where they leave it.
        if (lift > 0 && lift < 1) longest = std::min(longest, reach * t.lag);
    }
    return longest;
}

std::size_t Controls::event_count() const {
    return model_.switches.size() + turns * model_.thermostats.size();
}

void Controls::events(const double* y, double* g) const {
    for (std::size_t i = 0; i < model_.switches.size(); ++i) {
        const FlatSwitch& s = model_.switches[i];
        *g++ = modes_.switch_on[i] ? s.off - y[s.state] : y[s.state] - s.on;
    }
    for (std::size_t i = 0; i < model_.thermostats.size(); ++i, g += turns)
        thermostat_events(i, y, g);
}

void Controls::thermostat_events(std::size_t i, const double* y, double* g) const {
    const FlatThermostat& t = model_.thermostats[i];
    const auto set = [&](Turn turn, double value) { g[static_cast<std::size_t>(turn)] = value; };
    std::fill(g, g + turns, 1.0);  // a constant never crosses
    if (t.stuck) return;
    const double wax = y[t.state], fluid = model_.cells[at(t.cell)].temperature(y[t.cell]);
    if (modes_.play[i] == Play::resting) {
        set(Turn::up, wax - modes_.rest[i] - play_slack);  // the stem follows upward
        set(Turn::down, modes_.rest[i] - t.hysteresis - play_slack - wax);  // and downward
        return;
    }
    // It comes to rest where the wax cools below what the stem followed, or warms above it.
    set(Turn::up, modes_.play[i] == Play::warming ? wax - fluid : fluid - wax);
    set(Turn::down, -1);
    set(Turn::opens, stem(i, wax) - t.opens);
    set(Turn::full, stem(i, wax) - t.full);
}

solve::Crossing Controls::event_direction(std::size_t i) const {
    if (i < model_.switches.size()) return solve::Crossing::rising;
    const auto turn = static_cast<Turn>((i - model_.switches.size()) % turns);
    return turn == Turn::up || turn == Turn::down ? solve::Crossing::rising
                                                  : solve::Crossing::either;
}

void Controls::handle(std::size_t i, double t, const double* y, std::vector<Event>& happened) {
    if (i < model_.switches.size()) {
        modes_.switch_on[i] = !modes_.switch_on[i];
        const FlatSwitch& s = model_.switches[i];
        happened.push_back(
            {t, modes_.switch_on[i] ? EventKind::fan_switch_closes : EventKind::fan_switch_opens,
             s.name, y[s.state]});
        return;
    }
    const std::size_t w = (i - model_.switches.size()) / turns;
    const FlatThermostat& thermostat = model_.thermostats[w];
    const double wax = y[thermostat.state];
    const bool warming = modes_.play[w] == Play::warming;
    switch (static_cast<Turn>((i - model_.switches.size()) % turns)) {
        case Turn::up:
            if (modes_.play[w] != Play::resting) {
                modes_.rest[w] = stem(w, wax);
                modes_.play[w] = Play::resting;
            } else {
                modes_.play[w] = Play::warming;
            }
            return;
        case Turn::down:
            modes_.play[w] = Play::cooling;
            return;
        case Turn::opens:
            happened.push_back(
                {t, warming ? EventKind::thermostat_starts_to_open : EventKind::thermostat_shut,
                 thermostat.name, wax});
            return;
        case Turn::full:
            happened.push_back(
                {t,
                 warming ? EventKind::thermostat_fully_open : EventKind::thermostat_starts_to_close,
                 thermostat.name, wax});
            return;
        case Turn::count:
            return;
    }
}

}  // namespace lapheat::model
