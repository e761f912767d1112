// Cost of a warm-started solve, in nanoseconds a branch, and of the same network by a general
// Newton solver.
#include <benchmark/benchmark.h>

#include <cmath>
#include <memory>
#include <unsupported/Eigen/NonLinearOptimization>

#include "../hydraulics/epanet.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/hydraulics/solver.hpp"

using namespace lapheat::hydraulics;
using lapheat::validation::describe;
using lapheat::validation::Grid;
using lapheat::validation::make_grid;

namespace {

/// Eight branches, invented: pump and jacket, two banks, radiator, bypass, heater, vent, tank.
NetworkDescription coolant() {
    const auto hose = [](double length, double diameter) {
        return Pipe{length, diameter, rubber_hose_roughness};
    };
    NetworkDescription d;
    d.branches = {
        {.name = "pump",
         .from = "suction",
         .to = "block",
         .elements = {{"pump", parabolic_pump(1.2e5, 4e-3, 1030, 400)}}},
        {.name = "left",
         .from = "block",
         .to = "outlet",
         .elements = {{"jacket", MinorLoss{8, 2000, 0.025}}}},
        {.name = "right",
         .from = "block",
         .to = "outlet",
         .elements = {{"jacket", MinorLoss{9, 2000, 0.025}}}},
        {.name = "radiator",
         .from = "outlet",
         .to = "cold",
         .elements = {{"thermostat", thermostat(0.03, 0.008, 0.002)},
                      {"upper", hose(0.8, 0.035)},
                      {"core", MinorLoss{12, 3000, 0.03}}}},
        {.name = "lower",
         .from = "cold",
         .to = "suction",
         .elements = {{"hose", hose(0.9, 0.038)}}},
        {.name = "bypass",
         .from = "outlet",
         .to = "suction",
         .elements = {{"hose", hose(0.3, 0.016)}}},
        {.name = "heater",
         .from = "outlet",
         .to = "suction",
         .elements = {{"feed", hose(2, 0.016)},
                      {"core", MinorLoss{15, 3000, 0.016}},
                      {"return", hose(2, 0.016)}}},
        {.name = "vent",
         .from = "cold",
         .to = "suction",
         .elements = {{"hole", orifice(0.002)}, {"hose", hose(1, 0.008)}}},
    };
    return d;
}

struct Case {
    std::shared_ptr<const Network> network;
    NetworkSolver solver;
    std::vector<double> density, viscosity, control, fixed, outflow;
    Flow flow;
    explicit Case(NetworkDescription d, std::vector<double> out)
        : network(std::make_shared<const Network>(build(std::move(d)))),
          solver(network),
          density(network->elements(), 1030),
          viscosity(network->elements(), 8e-4),
          control(network->elements(), 0.6),
          fixed(network->nodes(), 0),
          outflow(std::move(out)) {
        outflow.resize(network->nodes(), 0);
    }
    Inputs inputs() const { return {density, viscosity, control, fixed, outflow}; }
};

/// Every solve differs from the last by what a second of driving brings: 0.3 % in viscosity.
void run(benchmark::State& state, Case& c) {
    c.solver.solve(c.inputs(), c.flow);
    int step = 0;
    long sweeps = 0;
    double worst = 0;
    for (auto _ : state) {
        const double mu = 8e-4 * (1 + 0.003 * (++step % 2));
        for (double& v : c.viscosity) v = mu;
        if (c.solver.solve(c.inputs(), c.flow) != Outcome::converged)
            state.SkipWithError("not solved");
        sweeps += c.flow.evaluations;
        worst = std::max(worst, c.flow.residual);
    }
    const auto branches = static_cast<double>(c.network->branches());
    state.counters["s_per_branch"] = benchmark::Counter(
        branches, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
    state.counters["sweeps"] =
        static_cast<double>(sweeps) / static_cast<double>(state.iterations());
    state.counters["residual"] = worst;
}

void coolant_loop(benchmark::State& state) {
    Case c(coolant(), {});
    c.control[0] = 300;
    run(state, c);
}

void grid(benchmark::State& state) {
    const Grid g = make_grid(static_cast<int>(state.range(0)), static_cast<int>(state.range(1)));
    Case c(describe(g), g.outflow);
    run(state, c);
}

/// The same grid as residuals of flows and pressures for Eigen's hybrid Newton (Powell), with the
/// friction of the library's own table and numbers scaled to order one.
struct Residuals {
    using Scalar = double;
    enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
    const Grid& g;
    std::vector<LossCurve> curves;
    double mu = 8e-4, rho = 1030;

    explicit Residuals(const Grid& grid) : g(grid) {
        for (const auto& p : g.pipes) curves.push_back(pipe_curve(p.roughness / p.diameter));
    }
    int unknowns() const { return static_cast<int>(g.pipes.size() + g.outflow.size()) - 1; }

    int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& r) const {
        const auto pipes = static_cast<Eigen::Index>(g.pipes.size());
        const auto pressure = [&](int node) { return node == 0 ? 0.0 : 1e3 * x[pipes + node - 1]; };
        r.setZero();
        for (Eigen::Index i = 0; i < pipes; ++i) {
            const auto& p = g.pipes[static_cast<std::size_t>(i)];
            const double m = 0.1 * x[i], re = 4 * std::abs(m) / (M_PI * p.diameter * mu);
            const double loss = mu * mu * p.length / (2 * rho * std::pow(p.diameter, 3)) *
                                evaluate(curves[static_cast<std::size_t>(i)], re).value;
            r[i] = (pressure(p.from) - pressure(p.to) - std::copysign(loss, m)) / 1e3;
            if (p.from > 0) r[pipes + p.from - 1] += 10 * m;
            if (p.to > 0) r[pipes + p.to - 1] -= 10 * m;
        }
        for (std::size_t n = 1; n < g.outflow.size(); ++n)
            r[pipes + static_cast<Eigen::Index>(n) - 1] += 10 * g.outflow[n];
        return 0;
    }
};

void grid_by_general_newton(benchmark::State& state) {
    const Grid g = make_grid(static_cast<int>(state.range(0)), static_cast<int>(state.range(1)));
    Case ours(describe(g), g.outflow);
    ours.solver.solve(ours.inputs(), ours.flow);
    Residuals residuals(g);
    Eigen::VectorXd start(residuals.unknowns());
    for (std::size_t i = 0; i < g.pipes.size(); ++i)
        start[static_cast<Eigen::Index>(i)] = 10 * ours.flow.mass_flow[i];
    for (std::size_t n = 1; n < g.outflow.size(); ++n)
        start[static_cast<Eigen::Index>(g.pipes.size() + n) - 1] = ours.flow.pressure[n] / 1e3;
    int step = 0;
    for (auto _ : state) {
        residuals.mu = 8e-4 * (1 + 0.003 * (++step % 2));
        Eigen::HybridNonLinearSolver<Residuals> newton(residuals);
        newton.parameters.xtol = 1e-11;
        Eigen::VectorXd x = start;
        benchmark::DoNotOptimize(newton.solveNumericalDiff(x));
    }
}

/// The reference library's own time for a solve that starts at its answer, in a JavaScript engine
/// that runs the library compiled to WebAssembly.
void grid_by_reference_library(benchmark::State& state) {
    const Grid g = make_grid(static_cast<int>(state.range(0)), static_cast<int>(state.range(1)));
    const std::vector<double> numbers = lapheat::validation::by_reference_library(g);
    if (numbers.size() != g.pipes.size() + 1) {
        state.SkipWithError("the reference library did not answer: ./run.sh installs it");
        return;
    }
    for (auto _ : state) state.SetIterationTime(numbers.back() * 1e-6);
    state.counters["s_per_branch"] = numbers.back() * 1e-6 / static_cast<double>(g.pipes.size());
}

}  // namespace

BENCHMARK(coolant_loop);
BENCHMARK(grid)->Args({2, 4})->Args({2, 34})->Args({15, 35});
BENCHMARK(grid_by_reference_library)
    ->Args({2, 4})
    ->Args({2, 34})
    ->Args({15, 35})
    ->UseManualTime()
    ->Iterations(1);
BENCHMARK(grid_by_general_newton)->Args({2, 4})->Args({2, 34});
