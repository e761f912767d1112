#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/airflow/fan.hpp>
#include <lapheat/airflow/path.hpp>
#include <lapheat/units/error.hpp>
#include <vector>

using namespace lapheat::airflow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

// Invented fans.
Fan steady_fan() {
    Fan fan;
    fan.curve = fan_curve(0.8, 200);
    return fan;
}

/// A fan with a stall dip: falls from shut-off, rises to a peak, falls to free flow.
Fan stalling_fan() {
    Fan fan;
    const std::array<double, 6> flow{0, 0.15, 0.25, 0.35, 0.5, 0.8};
    const std::array<double, 6> pressure{180, 130, 150, 175, 130, 0};
    fan.curve = fan_curve(flow, pressure);
    return fan;
}

/// A fan alone against a square-law resistance that loses `drop` at 0.5 m^3/s.
Path against(const Fan& fan, double drop) {
    PathDescription d;
    d.inlet = {.coefficient = 0, .losses = {}};
    d.exit = {.coefficient = 0, .losses = {}};
    d.cores = {{.face = {0, 0, 0.6, 0.4},
                .resistance = {.quadratic = drop / (0.25 * 1.2)},
                .open_fraction = 1}};
    d.fans = {fan};
    d.shrouds = {{.cover = {0, 0, 0.6, 0.4}, .fans = {0}}};
    return make_path(d);
}

/// Flows at which the fan as it is balances back + drop * (Q / 0.5)^2, by scanning.
std::vector<double> crossings(const Fan& fan, double drop, double back) {
    std::vector<double> roots;
    const auto excess = [&](double q) {
        return fan_pressure(fan, q, 1, 1.2).rise - back - drop * q * q / 0.25;
    };
    constexpr int steps = 20000;
    for (int i = 0; i < steps; ++i) {
        const double a = 0.8 * i / steps, b = 0.8 * (i + 1) / steps;
        if ((excess(a) > 0) != (excess(b) > 0)) roots.push_back((a + b) / 2);
    }
    return roots;
}

}  // namespace

TEST_CASE("a fan's curve passes through its points and adds no bump between them") {
    const Fan fan = stalling_fan();
    for (std::size_t i = 0; i < fan.curve.flow.size(); ++i)
        CHECK_THAT(fan_pressure(fan, fan.curve.flow[i], 1, 1.2).rise,
                   WithinAbs(fan.curve.pressure[i], 1e-10));
    for (std::size_t i = 0; i + 1 < fan.curve.flow.size(); ++i)
        for (double t = 0; t <= 1; t += 0.05) {
            const double q = fan.curve.flow[i] + t * (fan.curve.flow[i + 1] - fan.curve.flow[i]);
            const double p = fan_pressure(fan, q, 1, 1.2).rise;
            CHECK(p <= std::max(fan.curve.pressure[i], fan.curve.pressure[i + 1]) + 1e-9);
            CHECK(p >= std::min(fan.curve.pressure[i], fan.curve.pressure[i + 1]) - 1e-9);
        }
}

TEST_CASE("the slope given with a fan's pressure is its derivative everywhere") {
    for (const Fan& fan : {steady_fan(), stalling_fan()})
        for (const double speed : {0.0, 0.05, 0.4, 1.0})
            for (double q = -0.5; q < 1.5; q += 0.0371) {
                constexpr double h = 1e-6;
                const double numeric = (fan_pressure(fan, q + h, speed, 1.1).rise -
                                        fan_pressure(fan, q - h, speed, 1.1).rise) /
                                       (2 * h);
                INFO("speed " << speed << " flow " << q);
                CHECK_THAT(fan_pressure(fan, q, speed, 1.1).slope,
                           WithinAbs(numeric, 1e-4 * (1 + std::abs(numeric))));
            }
}

TEST_CASE("a fan that slows to a stop turns into the fan that is off without a jump") {
    const Fan fan = steady_fan();
    for (const double q : {-0.3, 0.05, 0.5, 1.0})
        CHECK_THAT(fan_pressure(fan, q, 1e-9, 1.2).rise,
                   WithinAbs(fan_pressure(fan, q, 0, 1.2).rise, 1e-5));
}

TEST_CASE("a standing rotor loses more than one that turns freely at the same flow") {
    const Fan fan = steady_fan();
    Fan free = fan;
    free.locked_loss = free.freewheel_loss;
    for (const double q : {0.05, 0.3, 1.0})
        CHECK(fan_pressure(fan, q, 0, 1.2).rise < fan_pressure(free, q, 0, 1.2).rise);
}

TEST_CASE("bridged readings never rise with flow and hold the curve between them") {
    const Fan fan = stalling_fan();
    double upper = 1e9, lower = 1e9;
    for (double q = -0.2; q < 1.0; q += 0.002) {
        const double u = fan_pressure(fan, q, 1, 1.2, CurveReading::upper).rise;
        const double l = fan_pressure(fan, q, 1, 1.2, CurveReading::lower).rise;
        const double p = fan_pressure(fan, q, 1, 1.2).rise;
        CHECK(u <= upper + 1e-9);
        CHECK(l <= lower + 1e-9);
        CHECK(u >= p - 1e-9);
        if (q >= 0) CHECK(l <= p + 1e-9);
        upper = u;
        lower = l;
    }
}

TEST_CASE("with a stall dip the point of highest flow is found and others are reported") {
    const Fan fan = stalling_fan();
    int several = 0, in_stall = 0, rising = 0;
    // `back` is a pressure that wind holds against the fan whatever the flow: with it a second
    // crossing appears; a loss that starts at zero flow has only one.
    for (const double back : {0.0, 60.0, 120.0, 140.0})
        for (double drop = 4; drop < 6000; drop *= 1.1) {
            PathDescription d = against(fan, drop).description;
            d.exit.coefficient = 1;
            const Path path = make_path(d);
            PathInputs in = make_inputs(path, 1.2, 293.15);
            in.fan_speed = {1};
            in.headwind = std::sqrt(2 * back / 1.2);
            PathFlow flow = make_flow(path);
            operating_point(path, in, flow);
            const std::vector<double> roots = crossings(fan, drop, back);
            INFO("drop " << drop << " back " << back << " roots " << roots.size() << " flow "
                         << flow.fans[0].flow);
            REQUIRE(flow.converged);
            REQUIRE_FALSE(roots.empty());
            CHECK_THAT(flow.fans[0].flow, WithinAbs(roots.back(), 2e-4));
            CHECK(flow.fans[0].stalled == (flow.fans[0].flow < fan.curve.stall_flow));
            in_stall += flow.fans[0].stalled;
            rising += flow.fans[0].stalled && flow.fans[0].flow > fan.curve.dip_flow;
            if (roots.size() > 1) {
                ++several;
                CHECK(flow.possibly_multiple);
            }
        }
    CHECK(in_stall > 10);
    CHECK(rising > 5);
    CHECK(several > 5);
}

TEST_CASE("where the answer lies does not depend on where the search began, stall included") {
    const Fan fan = stalling_fan();
    PathFlow warm;
    bool first = true;
    for (double drop = 3000; drop > 100; drop *= 0.93) {
        const Path path = against(fan, drop);
        PathInputs in = make_inputs(path, 1.2, 293.15);
        in.fan_speed = {1};
        if (first) warm = make_flow(path);
        first = false;
        operating_point(path, in, warm);
        PathFlow cold = make_flow(path);
        operating_point(path, in, cold);
        INFO("drop " << drop);
        CHECK_THAT(warm.inlet_flow, WithinAbs(cold.inlet_flow, 1e-9));
    }
}

TEST_CASE("fans move volume: thin air gives the same volume and less mass") {
    const Path path = against(steady_fan(), 120);
    double volume = 0, mass = 1e9;
    for (const double density : {1.2, 1.0, 0.8}) {
        PathInputs in = make_inputs(path, density, 293.15);
        in.fan_speed = {1};
        PathFlow flow = make_flow(path);
        operating_point(path, in, flow);
        if (volume > 0) CHECK_THAT(flow.fans[0].flow, WithinRel(volume, 1e-4));
        CHECK(flow.inlet_flow < mass);
        volume = flow.fans[0].flow;
        mass = flow.inlet_flow;
    }
}

TEST_CASE("a curve that is no fan's is refused") {
    using lapheat::Error;
    const auto bad = [](std::vector<double> q, std::vector<double> p) {
        CHECK_THROWS_AS(fan_curve(q, p), Error);
    };
    bad({0}, {100});
    bad({0.1, 0.5}, {100, 0});
    bad({0, 0.5, 0.4}, {100, 50, 0});
    bad({0, 0.5}, {100, 120});
    bad({0, 0.5}, {100, -1});
    bad({0, 0.5}, {100});
    bad({0, NAN}, {100, 0});
    CHECK_THROWS_AS(fan_curve(0, 100), Error);
    CHECK_THROWS_AS(fan_curve(0.5, 100, 1.5), Error);
}
