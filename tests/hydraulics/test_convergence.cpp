// From anywhere to the one answer, and never a silent wrong one.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "rig.hpp"

using namespace lapheat::hydraulics;

std::size_t allocation_count();  // test_allocation.cpp

namespace {

/// A random ladder of pipes with everything a car may hold, invented.
NetworkDescription random_network(std::mt19937& rng, int rungs) {
    std::uniform_real_distribution<double> unit(0, 1);
    const auto between = [&](double low, double high) {
        return low * std::pow(high / low, unit(rng));
    };
    NetworkDescription d;
    const auto node = [](int i, char side) { return std::string(1, side) + std::to_string(i); };
    const auto line = [&](std::string name, std::string from, std::string to) {
        Branch b{
            .name = std::move(name), .from = std::move(from), .to = std::move(to), .elements = {}};
        const double diameter = between(0.005, 0.05);
        b.elements.push_back({"pipe", Pipe{between(0.05, 10), diameter, between(1e-6, 1e-4)}});
        if (unit(rng) < 0.4)
            b.elements.push_back(
                {"fitting", MinorLoss{between(0.1, 50), between(10, 3000), diameter}});
        if (unit(rng) < 0.2)
            b.elements.push_back({"check", CheckValve{2, diameter, unit(rng) < 0.5 ? 0 : 2e4}});
        if (unit(rng) < 0.2) b.elements.push_back({"valve", Valve{between(1e-6, 1e-3), 0, 2}});
        return b;
    };
    for (int i = 0; i < rungs; ++i) {
        d.branches.push_back(line("rung" + std::to_string(i), node(i, 'l'), node(i, 'r')));
        if (i == 0) continue;
        d.branches.push_back(line("left" + std::to_string(i), node(i - 1, 'l'), node(i, 'l')));
        d.branches.push_back(line("right" + std::to_string(i), node(i - 1, 'r'), node(i, 'r')));
    }
    d.branches.front().elements = {{"pump", small_pump()}};
    if (unit(rng) < 0.5)
        d.branches.back().elements.push_back(
            {"displacement",
             DisplacementPump{
                 .displacement = 2e-6, .controlled_flow = 2e-4, .relief_pressure = 6e6}});
    return d;
}

}  // namespace

TEST_CASE("random networks with cold oil, closed valves and check valves are solved to 1e-9") {
    std::mt19937 rng(20240);
    std::uniform_real_distribution<double> unit(0, 1);
    int most = 0;
    for (int trial = 0; trial < 400; ++trial) {
        Rig rig(random_network(rng, 2 + trial % 12), 900, 0.01);
        for (std::size_t e = 0; e < rig.network->elements(); ++e) {
            rig.viscosity[e] = 3e-4 * std::pow(3e4, unit(rng));
            rig.density[e] = 800 + 300 * unit(rng);
            const bool valve = rig.network->law[e] == Network::Law::valve;
            rig.control[e] = valve ? (unit(rng) < 0.3 ? 0 : unit(rng)) : 600 * unit(rng);
        }
        INFO("trial " << trial);
        REQUIRE(rig.solve() == Outcome::converged);
        REQUIRE(rig.flow.residual < 1e-9);
        most = std::max(most, rig.flow.evaluations);
    }
    CHECK(most <= 150);  // sweeps over the branches from a cold start; 96 when this was written
}

TEST_CASE("the answer does not depend on where the solve started") {
    std::mt19937 rng(7);
    std::uniform_real_distribution<double> unit(-1, 1);
    for (int trial = 0; trial < 60; ++trial) {
        Rig rig(random_network(rng, 2 + trial % 8), 900, 0.01);
        for (double& c : rig.control) c = 0.5 + 0.4 * unit(rng);
        rig.control[0] = 300;
        REQUIRE(rig.solve() == Outcome::converged);
        const Flow cold = rig.flow;
        double most = 0;
        for (const double m : cold.mass_flow) most = std::max(most, std::abs(m));
        for (const double scale : {1e-6, 0.1, 1e3}) {
            for (double& m : rig.flow.mass_flow) m = scale * unit(rng);
            REQUIRE(rig.solve() == Outcome::converged);
            for (std::size_t b = 0; b < cold.mass_flow.size(); ++b)
                // 1e-10 kg/s is what the last digit of a pressure of a bar moves through a
                // wide pipe at rest.
                CHECK(std::abs(rig.flow.mass_flow[b] - cold.mass_flow[b]) <=
                      1e-10 * std::abs(cold.mass_flow[b]) + 1e-12 * most + 1e-10);
        }
    }
}

TEST_CASE("a warm start close by takes two or three sweeps") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    rig.control_of("engine", "pump") = 300.3;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow.evaluations <= 3);
}

TEST_CASE("solving allocates nothing once the solver stands") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    const std::size_t before = allocation_count();
    bool good = true;
    for (int i = 0; i < 50; ++i) {
        rig.control[0] = 100 + 7 * i;
        rig.control[2] = i % 5 / 4.0;  // the thermostat, closed now and then
        good = rig.solve() == Outcome::converged && good;
    }
    const std::size_t after = allocation_count();
    CHECK(after == before);
    CHECK(good);
}

TEST_CASE("the same inputs give the same bits") {
    Rig a(coolant_loop()), b(coolant_loop());
    a.control[0] = b.control[0] = 280;
    REQUIRE(a.solve() == Outcome::converged);
    REQUIRE(b.solve() == Outcome::converged);
    CHECK(a.flow.mass_flow == b.flow.mass_flow);
    CHECK(a.flow.pressure == b.flow.pressure);
}

TEST_CASE("a start that is not a number is taken for a cold start") {
    Rig rig(coolant_loop());
    rig.control[0] = 280;
    rig.flow.mass_flow.assign(rig.network->branches(), std::nan(""));
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow.residual < 1e-9);
}

TEST_CASE("a long capped tail hung on a network changes none of its flows") {
    std::mt19937 rng(3);
    // Twenty nodes more, and the same answer.
    NetworkDescription small = random_network(rng, 4);
    NetworkDescription large = small;
    for (int i = 0; i < 20; ++i)
        large.branches.push_back({.name = "tail" + std::to_string(i),
                                  .from = "t" + std::to_string(i),
                                  .to = i == 0 ? "l0" : "t" + std::to_string(i - 1),
                                  .elements = {hole("h", 1)},
                                  .closed = true});
    Rig a(small, 900, 0.01), b(large, 900, 0.01);
    a.control[0] = b.control[0] = 300;
    REQUIRE(a.solve() == Outcome::converged);
    REQUIRE(b.solve() == Outcome::converged);
    for (std::size_t i = 0; i < a.flow.mass_flow.size(); ++i)
        CHECK(b.flow.mass_flow[i] == Approx(a.flow.mass_flow[i]).epsilon(1e-9).margin(1e-11));
    CHECK(std::abs(a.flow.mass_flow[0]) > 1e-3);
}

TEST_CASE("a flow that is no number is never said to be solved, in a single loop either") {
    int solved = 0, refused = 0;
    for (const double huge : {1e5, 1e150, 1e300, 1e308})
        for (const double speed : {1e-300, 300.0, 1e300}) {
            NetworkDescription d;
            d.branches = {{.name = "loop",
                           .from = "a",
                           .to = "a",
                           .elements = {{"pump", CentrifugalPump{huge, 0, 1e8}},
                                        {"hole", hole("hole", huge).body}}}};
            Rig rig(d);
            rig.control_of("loop", "pump") = speed;
            if (rig.solve() != Outcome::converged) {
                ++refused;
                continue;
            }
            ++solved;
            CHECK(std::isfinite(rig.flow_of("loop")));
        }
    CHECK(solved > 0);
    CHECK(refused > 0);
}

TEST_CASE("a branch whose parts cost nothing takes the flow, beside one that costs something") {
    NetworkDescription d;
    d.branches = {{.name = "pump", .from = "a", .to = "b", .elements = {{"pump", small_pump()}}},
                  {.name = "free", .from = "b", .to = "a", .elements = {hole("nothing", 0)}},
                  {.name = "other", .from = "b", .to = "a", .elements = {hole("hole", 5)}}};
    Rig rig(d);
    for (const double speed : {300.0, 0.0, 300.0}) {
        rig.control_of("pump", "pump") = speed;
        REQUIRE(rig.solve() == Outcome::converged);
        CHECK(std::isfinite(rig.flow_of("free")));
        CHECK(std::abs(rig.flow_of("other")) <= 0.1 * std::abs(rig.flow_of("free")) + 1e-6);
    }
}
