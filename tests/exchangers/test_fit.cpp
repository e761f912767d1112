// The fit of a core against Wilson's straight line (1915; Shah & Sekulić, section 12.3) through the
// same invented measurements.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/exchangers/core.hpp>
#include <lapheat/exchangers/fit.hpp>
#include <lapheat/exchangers/rated.hpp>
#include <lapheat/fluids/liquids.hpp>

using namespace lapheat::exchangers;

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
    CHECK(fit.separable);
    // The fit also follows the properties with temperature, which the line cannot: 1 %.
    CHECK(1 / fit.parameters[1].value == Approx(slope * std::pow(flows[0], -0.8)).epsilon(0.01));
    CHECK(1 / fit.parameters[2].value == Approx(intercept).epsilon(0.01));
}
