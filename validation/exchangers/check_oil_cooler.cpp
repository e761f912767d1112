// The textbook's counter-flow oil cooler as a core, from end to end.
#include <cmath>
#include <lapheat/exchangers/core.hpp>
#include <numbers>

#include "check.hpp"

using namespace lapheat::exchangers;
using namespace lapheat::validation;
using lapheat::fluids::Properties;

namespace {

constexpr double pi = std::numbers::pi;

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

TEST_CASE("the textbook's counter-flow oil cooler comes out as in the book") {
    // Concentric tubes 25/45 mm; oil 0.1 kg/s from 100 to 60 °C, water 0.2 kg/s from 30 °C. The
    // book's properties (oil at 80 °C, water at 35 °C), film coefficients 2250 (water, Nu 90) and
    // 38.8 (oil, Nu 5.63) and length 66.5 m go in; what the core does with them comes out.
    const Properties oil{852.1, 2131, 0.138, 3.25e-2};
    const Properties water{994, 4178, 0.625, 725e-6};
    const double inner = 0.025, outer = 0.045, length = 66.5, surface = pi * inner * length;
    Row row{.topic = "Oil cooler",
            .source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Example 11.1",
            .from_memory = true};
    Core core;
    core.arrangement = {Arrangement::counter};
    core.first = make_side(
        constant_side(pi / 4 * (outer * outer - inner * inner), outer - inner, surface, 5.63));
    core.second = make_side(constant_side(pi / 4 * inner * inner, inner, surface, 90));
    // constant_side() tabulates at Pr 1 and scales with Pr^(1/3): undo it for the book's numbers.
    core.first.heat_factor = 1 / std::cbrt(oil.prandtl());
    core.second.heat_factor = 1 / std::cbrt(water.prandtl());
    core = make_core(core);
    const CoreOperation o = operate(core, {0.1, 373.15, oil, 0}, {0.2, 303.15, water, 0});
    row.quantity = "heat of the cooler with the book's film coefficients and length";
    row.outside = 8524;
    row.ours = o.heat;
    row.unit = "W";
    row.band = {0.01, 0, "editions print lengths of 65.9 to 66.5 m"};
    published(row);
    row.quantity = "water outlet of the same";
    row.outside = 40.2;
    row.ours = o.second_outlet - 273.15;
    row.unit = "degC";
    row.band = {0, 0.15, "last digit, and 1 % of the heat"};
    published(row);
    row.quantity = "mean temperature difference, as heat over UA";
    const double least = 0.1 * oil.specific_heat, most = 0.2 * water.specific_heat;
    row.outside = 43.2;
    row.ours = least * 40 / (ntu({Arrangement::counter}, 40.0 / 70.0, least / most) * least);
    row.unit = "K";
    row.band = {0, 0.05, "half of the last digit"};
    row.relation = Relation::none;
    published(row);
}
