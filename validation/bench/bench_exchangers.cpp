// What a core costs: each of ours beside the same answer through Boost.Math or the correlations
// themselves, in the same run.
#include <benchmark/benchmark.h>

#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <lapheat/exchangers/core.hpp>
#include <lapheat/exchangers/duct.hpp>
#include <lapheat/exchangers/rate.hpp>
#include <lapheat/fluids/liquids.hpp>

using namespace lapheat::exchangers;

namespace {

/// NTU and C* that change from call to call, 0.3 to 5 and 0.1 to 1.
struct Walk {
    unsigned state = 1;
    double next() {
        state = state * 1664525u + 1013904223u;
        return (state >> 8) * (1.0 / 16777216);
    }
};

double mason(double n, double c) {
    double sum = 0;
    for (int k = 0; k < 100; ++k) {
        const double t = boost::math::gamma_p(k + 1.0, n) * boost::math::gamma_p(k + 1.0, c * n);
        sum += t;
        if (t < 1e-16) break;
    }
    return sum / (c * n);
}

double baclic(double n, double c) {
    const double z = 2 * n * std::sqrt(c);
    double sum = boost::math::cyl_bessel_i(0, z) + std::sqrt(c) * boost::math::cyl_bessel_i(1, z);
    double power = c;
    for (int k = 2; k < 100; ++k) {
        const double t = (1 - c) / c * power * boost::math::cyl_bessel_i(k, z);
        sum -= t;
        if (t < 1e-16 * sum) break;
        power *= std::sqrt(c);
    }
    return 1 - std::exp(-(1 + c) * n) * sum;
}

template <class F>
void walk(benchmark::State& state, F f) {
    Walk w;
    for (auto _ : state) benchmark::DoNotOptimize(f(0.3 + 4.7 * w.next(), 0.1 + 0.9 * w.next()));
}

void unmixed_ours(benchmark::State& s) {
    walk(s, [](double n, double c) { return effectiveness({}, n, c); });
}
void unmixed_ours_with_slopes(benchmark::State& s) {
    walk(s, [](double n, double c) { return effectiveness_with_slopes({}, n, c).by_ntu; });
}
void unmixed_mason_by_boost(benchmark::State& s) { walk(s, mason); }
void unmixed_baclic_by_boost(benchmark::State& s) { walk(s, baclic); }
void counter_flow_ours(benchmark::State& s) {
    walk(s, [](double n, double c) { return effectiveness({Arrangement::counter}, n, c); });
}
void two_passes_unmixed_exact(benchmark::State& s) {
    walk(s, [](double n, double c) {
        return effectiveness({Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted}, n, c);
    });
}
void two_passes_unmixed_table(benchmark::State& s) {
    const auto t =
        make_effectiveness_table({Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted});
    walk(s, [&](double n, double c) { return effectiveness(t, n, c, Smaller::first); });
}

const Duct duct{DuctShape::rectangle, 2.6e-3, 0.35, 0.1};

double air_nusselt(double re, double pr) { return 0.35 * std::sqrt(re) * std::cbrt(pr); }
double air_loss(double re) { return 12 / std::sqrt(re) + 40 / re + 0.6; }

SideDescription liquid_side() {
    SideDescription d;
    d.flow_area = 4e-4;
    d.hydraulic_diameter = 2.6e-3;
    d.heat_area = 0.25;
    d.nusselt = [](double re, double pr) { return nusselt(duct, re, pr).value; };
    d.loss = [](double re) { return friction_factor(duct, re) * 0.35 / 2.6e-3 + 1.5; };
    d.prandtl_minimum = 2;
    d.prandtl_maximum = 2e4;
    return d;
}

SideDescription fin_side() {
    SideDescription d;
    d.flow_area = 0.045;
    d.hydraulic_diameter = 2e-3;
    d.heat_area = 3;
    d.fin_area_fraction = 0.85;
    d.fin_parameter = 2 * 4e-3 * 4e-3 / (175 * 1e-4);
    d.nusselt = air_nusselt;
    d.loss = air_loss;
    d.prandtl_minimum = d.prandtl_maximum = 0.71;
    return d;
}

/// Invented oil cooler.
Core cooler() {
    Core c;
    c.first = make_side(liquid_side());
    c.second = make_side(fin_side());
    c.wall_resistance = 2e-5;
    c.face_area = 0.055;
    return make_core(c);
}

struct Streams {
    lapheat::fluids::Liquid oil = lapheat::fluids::by_name("transmission_fluid");
    Medium air = air_medium();
    Walk w;
    StreamInput first, second;
    Streams() {
        first = {0.1, 380, oil.at(370), 0};
        second = {0.3, 310, air.at(320), 0};
    }
    void change() {
        first.mass_flow = 0.02 + 0.3 * w.next();
        second.mass_flow = 0.05 + 0.6 * w.next();
    }
};

void core_flows_changed_ours(benchmark::State& state) {
    const Core core = cooler();
    Streams s;
    for (auto _ : state) {
        s.change();
        benchmark::DoNotOptimize(operate(core, s.first, s.second));
    }
}

/// The dearest arrangement: tabulated passes between which neither stream mixes.
void core_flows_changed_two_passes_unmixed_ours(benchmark::State& state) {
    Core described = cooler();
    described.arrangement = {Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted};
    const Core core = make_core(described);
    Streams s;
    for (auto _ : state) {
        s.change();
        benchmark::DoNotOptimize(operate(core, s.first, s.second));
    }
}

void core_flows_changed_wall_corrected_ours(benchmark::State& state) {
    const Core core = cooler();
    Streams s;
    s.first.wall_viscosity = 2 * s.first.properties.viscosity;
    for (auto _ : state) {
        s.change();
        benchmark::DoNotOptimize(operate(core, s.first, s.second));
    }
}

/// The same core through the correlations and Mason's series in Boost's functions.
void core_flows_changed_by_boost(benchmark::State& state) {
    const SideDescription l = liquid_side(), f = fin_side();
    Streams s;
    for (auto _ : state) {
        s.change();
        const auto& p1 = s.first.properties;
        const auto& p2 = s.second.properties;
        const double re1 = s.first.mass_flow * l.hydraulic_diameter / (l.flow_area * p1.viscosity);
        const double re2 = s.second.mass_flow * f.hydraulic_diameter / (f.flow_area * p2.viscosity);
        const double h1 =
            nusselt(duct, re1, p1.prandtl()).value * p1.conductivity / l.hydraulic_diameter;
        const double h2 = air_nusselt(re2, p2.prandtl()) * p2.conductivity / f.hydraulic_diameter;
        const double ml = std::sqrt(h2 * f.fin_parameter);
        const double fin = 1 - f.fin_area_fraction * (1 - std::tanh(ml) / ml);
        const double ua = 1 / (1 / (h1 * l.heat_area) + 2e-5 + 1 / (fin * h2 * f.heat_area));
        const double c1 = s.first.mass_flow * p1.specific_heat,
                     c2 = s.second.mass_flow * p2.specific_heat;
        const double least = std::min(c1, c2);
        const double heat = mason(ua / least, least / std::max(c1, c2)) * least * 70;
        const double drop1 =
            l.loss(re1) * std::pow(s.first.mass_flow / l.flow_area, 2) / (2 * p1.density);
        const double drop2 =
            f.loss(re2) * std::pow(s.second.mass_flow / f.flow_area, 2) / (2 * p2.density);
        benchmark::DoNotOptimize(heat + drop1 + drop2);
    }
}

void air_pressure_drop_ours(benchmark::State& state) {
    const Core core = cooler();
    Streams s;
    for (auto _ : state) {
        s.change();
        benchmark::DoNotOptimize(second_pressure_drop(core, s.second.mass_flow, 1.1, 1.9e-5));
    }
}

void make_core_ours(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(cooler());
}

void make_slow_arrangement_table(benchmark::State& state) {
    for (auto _ : state) {
        benchmark::DoNotOptimize(make_effectiveness_table(
            {Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted}));
    }
}

}  // namespace

BENCHMARK(unmixed_ours);
BENCHMARK(unmixed_ours_with_slopes);
BENCHMARK(unmixed_mason_by_boost);
BENCHMARK(unmixed_baclic_by_boost);
BENCHMARK(counter_flow_ours);
BENCHMARK(two_passes_unmixed_table);
BENCHMARK(two_passes_unmixed_exact);
BENCHMARK(core_flows_changed_ours);
BENCHMARK(core_flows_changed_two_passes_unmixed_ours);
BENCHMARK(core_flows_changed_wall_corrected_ours);
BENCHMARK(core_flows_changed_by_boost);
BENCHMARK(air_pressure_drop_ours);
BENCHMARK(make_core_ours)->Unit(benchmark::kMicrosecond);
BENCHMARK(make_slow_arrangement_table)->Unit(benchmark::kMillisecond);
