#include "settle.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <stdexcept>

#include "lapheat/drive/generate.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::model {

namespace {

constexpr double stretch = 300, patience = 3 * 3600.0;  // s
constexpr double first_guess = 353.15;                  // K, from where fluids set out

/// The cruise in the air in which the cycle begins.
drive::Cycle cruise_before(const drive::Cycle& cycle, double speed) {
    const drive::Surroundings s{.ambient = cycle.ambient.front(),
                                .humidity = cycle.humidity.front(),
                                .sun = cycle.sun.front(),
                                .wind = cycle.wind.front(),
                                .altitude = cycle.altitude.front()};
    drive::Cycle out = drive::steady(speed, patience, s, patience);  // one interval
    out.ac_demand.assign(out.size(), cycle.ac_demand.front());
    return out;
}

}  // namespace

std::string name_of_state(const Model& model, std::size_t state) {
    const auto i = static_cast<int>(state);
    const auto loop = [&](const Cell& cell) {
        return model.loops[at(cell.loop)].name + "/" + cell.name;
    };
    const Layout& layout = model.layout;
    const auto in = [&](StateKind kind) {
        return i >= layout[kind].first && i < layout[kind].end();
    };
    if (in(StateKind::cell)) return loop(model.cells[state]);
    for (const Wall& w : model.walls)
        if (w.state == i) return "the wall of " + loop(model.cells[at(w.cell)]);
    for (const FlatPassage& p : model.passages)
        if (p.state == i) return "air in the path " + model.paths[at(p.path)].name;
    for (const FlatPath& p : model.paths)
        if (p.state == i) return "air before the path " + p.name;
    for (const FlatFan& f : model.fans)
        if (f.state == i) return "the fan " + f.name;
    for (const FlatSwitch& s : model.switches)
        if (s.state == i) return "the switch of " + s.name;
    for (const FlatThermostat& t : model.thermostats)
        if (t.state == i) return "the thermostat " + t.name;
    if (in(StateKind::exhaust)) return "the exhaust";
    if (in(StateKind::head)) return "a pump's head";
    return "the engine bay";
}

namespace {

/// The car, and a moment at which to stop that is only known under way. An integration that goes on
/// where another stopped would begin inside a switch's or a stem's play; this one never stops.
class Until {
  public:
    explicit Until(Dynamics& car) : car_(car) {}
    double stop = 1e9;                                                ///< s
    std::function<void(std::size_t, double, const double*)> happens;  ///< event, s, state

    [[nodiscard]] std::size_t size() const { return car_.size(); }
    void rhs(double t, const double* y, double* dydt) { car_.rhs(t, y, dydt); }
    bool after_step(const double* y) { return car_.after_step(y); }
    [[nodiscard]] std::size_t event_count() const { return car_.event_count() + 1; }
    void events(double t, const double* y, double* g) const {
        car_.events(t, y, g);
        g[car_.event_count()] = t - stop;
    }
    [[nodiscard]] solve::Crossing event_direction(std::size_t i) const {
        return i < car_.event_count() ? car_.event_direction(i) : solve::Crossing::rising;
    }
    solve::EventAction handle(std::size_t i, double t, double* y) {
        if (i >= car_.event_count()) return solve::EventAction::stop;
        const solve::EventAction action = car_.handle(i, t, y);
        happens(i, t, y);
        return action;
    }
    solve::AtKnot enter_interval(std::size_t k) { return car_.enter_interval(k); }
    void slopes(double t, const double* y, solve::SparseMatrix& a) { car_.slopes(t, y, a); }
    bool begin_step(double t, double h, const double* y, const double* slope) {
        return car_.begin_step(t, h, y, slope);
    }
    double longest_step(const double* y, const double* slope) {
        return car_.longest_step(y, slope);
    }

  private:
    Dynamics& car_;
};

/// Time means of temperatures, stretch by stretch, and whether the last two agree.
class StretchMeans {
  public:
    explicit StretchMeans(const Model& model)
        : model_(model), now_(at(model.layout[StateKind::head].first)), sum_(now_.size(), 0) {}

    /// True once a stretch is full whose means are those of the one before.
    bool add(double t, const double* y) {
        for (std::size_t i = 0; i < now_.size(); ++i)
            now_[i] = i < model_.cells.size() ? model_.cells[i].temperature(y[i]) : y[i];
        for (std::size_t i = 0; i < now_.size(); ++i) sum_[i] += now_[i];
        ++count_;
        if (t < next_) return false;
        bool same = !before_.empty();
        for (std::size_t i = 0; i < sum_.size(); ++i) {
            sum_[i] /= count_;
            same = same && std::abs(sum_[i] - before_[i]) < settled_within;
        }
        before_ = sum_;
        std::fill(sum_.begin(), sum_.end(), 0.0);
        count_ = 0;
        next_ += stretch;
        return same;
    }

  private:
    const Model& model_;
    std::vector<double> now_, sum_, before_;
    double count_ = 0, next_ = stretch;
};

/// Where switches and thermostats turned, and whether one turns again in a car as it stood then. A
/// fan that goes by a slow fluid may take half an hour to come round: means of a stretch never
/// agree.
class Round {
  public:
    explicit Round(const Model& model) : states_(at(model.layout[StateKind::head].first)) {}

    /// True once the event finds the car where the same one found it a stretch ago or longer.
    bool add(std::size_t event, double t, Standing now) {
        std::vector<Turn>& turns = turns_[event];
        if (!turns.empty() && t < turns.back().time + stretch) return false;
        const bool again = std::any_of(turns.begin(), turns.end(),
                                       [&](const Turn& turn) { return same(turn.car, now); });
        turns.push_back({t, std::move(now)});
        return again;
    }

  private:
    struct Turn {
        double time = 0;  ///< s
        Standing car;
    };

    [[nodiscard]] bool same(const Standing& a, const Standing& b) const {
        for (std::size_t i = 0; i < states_; ++i)
            if (!(std::abs(a.state[i] - b.state[i]) < settled_within)) return false;
        return a.modes.switch_on == b.modes.switch_on && a.modes.play == b.modes.play;
    }

    std::size_t states_;  ///< temperatures, which come first
    std::map<std::size_t, std::vector<Turn>> turns_;
};

}  // namespace

std::shared_ptr<const Start> settle(const Model& model, const drive::Cycle& cycle,
                                    const Options& options, const solve::Tolerances& tolerances,
                                    double hold, Holding holding, const Start* near) {
    const double speed = model.car.settled_speed;
    const Forcing forcing = joined_forcing(driven(model), cruise_before(cycle, speed));
    Dynamics dynamics(model, forcing, hold, holding);
    std::vector<double> y(dynamics.size());
    if (near && same_states(model, *near)) {
        dynamics.take_over(near->car, y.data());
    } else {
        dynamics.start(std::vector<double>(model.loops.size(), first_guess), y.data());
    }
    Until system(dynamics);
    StretchMeans watch(model);
    std::vector<double> samples;
    for (double t = 0; t <= patience; t += 10) samples.push_back(t);
    solve::IntegrationPlan run;
    run.end = patience;
    run.knots = forcing.time;
    run.samples = samples;
    run.cancel = options.cancel;
    run.most_steps = 400'000;
    run.name_of = [&](std::size_t state) { return name_of_state(model, state); };
    solve::Tolerances limits = tolerances;
    limits.max_step = 60;
    bool settled = false;
    const auto settle_at = [&](double t) {
        settled = true;
        system.stop = t + 2 * limits.max_step;  // beyond the step this moment lies in
    };
    const auto look = [&](double t, const double* at_t) {
        if (!settled && watch.add(t, at_t)) settle_at(t);
    };
    Round round(model);
    system.happens = [&](std::size_t event, double t, const double* at_t) {
        if (!settled && round.add(event, t, dynamics.standing(at_t))) settle_at(t);
    };
    auto out = std::make_shared<Start>();
    out->layout = model.layout;
    out->cost = solve::integrate(system, y, run, limits, look);
    if (out->cost.finish == solve::Finish::cancelled) throw Error("the simulation was cancelled");
    if (!settled)
        throw Error(
            "the car does not settle at its cruise of " + fmt::format("{:.3g}", speed * 3.6) +
                " km/h before the cycle within three hours",
            "another settled_at, a temperature, or warm_start of the loops", {}, "settled_at");
    for (const StateKind sum : {StateKind::ledger, StateKind::fan_energy, StateKind::lost}) {
        const Block& block = model.layout[sum];
        std::fill(y.begin() + block.first, y.begin() + block.end(), 0.0);
    }
    out->car = dynamics.standing(y.data());
    return out;
}

void override_warm_starts(const Model& model, Standing& settled) {
    const auto stated = [&](int cell) {
        return model.car.loops[at(model.cells[at(cell)].loop)].warm_start;
    };
    const auto put = [&](int state, int cell) {
        if (const double t = stated(cell); t > 0) settled.state[at(state)] = t;
    };
    for (std::size_t c = 0; c < model.cells.size(); ++c)
        put(static_cast<int>(c), static_cast<int>(c));
    for (const Wall& w : model.walls) put(w.state, w.cell);
    // What has been passed is no crossing that a run would find: switches and stems go along.
    Controls::Modes& modes = settled.modes;
    for (std::size_t i = 0; i < model.switches.size(); ++i) {
        const FlatSwitch& s = model.switches[i];
        put(s.state, s.cell);
        if (const double t = stated(s.cell); t > 0)
            modes.switch_on[i] = modes.switch_on[i] ? t > s.off : t >= s.on;
    }
    for (std::size_t i = 0; i < model.thermostats.size(); ++i) {
        const FlatThermostat& w = model.thermostats[i];
        put(w.state, w.cell);
        const double t = stated(w.cell);
        if (!(t > 0) || modes.play[i] != Play::resting) continue;
        if (t > modes.rest[i])
            modes.play[i] = Play::warming;
        else if (t < modes.rest[i] - w.hysteresis)
            modes.play[i] = Play::cooling;
    }
}

bool same_states(const Model& model, const Start& start) {
    return model.layout == start.layout &&
           model.switches.size() == start.car.modes.switch_on.size() &&
           model.thermostats.size() == start.car.modes.play.size();
}

void require_same_states(const Model& model, const Start& start) {
    if (!same_states(model, start))
        throw std::logic_error("a start from another car, with other parts");
}

}  // namespace lapheat::model
