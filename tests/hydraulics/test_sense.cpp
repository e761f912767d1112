// Descriptions that cannot be, and the losses of those that can.
#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <vector>
#include "lapheat/units/spellings.hpp"

#include "lapheat/hydraulics/network_error.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/units/constants.hpp"
#include "rig.hpp"

using namespace lapheat::hydraulics;
using lapheat::Code;

namespace {

NetworkError refusal(const std::function<void(NetworkDescription&)>& spoil) {
    NetworkDescription d = coolant_loop();
    spoil(d);
    try {
        build(std::move(d));
    } catch (const NetworkError& e) {
        return e;
    }
    return {"", "", {}};
}

std::string complaint(const std::function<void(NetworkDescription&)>& spoil) {
    return refusal(spoil).what();
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
    const auto loose = refusal([](D& d) { d.branches[3].to = "nowhere"; });
    CHECK(loose.code() == Code::loose_end);
    CHECK(loose.diagnostic()->names == std::vector<std::string>{"heater", "nowhere"});
    CHECK(loose.spot().branch == 3);
    const auto hanging = refusal([](D& d) { d.branches[0].to = "nowhere"; });
    CHECK(hanging.code() == Code::deadhead_loose_end);
    CHECK(hanging.diagnostic()->names == std::vector<std::string>{"engine", "nowhere"});
    CHECK(hanging.spot().branch == 0);
    CHECK(refusal([](D& d) {
              d.branches[0].elements.erase(d.branches[0].elements.begin());
          }).code() == Code::no_pump);
    const auto shut = refusal([](D& d) {
        for (std::size_t i = 1; i < 4; ++i) d.branches[i].closed = true;
    });
    CHECK(shut.code() == Code::deadhead_no_way);
    CHECK(shut.diagnostic()->names == std::vector<std::string>{"engine"});
    CHECK(refusal([](D& d) { d.branches[0].closed = true; }).code() == Code::deadhead_capped);
    const auto apart = refusal([](D& d) { d.branches[3].from = "x", d.branches[3].to = "x"; });
    CHECK(apart.code() == Code::nodes_apart);
    CHECK(apart.diagnostic()->names.at(0) == "x");
    CHECK(apart.spot().node >= 0);
    CHECK_THAT(complaint([](D& d) { d.branches[3].name = "bypass"; }), Catch::Contains("bypass"));
    CHECK_THAT(complaint([](D& d) { d.branches[2].elements.clear(); }), Catch::Contains("bypass"));
    const auto uneven = refusal([](D& d) { d.branches[1].elements[1].rise = 1; });
    CHECK(uneven.code() == Code::rises_unequal);
    CHECK(std::abs(uneven.diagnostic()->values.at(0).si) == Approx(0.7));  // 1 in place of 0.3
    const auto thin =
        refusal([](D& d) { std::get<Pipe>(d.branches[1].elements[1].body).length = 0; });
    CHECK(thin.code() == Code::bad_input);
    CHECK(thin.spot().branch == 1);
    CHECK(thin.spot().element == 1);
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
    CHECK(build(d).warnings[0].code == Code::no_relief);
    CHECK(build(d).warnings[0].names == std::vector<std::string>{"pump", "rack"});
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

TEST_CASE("losses along a way round the loop add up to the pump's pressure") {
    Rig rig(coolant_loop());
    rig.control_of("engine", "pump") = 300;
    REQUIRE(rig.solve() == Outcome::converged);
    const Network& n = *rig.network;
    std::vector<double> losses(n.elements());
    element_losses(n, rig.inputs(), rig.flow, losses);
    double lost = 0, given = 0;
    for (const char* branch : {"engine", "radiator"}) {
        const std::size_t b = n.branch(branch);
        for (int e = n.first_element[b]; e < n.first_element[b + 1]; ++e) {
            const double loss = losses[static_cast<std::size_t>(e)];
            (loss < 0 ? given : lost) += std::abs(loss);
        }
    }
    CHECK(given > 1e3);
    CHECK(lost == Approx(given).epsilon(1e-8));
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
            around += all[e] + 1000 * lapheat::constants::gravity * rig.network->rise[e];
        }
    }
    CHECK(around == Approx(0).margin(1e-6 * 1e5));  // what the pump gives, the way round takes
}

TEST_CASE("a size is said as a shop says it") {
    using lapheat::units::System;
    CHECK(lapheat::units::size_as_sold(0.009525, System::si) == "9.53 mm (-6)");
    CHECK(lapheat::units::size_as_sold(0.009525, System::us) == "3/8 inch (-6)");
    CHECK(lapheat::units::size_as_sold(0.0381, System::us) == "1 1/2 inch (-24)");
    CHECK(lapheat::units::size_as_sold(0.03175, System::us) == "1 1/4 inch (-20)");
    CHECK(lapheat::units::size_as_sold(0.0254, System::us) == "1 inch (-16)");
    CHECK(lapheat::units::size_as_sold(0.0119, System::si) == "11.9 mm");
    CHECK(lapheat::units::size_as_sold(0.0119, System::us) == "0.469 inch");
}
