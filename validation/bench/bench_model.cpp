// The demo car through its cycles: milliseconds for each simulated hour, as shipped, and as its
// peer of the same run the same car with nothing held and fifth order at 1e-6 K, which is what the
// tests compare with. Counter "ms_per_hour"; "peer_over_ours" is the gain of the shipped settings.
#include <benchmark/benchmark.h>

#include <chrono>
#include <filesystem>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>
#include <string>

using namespace lapheat;

namespace {

const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";

double seconds(const model::Model& m, const drive::Cycle& cycle, double tolerance) {
    model::Options options;
    options.tolerance = tolerance;
    const auto began = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(model::simulate(m, cycle, options).ledger.closure);
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

void whole_car(benchmark::State& state, const char* name) {
    const scenario::Scenario s = scenario::read(scenarios / "placements" / "under_floor.toml",
                                                {scenarios / "cycles" / name});
    const auto m = model::compile(s.car);
    const drive::Cycle& cycle = s.cycles.front();
    double ours = 1e9, peer = seconds(*m, cycle, 1e-6);
    for (auto _ : state) ours = std::min(ours, seconds(*m, cycle, model::Options{}.tolerance));
    state.counters["ms_per_hour"] = 3.6e6 * ours / (cycle.time.back() - cycle.time.front());
    state.counters["peer_over_ours"] = peer / ours;
}

}  // namespace

BENCHMARK_CAPTURE(whole_car, highway_with_a_grade, "highway_grade.toml")
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(whole_car, traffic, "traffic.toml")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(whole_car, timed_laps, "lap_session.toml")->Unit(benchmark::kMillisecond);
