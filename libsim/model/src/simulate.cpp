#include "lapheat/model/simulate.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>

#include "dynamics.hpp"
#include "recorder.hpp"

namespace lapheat::model {
namespace {

/// J held by all fluids and metals.
double stored(const Model& model, const std::vector<double>& y) {
    double sum = 0;
    for (std::size_t c = 0; c < model.cells.size(); ++c) sum += model.cells[c].scale * y[c];
    for (const Wall& w : model.walls) sum += w.capacity * y[static_cast<std::size_t>(w.state)];
    return sum;
}

Ledger close_ledger(const Model& model, const std::vector<double>& first,
                    const std::vector<double>& last) {
    Ledger ledger;
    double in = 0, out = 0;
    for (std::size_t i = 0; i < model.ledger_names.size(); ++i) {
        const double joules = last[static_cast<std::size_t>(model.first_ledger) + i];
        const bool enters = model.ledger_in[i];
        ledger.entries.push_back({model.ledger_names[i],
                                  enters ? LedgerEntry::Direction::in : LedgerEntry::Direction::out,
                                  joules});
        (enters ? in : out) += joules;
        ledger.moved += enters ? std::max(joules, 0.0) : std::max(-joules, 0.0);
    }
    // What was stored is taken from the states themselves, not from any balance.
    const double kept = stored(model, last) - stored(model, first);
    ledger.entries.push_back({"fluids and metal", LedgerEntry::Direction::stored, kept});
    ledger.moved += std::max(-kept, 0.0);
    ledger.closure = ledger.moved > 0 ? std::abs(in - out - kept) / ledger.moved : 0.0;
    return ledger;
}

/// K of drift over which flows are held: what they then miss is of the size of the error that the
/// tolerance lets pass in many steps (measured in validation/model). A tolerance that only a check
/// asks for holds nothing.
double hold_of(double tolerance) { return tolerance > 1e-5 ? 20 * tolerance : 0; }

solve::Tolerances tolerances(const Model& model, double kelvin) {
    solve::Tolerances t;
    // Knots decide the step more often than the tolerance does; a check that asks for less than
    // steps of third order can give gets those of fifth.
    t.method = kelvin > 1e-4 ? solve::Method::third_order : solve::Method::fifth_order;
    t.relative = 0;
    t.absolute = kelvin;
    t.absolute_each.assign(static_cast<std::size_t>(model.states), kelvin);
    for (int i = model.first_air; i < model.first_fan; ++i)
        t.absolute_each[static_cast<std::size_t>(i)] = 20 * kelvin;
    for (int i = model.first_fan; i < model.first_switch; ++i)
        t.absolute_each[static_cast<std::size_t>(i)] = kelvin;
    for (int i = model.first_ledger; i < model.states; ++i)
        t.absolute_each[static_cast<std::size_t>(i)] = std::numeric_limits<double>::infinity();
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

}  // namespace

Result simulate(const Model& model, const drive::Cycle& cycle, const Options& options) {
    const auto began = std::chrono::steady_clock::now();
    Forcing forcing = make_forcing(model, cycle);
    join_equal_rows(forcing);
    Dynamics dynamics(model, forcing, hold_of(options.tolerance));
    Result result;
    result.car = model.car.name;
    result.placement = model.car.placement;
    result.summary = model.car.summary;
    result.cycle = forcing.cycle;
    result.assumptions = model.car.assumptions;
    result.warnings = model.warnings;
    result.warnings.insert(result.warnings.end(), forcing.warnings.begin(), forcing.warnings.end());
    result.distance = forcing.distance;
    for (const drive::Phase& phase : forcing.phases)
        result.phases.emplace_back(phase.begin, phase.name);

    std::vector<double> start;
    for (const Loop& loop : model.car.loops) {
        double t = model.car.start_temperature > 0 ? model.car.start_temperature
                                                   : forcing.rows.front().ambient;
        if (model.car.start_warm && loop.warm_start > 0) t = loop.warm_start;
        start.push_back(t);
    }
    std::vector<double> y(dynamics.size());
    dynamics.start(start, y.data());
    const std::vector<double> first = y;

    Recorder recorder(dynamics, result, options.keep_series);
    solve::Run run;
    run.start = forcing.time.front();
    run.end = forcing.time.back();
    run.knots = forcing.time;
    const std::vector<double> samples = sample_times(run.start, run.end, options.sample_interval);
    run.samples = samples;
    run.progress = options.progress;
    run.cancel = options.cancel;
    const solve::Cost cost =
        solve::integrate(dynamics, y, run, tolerances(model, options.tolerance), recorder);
    if (cost.finish == solve::Finish::cancelled) throw Error("the simulation was cancelled");

    result.ledger = close_ledger(model, first, y);
    result.fan_energy = y[static_cast<std::size_t>(model.fan_energy)];
    result.cost = {.rhs_calls = cost.rhs_calls + recorder.evaluations(),
                   .steps = cost.steps,
                   .rejected = cost.rejected,
                   .events = cost.events,
                   .simulated_seconds = run.end - run.start,
                   .network_residual = dynamics.worst_residual,
                   .network_failures = dynamics.failures,
                   .smallest_step = cost.smallest_step,
                   .largest_step = cost.largest_step};
    result.events = dynamics.happened;
    recorder.finish();
    result.cost.wall_seconds =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return result;
}

}  // namespace lapheat::model
