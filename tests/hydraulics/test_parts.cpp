#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/exchangers/duct.hpp"
#include "lapheat/hydraulics/expansion.hpp"
#include "lapheat/hydraulics/line.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/units/error.hpp"
#include "rig.hpp"

using namespace lapheat::hydraulics;

TEST_CASE("a dash number counts sixteenths of an inch") {
    CHECK(dash_diameter(6) == Approx(9.525e-3));
    CHECK(dash_diameter(16) == Approx(25.4e-3));
    CHECK_THROWS_AS(dash_diameter(0), lapheat::Error);
}

TEST_CASE("a bend costs more the sharper its angle and least at two to three diameters' radius") {
    const auto k = [](double ratio, double angle) {
        return bend(0.02, ratio, angle).loss_coefficient;
    };
    CHECK(k(1, 90) > k(1.5, 90));
    CHECK(k(1.5, 90) > k(2.5, 90));
    CHECK(k(10, 90) > k(2.5, 90));
    for (double angle = 5; angle <= 180; angle += 5) CHECK(k(2, angle) > k(2, angle - 5));
    CHECK(bend(0.02, 2, 0).loss_coefficient == 0);
}

TEST_CASE("cold oil makes a fitting cost far more velocity heads than hot coolant") {
    const MinorLoss elbow = fitting("elbow_90", 0.0095);
    const auto heads = [&](double re) {
        return elbow.loss_coefficient + elbow.laminar_coefficient / re;
    };
    // Hooper (1981), a threaded elbow of 90 degrees: 800 / Re + 0.4 (1 + 1 / D in inches).
    const double large = 0.4 * (1 + 0.0254 / 0.0095);
    CHECK(heads(50) == Approx(800 / 50.0 + large).epsilon(1e-9));
    CHECK(heads(2e4) == Approx(800 / 2e4 + large).epsilon(1e-9));
    CHECK(heads(50) > 10 * heads(2e4));
}

TEST_CASE("an unknown fitting is refused with the names that are known") {
    try {
        fitting("elbow_89", 0.01);
        FAIL("no error");
    } catch (const lapheat::Error& e) {
        CHECK(std::string(e.what()).find("elbow_89") != std::string::npos);
        CHECK(e.expected().find("elbow_90") != std::string::npos);
    }
}

TEST_CASE("a barb with the hose's own bore costs nothing, and ever more as it narrows") {
    CHECK(barb(0.01, 0.01).loss_coefficient == Approx(0).margin(1e-15));
    CHECK(barb(0.01, 0.006).loss_coefficient > barb(0.01, 0.008).loss_coefficient);
}

TEST_CASE("a thermostat's area grows with its lift until the seat itself is the narrowest place") {
    CHECK(poppet_area(0.03, 0.004) == Approx(M_PI * 0.03 * 0.004));
    CHECK(poppet_area(0.03, 0.1) == Approx(M_PI / 4 * 9e-4));
    CHECK(poppet_area(0.03, -1) == 0);
}

TEST_CASE("a filter loses its measured pressure at its measured point") {
    NetworkDescription d;
    d.branches = {{.name = "loop",
                   .from = "a",
                   .to = "a",
                   .elements = {{"pump", small_pump()}, {"filter", filter(1e-4, 2e4, 850, 0.02)}}}};
    Rig rig(d, 850, 0.02);
    CHECK(element_loss(*rig.network, 1, 850, 0.02, 0, 0.085) == Approx(2e4).epsilon(1e-12));
    // Twice the viscosity at the same flow: the laminar four fifths double.
    CHECK(element_loss(*rig.network, 1, 850, 0.04, 0, 0.085) == Approx(1.8 * 2e4).epsilon(1e-12));
}

TEST_CASE("a line too narrow for its flow is named with the size that would do") {
    const auto warning = line_warning(LineUse::suction, "steering suction", 0.0095, 3e-4);
    REQUIRE(warning.has_value());
    CHECK(warning->code == lapheat::Code::suction_line_fast);
    CHECK(warning->names.at(0) == "steering suction");
    CHECK(warning->values.at(0).si == Approx(4.2325).epsilon(1e-4));  // 3e-4 over pi/4 0.0095²
    CHECK(warning->values.at(1).si == 1.5);
    CHECK(warning->values.at(2).si == Approx(0.01596).epsilon(1e-3));  // the bore for 1.5 m/s
    CHECK(warning->values.at(3).si == Approx(0.01905));                // sold as -12, -11 is not
    CHECK_FALSE(line_warning(LineUse::suction, "steering suction", 0.019, 3e-4).has_value());
}

// --- Pumps -----------------------------------------------------------------------------------

TEST_CASE("a pump curve made of the three-term form is found again from its points") {
    const CentrifugalPump truth{1.2e-3, 4e2, 6e7};
    std::vector<PumpPoint> points;
    for (double q = 0; q <= 1.2e-3; q += 2e-4)
        points.push_back({q, pressure_rise(truth, 1000, 300, q)});
    const PumpFit fit = fit_pump(points, 1000, 300);
    CHECK(fit.pump.shutoff == Approx(truth.shutoff).epsilon(1e-9));
    CHECK(fit.pump.linear == Approx(truth.linear).epsilon(1e-7));
    CHECK(fit.pump.quadratic == Approx(truth.quadratic).epsilon(1e-7));
    CHECK(fit.worst_error < 1e-9);
}

TEST_CASE("a pump curve that rises with flow is refused") {
    const std::vector<PumpPoint> points{{0, 9e4}, {2e-4, 1e5}, {1e-3, 0}};
    CHECK_THROWS_AS(fit_pump(points, 1000, 300), lapheat::Error);
}

TEST_CASE("pressure and flow scale by the affinity laws") {
    const CentrifugalPump p = small_pump();
    CHECK(pressure_rise(p, 1000, 600, 4e-4) ==
          Approx(4 * pressure_rise(p, 1000, 300, 2e-4)).epsilon(1e-12));
}

TEST_CASE("a pump cavitates sooner at altitude and later under a cap") {
    const SuctionNeed need{1, 3, 1e-3, 300};
    const auto margin = [&](double pressure) {
        return npsh_available(pressure, 7e4, 960, 1.4) - npsh_required(need, 300, 1e-3);
    };
    CHECK(margin(101325) > margin(79495));
    CHECK(margin(101325 + 1e5) > margin(101325));
    CHECK(npsh_required(need, 600, 2e-3) == Approx(4 * 3.0));
}

TEST_CASE("a displacement pump delivers what it sweeps less what leaks, thin oil more") {
    NetworkDescription d;
    d.branches = {{.name = "loop",
                   .from = "a",
                   .to = "a",
                   .elements = {{"pump", DisplacementPump{.displacement = 2e-6,
                                                          .relief_pressure = 8e6,
                                                          .leakage = 1e-13}},
                                {"return", Pipe{3, 0.0095, 5e-6}}}}};
    Rig rig(d, 850, 0.02);
    const auto pressure = [&](double viscosity, double delivered) {
        return -element_loss(*rig.network, 0, 850, viscosity, 100, 850 * delivered);
    };
    for (const double viscosity : {0.005, 0.05})
        CHECK(pressure(viscosity, 2e-6 * 100 - 1e-13 * 5e6 / viscosity) ==
              Approx(5e6).epsilon(1e-9));
    // Nothing leaves: all goes over the relief valve, which opens by a tenth more at most.
    CHECK(pressure(0.01, 0) > 8e6);
    CHECK(pressure(0.01, 0) < 8.8e6 * 1.01);
}

TEST_CASE("in the network a displacement pump holds its flow against a line, up to relief") {
    NetworkDescription d;
    d.branches = {{.name = "loop",
                   .from = "a",
                   .to = "a",
                   .elements = {{"pump", DisplacementPump{.displacement = 2e-6,
                                                          .controlled_flow = 1.2e-4,
                                                          .relief_pressure = 8e6,
                                                          .leakage = 1e-15}},
                                {"return", Pipe{3, 0.0095, 5e-6}},
                                {"rack", Valve{1e-4, 0, 2}}}}};
    Rig rig(d, 850, 0.02);
    rig.control_of("loop", "pump") = 40;
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("loop") / 850 == Approx(8e-5).epsilon(1e-3));
    rig.control_of("loop", "pump") = 200;  // 4e-4 swept, 1.2e-4 let through
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("loop") / 850 == Approx(1.2e-4).epsilon(1e-3));
    rig.control_of("loop", "rack") = 1e-3;  // 0.1 mm²: the rack all but shut
    REQUIRE(rig.solve() == Outcome::converged);
    CHECK(rig.flow_of("loop") / 850 < 0.8 * 1.2e-4);
    const double pressure = -element_loss(*rig.network, 0, 850, 0.02, 200, rig.flow_of("loop"));
    CHECK(pressure > 8e6);
    CHECK(pressure < 8.8e6);
}

// --- Expansion volume ------------------------------------------------------------------------

TEST_CASE("pressure rises as the liquid swells until the cap holds it, and falls back lower") {
    const ExpansionVolume tank{.gas_volume = 1e-3, .cap_pressure = 1e5};
    GasContent gas = fill(tank);
    CHECK(system_pressure(tank, gas, 0, 293.15, 0, 101325).pressure == Approx(101325));
    const SystemPressure half = system_pressure(tank, gas, 3e-4, 330, 2e4, 101325);
    CHECK(half.pressure == Approx(101325 * 330 / 293.15 / 0.7 + 2e4).epsilon(1e-12));
    CHECK_FALSE(half.cap_open);
    const SystemPressure hot = system_pressure(tank, gas, 5e-4, 370, 7e4, 101325);
    CHECK(hot.cap_open);
    CHECK(hot.pressure == Approx(201325));
    const SystemPressure cold = system_pressure(tank, hot.gas, 0, 293.15, 0, 101325);
    CHECK(cold.vacuum_open);
    CHECK(cold.pressure == Approx(101325 - tank.vacuum_pressure));
    CHECK(system_pressure(tank, gas, 1.1e-3, 370, 7e4, 101325).overfilled);
}

TEST_CASE("a cap above the radiator's rating is an error that says so") {
    CHECK_NOTHROW(check_cap(1e5, 1.1e5, "the radiator"));
    CHECK_THROWS_WITH(check_cap(1.4e5, 1.1e5, "the radiator"), Catch::Contains("radiator"));
}

// --- Lines -----------------------------------------------------------------------------------

TEST_CASE("a line loses heat to cool air, gains it beside an exhaust, and a wall of rubber helps") {
    const LineWall hose{.inner_diameter = 0.0095},
        tube{.inner_diameter = 0.0095, .thickness = 0.001, .conductivity = 50};
    const LineAir still = line_air(300, 300, 0, 340), moving = line_air(300, 300, 10, 340),
                  exhaust = line_air(340, 600, 0, 400);
    const auto loss = [](const LineWall& w, const LineAir& a) {
        return line_loss(w, 2, 1500, 100, 0.13, a, 370);
    };
    CHECK(loss(hose, still) > 0);
    CHECK(loss(hose, moving) > loss(hose, still));
    CHECK(loss(tube, moving) > loss(hose, moving));
    CHECK(loss(hose, exhaust) < 0);
    CHECK(line_loss(hose, 2, 1500, 100, 0.13, line_air(370, 370, 0, 370), 370) ==
          Approx(0).margin(1e-9));
}

TEST_CASE("no coolant hose is told to be wider than the necks of radiators and engines",
          "[hydraulics]") {
    // 4.5 L/s through 1 1/4 inch asks for 44 mm; more asks for what no neck has.
    const auto wider = line_warning(LineUse::coolant, "upper hose", 0.03175, 4.5e-3);
    REQUIRE(wider);
    CHECK(wider->code == lapheat::Code::coolant_hose_fast);
    CHECK(words(*wider, lapheat::units::System::us).find("1 3/4 inch") != std::string::npos);
    const auto widest = line_warning(LineUse::coolant, "upper hose", 0.03175, 9e-3);
    REQUIRE(widest);
    CHECK(widest->code == lapheat::Code::coolant_hose_at_its_widest);
    CHECK_FALSE(line_warning(LineUse::coolant, "upper hose", 0.04445, 9e-3));
    CHECK_FALSE(line_warning(LineUse::coolant, "heater hose", 0.01905, 2e-3));
}
