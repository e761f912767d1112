// Friction and fittings against the Moody chart's equations in a reference library, and against
// worked examples of Crane TP-410.
#include <cmath>

#include "check.hpp"
#include "lapheat/hydraulics/friction.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/pumps.hpp"
#include "python.hpp"

using namespace lapheat::hydraulics;
using lapheat::validation::check;
using lapheat::validation::numbers_from;

TEST_CASE("turbulent friction agrees with Colebrook as solved by a reference library") {
    const std::string script =
        "/usr/bin/python3 -c \"import fluids\n"
        "for r in (0.0,1e-5,1e-3,0.02,0.05):\n"
        "  for re in (4200.0,1e4,1e5,1e6,1e8): print(repr(fluids.friction.Colebrook(re,r)))\n"
        "print(fluids.friction.friction_laminar(1000.0))\"";
    const auto reference = numbers_from(script);
    REQUIRE(reference.size() == 26);
    std::size_t i = 0;
    for (const double roughness : {0.0, 1e-5, 1e-3, 0.02, 0.05})
        for (const double re : {4200.0, 1e4, 1e5, 1e6, 1e8}) {
            const std::string at =
                "Re " + std::to_string(re) + ", roughness " + std::to_string(roughness);
            check({.topic = "Pipe friction",
                   .quantity = "Darcy friction factor, " + at,
                   .source = "Colebrook 1939, in python3-fluids 1.0.22 in the same run",
                   .published = reference[i],
                   .ours = darcy_friction(re, roughness),
                   .unit = "-",
                   .tolerance = 1e-9,
                   .note = {}});
            check({.topic = "Pipe friction",
                   .quantity = "friction factor from the table, " + at,
                   .source = "Colebrook 1939, in python3-fluids 1.0.22 in the same run",
                   .published = reference[i],
                   .ours = evaluate(pipe_curve(roughness), re).value / (re * re),
                   .unit = "-",
                   .tolerance = 1e-6,
                   .note = {}});
            ++i;
        }
    check({.topic = "Pipe friction",
           .quantity = "laminar friction factor, Re 1000",
           .source = "python3-fluids 1.0.22 in the same run",
           .published = reference[i],
           .ours = darcy_friction(1000, 0),
           .unit = "-",
           .tolerance = 1e-12,
           .note = {}});
}

TEST_CASE("Churchill's single equation stays near the law used here outside the transition") {
    const auto reference = numbers_from(
        "/usr/bin/python3 -c \"import fluids\n"
        "for re in (500.0,1e4,1e5,1e7): print(repr(fluids.friction.Churchill_1977(re,1e-3)))\"");
    REQUIRE(reference.size() == 4);
    std::size_t i = 0;
    for (const double re : {500.0, 1e4, 1e5, 1e7}) {
        check({.topic = "Pipe friction",
               .quantity = "Churchill's equation, Re " + std::to_string(re),
               .source = "Churchill 1977, in python3-fluids 1.0.22 in the same run",
               .published = reference[i],
               .ours = churchill(re, 1e-3),
               .unit = "-",
               .tolerance = 1e-9,
               .note = {}});
        check({.topic = "Pipe friction",
               .quantity = "law used here, Re " + std::to_string(re),
               .source = "Churchill 1977, in python3-fluids 1.0.22 in the same run",
               .published = reference[i],
               .ours = darcy_friction(re, 1e-3),
               .unit = "-",
               .tolerance = 0.03,
               .note = "Churchill's equation is itself a fit to Colebrook within about 3 %"});
        ++i;
    }
}

TEST_CASE("bends agree with Crane's table in a reference library") {
    const auto reference = numbers_from(
        "/usr/bin/python3 -c \"import fluids\n"
        "for q in (1.0,1.5,3.0,6.0,12.0): "
        "print(repr(fluids.fittings.bend_rounded_Crane(Di=0.05,angle=90.0,bend_diameters=q)))\n"
        "print(repr(fluids.fittings.Hooper2K(Di=1.0,Re=100.0,name='Elbow, 90°, Standard (R/D = 1), "
        "Screwed')))\"");
    REQUIRE(reference.size() == 6);
    std::size_t i = 0;
    for (const double ratio : {1.0, 1.5, 3.0, 6.0, 12.0}) {
        check(
            {.topic = "Fittings",
             .quantity = "K of a 90 degree bend, radius over diameter " + std::to_string(ratio),
             .source = "Crane TP-410 (2009) p. A-30, in python3-fluids 1.0.22 in the same run",
             .published = reference[i],
             .ours = bend(0.05, ratio, 90).loss_coefficient,
             .unit = "-",
             .tolerance = 0.05,
             .note =
                 "The library takes the friction of full turbulence at Re 7.5e6 from Colebrook and "
                 "smooths the table by a polynomial; here the table itself and the rough limit"});
        ++i;
    }
    const MinorLoss elbow = fitting("elbow_90", 0.0254);
    check({.topic = "Fittings",
           .quantity = "K of a 1 in elbow at Re 100",
           .source = "Hooper 1981, in python3-fluids 1.0.22 in the same run",
           .published = reference[i],
           .ours = elbow.loss_coefficient + elbow.laminar_coefficient / 100,
           .unit = "-",
           .tolerance = 1e-6,
           .note = {}});
}

// Crane's worked examples as quoted, with their answers, in the documentation of python3-fluids
// ("Crane TP 410 Solved Problems").

TEST_CASE("Crane's example 7.1: smooth pipe") {
    check({.topic = "Crane TP-410",
           .quantity = "friction factor, smooth pipe, Re 100 600",
           .source = "Crane TP-410M (2009), example 7-1",
           .published = 0.0179,
           .ours = darcy_friction(100600, 0),
           .unit = "-",
           .tolerance = 0.01,
           .note = "Crane reads a chart to three digits"});
}

TEST_CASE("Crane's example 7.8: cold oil through a pipe and a globe valve") {
    // 600 barrels/h of 130 cP oil in 60 m of 8 in schedule 40 pipe (202.7 mm).
    const double rho = 869.2, mu = 0.130, d = 0.2027, q = 600 * 0.158987 / 3600;
    const double v = q / (M_PI / 4 * d * d), re = rho * v * d / mu;
    check({.topic = "Crane TP-410",
           .quantity = "Reynolds number, oil at 40 C",
           .source = "Crane TP-410M (2009), example 7-8",
           .from_memory = true,
           .published = 1100,
           .ours = re,
           .unit = "-",
           .tolerance = 0.03,
           .note = {}});
    const double k =
        340 * 0.25 /
        std::pow(std::log10(3.7 * d / steel_pipe_roughness), 2);  // globe valve, p. A-27
    const double loss =
        (darcy_friction(re, steel_pipe_roughness / d) * 60 / d + k) * 0.5 * rho * v * v;
    check({.topic = "Crane TP-410",
           .quantity = "pressure loss, pipe and globe valve",
           .source = "Crane TP-410M (2009), example 7-8",
           .published = 6382,
           .ours = loss,
           .unit = "Pa",
           .tolerance = 0.01,
           .note = "The notebook of python3-fluids prints 5782 Pa for another bore than the "
                   "202.7 mm of 8 in schedule 40; with that bore it agrees with Crane"});
    const auto reference = numbers_from(
        "/usr/bin/python3 -c \"import fluids\n"
        "from math import pi\n"
        "d=0.2027; v=600*0.158987/3600/(pi/4*d*d); re=869.2*v*d/0.13\n"
        "ft=fluids.friction_factor(Re=1e8,eD=4.57e-5/d)\n"
        "print(repr((340*ft+fluids.friction_factor(Re=re,eD=0)*60/d)*0.5*869.2*v*v))\"");
    REQUIRE(reference.size() == 1);
    check({.topic = "Crane TP-410",
           .quantity = "pressure loss of example 7-8, same numbers",
           .source = "python3-fluids 1.0.22 in the same run",
           .published = reference[0],
           .ours = loss,
           .unit = "Pa",
           .tolerance = 0.002,
           .note = {}});
}

TEST_CASE("Crane's example 7.14: water through two sizes of pipe with bends") {
    const double rho = 999, mu = 1.138e-3, q = 1.5 / 60, d1 = 0.10226, d2 = 0.1282;
    const auto head = [&](double d, double length) {
        const double v = q / (M_PI / 4 * d * d);
        const double f = darcy_friction(rho * v * d / mu, steel_pipe_roughness / d);
        return (f * length / d + bend(d, 1.5, 90).loss_coefficient) * 0.5 * rho * v * v;
    };
    const double v1 = q / (M_PI / 4 * d1 * d1);
    const double expansion = sudden_expansion(d1, d2).loss_coefficient * 0.5 * rho * v1 * v1;
    const double total = rho * standard_gravity * 22 + head(d1, 34) + head(d2, 67) + expansion;
    check({.topic = "Crane TP-410",
           .quantity = "pressure difference with 22 m of height",
           .source = "Crane TP-410M, example 7-14",
           .published = 2.6e5,
           .ours = total,
           .unit = "Pa",
           .tolerance = 0.02,
           .note = "The 2009 edition prints 26 450 Pa and forgets the height; the edition before "
                   "it has 2.6 bar"});
}

TEST_CASE("Crane's example 7.32: suction head available") {
    const double foot = 0.3048, psi = 6894.757, rho = 62.364 * 16.01846;
    // The tank's surface is at 5 psi gauge, the pump 25 ft above it, 6 ft are lost on the way.
    const double inlet = 5 * psi + 101325 - rho * standard_gravity * (25 + 6) * foot;
    check({.topic = "Crane TP-410",
           .quantity = "net positive suction head available",
           .source = "Crane TP-410 (2009), example 7-32",
           .published = 13.89,
           .ours = npsh_available(inlet, 0.256 * psi, rho, 0) / foot,
           .unit = "ft",
           .tolerance = 0.001,
           .note = {}});
}
