#include <catch2/catch.hpp>
#include <cmath>
#include <memory>

#include "lapheat/units/constants.hpp"
#include "rig.hpp"

using namespace lapheat::hydraulics;

namespace {

/// Branch from `in` to `out` with the small pump and a name.
Branch pump_branch(std::string name, std::string from, std::string to) {
    return {.name = std::move(name),
            .from = std::move(from),
            .to = std::move(to),
            .elements = {{"pump", small_pump()}}};
}

NetworkDescription single(std::vector<Element> elements) {
    NetworkDescription d;
    d.branches = {{.name = "loop", .from = "a", .to = "a", .elements = std::move(elements)}};
    return d;
}

}  // namespace

TEST_CASE("one pump and one orifice meet where the two curves cross") {
    Rig rig(single({{"pump", small_pump()}, hole("hole", 10)}));
    rig.control_of("loop", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    // 1e5 − 1e11 q² = K ρ/2 (q/A)²
    const double area = M_PI / 4 * 1e-4;
    const double q = std::sqrt(1e5 / (1e11 + 10 * 500 / (area * area)));
    CHECK(rig.flow_of("loop") == Approx(1000 * q).epsilon(1e-9));
    CHECK(rig.flow.residual < 1e-9);
}

TEST_CASE("two equal pumps in series give twice the pressure at the same flow") {
    NetworkDescription one = single({{"pump", small_pump()}, hole("hole", 10)});
    NetworkDescription two =
        single({{"pump", small_pump()}, {"second", small_pump()}, hole("hole", 20)});
    Rig a(one), b(two);
    a.control_of("loop", "pump") = b.control_of("loop", "pump") = b.control_of("loop", "second") =
        300;
    REQUIRE(a.solve() == Outcome::converged);
    REQUIRE(b.solve() == Outcome::converged);
    CHECK(b.flow_of("loop") == Approx(a.flow_of("loop")).epsilon(1e-10));
}

TEST_CASE("two equal pumps in parallel share the flow, and each carries half") {
    NetworkDescription d;
    d.branches = {pump_branch("left", "in", "out"),
                  pump_branch("right", "in", "out"),
                  {.name = "load", .from = "out", .to = "in", .elements = {hole("hole", 10)}}};
    Rig two(d);
    two.control_of("left", "pump") = two.control_of("right", "pump") = 300;
    REQUIRE(two.solve() == Outcome::converged);
    CHECK(two.flow_of("left") == Approx(two.flow_of("right")).epsilon(1e-10));
    // Half the flow through each pump at a load of K is the whole flow at 4K.
    Rig one(single({{"pump", small_pump()}, hole("hole", 40)}));
    one.control_of("loop", "pump") = 300;
    REQUIRE(one.solve() == Outcome::converged);
    CHECK(two.flow_of("left") == Approx(one.flow_of("loop")).epsilon(1e-9));
}

TEST_CASE("a stopped pump in parallel is driven backwards unless a check valve holds") {
    NetworkDescription d;
    d.branches = {pump_branch("left", "in", "out"),
                  pump_branch("right", "in", "out"),
                  {.name = "load", .from = "out", .to = "in", .elements = {hole("hole", 10)}}};
    Rig free(d);
    free.control_of("left", "pump") = 300;
    free.control_of("right", "pump") = 0;
    REQUIRE(free.solve() == Outcome::converged);
    CHECK(free.flow_of("right") < -1e-3);
    d.branches[1].elements.push_back({"check", CheckValve{2, 0.01}});
    Rig held(d);
    held.control_of("left", "pump") = 300;
    held.control_of("right", "pump") = 0;
    REQUIRE(held.solve() == Outcome::converged);
    CHECK(std::abs(held.flow_of("right")) < 2e-6);
    CHECK(held.flow_of("load") > free.flow_of("load"));
}

TEST_CASE("orifices in series add up and in parallel split by the roots of their losses") {
    NetworkDescription d;
    d.branches = {
        {.name = "feed",
         .from = "in",
         .to = "split",
         .elements = {{"pump", small_pump()}, hole("h", 3)}},
        {.name = "left", .from = "split", .to = "join", .elements = {hole("h", 4)}},
        {.name = "right", .from = "split", .to = "join", .elements = {hole("h", 7), hole("i", 9)}},
        {.name = "back", .from = "join", .to = "in", .elements = {hole("h", 5)}}};
    Rig rig(d);
    rig.control_of("feed", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("left") / rig.flow_of("right") == Approx(2).epsilon(1e-9));
    // 4 ∥ 16: 1/√K = 1/2 + 1/4, K = 16/9.
    Rig same(single({{"pump", small_pump()}, hole("h", 8 + 16.0 / 9)}));
    same.control_of("loop", "pump") = 300;
    REQUIRE(same.solve() == Outcome::converged);
    CHECK(rig.flow_of("feed") == Approx(same.flow_of("loop")).epsilon(1e-9));
}

TEST_CASE("flow and pressure follow the affinity laws when friction is quadratic") {
    Rig rig(single({{"pump", small_pump()}, hole("hole", 10)}));
    rig.control_of("loop", "pump") = 100;
    REQUIRE(rig.solve() == Outcome::converged);
    const double slow = rig.flow_of("loop");
    rig.control_of("loop", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("loop") == Approx(3 * slow).epsilon(1e-9));
}

TEST_CASE("a capped branch carries exactly nothing and the rest runs as if it were not there") {
    NetworkDescription with = coolant_loop(), without = coolant_loop();
    with.branches[3].closed = true;
    without.branches.pop_back();
    Rig a(with), b(without);
    a.control_of("engine", "pump") = b.control_of("engine", "pump") = 300;
    REQUIRE(a.solve() == Outcome::converged);
    REQUIRE(b.solve() == Outcome::converged);
    CHECK(a.flow_of("heater") == 0);
    CHECK(a.flow_of("radiator") == Approx(b.flow_of("radiator")).epsilon(1e-10));
}

TEST_CASE("a capped outlet may hang free, and the tee that it hangs on knows nothing of it") {
    NetworkDescription d = coolant_loop();
    d.branches.push_back({.name = "spare",
                          .from = "out",
                          .to = "capped end",
                          .elements = {hole("stub", 1)},
                          .closed = true});
    Rig rig(d);
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("spare") == 0);
    Rig plain(coolant_loop());
    plain.control_of("engine", "pump") = 300;
    REQUIRE(plain.solve() == Outcome::converged);
    CHECK(plain.pressure_at("out") - plain.pressure_at("in") > 1e3);
    CHECK(rig.pressure_at("out") - rig.pressure_at("in") ==
          Approx(plain.pressure_at("out") - plain.pressure_at("in")).epsilon(1e-10));
}

TEST_CASE("a valve closing shuts the branch and opening it brings the flow back") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    const double open = rig.flow_of("radiator");
    double last = open;
    for (const double opening : {0.8, 0.5, 0.2, 0.05, 0.01}) {
        rig.control_of("radiator", "thermostat") = opening;
        REQUIRE(rig.solve() == Outcome::converged);
        CHECK(rig.flow_of("radiator") < last);
        last = rig.flow_of("radiator");
    }
    rig.control_of("radiator", "thermostat") = 0;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("radiator") == 0);
    CHECK(rig.flow_of("bypass") > 0);
    rig.control_of("radiator", "thermostat") = 1;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("radiator") == Approx(open).epsilon(1e-10));
}

TEST_CASE("nothing flows when the pump stands, and nothing is not a number") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    rig.control_of("engine", "pump") = 0;
    REQUIRE(rig.solve() == Outcome::converged);
    for (const double m : rig.flow.mass_flow) CHECK(std::abs(m) < 1e-9);
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("radiator") > 0.1);
}

TEST_CASE("turning a branch round turns the sign of its flow and nothing else") {
    NetworkDescription d = coolant_loop();
    std::swap(d.branches[2].from, d.branches[2].to);
    Rig plain(coolant_loop()), turned(d);
    plain.control_of("engine", "pump") = turned.control_of("engine", "pump") = 300;
    REQUIRE(plain.solve() == Outcome::converged);
    REQUIRE(turned.solve() == Outcome::converged);
    CHECK(turned.flow_of("bypass") == Approx(-plain.flow_of("bypass")).epsilon(1e-10));
    CHECK(turned.flow_of("radiator") == Approx(plain.flow_of("radiator")).epsilon(1e-10));
}

TEST_CASE("colder oil in one line of a loop slows the whole loop, wherever that line is") {
    const auto loop = single(
        {{"pump", small_pump()}, {"there", Pipe{3, 0.01, 5e-6}}, {"back", Pipe{3, 0.01, 5e-6}}});
    Rig warm(loop, 850, 0.01), first(loop, 850, 0.01), second(loop, 850, 0.01);
    warm.control_of("loop", "pump") = first.control_of("loop", "pump") =
        second.control_of("loop", "pump") = 300;
    first.viscosity[1] = second.viscosity[2] = 0.3;
    for (Rig* rig : {&warm, &first, &second}) REQUIRE(rig->solve() == Outcome::converged);
    CHECK(first.flow_of("loop") < 0.5 * warm.flow_of("loop"));
    CHECK(first.flow_of("loop") == Approx(second.flow_of("loop")).epsilon(1e-12));
}

TEST_CASE("two reservoirs drain through a siphon whose crest is below atmospheric pressure") {
    NetworkDescription d;
    d.nodes = {{.name = "upper", .kind = Node::Kind::fixed, .elevation = 2},
               {.name = "crest", .elevation = 4},
               {.name = "lower", .kind = Node::Kind::fixed, .elevation = 0}};
    d.branches = {{.name = "up",
                   .from = "upper",
                   .to = "crest",
                   .elements = {hole("in", 3), {"pipe", Pipe{2, 0.02, 0}}}},
                  {.name = "down",
                   .from = "crest",
                   .to = "lower",
                   .elements = {{"pipe", Pipe{4, 0.02, 0}}, hole("out", 5)}}};
    Rig rig(d);
    rig.fixed = {1e5, 0, 1e5};
    REQUIRE(rig.solve() == Outcome::converged);
    const double m = rig.flow_of("up");
    CHECK(m > 0);
    CHECK(m == Approx(rig.flow_of("down")).epsilon(1e-10));
    // Bernoulli by hand: the 2 m between the surfaces are spent on the losses.
    const double area = M_PI / 4 * 4e-4, v = m / 1000 / area;
    const double pipe = darcy_friction(1000 * v * 0.02 / 1e-3, 0) * 6 / 0.02 * 500 * v * v;
    CHECK(pipe + hole_loss(8, m) == Approx(1000 * lapheat::constants::gravity * 2).epsilon(1e-6));
    CHECK(rig.pressure_at("crest") < 1e5 - 1000 * lapheat::constants::gravity * 2);
}

TEST_CASE("with the pump off a loop heated below and cooled above runs by buoyancy the warm way") {
    NetworkDescription d;
    d.pumpless = true;
    d.branches = {{.name = "riser",
                   .from = "low",
                   .to = "high",
                   .elements = {{"pipe", Pipe{1, 0.02, 5e-6}, 0.8}}},
                  {.name = "faller",
                   .from = "high",
                   .to = "low",
                   .elements = {{"pipe", Pipe{1, 0.02, 5e-6}, -0.8}}}};
    Rig rig(d);
    rig.density = {960, 990};
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("riser") > 1e-3);
    CHECK(rig.flow.residual < 1e-9);
    const double up = rig.flow_of("riser");
    rig.density = {990, 960};
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("riser") == Approx(-up).epsilon(1e-9));
    rig.density = {975, 975};
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(std::abs(rig.flow_of("riser")) < 1e-9);
}

TEST_CASE("outflow at nodes is met to the gram") {
    NetworkDescription d;
    d.nodes = {{.name = "tank", .kind = Node::Kind::fixed},
               {.name = "a", .outlet = true},
               {.name = "b", .outlet = true}};
    d.branches = {
        {.name = "1", .from = "tank", .to = "a", .elements = {{"p", Pipe{10, 0.05, 1e-4}}}},
        {.name = "2", .from = "tank", .to = "b", .elements = {{"p", Pipe{10, 0.05, 1e-4}}}},
        {.name = "3", .from = "a", .to = "b", .elements = {{"p", Pipe{10, 0.05, 1e-4}}}}};
    Rig rig(d);
    rig.outflow = {0, 1, 3};
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("1") + rig.flow_of("2") == Approx(4).epsilon(1e-10));
    CHECK(rig.flow_of("1") - rig.flow_of("3") == Approx(1).epsilon(1e-10));
}

TEST_CASE("a part cut off by closed valves is left in peace, but may not be drawn from") {
    NetworkDescription d = coolant_loop();
    d.nodes = {{.name = "in"}, {.name = "out"}, {.name = "island", .outlet = true}};
    d.branches.push_back(
        {.name = "there", .from = "out", .to = "island", .elements = {{"tap", Valve{1e-4, 0, 2}}}});
    Rig rig(d);
    rig.control_of("engine", "pump") = 300;
    rig.control_of("there", "tap") = 0;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow.residual < 1e-9);
    rig.outflow[rig.network->node("island")] = 0.1;
    CHECK(rig.solve() == Outcome::outflow_unmet);
    rig.control_of("there", "tap") = 1;
    rig.outflow[rig.network->node("in")] = -0.1;
    CHECK(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("there") == Approx(0.1).epsilon(1e-9));
}

TEST_CASE("inputs that make no sense are an outcome, not an answer") {
    Rig rig(coolant_loop());
    rig.viscosity[2] = 0;
    CHECK(rig.solve() == Outcome::bad_input);
    rig.viscosity[2] = std::nan("");
    CHECK(rig.solve() == Outcome::bad_input);
    rig.viscosity[2] = 1e-3;
    rig.control[0] = -5;
    CHECK(rig.solve() == Outcome::bad_input);
    rig.control[0] = 300;
    CHECK(rig.solve() == Outcome::converged);
}

TEST_CASE("with the pump off coolant rises through what is hot, and turns round when that turns") {
    for (const bool engine_hot : {true, false}) {
        NetworkDescription d;
        d.pumpless = true;
        d.branches = {{.name = "engine",
                       .from = "low",
                       .to = "high",
                       .elements = {{"jacket", Pipe{0.4, 0.02, 1e-5}, 0.4}}},
                      {.name = "radiator",
                       .from = "high",
                       .to = "low",
                       .elements = {{"core", Pipe{0.4, 0.02, 1e-5}, -0.4}}}};
        const auto network = std::make_shared<const Network>(build(std::move(d)));
        NetworkSolver solver(network);
        const double hot = 1030, cold = 1060;
        const std::vector<double> rho{engine_hot ? hot : cold, engine_hot ? cold : hot},
            mu(2, 1e-3), control(2, 0);
        Flow flow;
        REQUIRE(solver.solve({rho, mu, control}, flow) == Outcome::converged);
        CHECK((flow.mass_flow[0] > 0) == engine_hot);  // the lighter leg rises
    }
}
