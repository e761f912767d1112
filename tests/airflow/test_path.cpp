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
    operating_point(path, in, flow);
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
        operating_point(path, in, flow);
        REQUIRE(flow.converged);
        CHECK(flow.residual < 1e-6);
        double columns = flow.leak_flow;
        for (double m : flow.column_flow) columns += m;
        CHECK_THAT(columns, WithinAbs(flow.inlet_flow, 1e-10));
        PathFlow cold = make_flow(path);
        operating_point(path, in, cold);
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

TEST_CASE("more shroud coverage never lowers idle flow through the radiator") {
    double before = 0, core_before = 0;
    for (double coverage = 0.2; coverage < 1.01; coverage += 0.05) {
        const Path path = make_path(front_stack(std::min(coverage, 1.0)));
        PathInputs in = make_inputs(path, 1.16, 303.15);
        in.fan_speed = {1, 1};
        const PathFlow flow = solved(path, in);
        INFO("coverage " << coverage);
        CHECK(flow.inlet_flow >= before - 1e-12);
        CHECK(flow.core_flow[1] >= core_before - 1e-12);
        before = flow.inlet_flow;
        core_before = flow.core_flow[1];
    }
}

TEST_CASE("a fan without a shroud draws less air through the core than one with") {
    PathDescription shrouded = front_stack(1, 0);
    shrouded.fans.resize(1);
    shrouded.shrouds[0].fans = {0};
    PathDescription bare = shrouded;
    bare.shrouds = {bare_fan(bare.fans[0], 0, bare.cores[0].face, 0.02)};
    double core[2];
    int n = 0;
    for (const PathDescription& d : {shrouded, bare}) {
        const Path path = make_path(d);
        PathInputs in = make_inputs(path, 1.2, 293.15);
        in.fan_speed = {1};
        core[n++] = solved(path, in).core_flow[0];
    }
    CHECK(core[1] < 0.9 * core[0]);
    CHECK(core[1] > 0);
}

TEST_CASE("flaps in the shroud never lower the flow at speed and hardly matter at idle") {
    PathDescription d = front_stack(1);
    const Path closed = make_path(d);
    d.shrouds[0].flap_area = 0.06;
    const Path flaps = make_path(d);
    for (const double speed : {0.0, 10.0, 20.0, 40.0}) {
        PathInputs in = make_inputs(closed, 1.2, 293.15);
        in.vehicle_speed = speed;
        if (speed < 15) in.fan_speed = {1, 1};
        const double without = solved(closed, in).core_flow[1];
        const double with = solved(flaps, in).core_flow[1];
        INFO("speed " << speed);
        CHECK(with >= without * (1 - 2e-3));
        if (speed > 30) CHECK(with > 1.02 * without);
    }
}

TEST_CASE("an idle fan beside a running one in the same shroud is blown backwards") {
    const Path path = make_path(front_stack(1));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    in.fan_speed = {1, 0};
    const PathFlow flow = solved(path, in);
    CHECK_FALSE(flow.fans[0].reversed);
    CHECK(flow.fans[1].reversed);
    CHECK(flow.fans[1].flow < 0);
    CHECK(flow.fans[1].electrical_power == 0);
}

TEST_CASE("wind from behind a car at rest drives air forward through the stack") {
    const Path path = make_path(front_stack(1));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    in.headwind = -8;
    const PathFlow flow = solved(path, in);
    CHECK(flow.core_flow[1] < 0);
    CHECK(flow.backflow > 0);
}

TEST_CASE("fans off at speed are turned by the stream, and an overblown fan is a resistance") {
    const Path path = make_path(front_stack(1));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    in.vehicle_speed = 35;
    CHECK(solved(path, in).fans[0].windmilling);
    in.fan_speed = {0.5, 0.5};
    const PathFlow driven = solved(path, in);
    CHECK(driven.fans[0].overblown);
    CHECK(driven.fans[0].rise < 0);
    CHECK(driven.fans[0].electrical_power > 0);
}

TEST_CASE("flow grows with vehicle speed, with fan speed and with nothing in between") {
    const Path path = make_path(front_stack(0.8));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    for (const double fan : {0.0, 0.3, 0.6, 1.0}) {
        double before = -1;
        for (double speed = 0; speed <= 60; speed += 0.5) {
            in.vehicle_speed = speed;
            in.fan_speed = {fan, fan};
            const double now = solved(path, in).inlet_flow;
            INFO("fan " << fan << " speed " << speed);
            CHECK(now > before);
            before = now;
        }
    }
    in.vehicle_speed = 5;
    double before = -1;
    for (double fan = 0; fan <= 1.2; fan += 0.01) {
        in.fan_speed = {fan, fan};
        const double now = solved(path, in).inlet_flow;
        INFO("fan " << fan);
        CHECK(now > before);
        before = now;
    }
}

TEST_CASE("warming the air in the cores lowers the mass they breathe") {
    const Path path = make_path(front_stack(1));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    in.fan_speed = {1, 1};
    const double cold = solved(path, in).inlet_flow;
    in.passage_outlet_temperature.assign(path.passages.size(), 343.15);
    const double hot = solved(path, in).inlet_flow;
    CHECK(hot < 0.98 * cold);
    CHECK(hot > 0.8 * cold);
}

TEST_CASE("at rest with fans off only buoyancy and wind remain") {
    PathDescription d = front_stack(1, 0);
    d.leak_area = 0;
    d.cores[0].rise = 0.3;
    const Path path = make_path(d);
    PathInputs in = make_inputs(path, 1.2, 300);
    in.passage_outlet_temperature.assign(path.passages.size(), 360);
    in.bay_temperature = 300;
    const PathFlow flow = solved(path, in);
    CHECK(flow.inlet_flow > 0.005);
    // The chimney's pull, g h (rho_ambient - rho_mean), is what the branches lose.
    const double pull = 9.80665 * 0.3 * (1.2 - 1.2 / 1.1);
    double lost = 0;
    for (std::size_t i = 0; i < path.branches.size(); ++i) {
        using Kind = PathBranch::Kind;
        const Kind kind = path.branches[i].kind;
        if (kind == Kind::inlet || kind == Kind::exit || kind == Kind::segment)
            lost += flow.network.loss(i).value - flow.branches[i].constant;
    }
    lost -= flow.fans[0].rise;
    CHECK_THAT(lost, WithinRel(pull, 1e-3));
}

TEST_CASE("a core cut into two beside each other breathes as the whole one") {
    PathDescription whole = front_stack(1, 0);
    PathDescription halves = whole;
    Resistance half = whole.cores[0].resistance;
    // Half the face at half the flow has the same drop.
    half.laminar *= 2;
    half.boundary *= std::pow(2, 1.5);
    half.quadratic *= 4;
    halves.cores = {{.face = {0, 0, 0.325, 0.4}, .resistance = half},
                    {.face = {0.325, 0, 0.325, 0.4}, .resistance = half}};
    PathInputs in;
    double flow[2];
    int n = 0;
    for (const PathDescription& d : {whole, halves}) {
        const Path path = make_path(d);
        in = make_inputs(path, 1.2, 293.15);
        in.fan_speed = {1, 1};
        in.vehicle_speed = 10;
        flow[n++] = solved(path, in).inlet_flow;
    }
    CHECK_THAT(flow[1], WithinRel(flow[0], 3e-5));  // floors differ
}

TEST_CASE("a pusher fan and a puller fan move the same air when nothing is warm") {
    PathDescription puller = front_stack(1);
    PathDescription pusher = puller;
    pusher.shrouds[0].pusher = true;
    double flow[2];
    int n = 0;
    for (const PathDescription& d : {puller, pusher}) {
        const Path path = make_path(d);
        PathInputs in = make_inputs(path, 1.2, 293.15);
        in.fan_speed = {1, 0.7};
        in.vehicle_speed = 7;
        flow[n++] = solved(path, in).inlet_flow;
    }
    CHECK_THAT(flow[1], WithinRel(flow[0], 1e-9));
}

TEST_CASE("what an air path cannot be is refused with what it should be") {
    using lapheat::Error;
    PathDescription d = front_stack(1);
    CHECK_NOTHROW(make_path(d));
    SECTION("no core") { d.cores.clear(); }
    SECTION("a core without width") { d.cores[0].face.width = 0; }
    SECTION("a core without resistance") { d.cores[0].resistance = {}; }
    SECTION("a core that is all metal") { d.cores[0].open_fraction = 0; }
    SECTION("a gap below zero") { d.cores[0].gap_behind = -0.01; }
    SECTION("a fan outside every shroud") { d.shrouds[0].fans = {0}; }
    SECTION("a fan in two shrouds") {
        d.shrouds[0].cover.width = 0.3;
        d.shrouds.push_back({.cover = {0.3, 0, 0.3, 0.4}, .fans = {0}});
    }
    SECTION("a shroud beside the cores") { d.shrouds[0].cover.x = 5; }
    SECTION("shrouds over each other") {
        d.shrouds[0].fans = {0};
        d.shrouds.push_back({.cover = {0.1, 0, 0.3, 0.4}, .fans = {1}});
    }
    SECTION("a fan that is not there") { d.shrouds[0].fans = {0, 1, 2}; }
    SECTION("a shroud with no way out") {
        d.fans.clear();
        d.shrouds[0].fans.clear();
    }
    SECTION("a leak of negative area") { d.leak_area = -1; }
    SECTION("a grille without area") { d.inlet.losses[0].area = 0; }
    CHECK_THROWS_AS(make_path(d), Error);
}

TEST_CASE("inputs of another path and impossible air are refused") {
    const Path path = make_path(front_stack(1));
    PathFlow flow = make_flow(path);
    PathInputs in = make_inputs(path, 1.2, 293.15);
    SECTION("too few fans") { in.fan_speed = {1}; }
    SECTION("no density") { in.ambient_density = 0; }
    SECTION("backwards car") { in.vehicle_speed = -1; }
    SECTION("no temperature") { in.bay_temperature = 0; }
    CHECK_THROWS_AS(operating_point(path, in, flow), lapheat::Error);
}

TEST_CASE("with fans off the radiator's share of the vehicle speed rises slowly with speed") {
    // Between square-law losses (a constant share) and a core that loses m^1.5 (share as V^1/3).
    const Path path = make_path(front_stack(1));
    PathInputs in = make_inputs(path, 1.2, 293.15);
    in.vehicle_speed = 15;
    const double slow = solved(path, in).face_velocity[1] / 15;
    in.vehicle_speed = 45;
    const double fast = solved(path, in).face_velocity[1] / 45;
    CHECK(fast > slow);
    CHECK(fast < slow * std::cbrt(3));
}

TEST_CASE("any path anyone may draw is solved, and the same from a cold or a warm start") {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> any(0, 1);
    const auto between = [&](double a, double b) { return a + (b - a) * any(random); };
    int linked = 0, most = 0;
    for (int trial = 0; trial < 400; ++trial) {
        PathDescription d;
        d.inlet = {.coefficient = between(-0.1, 1), .coefficient_behind = -0.2, .losses = {}};
        if (trial % 4) d.inlet.losses.push_back({between(0.1, 5), between(0.02, 0.3)});
        d.exit = {.coefficient = between(-0.4, 0.1), .coefficient_behind = 0.1, .losses = {}};
        if (trial % 5) d.exit.losses.push_back({between(0.1, 5), between(0.02, 0.3)});
        const int cores = 1 + trial % 4;
        for (int c = 0; c + 1 < cores; ++c) {
            const double width = between(0.1, 0.5), height = between(0.1, 0.3);
            d.cores.push_back(
                {.face = {between(0, 0.65 - width), between(0, 0.4 - height), width, height},
                 .resistance = cooler_resistance(),
                 .gap_behind = trial % 3 ? between(0, 0.04) : 0,
                 .rise = between(-0.1, 0.2)});
        }
        d.cores.push_back({.face = {0, 0, 0.65, 0.4}, .resistance = radiator_resistance()});
        const int shrouds = trial % 3;
        for (int s = 0; s < shrouds; ++s) {
            d.fans.push_back(electric_fan());
            d.shrouds.push_back({.cover = {0.325 * s, 0, between(0.1, 0.325), between(0.2, 0.4)},
                                 .fans = {static_cast<std::size_t>(s)},
                                 .pusher = trial % 7 == 0,
                                 .gap_area = trial % 2 ? between(0, 0.02) : 0,
                                 .flap_area = trial % 6 ? 0 : between(0, 0.1)});
        }
        d.leak_area = trial % 2 ? between(0, 0.02) : 0;
        d.bay_rise = between(0, 0.3);
        const Path path = make_path(d);
        linked += !path.links.empty();
        PathFlow warm = make_flow(path);
        for (int step = 0; step < 20; ++step) {
            PathInputs in = make_inputs(path, between(0.8, 1.4), between(250, 320));
            in.vehicle_speed = step % 4 ? between(0, 70) : 0;
            in.headwind = step % 3 ? between(-15, 15) : 0;
            for (double& n : in.fan_speed) n = step % 5 ? between(0, 1.3) : 0;
            for (double& t : in.passage_outlet_temperature) t += between(-5, 70);
            in.bay_temperature += between(0, 60);
            operating_point(path, in, warm);
            const PathFlow cold = solved(path, in);
            INFO("trial " << trial << " step " << step);
            REQUIRE(warm.converged);
            most = std::max({most, warm.iterations, cold.iterations});
            for (std::size_t k = 0; k < path.passages.size(); ++k)
                CHECK_THAT(warm.passage_flow[k], WithinAbs(cold.passage_flow[k], 1e-10));
        }
    }
    CHECK(linked > 100);
    CHECK(most < 60);
}

TEST_CASE("a path whose numbers are none is not said to be solved") {
    const Path path = make_path(front_stack(0.7));
    for (const double bad : {std::nan(""), 1e308 * 10}) {
        PathInputs in = make_inputs(path, 1.2, 293.15);
        in.vehicle_speed = 20;
        in.passage_outlet_temperature[0] = bad;
        PathFlow flow = make_flow(path);
        operating_point(path, in, flow);
        CHECK_FALSE(flow.converged);
        in.passage_outlet_temperature[0] = 300;
        operating_point(path, in, flow);
        CHECK(flow.converged);
    }
}
