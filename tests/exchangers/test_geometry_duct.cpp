#include <catch2/catch.hpp>
#include <cmath>
#include <initializer_list>

#include "lapheat/exchangers/duct.hpp"
#include "lapheat/exchangers/fin.hpp"
#include "lapheat/exchangers/surface.hpp"

using namespace lapheat::exchangers;

namespace {

Duct tube(double diameter, double length) { return {DuctShape::round, diameter, length, 0}; }
Duct flat(double aspect, double length) { return {DuctShape::rectangle, 3e-3, length, aspect}; }

}  // namespace

TEST_CASE("heat transfer and pressure drop in a duct rise with flow through every regime") {
    for (const double pr : {2.0, 7.0, 60.0, 500.0, 5000.0}) {
        for (const Duct& d : {tube(4e-3, 0.4), tube(8e-3, 0.1), flat(0.05, 0.6), flat(0.5, 0.3)}) {
            double nu = 0;
            double drop = 0;
            for (double re = 0.1; re < 9e5; re *= 1.02) {
                const double n = nusselt(d, re, pr).value;
                const double p = friction_factor(d, re) * re * re;
                CHECK(n >= nu);
                CHECK(p > drop);
                nu = n;
                drop = p;
            }
        }
    }
}

TEST_CASE("there is no jump where laminar flow ends and where turbulent flow is full") {
    for (const double pr : {5.0, 100.0, 3000.0}) {
        const Duct d = tube(5e-3, 0.5);
        for (const double edge : {2300.0, 1e4}) {
            const double below = nusselt(d, edge * (1 - 1e-9), pr).value;
            const double above = nusselt(d, edge * (1 + 1e-9), pr).value;
            CHECK(above == Approx(below).epsilon(1e-6));
        }
    }
    const Duct d = flat(0.1, 0.5);
    for (double re = 1; re < 1e6; re *= 1.05)
        CHECK(friction_factor(d, re * (1 + 1e-6)) == Approx(friction_factor(d, re)).epsilon(1e-4));
}

TEST_CASE(
    "a short duct transfers heat better and loses more pressure for its length than a long one") {
    for (const double re : {50.0, 500.0, 2000.0, 8000.0, 5e4}) {
        for (const double pr : {5.0, 300.0}) {
            CHECK(nusselt(tube(5e-3, 0.1), re, pr).value > nusselt(tube(5e-3, 1.0), re, pr).value);
        }
        CHECK(friction_factor(tube(5e-3, 0.1), re) >= friction_factor(tube(5e-3, 1.0), re));
    }
}

TEST_CASE("a very long duct with creeping flow has the developed laminar values") {
    const Duct d = tube(5e-3, 1000);
    CHECK(nusselt(d, 1e-3, 7).value == Approx(3.657).epsilon(1e-4));
    CHECK(friction_factor(d, 10) == Approx(6.4).epsilon(1e-3));
    CHECK(nusselt(d, 0, 7).value == Approx(3.657).epsilon(1e-6));
}

TEST_CASE("a square duct loses less than parallel plates, a tube more than a square duct") {
    CHECK(laminar_friction_constant(flat(1, 1)) < laminar_friction_constant(tube(3e-3, 1)));
    CHECK(laminar_friction_constant(tube(3e-3, 1)) < laminar_friction_constant(flat(0, 1)));
    double last = 1e9;
    for (double a = 0; a <= 1; a += 0.05) {
        CHECK(laminar_friction_constant(flat(a, 1)) < last);
        last = laminar_friction_constant(flat(a, 1));
    }
}

TEST_CASE("air that finds no obstacle loses nothing at either end") {
    CHECK(contraction_loss(1) == Approx(0).margin(1e-3));
    CHECK(expansion_loss(tube(1e-2, 1), 0, 1e5) == Approx(1));
    for (double s = 0; s < 1; s += 0.1) CHECK(contraction_loss(s) > contraction_loss(s + 0.1));
}

TEST_CASE("oil at Reynolds numbers and Prandtl numbers beyond the formulas is flagged") {
    const Duct d = tube(5e-3, 0.5);
    CHECK(nusselt(d, 1000, 1000).in_range);
    CHECK_FALSE(nusselt(d, 2e6, 5).in_range);
    CHECK_FALSE(nusselt(d, 1000, 2e5).in_range);
    CHECK_FALSE(nusselt(d, 1000, 0.01).in_range);
}

TEST_CASE("a fin is perfect when short, thick or poorly cooled and useless when endless") {
    CHECK(fin_efficiency(0) == 1);
    CHECK(fin_efficiency(1e4) == Approx(0.01));
    // One curve, on both sides of where another formula takes over.
    for (double ml = 0.05; ml < 20; ml *= 1.2)
        CHECK(fin_efficiency(ml * ml) == Approx(std::tanh(ml) / ml).epsilon(1e-12));
}

TEST_CASE("an annular fin does worse than a straight one of the same height") {
    CHECK(annular_fin_length(5e-3, 12e-3) > 7e-3);
    // On a tube of great radius it is a straight fin, and without height none.
    CHECK(annular_fin_length(10, 10.007) == Approx(7e-3).epsilon(1e-3));
    CHECK(annular_fin_length(5e-3, 5e-3) == 0);
}

TEST_CASE(
    "the equivalent radius of a plate fin grows with both pitches and never falls inside the "
    "tube") {
    for (const bool staggered : {false, true}) {
        CHECK(plate_fin_equivalent_radius(4e-3, 26e-3, 22e-3, staggered) >
              plate_fin_equivalent_radius(4e-3, 24e-3, 22e-3, staggered));
        CHECK(plate_fin_equivalent_radius(4e-3, 24e-3, 24e-3, staggered) >
              plate_fin_equivalent_radius(4e-3, 24e-3, 22e-3, staggered));
        CHECK(plate_fin_equivalent_radius(20e-3, 24e-3, 22e-3, staggered) == 20e-3);
        // About the radius of a circle of the cell's area.
        const double area = 25e-3 * 21.65e-3;
        CHECK(plate_fin_equivalent_radius(4e-3, 25e-3, 21.65e-3, staggered) ==
              Approx(std::sqrt(area / 3.14159265)).epsilon(0.06));
    }
}

TEST_CASE(
    "film coefficient and drop of every finned surface rise with air speed, inside and outside its "
    "range") {
    const LouvredFin louvred;
    const StripFin strip;
    PlateFin plain;
    PlateFin wavy = plain;
    wavy.wave_depth = 1.5e-3;
    PlateFin large = wavy;
    large.collar_diameter = 14e-3;
    large.transverse_pitch = 33e-3;
    large.longitudinal_pitch = 28e-3;
    large.fin_pitch = 3.2e-3;
    large.hydraulic_diameter = 4.5e-3;
    PlateFin single = plain;
    single.rows = 1;
    const AnnularFin annular;
    JF last[7] = {};
    double previous = 0;
    for (double re = 1; re < 6e4; re *= 1.05) {
        const JF now[7] = {louvred_fin(louvred, re),   offset_strip_fin(strip, re),
                           plain_plate_fin(plain, re), plain_plate_fin(single, re),
                           wavy_plate_fin(wavy, re),   wavy_plate_fin(large, re),
                           annular_fin(annular, re)};
        for (int i = 0; i < 7; ++i) {
            INFO("surface " << i << " at Re " << re);
            CHECK(now[i].j * re >= last[i].j * previous * (1 - 1e-9));
            CHECK(now[i].f * re * re > last[i].f * previous * previous);
            CHECK(now[i].j > 0);
            last[i] = now[i];
        }
        previous = re;
    }
}

TEST_CASE("a surface says when its Reynolds number or its shape lies outside the data") {
    CHECK(louvred_fin({}, 500).in_range);
    CHECK_FALSE(louvred_fin({}, 50).in_range);
    CHECK_FALSE(louvred_fin({}, 4000).in_range);
    LouvredFin coarse;
    coarse.fin_pitch = 5e-3;
    CHECK_FALSE(louvred_fin(coarse, 500).in_range);
    CHECK(plain_plate_fin({}, 1000).in_range);
    CHECK_FALSE(plain_plate_fin({}, 100).in_range);
    AnnularFin one;
    CHECK_FALSE(annular_fin(one, 3000).in_range);
    one.rows = 6;
    CHECK(annular_fin(one, 3000).in_range);
    CHECK(offset_strip_fin({}, 500).in_range);
    CHECK_FALSE(offset_strip_fin({}, 20).in_range);
}

TEST_CASE("louvre friction has no jump where its two formulas meet") {
    const LouvredFin n;
    for (const double edge : {100.0, 130.0, 230.0, 5000.0})
        CHECK(louvred_fin(n, edge * (1 - 1e-9)).f ==
              Approx(louvred_fin(n, edge * (1 + 1e-9)).f).epsilon(1e-6));
}
