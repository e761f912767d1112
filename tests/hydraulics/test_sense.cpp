// Descriptions that cannot be, and what a report says of those that can.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numeric>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/report.hpp"
#include "lapheat/units/error.hpp"
#include "rig.hpp"

using namespace lapheat::hydraulics;

namespace {

std::string complaint(const std::function<void(NetworkDescription&)>& spoil) {
    NetworkDescription d = coolant_loop();
    spoil(d);
    try {
        build(std::move(d));
    } catch (const lapheat::Error& e) {
        return e.what();
    }
    return "";
}

}  // namespace

TEST_CASE("the loop of the examples is accepted") {
    CHECK(complaint([](NetworkDescription&) {}).empty());
}

TEST_CASE("a description that cannot be is refused by the name of its part") {
    using D = NetworkDescription;
    CHECK_THAT(complaint([](D& d) { std::get<Pipe>(d.branches[1].elements[1].body).length = 0; }),
               Catch::Contains("upper"));
    CHECK_THAT(
        complaint([](D& d) { std::get<Pipe>(d.branches[1].elements[1].body).roughness = 0.01; }),
        Catch::Contains("upper"));
    CHECK_THAT(complaint([](D& d) { d.branches[3].to = "nowhere"; }),
               Catch::Contains("heater") && Catch::Contains("nowhere"));
    CHECK_THAT(complaint([](D& d) { d.branches[0].to = "nowhere"; }),
               Catch::Contains("deadhead") && Catch::Contains("engine"));
    CHECK_THAT(
        complaint([](D& d) { d.branches[0].elements.erase(d.branches[0].elements.begin()); }),
        Catch::Contains("no pump"));
    CHECK_THAT(complaint([](D& d) {
                   for (std::size_t i = 1; i < 4; ++i) d.branches[i].closed = true;
               }),
               Catch::Contains("deadhead"));
    CHECK_THAT(complaint([](D& d) { d.branches[3].from = "x", d.branches[3].to = "x"; }),
               Catch::Contains("not connected"));
    CHECK_THAT(complaint([](D& d) { d.branches[3].name = "bypass"; }), Catch::Contains("bypass"));
    CHECK_THAT(complaint([](D& d) { d.branches[2].elements.clear(); }), Catch::Contains("bypass"));
    CHECK_THAT(complaint([](D& d) { d.branches[1].elements[1].rise = 1; }),
               Catch::Contains("add up"));
    CHECK_THAT(complaint([](D& d) { d.branches.clear(); }), Catch::Contains("no branches"));
    CHECK_THAT(complaint([](D& d) {
                   d.branches[0].elements[0].body = CentrifugalPump{1, 0, 0};
               }),
               Catch::Contains("pump"));
}

TEST_CASE("a displacement pump that a valve can shut in without relief is possible but unwise") {
    NetworkDescription d;
    DisplacementPump pump{.displacement = 2e-6};
    d.branches = {{.name = "loop",
                   .from = "a",
                   .to = "a",
                   .elements = {{"pump", pump}, {"rack", Valve{1e-4, 0, 2}}}}};
    REQUIRE(build(d).warnings.size() == 1);
    CHECK_THAT(build(d).warnings[0], Catch::Contains("pump") && Catch::Contains("rack"));
    pump.relief_pressure = 8e6;
    d.branches[0].elements[0].body = pump;
    CHECK(build(d).warnings.empty());
}

TEST_CASE("given heights of nodes are climbed by the pipes between them") {
    NetworkDescription d = coolant_loop();
    for (auto& b : d.branches)
        for (auto& e : b.elements) e.rise = 0;
    d.nodes = {{.name = "in", .elevation = 0}, {.name = "out", .elevation = 0.5}};
    d.branches[0].elements.push_back({"pipe", Pipe{0.3, 0.03, 5e-6}});
    const Network n = build(d);
    CHECK(n.rise[n.element("bypass", "hose")] == Approx(-0.5));
    CHECK(n.rise[n.element("radiator", "upper")] == Approx(-0.5 * 0.8 / 1.7));
}

TEST_CASE("losses reported along a way round the loop add up to the pump's pressure") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    const FlowReport r = report(*rig.network, rig.inputs(), rig.flow);
    double lost = 0, given = 0, shares = 0;
    for (const ElementReport& e : r.elements)
        if (e.branch == "engine" || e.branch == "radiator") {
            if (e.pressure_loss < 0)
                given -= e.pressure_loss;
            else
                lost += e.pressure_loss, shares += e.share;
        }
    CHECK(lost == Approx(given).epsilon(1e-8));
    CHECK(shares == Approx(1).epsilon(1e-8));
    CHECK(r.residual < 1e-9);
    // Heat made in all parts is the pump's work.
    const double power =
        std::accumulate(r.elements.begin(), r.elements.end(), 0.0,
                        [](double s, const ElementReport& e) { return s + e.power; });
    CHECK(power == Approx(0).margin(1e-6 * given * std::abs(rig.flow_of("engine")) / 1000));
}

TEST_CASE("a metre more of hose and an elbow more cost flow, and a long thin line costs most") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    double upper = 0, feed = 0;
    for (const Cost& c : line_costs(*rig.network, rig.inputs(), rig.flow)) {
        INFO(c.branch << ' ' << c.name);
        CHECK(c.pressure_per_unit > 0);
        if (c.branch == "radiator" && c.name == "upper") upper = c.pressure_per_unit;
        if (c.branch == "heater" && c.name == "feed") feed = c.pressure_per_unit;
        if (c.branch != "engine") CHECK(c.flow_per_unit > 0);
    }
    CHECK(feed > upper);
}

TEST_CASE("the pump's inlet is the lowest pressure of a loop whose tank feeds it") {
    NetworkDescription d = coolant_loop();
    d.branches[0].elements.insert(d.branches[0].elements.begin(),
                                  {"suction", Pipe{0.4, 0.02, 5e-6}});
    Rig rig(d);
    rig.control_of("engine", "pump") = 300;
    rig.fixed[0] = 2e5;
    REQUIRE(rig.solve() == Outcome::converged);
    const std::size_t pump = rig.network->element("engine", "pump");
    const double inlet = inlet_pressure(*rig.network, rig.inputs(), rig.flow, pump);
    CHECK(inlet < 2e5);
    CHECK(inlet ==
          Approx(2e5 - element_loss(*rig.network, pump - 1, 1000, 1e-3, 0, rig.flow_of("engine"))));
}

TEST_CASE("the plumbing list holds every hose with two clamps and the total of each size") {
    const Network n = build(coolant_loop());
    double hoses = 0, total = 0;
    int clamps = 0;
    for (const PlumbingItem& item : plumbing_list(n, 0.1)) {
        if (item.what == "hose") hoses += item.length;
        if (item.what == "hose in all") total += item.length;
        if (item.what == "clamp") clamps += item.count;
    }
    CHECK(hoses == Approx(1.1 * (0.8 + 0.9 + 0.3 + 2 + 2)));
    CHECK(total == Approx(hoses));
    CHECK(clamps == 10);
}

TEST_CASE("losses of all elements at once are those of each alone") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 250;
    REQUIRE(rig.solve() == Outcome::converged);
    std::vector<double> all(rig.network->elements());
    element_losses(*rig.network, rig.inputs(), rig.flow, all);
    double around = 0;
    for (const char* branch : {"engine", "radiator"}) {
        const std::size_t b = rig.network->branch(branch);
        for (auto e = static_cast<std::size_t>(rig.network->first_element[b]);
             e < static_cast<std::size_t>(rig.network->first_element[b + 1]); ++e) {
            CHECK(all[e] ==
                  element_loss(*rig.network, e, 1000, 1e-3, rig.control[e], rig.flow.mass_flow[b]));
            around += all[e] + 1000 * standard_gravity * rig.network->rise[e];
        }
    }
    CHECK(around == Approx(0).margin(1e-6 * 1e5));  // what the pump gives, the way round takes
}

TEST_CASE("a size is said as a shop says it") {
    CHECK(size_as_sold(0.009525) == "9.53 mm (3/8 inch, -6)");
    CHECK(size_as_sold(0.0381) == "38.1 mm (1 1/2 inch, -24)");
    CHECK(size_as_sold(0.0254) == "25.4 mm (1 inch, -16)");
    CHECK(size_as_sold(0.0119).find("inch") == std::string::npos);
}
