// The textbook oil cooler from end to end, and the fit against Wilson's straight line.
#include <lapheat/exchangers/core.hpp>
#include <lapheat/exchangers/fit.hpp>
#include <lapheat/exchangers/rated.hpp>
#include <lapheat/fluids/liquids.hpp>
#include <numbers>

#include "check.hpp"

using namespace lapheat::exchangers;
using lapheat::fluids::Properties;
using lapheat::validation::check;

namespace {

constexpr double pi = std::numbers::pi;

/// Nusselt number of developed laminar flow in an annulus, inner wall at constant temperature,
/// outer wall insulated, on the hydraulic diameter: the first eigenvalue of the energy equation
/// with the annulus' velocity profile, by shooting.
double annulus_nusselt(double ratio) {
    const double in = ratio, out = 1;
    const double b = (1 - ratio * ratio) / std::log(1 / ratio);
    const double mean = 0.5 * (1 + ratio * ratio - b);  // of 1 - r² + b ln r
    const auto velocity = [&](double r) { return (1 - r * r + b * std::log(r)) / mean; };
    const auto end_slope = [&](double eigen) {
        constexpr int steps = 4000;
        const double h = (out - in) / steps;
        double t = 0, f = in;  // temperature, r dT/dr; slope 1 at the inner wall
        for (int i = 0; i < steps; ++i) {
            const double r = in + i * h;
            const auto dt = [](double x, double g) { return g / x; };
            const auto df = [&](double x, double u) { return -eigen * x * velocity(x) * u; };
            const double k1 = dt(r, f), l1 = df(r, t);
            const double k2 = dt(r + h / 2, f + h / 2 * l1), l2 = df(r + h / 2, t + h / 2 * k1);
            const double k3 = dt(r + h / 2, f + h / 2 * l2), l3 = df(r + h / 2, t + h / 2 * k2);
            const double k4 = dt(r + h, f + h * l3), l4 = df(r + h, t + h * k3);
            t += h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
            f += h / 6 * (l1 + 2 * l2 + 2 * l3 + l4);
        }
        return f;
    };
    double low = 0.1, high = 0.2;
    while (end_slope(high) > 0) {
        low = high;
        high *= 1.2;
    }
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (end_slope(middle) > 0 ? low : high) = middle;
    }
    // Balance over the section: h = eigenvalue × k × area / heated perimeter.
    return low * (out * out - in * in) / (2 * in) * 2 * (out - in);
}

/// A tube's side with a constant Nusselt number.
SideDescription constant_side(double area, double diameter, double surface, double nu) {
    SideDescription d;
    d.flow_area = area;
    d.hydraulic_diameter = diameter;
    d.heat_area = surface;
    d.nusselt = [nu](double, double) { return nu; };
    d.loss = [](double re) { return 64 / re; };
    d.prandtl_minimum = d.prandtl_maximum = 1;
    return d;
}

}  // namespace

TEST_CASE("the laminar annulus has the tabulated Nusselt numbers") {
    const auto row = [](double ratio, double value) {
        check({.topic = "Oil cooler",
               .quantity = "Nusselt number, annulus, ratio " + std::to_string(ratio) +
                           ", inner wall at constant "
                           "temperature, outer insulated; eigenvalue",
               .source = "Kays & Perkins in Rohsenow & Hartnett, Handbook of Heat Transfer; "
                         "Incropera Table 8.2",
               .from_memory = true,
               .published = value,
               .ours = annulus_nusselt(ratio),
               .unit = "-",
               .tolerance = 0.01,
               .absolute = 0,
               .note = "the published values are rounded and read from a graph in part"});
    };
    row(0.25, 7.37);
    row(0.5, 5.74);
    row(0.999, 4.86);
}

TEST_CASE("the textbook's counter-flow oil cooler comes out as in the book") {
    const std::string source =
        "Incropera et al., Fundamentals of Heat and Mass Transfer, Example 11.1 (concentric tubes "
        "25/45 mm)";
    // Properties as the book states them: oil at 80 °C, water at 35 °C (from memory).
    const Properties oil{852.1, 2131, 0.138, 3.25e-2};
    const Properties water{994, 4178, 0.625, 725e-6};
    const double inner = 0.025, outer = 0.045, oil_flow = 0.1, water_flow = 0.2;
    const double heat = oil_flow * oil.specific_heat * 40;
    const double c_min = oil_flow * oil.specific_heat, c_max = water_flow * water.specific_heat;
    const auto row = [&](const std::string& what, double published, double ours,
                         const std::string& unit, double tolerance, const std::string& note = {}) {
        check({.topic = "Oil cooler",
               .quantity = what,
               .source = source,
               .from_memory = true,
               .published = published,
               .ours = ours,
               .unit = unit,
               .tolerance = tolerance,
               .absolute = 0,
               .note = note});
    };
    row("heat", 8524, heat, "W", 1e-4);
    row("water outlet", 40.2, 30 + heat / c_max, "°C", 1.3e-3);
    const double re_water = 4 * water_flow / (pi * inner * water.viscosity);
    row("Reynolds number of the water", 14050, re_water, "-", 1e-3);
    const double nu_water = 0.023 * std::pow(re_water, 0.8) * std::pow(water.prandtl(), 0.4);
    const double h_water = nu_water * water.conductivity / inner;
    row("film coefficient of the water (Dittus & Boelter)", 2250, h_water, "W/(m² K)", 0.01);
    const double re_oil = 4 * oil_flow / (pi * (outer + inner) * oil.viscosity);
    row("Reynolds number of the oil", 56, re_oil, "-", 0.01);
    const double nu_oil = annulus_nusselt(inner / outer);
    row("Nusselt number of the oil in the annulus (eigenvalue)", 5.63, nu_oil, "-", 0.02,
        "the book interpolates its table linearly between the ratios 0.5 and 1");
    const double h_oil = nu_oil * oil.conductivity / (outer - inner);
    const double u = 1 / (1 / h_water + 1 / h_oil);
    row("overall coefficient", 38.1, u, "W/(m² K)", 0.025,
        "follows from the annulus' Nusselt number");
    const ArrangementSpec counter{Arrangement::counter};
    const double ua = ntu(counter, 40.0 / 70.0, c_min / c_max) * c_min;
    row("mean temperature difference, as heat over UA", 43.2, heat / ua, "K", 1.5e-3);
    row("length", 66.5, ua / (u * pi * inner), "m", 0.025, "editions print 65.9 to 66.5 m");

    // The same cooler as a core, of the book's length and Nusselt numbers: oil leaves at 60 °C.
    const double length = 66.5, surface = pi * inner * length;
    Core core;
    core.arrangement = counter;
    core.first = make_side(
        constant_side(pi / 4 * (outer * outer - inner * inner), outer - inner, surface, 5.63));
    core.second = make_side(constant_side(pi / 4 * inner * inner, inner, surface, 90));
    // constant_side() tabulates at Pr 1 and scales with Pr^(1/3): undo it for the book's numbers.
    core.first.heat_factor = 1 / std::cbrt(oil.prandtl());
    core.second.heat_factor = 1 / std::cbrt(water.prandtl());
    core = make_core(core);
    const CoreOperation o =
        operate(core, {oil_flow, 373.15, oil, 0}, {water_flow, 303.15, water, 0});
    row("oil outlet of the core with the book's length", 60, o.first_outlet - 273.15, "°C", 0.005);
    row("overall coefficient of the core", 38.1, o.ua / surface, "W/(m² K)", 0.01);
}

TEST_CASE("the fit of a core agrees with Wilson's straight line") {
    // Invented measurements: liquid flow varied, air flow held. The liquid side follows flow^0.8,
    // so 1/UA is a straight line in flow^-0.8; its slope and intercept are Wilson's (1915) answer.
    const Medium water = liquid_medium(lapheat::fluids::water());
    const Medium air = air_medium();
    SideDescription d;
    d.flow_area = 3e-4;
    d.hydraulic_diameter = 3e-3;
    d.heat_area = 0.2;
    d.nusselt = [](double re, double pr) { return 0.023 * std::pow(re, 0.8) * std::cbrt(pr); };
    d.loss = [](double re) { return 20 / std::sqrt(re) + 1; };
    d.prandtl_minimum = 1;
    d.prandtl_maximum = 20;
    Core core;
    core.first = make_side(d);
    d.flow_area = 0.04;
    d.hydraulic_diameter = 2e-3;
    d.heat_area = 2.5;
    d.nusselt = [](double re, double) { return 0.35 * std::sqrt(re); };
    d.prandtl_minimum = d.prandtl_maximum = 0.71;
    core.second = make_side(d);
    core.face_area = 0.05;
    core = make_core(core);
    // Made with a wobble of ±0.4 % in the heat, small temperature differences so that properties
    // stay.
    std::vector<FitPoint> points;
    const double flows[] = {0.02, 0.03, 0.045, 0.07, 0.11, 0.17, 0.26};
    const double wobble[] = {1.003, 0.997, 1.002, 0.996, 1.004, 0.999, 0.999};
    double sx = 0, sy = 0, sxx = 0, sxy = 0, sw = 0;
    for (int i = 0; i < 7; ++i) {
        FitPoint p;
        p.duty = {flows[i], 330, 0.3, 325};
        const RatedOperation r = rate(core, water, air, p.duty);
        p.heat = r.operation.heat * wobble[i];
        p.heat_error = 0.004 * p.heat;
        points.push_back(p);
        const double c1 = flows[i] * r.first.properties.specific_heat;
        const double c2 = 0.3 * r.second.properties.specific_heat;
        const double least = std::min(c1, c2), ratio = least / std::max(c1, c2);
        const Smaller smaller = c1 <= c2 ? Smaller::first : Smaller::second;
        const double n = ntu(core.arrangement, p.heat / (least * 5), ratio, smaller);
        const Effectiveness e = effectiveness_with_slopes(core.arrangement, n, ratio, smaller);
        // Weight of a point in 1/UA from its error in heat.
        const double x = std::pow(flows[i], -0.8), y = 1 / (n * least);
        const double error = y * 0.004 * e.value / (n * e.by_ntu);
        const double w = 1 / (error * error);
        sw += w;
        sx += w * x;
        sy += w * y;
        sxx += w * x * x;
        sxy += w * x * y;
    }
    const double slope = (sw * sxy - sx * sy) / (sw * sxx - sx * sx);
    const double intercept = (sy - slope * sx) / sw;
    Core guess = core;
    guess.first.heat_factor *= 0.5;
    guess.second.heat_factor *= 1.7;
    const FitResult fit = fit_core(guess, water, air, points);
    const auto row = [&](const std::string& what, double wilson, double ours) {
        check({.topic = "Fit of a core",
               .quantity = what,
               .source = "Wilson 1915, straight line by weighted linear regression (Shah & "
                         "Sekulić, section 12.3)",
               .from_memory = false,
               .published = wilson,
               .ours = ours,
               .unit = "K/W",
               .tolerance = 0.01,
               .absolute = 0,
               .note =
                   "the fit also follows the properties with temperature, which the line cannot"});
    };
    CHECK(fit.separable);
    row("liquid-side resistance at the first point", slope * std::pow(flows[0], -0.8),
        1 / fit.parameters[1].value);
    row("air-side resistance", intercept, 1 / fit.parameters[2].value);
}
