#include "lapheat/model/simulate.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <memory>

#include "dynamics.hpp"
#include "lapheat/model/drive_cache.hpp"
#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"
#include "recorder.hpp"
#include "settle.hpp"

namespace lapheat::model {
namespace {

/// J held by all fluids and metals, the exhaust's and the engine bay's among them.
double stored(const Model& model, const std::vector<double>& y) {
    double sum = 0;
    for (std::size_t c = 0; c < model.cells.size(); ++c) sum += model.cells[c].scale * y[c];
    for (const Wall& w : model.walls) sum += w.capacity * y[static_cast<std::size_t>(w.state)];
    const Block& exhaust = model.layout[StateKind::exhaust];
    for (int i = 0; i < exhaust.count; ++i)
        sum += model.exhaust.stretch[at(i)].metal * y[at(exhaust.first + i)];
    return sum + model.car.bay.air * y[at(model.layout[StateKind::bay].first)] +
           model.car.bay.sheet * y[at(model.layout[StateKind::bay_sheet].first)];
}

/// Heat that rounding makes or loses tells of a number that no car has: a wall so thick that beside
/// its heat a run's is nothing.
void require_closed(const Ledger& ledger) {
    constexpr double most = 1e-6;  // of the heat moved; runs close to 1e-10
    if (ledger.closure <= most) return;
    throw Error(
        Diagnostic{Code::run_failed,
                   {},
                   {"the heat does not add up: in, out and stored differ by " +
                    units::format(ledger.closure, units::Quantity::ratio, units::System::si, 2) +
                    " of what moved; a size or a mass of the car is far beyond what cars have"}});
}

/// `kept`: J stored over the run, from the states themselves, not from any balance.
Ledger close_ledger(const Model& model, const std::vector<double>& last, double kept) {
    Ledger ledger;
    double in = 0, out = 0;
    auto sum = last.begin() + model.layout[StateKind::ledger].first;
    for (const LedgerPath& path : model.ledger) {
        const double joules = *sum++;
        const bool enters = path.direction == LedgerEntry::Direction::in;
        ledger.entries.push_back({path.name, path.direction, joules});
        if (path.direction == LedgerEntry::Direction::within) continue;
        (enters ? in : out) += joules;
        ledger.moved += enters ? std::max(joules, 0.0) : std::max(-joules, 0.0);
    }
    ledger.entries.push_back({"fluids and metal", LedgerEntry::Direction::stored, kept});
    ledger.moved += std::max(-kept, 0.0);
    // Of a cold car that stands nothing moves but rounding, of which no share says anything.
    constexpr double next_to_nothing = 1;  // J
    ledger.closure = std::abs(in - out - kept) / std::max(ledger.moved, next_to_nothing);
    return ledger;
}

constexpr double coarsest_settling = 5e-2;  // K, local error
/// Below this tolerance (K) a run is a reference.
constexpr double least_implicit = 1e-4;

bool implicit(const Options& options) {
    return options.stepping == Stepping::implicit_steps ||
           (options.stepping == Stepping::by_tolerance && options.tolerance > least_implicit);
}

Holding holding(const Options& options) {
    return implicit(options) ? Holding::by_step : Holding::by_drift;
}

/// K of drift over which flows are held. Explicit steps: what flows then miss is of the size of the
/// error that the tolerance lets pass in many steps. Implicit ones find them for a step's middle,
/// once: less drift costs little and more gains nothing. A tolerance that only a check asks for
/// holds nothing.
double hold_of(const Options& options) {
    if (implicit(options)) return 10 * options.tolerance;
    return options.tolerance > 1e-5 ? 20 * options.tolerance : 0;
}

/// How much more a small cell may err than its loop: what it misses it hands on within seconds,
/// and it weighs as its share of the loop's heat.
void widen_small_cells(const Model& model, std::vector<double>& absolute) {
    constexpr double share = 0.5, most = 8;
    for (const FlatLoop& loop : model.loops) {
        double whole = 0;
        for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c)
            whole += model.cells[at(c)].scale;
        for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c)
            absolute[at(c)] *= std::clamp(share * whole / model.cells[at(c)].scale, 1.0, most);
    }
}

solve::Tolerances tolerances(const Model& model, const Options& options) {
    solve::Tolerances t;
    // Knots decide explicit steps more often than the tolerance does; a check that asks for less
    // than steps of third order can give gets those of fifth.
    t.method = implicit(options)                    ? solve::Method::linearly_implicit
               : options.tolerance > least_implicit ? solve::Method::third_order
                                                    : solve::Method::fifth_order;
    // Implicit steps hold flows for their middle, which no error of a step shows, and the air
    // answers every knot: held to less, so that the same tolerance means no more error.
    const double kelvin = (implicit(options) ? 0.3 : 1.0) * options.tolerance;
    t.relative = 0;
    t.absolute = kelvin;
    t.absolute_each.reserve(at(model.layout.size()));
    for (const Block& block : model.layout.blocks())
        t.absolute_each.insert(t.absolute_each.end(), at(block.count), block.slack * kelvin);
    if (!implicit(options)) return t;
    widen_small_cells(model, t.absolute_each);
    const double in_paths = 0.4 * options.air_slack;
    for (const auto& [air, share] : {std::pair{StateKind::passage, in_paths},
                                     {StateKind::path, in_paths},
                                     {StateKind::bay, 0.4}}) {
        const Block& block = model.layout[air];
        for (int i = block.first; i < block.end(); ++i) t.absolute_each[at(i)] *= share;
    }
    return t;
}

std::vector<double> sample_times(double start, double end, double interval) {
    std::vector<double> times;
    const auto count = static_cast<std::size_t>(std::ceil((end - start) / interval - 1e-9));
    for (std::size_t i = 0; i < count; ++i)
        times.push_back(start + static_cast<double>(i) * interval);
    times.push_back(end);
    return times;
}

/// One stretch of the run: the car as it is until the next fault.
struct Stage {
    Stage(const Model& m, const drive::Cycle& cycle, double begin, double until,
          const Options& options)
        : model(m),
          end(until),
          forcing(driven_by(m, cycle, begin, until, options)),
          dynamics(m, *forcing, hold_of(options), holding(options)) {}
    static std::shared_ptr<const Forcing> driven_by(const Model& model, const drive::Cycle& cycle,
                                                    double begin, double until,
                                                    const Options& options) {
        if (options.drives)
            return options.drives->drive(model, cycle, begin, until, options.averaged);
        return std::make_shared<const Forcing>(
            joined_forcing(driven(model), cycle, begin, until, options.averaged));
    }
    const Model& model;
    const double end;  ///< s
    const std::shared_ptr<const Forcing> forcing;
    Dynamics dynamics;
};

void add_cost(RunCost& sum, const solve::Cost& one) {
    sum.smallest_step =
        sum.steps == 0 ? one.smallest_step : std::min(sum.smallest_step, one.smallest_step);
    sum.largest_step = std::max(sum.largest_step, one.largest_step);
    sum.rhs_calls += one.rhs_calls;
    sum.steps += one.steps;
    sum.rejected += one.rejected;
    sum.events += one.events;
}

void add_sources(std::vector<HeatSource>& sum, const std::vector<HeatSource>& more) {
    for (const HeatSource& s : more) {
        const auto at = std::find_if(sum.begin(), sum.end(), [&](const HeatSource& o) {
            return o.source == s.source && o.path == s.path;
        });
        if (at == sum.end())
            sum.push_back(s);
        else
            at->joules += s.joules;
    }
}

std::vector<double> start_temperatures(const Car& car, double ambient) {
    std::vector<double> out;
    for (const Loop& loop : car.loops) {
        double t = car.start_temperature > 0 ? car.start_temperature : ambient;
        if (car.start_warm && loop.warm_start > 0) t = loop.warm_start;
        out.push_back(t);
    }
    return out;
}

/// No car takes a tenth of these; a part that answers in microseconds would take hours.
std::size_t most_steps(double duration) {
    return 100'000 + static_cast<std::size_t>(60 * std::max(0.0, duration));
}

bool starts_settled(const Car& car) { return car.start_warm && car.settled_speed > 0; }

/// What is known of a run before it starts.
Result begun(const Model& model, const Forcing& forcing) {
    Result result;
    result.car = model.car.name;
    result.placement = model.car.placement;
    result.summary = model.car.summary;
    result.cycle = forcing.cycle;
    result.assumptions = model.car.assumptions;
    result.assumed = model.car.assumed;
    result.warnings = model.warnings;
    result.warnings.insert(result.warnings.end(), forcing.warnings.begin(), forcing.warnings.end());
    result.distance = forcing.distance;
    for (const drive::Phase& phase : forcing.phases)
        result.phases.emplace_back(phase.begin, phase.name);
    return result;
}

/// Faults that begin within the cycle are events of it.
void note_faults(const Car& car, double start, double end, Result& result) {
    for (const Fault& fault : car.faults) {
        if (start + fault.begins < end)
            result.events.push_back({fault.begins, EventKind::fault_begins, describe(fault), 0});
        else
            result.warnings.push_back({Code::fault_too_late, {}, {describe(fault)}});
    }
}

}  // namespace

std::shared_ptr<const Start> settled_start(const Model& model, const drive::Cycle& cycle,
                                           const Options& options, const Start* near) {
    if (!starts_settled(model.car)) return nullptr;
    // Coarser steps wander by more than what is called settled, and wait the longer for it.
    Options fine = options;
    fine.tolerance = std::min(fine.tolerance, coarsest_settling);
    return settle(model, cycle, fine, tolerances(model, fine), hold_of(fine), holding(fine), near);
}

namespace {

/// Puts the car where it settles on the road before the cycle, but for what the file says
/// otherwise.
void begin_settled(const Model& model, const drive::Cycle& cycle, const Options& options,
                   Dynamics& dynamics, Result& result, std::vector<double>& y) {
    std::shared_ptr<const Start> settled = options.start;
    if (settled) {
        require_same_states(model, *settled);
    } else {
        settled = settled_start(model, cycle, options);
        result.cost.rhs_calls += settled->cost.rhs_calls;
    }
    Standing standing = settled->car;
    override_warm_starts(model, standing);
    for (const Loop& loop : model.car.loops)
        if (loop.warm_start > 0)
            result.assumptions.push_back(
                {{},
                 loop.name + ": starts at its warm_start, a number of the file in place of what "
                             "the car settles at"});
    dynamics.take_over(standing, y.data());
}

}  // namespace

Result simulate(const Model& model, const drive::Cycle& cycle, const Options& options) {
    const auto began = std::chrono::steady_clock::now();
    const double start = cycle.time.empty() ? 0 : cycle.time.front();
    const double end = cycle.time.empty() ? 0 : cycle.time.back();
    /// When the next fault after `t` begins, or the end.
    const auto until = [&](double t) {
        for (const auto& [begins, broken] : model.later)
            if (begins > t) return std::min(begins, end);
        return end;
    };
    std::vector<std::unique_ptr<Stage>> stages;
    stages.push_back(std::make_unique<Stage>(model, cycle, start, until(start), options));
    const Forcing& forcing = *stages.front()->forcing;
    Result result = begun(model, forcing);

    std::vector<double> y(stages.front()->dynamics.size());
    stages.front()->dynamics.start(start_temperatures(model.car, forcing.rows.front().ambient),
                                   y.data());
    if (starts_settled(model.car))
        begin_settled(model, cycle, options, stages.front()->dynamics, result, y);
    Recorder recorder(stages.front()->dynamics, result, options);
    const std::vector<double> samples = sample_times(start, end, options.sample_interval);
    double begin = start, kept = 0;
    auto sample = samples.begin();
    while (begin < end) {
        Stage& stage = *stages.back();
        solve::IntegrationPlan run;
        run.start = begin;
        run.end = stage.end;
        run.knots = stage.forcing->time;
        const auto last = std::upper_bound(sample, samples.end(), run.end);
        run.samples = {sample, last};
        if (options.progress)
            run.progress = [&](double part) {
                options.progress((run.start + part * (run.end - run.start) - start) /
                                 (end - start));
            };
        run.cancel = options.cancel;
        run.most_steps = most_steps(run.end - run.start);
        run.name_of = [&](std::size_t state) { return name_of_state(model, state); };
        const double before = stored(stage.model, y);
        const solve::Cost cost =
            solve::integrate(stage.dynamics, y, run, tolerances(model, options), recorder);
        if (cost.finish == solve::Finish::cancelled) throw Error(Diagnostic{Code::cancelled});
        kept += stored(stage.model, y) - before;
        add_cost(result.cost, cost);
        result.events.insert(result.events.end(), stage.dynamics.happened().begin(),
                             stage.dynamics.happened().end());
        begin = run.end;
        sample = last;
        if (begin >= end) break;
        const auto broken = std::find_if(model.later.begin(), model.later.end(),
                                         [&](const auto& l) { return l.first == begin; });
        stages.push_back(
            std::make_unique<Stage>(*broken->second, cycle, begin, until(begin), options));
        stages.back()->dynamics.take_over(stage.dynamics.standing(y.data()), y.data());
        recorder.follow(stages.back()->dynamics);
    }

    result.ledger = close_ledger(model, y, kept);
    require_closed(result.ledger);
    result.fan_energy = y[at(model.layout[StateKind::fan_energy].first)];
    result.cost.rhs_calls += recorder.evaluations();
    result.cost.simulated_seconds = end - start;
    for (const auto& stage : stages) {
        result.cost.network_residual =
            std::max(result.cost.network_residual, stage->dynamics.out().worst_residual);
        result.cost.network_failures += stage->dynamics.out().failures;
        add_sources(result.sources, stage->forcing->sources);
    }
    note_faults(model.car, start, end, result);
    recorder.finish();
    result.cost.wall_seconds =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return result;
}

}  // namespace lapheat::model
