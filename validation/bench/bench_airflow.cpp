// The operating point of an air path, warm-started, against a bracketing root finder of
// Boost.Math on the same equations. The peer solves a simpler path (no leaks, one stream, both
// fans as one curve), so that it is a scalar equation; ours solves that one and the full one.
#include <benchmark/benchmark.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "../airflow/invented_car.hpp"

using namespace lapheat;
using namespace lapheat::airflow;

namespace {

/// One radiator, one shroud over all of it, one fan, no leaks: a scalar equation.
PathDescription single_stream() {
    PathDescription d = validation::front_end();
    d.cores.erase(d.cores.begin());
    d.fans.resize(1);
    d.shrouds = {{.cover = d.cores[0].face, .fans = {0}}};
    d.leak_area = 0;
    return d;
}

PathInputs driving(const Path& path, int step) {
    PathInputs in = make_inputs(path, 1.16, 303.15);
    in.passage_outlet_temperature.assign(path.passages.size(), 330);
    in.bay_temperature = 330;
    in.vehicle_speed = 12 + 0.02 * (step % 100);
    in.fan_speed.assign(path.description.fans.size(), 0.9);
    return in;
}

void warm(benchmark::State& state, const PathDescription& description) {
    const Path path = make_path(description);
    PathFlow flow = make_flow(path);
    PathInputs in = driving(path, 0);
    int step = 0;
    for (auto _ : state) {
        in.vehicle_speed = 12 + 0.02 * (++step % 100);
        operating_point(path, in, flow);
        benchmark::DoNotOptimize(flow.inlet_flow);
    }
    state.counters["iterations"] = flow.iterations;
    state.counters["branches"] = static_cast<double>(flow.branches.size());
}

void bracketed(benchmark::State& state) {
    const Path path = make_path(single_stream());
    const PathDescription& d = path.description;
    PathInputs in = driving(path, 0);
    const double hot = in.ambient_density * in.ambient_temperature / 330;
    const double mean = (1 + 330 / in.ambient_temperature) / 2;
    const double viscosity = in.viscosity * std::cbrt(mean * mean);
    const double open = d.cores[0].open_fraction * path.core_area[0];
    const double sigma2 = d.cores[0].open_fraction * d.cores[0].open_fraction;
    const double acceleration =
        (1 + sigma2) * (1 / hot - 1 / in.ambient_density) / (2 * open * open);
    int step = 0;
    for (auto _ : state) {
        const double speed = 12 + 0.02 * (++step % 100);
        const double ram =
            0.5 * in.ambient_density * speed * speed * (d.inlet.coefficient - d.exit.coefficient);
        const auto unbalanced = [&](double m) {
            return ram + fan_pressure(d.fans[0], m / hot, 0.9, hot).rise -
                   pressure_drop(d.cores[0].resistance, m, in.ambient_density / mean, viscosity) -
                   m * std::abs(m) *
                       (acceleration + path.branches[0].quadratic / in.ambient_density +
                        path.branches[1].quadratic / hot);
        };
        std::uintmax_t most = 100;
        const auto root = boost::math::tools::toms748_solve(
            unbalanced, 0.0, 5.0, boost::math::tools::eps_tolerance<double>(40), most);
        benchmark::DoNotOptimize(root);
    }
}

void BM_full_front_end_warm(benchmark::State& state) { warm(state, validation::front_end()); }
void BM_single_stream_warm(benchmark::State& state) { warm(state, single_stream()); }
void BM_single_stream_boost_toms748(benchmark::State& state) { bracketed(state); }

void BM_full_front_end_cold(benchmark::State& state) {
    const Path path = make_path(validation::front_end());
    PathFlow flow = make_flow(path);
    const PathInputs in = driving(path, 0);
    for (auto _ : state) {
        flow.warm = false;
        operating_point(path, in, flow);
        benchmark::DoNotOptimize(flow.inlet_flow);
    }
    state.counters["iterations"] = flow.iterations;
}

BENCHMARK(BM_full_front_end_warm);
BENCHMARK(BM_full_front_end_cold);
BENCHMARK(BM_single_stream_warm);
BENCHMARK(BM_single_stream_boost_toms748);

}  // namespace
