// What an hour of driving costs: the backward trace, the forward trace, and as their peer the same
// car (converter, gears, road load, driver) written as differential equations for Boost.Odeint,
// Runge-Kutta 4 at 0.01 s, the step of forward(). Ratios to the peer of the same run: counters
// "peer_over_ours". The lap solver by the lap.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <ctime>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/lap.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/trace.hpp>

#include "../../tests/drive/invented_car.hpp"

using namespace lapheat::drive;

namespace {

const Cycle& hour() {
    static const Cycle cycle = stop_and_go(3600, 7);
    return cycle;
}

// State: road speed, engine speed, engine work. Gear by engine speed, fixed inside an interval.
double peer_hour() {
    const Vehicle v = invented_car();
    const Cycle& c = hour();
    using State = std::array<double, 3>;
    namespace odeint = boost::numeric::odeint;
    odeint::runge_kutta4<State> stepper;
    State x{0, v.engine.idle_speed, 0};
    std::size_t gear = 0;
    for (std::size_t k = 0; k + 1 < c.size(); ++k) {
        const double t0 = c.time[k], span = c.time[k + 1] - t0;
        const double wanted = (c.speed[k + 1] - c.speed[k]) / span;
        auto rate = [&](std::size_t g) {
            return v.gearbox.ratio[g] * v.gearbox.final_drive / v.tyre_radius;
        };
        if (x[0] * rate(gear) > 250 && gear + 1 < v.gearbox.ratio.size()) ++gear;
        if (gear > 0 && x[0] * rate(gear - 1) < 170) --gear;
        const double eta = v.gearbox.efficiency[gear] * v.gearbox.final_drive_efficiency;
        auto slopes = [&](const State& s, State& d, double t) {
            RoadPoint p;
            p.speed = std::max(0.0, s[0]);
            const double road = road_load(v, p).total();
            const double mass = v.mass * v.rotating_factor;
            const double push =
                mass * (wanted + 2 * (c.speed[k] + wanted * (t - t0) - s[0])) + road;
            const double turbine = p.speed * rate(gear);
            const double asked = std::max(0.0, push / (rate(gear) * eta));
            const ConverterPoint aim = converter_for_torque(v.converter, asked, turbine);
            const ConverterPoint is = converter_at(v.converter, s[1], turbine);
            const double losses = v.gearbox.pump_torque + v.gearbox.pump_torque_slope * s[1] +
                                  v.accessory_torque + v.accessory_power / s[1];
            const double torque = std::clamp(
                aim.pump_torque + losses +
                    v.engine.inertia * (std::max(aim.pump_speed, v.engine.idle_speed) - s[1]) / 0.2,
                -motoring_torque(v.engine, s[1]), full_torque(v.engine, s[1]));
            const double drive = is.turbine_torque * rate(gear) * eta;
            const double brake = push < 0 ? std::max(0.0, drive - push) : 0.0;
            d[0] = (drive - brake - road) / mass;
            d[1] = (torque - losses - is.pump_torque) / v.engine.inertia;
            d[2] = torque * s[1];
        };
        if (c.speed[k] <= 0 && c.speed[k + 1] <= 0) x[0] = 0;
        odeint::integrate_n_steps(stepper, slopes, x, t0, 0.01,
                                  static_cast<std::size_t>(std::lround(span / 0.01)));
    }
    return x[2];
}

// Seconds of processor time, so that a busy machine does not count.
template <class F>
double seconds(F f) {
    const std::clock_t begin = std::clock();
    benchmark::DoNotOptimize(f());
    return static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
}

void backward_hour(benchmark::State& state) {
    const Vehicle v = invented_car();
    Trace trace;
    double ours = 0;
    for (auto _ : state)
        ours += seconds([&] {
            backward(v, hour(), trace);
            return trace.engine_power[100];
        });
    const double peer = seconds(peer_hour);
    state.counters["peer_over_ours"] = peer / (ours / static_cast<double>(state.iterations()));
    state.counters["ns_per_knot"] =
        1e9 * ours / static_cast<double>(state.iterations()) / static_cast<double>(hour().size());
}
BENCHMARK(backward_hour)->Unit(benchmark::kMillisecond);

void forward_hour(benchmark::State& state) {
    const Vehicle v = invented_car();
    double ours = 0;
    for (auto _ : state) ours += seconds([&] { return forward(v, hour()).engine_power[100]; });
    const double peer = seconds(peer_hour);
    state.counters["peer_over_ours"] = peer / (ours / static_cast<double>(state.iterations()));
}
BENCHMARK(forward_hour)->Unit(benchmark::kMillisecond);

void odeint_hour(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(peer_hour());
}
BENCHMARK(odeint_hour)->Unit(benchmark::kMillisecond);

void lap_of(benchmark::State& state, const Course& course) {
    const Vehicle v = invented_car();
    double sweeps = 0;
    for (auto _ : state) {
        const Lap lap = solve_lap(v, course);
        sweeps = lap.sweeps;
        benchmark::DoNotOptimize(lap.lap_time);
    }
    state.counters["knots"] = static_cast<double>(course.distance.size());
    state.counters["sweeps"] = sweeps;
}
BENCHMARK_CAPTURE(lap_of, cone_course, cone_course())->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(lap_of, road_circuit, road_circuit())->Unit(benchmark::kMillisecond);

}  // namespace
