// The integrator against CVODE on the same right-hand side: one hour, forty states, inputs with a
// kink every second, a relay. `error_K` is the worst of any lump at any second, against a reference
// at 1e-11. Compare times only with ours at equal or smaller error.
#include <benchmark/benchmark.h>

#include <chrono>
#include <string>

#include "../solve/cvode_chain.hpp"
#include "../solve/thermal_chain.hpp"

using namespace lapheat;
using validation::CvodeOptions;
using validation::ThermalChain;

namespace {

constexpr std::size_t hour = 3600;

const std::vector<double>& reference() {
    static const std::vector<double> rows = [] {
        ThermalChain chain(hour);
        return validation::integrate_chain(chain, {.relative = 1e-11, .absolute = 1e-10});
    }();
    return rows;
}

void ours(benchmark::State& state, solve::Method method, double relative, double absolute) {
    solve::Cost cost;
    std::vector<double> rows;
    for (auto _ : state) {
        state.PauseTiming();
        ThermalChain chain(hour);
        state.ResumeTiming();
        rows = validation::integrate_chain(
            chain, {.method = method, .relative = relative, .absolute = absolute}, &cost);
        benchmark::DoNotOptimize(rows.data());
    }
    state.counters["error_K"] = validation::worst_difference(reference(), rows);
    state.counters["rhs_calls"] = static_cast<double>(cost.rhs_calls);
    state.counters["steps"] = static_cast<double>(cost.steps);
    state.counters["rejected"] = static_cast<double>(cost.rejected);
}

void cvode(benchmark::State& state, const CvodeOptions& options) {
    long calls = 0;
    std::vector<double> rows;
    for (auto _ : state) {
        state.PauseTiming();
        ThermalChain chain(hour);
        state.ResumeTiming();
        rows = validation::cvode_chain(chain, options, &calls);
        benchmark::DoNotOptimize(rows.data());
    }
    state.counters["error_K"] = validation::worst_difference(reference(), rows);
    state.counters["rhs_calls"] = static_cast<double>(calls);
}

/// Cost of the right-hand side alone, to be taken off.
void right_hand_side(benchmark::State& state) {
    ThermalChain chain(hour);
    std::vector<double> y = ThermalChain::initial();
    std::vector<double> d(ThermalChain::n);
    for (auto _ : state) {
        chain.rhs(0.5, y.data(), d.data());
        benchmark::DoNotOptimize(d.data());
    }
}

const CvodeOptions free_bdf{.relative = 1e-6, .absolute = 1e-4};
const CvodeOptions free_adams{.relative = 1e-6, .absolute = 1e-4, .adams = true};
const CvodeOptions landing_bdf{.relative = 1e-6, .absolute = 1e-4, .stop_at_knots = true};

}  // namespace

BENCHMARK(right_hand_side);
BENCHMARK_CAPTURE(ours, third_order, solve::Method::third_order, 1e-4, 1e-2)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(ours, fifth_order, solve::Method::fifth_order, 1e-5, 1e-2)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(ours, fifth_order_tight, solve::Method::fifth_order, 1e-8, 1e-6)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(cvode, bdf_free, free_bdf)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(cvode, adams_free, free_adams)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(cvode, bdf_landing, landing_bdf)->Unit(benchmark::kMillisecond);
