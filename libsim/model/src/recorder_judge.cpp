// What the record of a run comes to: a verdict for each fluid, and the events of boiling and of
// standing after shut-down.
#include <algorithm>
#include <cmath>

#include "ending.hpp"
#include "lapheat/heat/fluid_life.hpp"
#include "recorder.hpp"

namespace lapheat::model {
namespace {

double trapezoid(const std::vector<double>& time, const std::vector<double>& value) {
    double sum = 0;
    for (std::size_t i = 1; i < time.size(); ++i)
        sum += 0.5 * (value[i] + value[i - 1]) * (time[i] - time[i - 1]);
    return sum;
}

constexpr double least_rise = 0.5;  // K after shut-down that are worth an event

/// When a fluid first boils off vapour or, where none is counted, is above its boiling point; s,
/// below zero: never.
double first_boiling(const std::vector<double>& time, const std::vector<double>& vapour,
                     const std::vector<double>& temperature, const std::vector<double>& boiling) {
    for (std::size_t i = 0; i < vapour.size(); ++i)
        if (vapour[i] > 0) return time[i];
    for (std::size_t i = 0; i < boiling.size(); ++i)
        if (temperature[i] > boiling[i]) return time[i];
    return Verdict{}.boils;
}

/// The cooler at the worst moment: what it gives off, and where its resistance lies.
void judge_core(const CoreOutput& core, Verdict& v) {
    v.core_heat = core.heat;
    v.core_inlet = core.first_inlet;
    v.air_flow = core.second_flow;
    v.air_inlet = core.second_inlet;
    v.effectiveness = core.effectiveness;
    const double sum = core.resistance_second + core.resistance_wall + core.resistance_first;
    if (!(sum > 0 && std::isfinite(sum))) return;
    v.core_resistance = sum;
    v.share_air = core.resistance_second / sum;
    v.share_wall = core.resistance_wall / sum;
    v.share_liquid = core.resistance_first / sum;
}

/// What heat has done to the fluid and to what it touches.
void judge_life(const heat::FluidLife& fluid, const std::vector<double>& time,
                const std::vector<double>& temperature, Verdict& v) {
    const bool transmission = v.role == LoopRole::transmission;
    if (!transmission && v.role != LoopRole::steering) return;
    const heat::FluidLife seals =
        transmission ? heat::transmission_seals() : heat::steering_seals();
    v.seal_life_used = heat::life_used(seals, time, temperature);
    v.stands_peak = heat::stands(seals, v.peak);
    v.ruined = heat::used_up(seals, time, temperature);
    if (!transmission) return;
    v.fluid_life_used = heat::life_used(fluid, time, temperature);
    const auto charred = std::find_if(temperature.begin(), temperature.end(),
                                      [](double kelvin) { return kelvin > heat::ruined_above; });
    if (charred == temperature.end()) return;
    const double when = time[static_cast<std::size_t>(charred - temperature.begin())];
    v.ruined = v.ruined < 0 ? when : std::min(v.ruined, when);
}

}  // namespace

void Recorder::judge(std::size_t l) {
    const Model& m = dynamics_->model();
    const FlatLoop& loop = m.loops[l];
    const Watch& w = watches_[l];
    const std::vector<double>& time = result_.time;
    Verdict v;
    v.loop = loop.name;
    v.role = m.car.loops[l].role;
    v.note = loop.limits.note;
    if (w.temperature.front() > w.limit.front()) v.first_over = time.front();
    std::size_t peak = 0, worst = 0;
    std::vector<double> over(time.size()), caution(time.size());
    for (std::size_t i = 0; i < time.size(); ++i) {
        if (w.temperature[i] > w.temperature[peak]) peak = i;
        if (w.limit[i] - w.temperature[i] < w.limit[worst] - w.temperature[worst]) worst = i;
        over[i] = w.temperature[i] > w.limit[i];
        caution[i] = loop.limits.caution > 0 && w.temperature[i] > loop.limits.caution;
        if (i > 0 && over[i] != over[i - 1]) {
            // Where the margin crossed zero between two samples.
            const double before = w.limit[i - 1] - w.temperature[i - 1],
                         after = w.limit[i] - w.temperature[i];
            const double t = time[i - 1] + (time[i] - time[i - 1]) * before / (before - after);
            result_.events.push_back(
                {t, over[i] > 0 ? EventKind::over_limit : EventKind::under_limit_again, loop.name,
                 w.temperature[i]});
            if (over[i] > 0 && v.first_over < 0) v.first_over = t;
        }
    }
    const double duration = std::max(time.back() - time.front(), 1e-9);
    v.part = m.cells[at(w.cell[worst])].name;
    v.peak = w.temperature[peak];
    v.peak_time = time[peak];
    v.start = w.temperature.front();
    v.end = w.temperature.back();
    v.mean = trapezoid(time, w.temperature) / duration;
    v.limit = w.limit[worst];
    v.margin = w.limit[worst] - w.temperature[worst];
    v.margin_time = time[worst];
    v.ambient = ambient_[worst];
    v.time_over = trapezoid(time, over);
    v.time_over_caution = trapezoid(time, caution);
    const Ending ending = ending_of(time, w.temperature);
    v.end_rate = ending.rate;
    v.heading = ending.limit;
    double flow = 0, running = 0;
    for (std::size_t i = 0; i < time.size(); ++i) {
        if (w.flow[i] == 0) continue;
        flow += w.flow[i];
        running += 1;
    }
    v.flow = running > 0 ? flow / running : 0;
    v.line_loss = w.line_loss[worst];
    v.return_pressure = lines_[l].highest_return();
    v.line_loss_peak = *std::max_element(w.line_loss.begin(), w.line_loss.end());
    if (w.core != none) {
        v.core = m.cores[at(w.core)].name;
        v.in_coolant = m.cores[at(w.core)].path == none;
        judge_core(w.core_state[worst], v);
        v.core_flow = w.core_flow[worst];
        v.core_capacity = w.core_capacity[worst];
    }
    v.boils = first_boiling(time, w.vapour, w.temperature, w.boiling);
    if (loop.vapour.counts()) {
        const LoopOutput& io = dynamics_->out().loops[l];
        v.liquid_lost = io.lost;
        v.lost_share = loop.liquid > 0 ? io.lost / loop.liquid : 0;
        lost_events(l);
    }
    judge_life(m.car.fluid_life, time, w.temperature, v);
    result_.verdicts.push_back(std::move(v));
}

// How a loop loses what it boils: once its reserve is gone the pump draws vapour, with the tubes
// bare it pumps none, and an engine that goes on then is beyond this model.
void Recorder::lost_events(std::size_t l) {
    const FlatLoop& loop = dynamics_->model().loops[l];
    const Watch& w = watches_[l];
    const struct {
        double share;
        EventKind kind;
    } steps[] = {{reserve_share, EventKind::pump_draws_vapour},
                 {reserve_share + 0.15, EventKind::pump_lost_liquid},
                 {0.6, EventKind::liquid_gone}};
    for (const auto& step : steps) {
        const auto gone = std::find_if(w.lost.begin(), w.lost.end(), [&](double lost) {
            return loop.missing + lost / loop.liquid > step.share;
        });
        if (gone == w.lost.end() || *gone <= 0) continue;
        const auto i = static_cast<std::size_t>(gone - w.lost.begin());
        result_.events.push_back({result_.time[i], step.kind, loop.name, w.temperature[i]});
    }
}

// What happens to a fluid that stands after shut-down: how hot it still gets, and whether it or the
// wall behind it passes the boiling point.
void Recorder::soak_events(std::size_t l) {
    const FlatLoop& loop = dynamics_->model().loops[l];
    const Watch& w = watches_[l];
    const std::vector<double>& time = result_.time;
    const auto note = [&](std::size_t i, EventKind kind, double value) {
        result_.events.push_back({time[i], kind, loop.name, value});
    };
    std::size_t hottest = 0, stopped = 0;
    bool boiled = false;
    const auto close = [&](std::size_t end) {
        if (end > stopped && !running_[stopped] && hottest > stopped &&
            w.temperature[hottest] > w.temperature[stopped] + least_rise)
            note(hottest, EventKind::hottest_after_stop, w.temperature[hottest]);
    };
    for (std::size_t i = 0; i < time.size(); ++i) {
        const bool fresh = i == 0 || running_[i] != running_[i - 1];
        if (fresh) {
            close(i);
            stopped = hottest = i;
        }
        if (!running_[i] && w.temperature[i] > w.temperature[hottest]) hottest = i;
        if (w.boiling.empty()) continue;
        const auto boils = [&](const std::vector<double>& t, std::size_t k) {
            return t[k] > w.boiling[k];
        };
        if (boils(w.temperature, i) && (i == 0 || !boils(w.temperature, i - 1))) {
            boiled = true;
            note(i, running_[i] ? EventKind::boils : EventKind::boils_after_stop, w.temperature[i]);
        }
        // With the engine running hot walls boil locally and the stream carries the vapour off.
        if (!running_[i] && boils(w.wall, i) && (fresh || !boils(w.wall, i - 1)))
            note(i, EventKind::wall_vapour_after_stop, w.wall[i]);
    }
    close(time.size());
    if (boiled && !w.lost.empty() && w.lost.back() > 0)
        result_.warnings.push_back(
            {Code::fluid_boils, loop.name, {}, {{w.lost.back(), units::Quantity::mass}}});
}

}  // namespace lapheat::model
