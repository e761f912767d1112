#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/airflow/path.hpp>
#include <lapheat/units/error.hpp>
#include <random>

using namespace lapheat::airflow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

// All cars and parts below are invented.
Resistance radiator_resistance() {
    return fit_resistance([](double m) { return 40 * std::pow(m, 1.5) + 30 * m * m; }, 0.05, 4, 1.2,
                          1.81e-5);
}

Resistance cooler_resistance() {
    return fit_resistance([](double m) { return 400 * std::pow(m, 1.6); }, 0.02, 1.5, 1.2, 1.81e-5);
}

Fan electric_fan() {
    Fan fan;
    fan.curve = fan_curve(0.8, 220);
    fan.disc_area = 0.09;
    return fan;
}

/// A radiator with two fans in a shroud over `coverage` of its face, a cooler ahead of part of it.
PathDescription front_stack(double coverage, double cooler_width = 0.3) {
    PathDescription d;
    d.inlet.losses = {{.coefficient = 1.2, .area = 0.18}};
    d.exit.losses = {{.coefficient = 1.5, .area = 0.25}};
    if (cooler_width > 0)
        d.cores.push_back(
            {.face = {0.1, 0.05, cooler_width, 0.2}, .resistance = cooler_resistance()});
    d.cores.push_back({.face = {0, 0, 0.65, 0.4}, .resistance = radiator_resistance()});
    d.fans = {electric_fan(), electric_fan()};
    d.shrouds = {{.cover = {0, 0, 0.65 * coverage, 0.4}, .fans = {0, 1}}};
    d.leak_area = 0.01;
    return d;
}

PathFlow solved(const Path& path, const PathInputs& in) {
    PathFlow flow = make_flow(path);
    solve(path, in, flow);
    REQUIRE(flow.converged);
    return flow;
}

}  // namespace

TEST_CASE("the face is cut into columns that add up to every core") {
    const Path path = make_path(front_stack(0.5));
    REQUIRE(path.columns.size() == 4);
    std::vector<double> sum(2, 0);
    for (const Passage& p : path.passages) sum[p.core] += p.core_fraction;
    CHECK_THAT(sum[0], WithinRel(1.0, 1e-12));
    CHECK_THAT(sum[1], WithinRel(1.0, 1e-12));
}

TEST_CASE("flows balance at every node and pressures in every branch") {
    const Path path = make_path(front_stack(0.7));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    std::mt19937 random(5);
    std::uniform_real_distribution<double> speed(0, 60), wind(-15, 15), fan(0, 1.2), hot(0, 60);
    PathFlow flow = make_flow(path);
    for (int i = 0; i < 2000; ++i) {
        in.vehicle_speed = i % 3 == 0 ? 0 : speed(random);
        in.headwind = wind(random);
        in.fan_speed = {i % 5 == 0 ? 0 : fan(random), i % 7 == 0 ? 0 : fan(random)};
        for (std::size_t k = 0; k < path.passages.size(); ++k)
            in.passage_outlet_temperature[k] = in.passage_inlet_temperature[k] + hot(random);
        solve(path, in, flow);
        REQUIRE(flow.converged);
        CHECK(flow.residual < 1e-6);
        double columns = flow.leak_flow;
        for (double m : flow.column_flow) columns += m;
        CHECK_THAT(columns, WithinAbs(flow.inlet_flow, 1e-10));
        PathFlow cold = make_flow(path);
        solve(path, in, cold);
        REQUIRE(cold.converged);
        INFO("case " << i << " iterations " << cold.iterations << ' ' << flow.iterations);
        for (std::size_t k = 0; k < path.columns.size(); ++k)
            CHECK_THAT(cold.column_flow[k], WithinAbs(flow.column_flow[k], 1e-10));
    }
}

TEST_CASE("at rest, without wind, fans or warm air, nothing moves") {
    const Path path = make_path(front_stack(1));
    const PathFlow flow = solved(path, make_inputs(path, 1.2, 293.15));
    CHECK_THAT(flow.inlet_flow, WithinAbs(0, 1e-9));
}
