#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/exchangers/core.hpp>
#include <lapheat/exchangers/duct.hpp>
#include <lapheat/exchangers/film.hpp>
#include <lapheat/exchangers/map.hpp>
#include <lapheat/exchangers/rate.hpp>
#include <lapheat/fluids/liquids.hpp>
#include <lapheat/units/diagnostic.hpp>
#include <lapheat/units/error.hpp>
#include <limits>

#include "media.hpp"

using namespace lapheat::exchangers;
using lapheat::Error;

namespace {

SideDescription tube_side() {
    SideDescription d;
    d.flow_area = 4e-4;
    d.hydraulic_diameter = 3e-3;
    d.heat_area = 0.3;
    const Duct duct{DuctShape::round, 3e-3, 0.4, 0};
    d.nusselt = [duct](double re, double pr) { return nusselt(duct, re, pr).value; };
    d.loss = [duct](double re) { return friction_factor(duct, re) * 0.4 / 3e-3 + 1.5; };
    d.reynolds_maximum = 1e6;
    d.prandtl_minimum = 1;
    d.prandtl_maximum = 2e4;
    return d;
}

SideDescription fin_side() {
    SideDescription d;
    d.flow_area = 0.05;
    d.hydraulic_diameter = 2e-3;
    d.heat_area = 3;
    d.fin_area_fraction = 0.85;
    d.fin_parameter = 2 * 4e-3 * 4e-3 / (175 * 1e-4);
    d.nusselt = [](double re, double pr) { return 0.4 * std::sqrt(re) * std::cbrt(pr); };
    d.loss = [](double re) { return 12 / std::sqrt(re) + 40 / re + 0.6; };
    d.reynolds_minimum = 50;
    d.reynolds_maximum = 3000;
    d.prandtl_minimum = d.prandtl_maximum = 0.71;
    return d;
}

/// Invented.
Core example() {
    Core c;
    c.name = "example";
    c.first = make_side(tube_side());
    c.second = make_side(fin_side());
    c.wall_resistance = 1e-4;
    c.width = 0.3;
    c.height = 0.2;
    c.depth = 0.03;
    c.heat_capacity = 1500;
    c.first_volume = 4e-4;
    return make_core(c);
}

StreamInput oil_in(double flow, double kelvin) { return {flow, kelvin, oil.at(kelvin), 0}; }
StreamInput air_in(double flow, double kelvin) { return {flow, kelvin, air.at(kelvin), 0}; }

}  // namespace

TEST_CASE("a side's table returns its correlations between the nodes") {
    const Side tube = make_side(tube_side()), fin = make_side(fin_side());
    // Smooth laws to the cubic's accuracy; the corners of the transition are rounded by less than 2
    // %.
    CHECK(fin.table->nusselt_error < 1e-6);
    CHECK(fin.table->loss_error < 2e-3);
    CHECK(tube.table->nusselt_error < 0.04);
    CHECK(tube.table->loss_error < 5e-3);
    const SideDescription d = tube_side();
    for (const double re : {3.0, 150.0, 1500.0, 2e4}) {
        for (const double pr : {2.0, 90.0, 3000.0}) {
            SideFlow f{re * 4e-4 * 1e-3 / 3e-3, 900, 1e-3, 0.14, pr, 0};
            CHECK(side_state(tube, f).nusselt == Approx(d.nusselt(re, pr)).epsilon(1e-3));
        }
    }
}

TEST_CASE("drop follows the flow's sign and is linear through zero") {
    const Side tube = make_side(tube_side());
    const double tiny = pressure_drop(tube, 1e-12, 850, 0.02);
    CHECK(tiny > 0);
    CHECK(pressure_drop(tube, 0, 850, 0.02) == 0);
    CHECK(pressure_drop(tube, -1e-12, 850, 0.02) == -tiny);
    CHECK(pressure_drop(tube, 2e-12, 850, 0.02) == Approx(2 * tiny));
    CHECK(pressure_drop(tube, -0.1, 850, 0.02) == -pressure_drop(tube, 0.1, 850, 0.02));
    // Hagen & Poiseuille for slow flow, with the entrance's share on top.
    const double hagen = 32 * 0.02 * (1e-5 / (850 * 4e-4)) * 0.4 / (3e-3 * 3e-3);
    CHECK(pressure_drop(tube, 1e-5, 850, 0.02) == Approx(hagen).epsilon(0.05));
}

TEST_CASE("drop grows with flow everywhere, smoothly across the ends of the table") {
    for (const Side& side : {make_side(tube_side()), make_side(fin_side())}) {
        double before = 0;
        for (double m = 1e-7; m < 100; m *= 1.02) {
            const double drop = pressure_drop(side, m, 850, 0.001);
            CHECK(drop > before);
            before = drop;
        }
        for (const double end : {1.0, 1e5}) {
            const double m = end * side.flow_area * 0.001 / side.hydraulic_diameter;
            const auto slope = [&](double from, double to) {
                return std::log(pressure_drop(side, m * to, 850, 0.001) /
                                pressure_drop(side, m * from, 850, 0.001)) /
                       std::log(to / from);
            };
            CHECK(slope(0.999, 1) == Approx(slope(1, 1.001)).margin(1e-2));
        }
    }
}

TEST_CASE("heat closes both streams' balances and never passes the second law's bound") {
    const Core core = example();
    for (const double m1 : {1e-6, 0.01, 0.1, 0.4}) {
        for (const double m2 : {1e-6, 0.05, 0.3, 1.0}) {
            for (const double t1 : {250.0, 300.0, 400.0}) {
                const auto a = oil_in(m1, t1), b = air_in(m2, 310);
                const CoreOperation o = operate(core, a, b);
                const double c1 = m1 * a.properties.specific_heat,
                             c2 = m2 * b.properties.specific_heat;
                CHECK(o.heat == Approx(c1 * (t1 - o.first_outlet))
                                    .epsilon(1e-9)
                                    .margin(1e-12 * std::max(c1, c2)));
                CHECK(o.heat == Approx(c2 * (o.second_outlet - 310))
                                    .epsilon(1e-9)
                                    .margin(1e-12 * std::max(c1, c2)));
                CHECK(std::abs(o.heat) <= std::min(c1, c2) * std::abs(t1 - 310) * (1 + 1e-12));
                CHECK(o.heat * (t1 - 310) >= 0);
                CHECK(o.resistance_first + o.resistance_wall + o.resistance_second ==
                      Approx(1 / o.ua));
                CHECK(o.wall_temperature >= std::min(t1, 310.0));
                CHECK(o.wall_temperature <= std::max(t1, 310.0));
            }
        }
    }
}

TEST_CASE("heat grows with either flow") {
    const Core core = example();
    for (const double other : {0.02, 0.2}) {
        double before1 = 0, before2 = 0;
        for (double m = 1e-5; m < 2; m *= 1.1) {
            const double by1 = operate(core, oil_in(m, 380), air_in(other, 310)).heat;
            const double by2 = operate(core, oil_in(other, 380), air_in(m, 310)).heat;
            CHECK(by1 > before1);
            CHECK(by2 > before2);
            before1 = by1;
            before2 = by2;
        }
    }
}

TEST_CASE("streams that stand still move no heat and make no nonsense") {
    const Core core = example();
    const auto finite = [](const CoreOperation& o) {
        return std::isfinite(o.heat) && std::isfinite(o.first_outlet) &&
               std::isfinite(o.second_outlet) && std::isfinite(o.wall_temperature) &&
               std::isfinite(o.effectiveness) && std::isfinite(o.first_pressure_drop) &&
               std::isfinite(o.second_pressure_drop);
    };
    for (const double m1 : {0.0, 0.1}) {
        for (const double m2 : {0.0, 0.3}) {
            const CoreOperation o = operate(core, oil_in(m1, 380), air_in(m2, 310));
            CHECK(finite(o));
            if (m1 == 0 || m2 == 0) {
                CHECK(o.heat == 0);
                CHECK((o.flags & core_no_flow) != 0);
            }
        }
    }
    // The limit of little flow is the standing stream: it takes the other's temperature.
    const CoreOperation still = operate(core, oil_in(0, 380), air_in(0.3, 310));
    const CoreOperation slow = operate(core, oil_in(1e-9, 380), air_in(0.3, 310));
    CHECK(still.first_outlet == Approx(310));
    CHECK(slow.first_outlet == Approx(310));
    CHECK(slow.heat < 1e-3);
}

TEST_CASE("a stream turned round exchanges the same heat with the opposite drop") {
    const Core core = example();
    const CoreOperation a = operate(core, oil_in(0.1, 380), air_in(0.3, 310));
    const CoreOperation b = operate(core, oil_in(-0.1, 380), air_in(-0.3, 310));
    CHECK(a.heat == b.heat);
    CHECK(a.first_pressure_drop == -b.first_pressure_drop);
    CHECK(a.second_pressure_drop == -b.second_pressure_drop);
}

TEST_CASE("temperatures exchanged, the heat changes sign") {
    const Core core = example();
    const auto p1 = oil.at(350), p2 = air.at(330);
    const CoreOperation a = operate(core, {0.1, 380, p1, 0}, {0.3, 310, p2, 0});
    const CoreOperation b = operate(core, {0.1, 310, p1, 0}, {0.3, 380, p2, 0});
    CHECK(a.heat == Approx(-b.heat).epsilon(1e-14));
}

TEST_CASE("inputs that are no numbers give a flag and no heat, never a crash") {
    const Core core = example();
    auto bad = oil_in(0.1, 380);
    bad.properties.viscosity = 0;
    CHECK(operate(core, bad, air_in(0.3, 310)).flags == core_not_finite);
    CHECK(operate(core, bad, air_in(0.3, 310)).heat == 0);
    CHECK(operate(core, oil_in(std::nan(""), 380), air_in(0.3, 310)).flags == core_not_finite);
    CHECK(operate(core, oil_in(0.1, 380), air_in(std::numeric_limits<double>::infinity(), 310))
              .flags == core_not_finite);
    CHECK(operate(Core{}, oil_in(0.1, 380), air_in(0.3, 310)).flags == core_empty);
    CHECK(describe_core_flags(0).empty());
    using lapheat::Code;
    CHECK(core_codes(core_first_range | core_envelope) ==
          std::vector<Code>{Code::core_first_beyond, Code::core_beyond_rating});
    CHECK(describe_core_flags(core_first_range | core_envelope) ==
          describe_core_flags(core_first_range) + " " + describe_core_flags(core_envelope));
}

TEST_CASE("leaving a correlation's range or the rated envelope is flagged") {
    Core core = example();
    CHECK((operate(core, oil_in(0.1, 380), air_in(0.3, 310)).flags & core_second_range) == 0);
    CHECK((operate(core, oil_in(0.1, 380), air_in(8.0, 310)).flags & core_second_range) != 0);
    core.envelope.first_flow_maximum = 0.05;
    CHECK((operate(core, oil_in(0.1, 380), air_in(0.3, 310)).flags & core_envelope) != 0);
}

TEST_CASE("a pressure drop alone is the one that comes with the heat") {
    const Core core = example();
    const auto a = oil_in(0.1, 380), b = air_in(0.3, 310);
    const CoreOperation o = operate(core, a, b);
    CHECK(first_pressure_drop(core, 0.1, a.properties.density, a.properties.viscosity) ==
          o.first_pressure_drop);
    CHECK(second_pressure_drop(core, 0.3, b.properties.density, b.properties.viscosity) ==
          o.second_pressure_drop);
}

TEST_CASE("cold oil at a cold wall conducts worse and drops more") {
    const Core core = example();
    auto a = oil_in(0.1, 340);
    const CoreOperation plain = operate(core, a, air_in(0.3, 280));
    a.wall_viscosity = 4 * a.properties.viscosity;
    const CoreOperation cold = operate(core, a, air_in(0.3, 280));
    CHECK(cold.resistance_first / plain.resistance_first ==
          Approx(std::pow(4, 0.14)).epsilon(1e-12));
    CHECK(cold.first_pressure_drop / plain.first_pressure_drop ==
          Approx(std::pow(4, 0.5)).epsilon(1e-12));
}

TEST_CASE("dirt and damage only ever cost heat, and drop where the air is concerned") {
    const Core core = example();
    const auto a = oil_in(0.1, 380), b = air_in(0.3, 310);
    const CoreOperation clean = operate(core, a, b);
    for (const Condition& c : {Condition{1e-4, 0, 0, 0}, Condition{0, 2e-4, 0, 0},
                               Condition{0, 0, 0.3, 0}, Condition{0, 0, 0, 0.4}}) {
        const Core dirty = with_condition(core, c);
        const CoreOperation o = operate(dirty, a, b);
        CHECK(o.heat < clean.heat);
        CHECK(o.second_pressure_drop >= clean.second_pressure_drop);
        CHECK(o.first_pressure_drop == clean.first_pressure_drop);
    }
    // A face half blocked passes the same air at twice the speed.
    const Core half = with_condition(core, {0, 0, 0.5, 0});
    const Core small = face_fraction(core, 0.5);
    CHECK(second_pressure_drop(half, 0.3, 1.1, 2e-5) ==
          Approx(second_pressure_drop(small, 0.3, 1.1, 2e-5)));
    CHECK(half.condition.blocked == Approx(0.5));
    CHECK(with_condition(half, {0, 0, 0.5, 0}).condition.blocked == Approx(0.75));
    CHECK_THROWS_AS(with_condition(core, {0, 0, 1.0, 0}), Error);
    CHECK_THROWS_AS(with_condition(core, {-1e-4, 0, 0, 0}), Error);
    CHECK_THROWS_AS(with_condition(core, {0, 0, 0, 1.1}), Error);
}

TEST_CASE("two parts of a face side by side do what the whole does") {
    const Core core = example();
    const Core left = face_fraction(core, 0.35), right = face_fraction(core, 0.65);
    const auto p1 = oil.at(360), p2 = air.at(330);
    const auto run = [&](const Core& c, double f) {
        return operate(c, {0.12 * f, 380, p1, 0}, {0.3 * f, 310, p2, 0});
    };
    const CoreOperation w = run(core, 1), l = run(left, 0.35), r = run(right, 0.65);
    CHECK(l.heat + r.heat == Approx(w.heat).epsilon(1e-12));
    CHECK(l.first_pressure_drop == Approx(w.first_pressure_drop).epsilon(1e-12));
    CHECK(r.second_pressure_drop == Approx(w.second_pressure_drop).epsilon(1e-12));
    CHECK(left.face_area + right.face_area == Approx(core.face_area));
    CHECK(left.heat_capacity + right.heat_capacity == Approx(core.heat_capacity));
    CHECK(left.first_volume + right.first_volume == Approx(core.first_volume));
    CHECK_THROWS_AS(face_fraction(core, 0), Error);
    CHECK_THROWS_AS(face_fraction(core, 1.2), Error);
}

TEST_CASE("a larger face never rejects less heat at the same flows") {
    const auto a = oil_in(0.1, 380), b = air_in(0.3, 310);
    double before = 0;
    for (double f = 0.2; f <= 1; f += 0.1) {
        const double heat = operate(face_fraction(example(), f), a, b).heat;
        CHECK(heat > before);
        before = heat;
    }
}

TEST_CASE("impossible cores and sides are refused") {
    Core c = example();
    c.wall_resistance = -1;
    CHECK_THROWS_AS(make_core(c), Error);
    c = example();
    c.open_fraction = 1.5;
    CHECK_THROWS_AS(make_core(c), Error);
    CHECK_THROWS_AS(make_core(Core{}), Error);
    SideDescription d = tube_side();
    d.flow_area = 0;
    CHECK_THROWS_AS(make_side(d), Error);
    d = tube_side();
    d.nusselt = [](double re, double) { return re > 100 ? -1.0 : 1.0; };
    CHECK_THROWS_AS(make_side(d), Error);
    d = tube_side();
    d.loss = nullptr;
    CHECK_THROWS_AS(make_side(d), Error);
}

TEST_CASE("a core of a slow arrangement carries its table and agrees with the exact form") {
    Core c = example();
    c.arrangement = {Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted,
                     Arrangement::cross_unmixed};
    c = make_core(c);
    REQUIRE(c.table.data);
    const CoreOperation o = operate(c, oil_in(0.1, 380), air_in(0.3, 310));
    CHECK(o.effectiveness ==
          Approx(effectiveness(c.arrangement, o.ntu, o.capacity_ratio, Smaller::first))
              .epsilon(2e-6));
}

TEST_CASE("a tabulated arrangement has no seams, in the whole plane and beyond its range") {
    for (const Arrangement pass : {Arrangement::cross_unmixed, Arrangement::cross_first_mixed}) {
        const ArrangementSpec spec{Arrangement::cross_counter, 3, PassCoupling::unmixed_identical,
                                   pass};
        const EffectivenessTable table = make_effectiveness_table(spec);
        const auto at = [&](double n, double c) {
            return effectiveness(table, n, c, Smaller::first);
        };
        for (int i = 1; i < 400; ++i) {
            const double t = i / 400.0, n = 25 * t * t, a_little = 1e-7;
            for (int j = 0; j <= 40; ++j) {
                const double c = j / 40.0;
                // The steepest slopes are 1 in NTU at none, 0.5 in C*.
                CHECK(std::abs(at(n + a_little, c) - at(n, c)) < 1.1 * a_little);
                CHECK(std::abs(at(n, std::min(1.0, c + a_little)) - at(n, c)) < a_little);
                CHECK(at(n, c) <= effectiveness({Arrangement::counter}, n, c) + 1e-15);
            }
        }
        CHECK(std::isnan(at(std::nan(""), 0.5)));
        CHECK(at(0, 0.5) == 0);
    }
}

TEST_CASE("rating settles the properties at the mean temperatures") {
    const Core core = example();
    const RatedOperation r = rate(core, oil, air, {0.08, 390, 0.25, 305});
    REQUIRE(r.settled);
    const double mean = 0.5 * (390 + r.operation.first_outlet);
    CHECK(r.first.properties.specific_heat ==
          Approx(oil.liquid.specific_heat(mean)).epsilon(1e-12));
    CHECK(r.first.wall_viscosity ==
          Approx(oil.liquid.viscosity(r.operation.wall_temperature)).epsilon(1e-9));
}

TEST_CASE("cold thick oil still settles") {
    const RatedOperation r = rate(example(), oil, air, {0.05, 263.15, 0.4, 243.15});
    CHECK(r.settled);
    CHECK(r.operation.heat > 0);
}

TEST_CASE("a performance map holds what rating each point gives, and says what limits") {
    const Core core = example();
    const PerformanceMap m =
        performance_map(core, oil, air, {{0.02, 0.1}, {0.05, 0.2, 0.6}, {360, 390}, {300}});
    REQUIRE(m.heat.size() == 12);
    const std::size_t i = m.index(1, 2, 0, 0);
    const CoreOperation o = rate(core, oil, air, {0.1, 360, 0.6, 300}).operation;
    CHECK(m.heat[i] == o.heat);
    CHECK(m.second_drop[i] == o.second_pressure_drop);
    CHECK(m.first_share[i] + m.wall_share[i] + m.second_share[i] == Approx(1));
    for (std::size_t k = 0; k < m.heat.size(); ++k) {
        if (m.effectiveness[k] <= 0.9) {
            const bool liquid = m.first_share[k] > m.second_share[k];
            CHECK(m.limit[k] == (liquid ? Bottleneck::first_side : Bottleneck::second_side));
        }
    }
    CHECK(std::string(describe(Bottleneck::second_side)) == "air side");
    CHECK_THROWS_AS(performance_map(core, oil, air, {{0.1}, {}, {360}, {300}}), Error);
    CHECK_THROWS_AS(performance_map(core, oil, air, {{0.0}, {0.1}, {360}, {300}}), Error);
}

TEST_CASE(
    "two rounds for the wall give what rating a core gives, and less heat than none for oil") {
    const Core core = example();
    const lapheat::fluids::Liquid fluid = lapheat::fluids::by_name("transmission_fluid");
    for (const double flow : {0.02, 0.06, 0.15})
        for (const double inlet : {330.0, 360.0, 400.0}) {
            const RatedOperation rated = rate(core, oil, air, {flow, inlet, 0.3, 300});
            REQUIRE(rated.settled);
            // At the same mean temperatures: only the wall's viscosity is found in fewer rounds.
            StreamInput first = rated.first, second = rated.second;
            first.wall_viscosity = 0;
            const CoreOperation o = operate_with_wall(core, first, second, &fluid, nullptr);
            CHECK(o.heat == Approx(rated.operation.heat).epsilon(0.015));
            CHECK(o.heat < operate(core, first, second).heat);
            // Heated oil is thinner at the wall.
            const CoreOperation warm = operate_with_wall(
                core, {flow, 300, fluid.at(300), 0}, {0.3, 360, air.at(360), 0}, &fluid, nullptr);
            CHECK(-warm.heat >
                  -operate(core, {flow, 300, fluid.at(300), 0}, {0.3, 360, air.at(360), 0}).heat);
        }
    const CoreOperation still = operate_with_wall(core, {0, 380, fluid.at(380), 0},
                                                  {0.3, 310, air.at(310), 0}, &fluid, nullptr);
    CHECK(still.heat == 0);
    CHECK(std::isfinite(still.wall_temperature));
}
