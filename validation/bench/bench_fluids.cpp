// What a property costs: the table, the correlation behind it, and reference libraries.
//
// Temperatures come from an array in random order, so that neither the branch predictor nor the
// compiler knows them; the loop and the load are part of the time. Read the ratios: table against
// correlation, and against iapws and psychrolib in the same run.
#include <benchmark/benchmark.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

#include "lapheat/fluids/air.hpp"
#include "lapheat/fluids/iapws.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/fluids/walther.hpp"
#include "lapheat/units/units.hpp"

namespace {

using namespace lapheat;

const std::vector<double>& temperatures() {
    static const std::vector<double> all = [] {
        std::mt19937 random(1);  // NOLINT: the same order in every run
        std::uniform_real_distribution<double> kelvin(280, 400);
        std::vector<double> v(1024);
        for (double& t : v) t = kelvin(random);
        return v;
    }();
    return all;
}

/// Calls f over the temperatures and reports the processor time of each call.
template <class F>
void each(benchmark::State& state, F f) {
    const auto& t = temperatures();
    for (auto _ : state)
        for (const double x : t) benchmark::DoNotOptimize(f(x));
    state.counters["per_call"] =
        benchmark::Counter(static_cast<double>(state.iterations()) * static_cast<double>(t.size()),
                           benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

void liquid_one_property(benchmark::State& state) {
    const fluids::Liquid l = fluids::ethylene_glycol(0.5);
    each(state, [&](double t) { return l.viscosity(t); });
}
BENCHMARK(liquid_one_property);

void liquid_all_properties(benchmark::State& state) {
    const fluids::Liquid l = fluids::ethylene_glycol(0.5);
    each(state, [&](double t) {
        const fluids::Properties p = l.at(t);
        return p.density + p.specific_heat + p.conductivity + p.viscosity;
    });
}
BENCHMARK(liquid_all_properties);

void liquid_enthalpy(benchmark::State& state) {
    const fluids::Liquid l = fluids::ethylene_glycol(0.5);
    each(state, [&](double t) { return l.specific_enthalpy(t); });
}
BENCHMARK(liquid_enthalpy);

void liquid_boiling(benchmark::State& state) {
    const fluids::Liquid l = fluids::ethylene_glycol(0.5);
    each(state, [&](double t) { return l.boiling_temperature(500 * t); });
}
BENCHMARK(liquid_boiling);

void oil_viscosity_table(benchmark::State& state) {
    const fluids::Liquid l = fluids::by_name("transmission_fluid");
    each(state, [&](double t) { return l.viscosity(t); });
}
BENCHMARK(oil_viscosity_table);

void oil_viscosity_correlation(benchmark::State& state) {
    const fluids::WaltherLine line = fluids::walther_line(313.15, 34e-6, 373.15, 7.2e-6);
    each(state, [&](double t) { return line(t); });
}
BENCHMARK(oil_viscosity_correlation);

void water_all_table(benchmark::State& state) {
    const fluids::Liquid l = fluids::water();
    each(state, [&](double t) {
        const fluids::Properties p = l.at(t);
        return p.density + p.specific_heat + p.conductivity + p.viscosity;
    });
}
BENCHMARK(water_all_table);

void water_all_correlation(benchmark::State& state) {
    each(state, [&](double t) {
        const fluids::WaterState s = fluids::if97_region_1(t, 3e5);
        const double rho = 1 / s.specific_volume;
        return rho + s.specific_heat + fluids::iapws_viscosity(t, rho) +
               fluids::iapws_conductivity(t, rho);
    });
}
BENCHMARK(water_all_correlation);

void air_all_properties(benchmark::State& state) {
    each(state, [&](double t) {
        const fluids::AirState a{t, 95000, 0.01};
        return fluids::density(a) + fluids::specific_heat(a) + fluids::viscosity(a) +
               fluids::conductivity(a);
    });
}
BENCHMARK(air_all_properties);

void air_density(benchmark::State& state) {
    each(state, [&](double t) { return fluids::density({t, 95000, 0.01}); });
}
BENCHMARK(air_density);

/// Seconds that a reference script reports under `key`, as this benchmark's own time.
void reference(benchmark::State& state, const std::string& command, const std::string& key) {
    for (auto _ : state) {
        FILE* pipe = popen(command.c_str(), "r");
        std::string text;
        std::array<char, 4096> buffer{};
        while (pipe != nullptr) {
            const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe);
            if (n == 0) break;
            text.append(buffer.data(), n);
        }
        const auto at = text.find('"' + key + "\":");
        if (pipe == nullptr || pclose(pipe) != 0 || at == std::string::npos) {
            state.SkipWithError("the reference library is missing: run ./run.sh");
            return;
        }
        const double seconds = std::strtod(text.c_str() + at + key.size() + 3, nullptr);
        state.SetIterationTime(seconds);
        state.counters["per_call"] = seconds;
    }
}

void python3_iapws_water(benchmark::State& state) {
    reference(state,
              "/usr/bin/python3 " LAPHEAT_SOURCE_DIR "/validation/fluids/reference_iapws.py 2>&1",
              "seconds_per_state");
}
BENCHMARK(python3_iapws_water)->UseManualTime()->Iterations(1);

void npm_psychrolib_density(benchmark::State& state) {
    reference(state, "node " LAPHEAT_SOURCE_DIR "/validation/fluids/reference_psychrolib.js 2>&1",
              "seconds_per_density");
}
BENCHMARK(npm_psychrolib_density)->UseManualTime()->Iterations(1);

void build_water(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(fluids::water());
}
BENCHMARK(build_water);

void build_glycol_mix(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(fluids::ethylene_glycol(0.5));
}
BENCHMARK(build_glycol_mix);

void parse_quantity(benchmark::State& state) {
    for (auto _ : state)
        benchmark::DoNotOptimize(units::parse("2.5 gal/min", units::Quantity::volume_flow));
}
BENCHMARK(parse_quantity);

}  // namespace
