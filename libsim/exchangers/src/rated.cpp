#include "lapheat/exchangers/rated.hpp"

#include <algorithm>
#include <cmath>
#include <lapheat/units/error.hpp>
#include <limits>

#include "lapheat/exchangers/duct.hpp"
#include "lapheat/units/constants.hpp"
#include "rated_detail.hpp"
#include "words.hpp"

namespace lapheat::exchangers {
namespace {

constexpr double oily_prandtl = 50;
constexpr double goodness = 0.3;      // j/f of louvred fins
constexpr double area_density = 700;  // m² of air-side surface per m³ of core

/// Everything of the shape that was left open, settled at the rating point.
struct Settled {
    double diameter = 0, flow_area = 0, length = 0;
    double face = 0, width = 0, height = 0, depth = 0;
    ResistanceSplit split;
    int split_assumption = -1;
};

void require(bool ok, const RatedShape& shape, const std::string& message,
             const std::string& expected) {
    if (ok) return;
    throw Error((shape.name.empty() ? std::string("rated core") : "core \"" + shape.name + "\"") +
                    ": " + message,
                expected);
}

void check_shape(const RatedShape& s) {
    check(s.arrangement);
    require(s.inner_diameter >= 0 && s.inner_flow_area >= 0 && s.inner_length >= 0 &&
                s.width >= 0 && s.height >= 0 && s.depth >= 0 && s.mass >= 0 && s.first_volume >= 0,
            s, "a dimension is negative", "0 (assume it) or above");
    require(s.air_flow_exponent > 0 && s.air_flow_exponent < 1, s,
            "power of air flow " + text(s.air_flow_exponent), "0 to 1, about 0.5");
    require(s.air_drop_exponent >= 1 && s.air_drop_exponent <= 2, s,
            "power of air flow in the drop " + text(s.air_drop_exponent), "1 to 2");
    require(s.open_fraction > 0 && s.open_fraction <= 1, s, "free-flow share of the face",
            "above 0, at most 1");
    if (s.split) {
        require(s.split->first > 0 && s.split->second > 0 && s.split->wall >= 0, s,
                "shares of resistance", "liquid and air above 0, wall 0 or above");
    }
}

Settled settle(const RatedShape& s, const Medium& first, const Medium& second, const Duty& d,
               const fluids::Properties& p1, Core& core) {
    Settled r;
    const bool oily = p1.prandtl() > oily_prandtl;
    const bool air = second.is_air;
    auto& say = core.assumptions;
    r.depth = s.depth > 0 ? s.depth : 0.03;
    r.width = s.width;
    r.height = s.height;
    if (air && !(s.width > 0 && s.height > 0)) {
        r.face = std::abs(d.second_flow) / (3.0 * second.at(d.second_inlet).density);
        r.width = r.height = std::sqrt(r.face);
        say.push_back("Face assumed " + text(r.face) + " m², square: 3 m/s of air at the rating.");
    }
    r.face = r.width * r.height;
    r.diameter =
        s.inner_diameter > 0 ? s.inner_diameter : (s.inner == InnerShape::smooth ? 2.5e-3 : 3e-3);
    const double speed = oily ? 0.5 : 1.0;
    r.flow_area =
        s.inner_flow_area > 0 ? s.inner_flow_area : std::abs(d.first_flow) / (p1.density * speed);
    r.length = s.inner_length > 0 ? s.inner_length : (r.width > 0 ? r.width : 0.5);
    if (s.inner_diameter == 0 || s.inner_flow_area == 0 || s.inner_length == 0) {
        say.push_back("Liquid passages assumed " + text(r.diameter * 1e3) +
                      " mm in hydraulic diameter, " + text(r.flow_area * 1e4) + " cm² in all, " +
                      text(r.length) + " m long.");
    }
    r.split = s.split ? *s.split : default_split(first, second, p1.prandtl(), s.inner);
    const double sum = r.split.first + r.split.wall + r.split.second;
    r.split = {r.split.first / sum, r.split.wall / sum, r.split.second / sum};
    if (!s.split) {
        r.split_assumption = static_cast<int>(say.size());
        say.push_back("Resistance at the rating assumed " + text(100 * r.split.first, 2) +
                      " % liquid, " + text(100 * r.split.wall, 2) + " % wall, " +
                      text(100 * r.split.second, 2) + " % " + (air ? "air" : "second liquid") +
                      " (common practice, no source).");
    }
    return r;
}

SideDescription inner_side(InnerShape shape, double diameter, double area, double length,
                           const Medium& medium) {
    SideDescription d;
    d.flow_area = area;
    d.hydraulic_diameter = diameter;
    d.heat_area = 4 * area * length / diameter;
    const Duct duct{DuctShape::round, diameter, length, 0};
    const double slender = length / diameter;
    if (shape == InnerShape::smooth) {
        d.nusselt = [duct](double re, double pr) { return nusselt(duct, re, pr).value; };
        // Entrance and exit of a header: 1.5 velocity heads.
        d.loss = [duct, slender](double re) { return friction_factor(duct, re) * slender + 1.5; };
    } else {
        d.nusselt = [](double re, double pr) {
            return std::cbrt(std::pow(4.0, 3) + std::pow(0.3 * std::pow(re, 0.6), 3) * pr);
        };
        d.loss = [slender](double re) { return (90 / re + 6 / std::sqrt(re)) * slender + 1.5; };
    }
    const fluids::Liquid& l = medium.liquid;
    d.prandtl_minimum = 0.8 * l.at(l.maximum_temperature()).prandtl();
    d.prandtl_maximum = 1.3 * l.at(l.minimum_temperature()).prandtl();
    d.table_reynolds_minimum = 1;
    d.table_reynolds_maximum = 2e5;
    d.reynolds_maximum = 1e6;
    return d;
}

SideDescription air_side(const RatedShape& s, const Settled& r, double prandtl) {
    SideDescription d;
    d.flow_area = r.face * s.open_fraction;
    d.hydraulic_diameter = 2e-3;
    d.heat_area = area_density * r.face * r.depth;
    d.nusselt = [n = s.air_flow_exponent](double re, double pr) {
        return std::pow(re, n) * std::cbrt(pr);
    };
    d.loss = [n = s.air_drop_exponent](double re) { return std::pow(re, n - 2); };
    d.prandtl_minimum = d.prandtl_maximum = prandtl;
    d.table_reynolds_minimum = 10;
    d.table_reynolds_maximum = 1e5;
    return d;
}

/// Sets the factor so that this flow meets this resistance.
void level(Side& side, const StreamInput& stream, double resistance) {
    const fluids::Properties& p = stream.properties;
    const SideState s = side_state(side, {stream.mass_flow, p.density, p.viscosity, p.conductivity,
                                          p.prandtl(), stream.wall_viscosity});
    side.heat_factor *= s.resistance / resistance;
}

void level_drop(Side& side, const StreamInput& stream, double drop) {
    const double now = pressure_drop(side, std::abs(stream.mass_flow), stream.properties.density,
                                     stream.properties.viscosity, stream.wall_viscosity);
    side.drop_factor *= drop / now;
}

}  // namespace

std::string who(const RatedShape& shape) {
    return shape.name.empty() ? std::string("rated core") : "core \"" + shape.name + "\"";
}

ResistanceSplit default_split(const Medium&, const Medium& second, double first_prandtl,
                              InnerShape inner) {
    if (!second.is_air) return {0.48, 0.04, 0.48};
    if (first_prandtl <= oily_prandtl) return {0.20, 0.03, 0.77};
    return inner == InnerShape::smooth ? ResistanceSplit{0.45, 0.03, 0.52}
                                       : ResistanceSplit{0.35, 0.03, 0.62};
}

RatingState rating_state(const RatedShape& shape, const Medium& first, const Medium& second,
                         const Duty& d, double heat) {
    const double span = d.first_inlet - d.second_inlet;
    require(d.first_flow > 0 && d.second_flow > 0, shape, "a rating needs both flows",
            "kg/s above 0");
    require(
        std::isfinite(heat) && heat * span > 0, shape,
        "heat of " + text(heat) + " W at an inlet temperature difference of " + text(span) + " K",
        "both of the same sign and not zero");
    RatingState r;
    double mean1 = d.first_inlet, mean2 = d.second_inlet;
    for (int i = 0; i < 100; ++i) {
        r.first = {d.first_flow, d.first_inlet, first.at(mean1), 0};
        r.second = {d.second_flow, d.second_inlet, second.at(mean2), 0};
        const double c1 = d.first_flow * r.first.properties.specific_heat;
        const double c2 = d.second_flow * r.second.properties.specific_heat;
        r.least = std::min(c1, c2);
        r.ratio = r.least / std::max(c1, c2);
        r.smaller = c1 <= c2 ? Smaller::first : Smaller::second;
        // Held inside the second law's bound while cp settles.
        const double q = std::copysign(std::min(std::abs(heat), r.least * std::abs(span)), heat);
        const double next1 = d.first_inlet - 0.5 * q / c1, next2 = d.second_inlet + 0.5 * q / c2;
        const bool done = std::abs(next1 - mean1) + std::abs(next2 - mean2) < 1e-11;
        mean1 = next1;
        mean2 = next2;
        if (done) break;
    }
    r.mean1 = mean1;
    r.mean2 = mean2;
    r.effectiveness = heat / (r.least * span);
    require(r.effectiveness < 1, shape,
            "heat of " + text(heat) +
                " W is more than the flows can carry: the second law allows " +
                text(r.least * span, 4) + " W",
            "less heat, more flow or a greater inlet temperature difference");
    r.ua = ntu(shape.arrangement, r.effectiveness, r.ratio, r.smaller) * r.least;
    return r;
}

RatedCore rate_one(const RatedShape& shape, const Medium& first, const Medium& second,
                   const Rating& rating) {
    check_shape(shape);
    require(!first.is_air, shape, "the first stream is air", "a liquid; air is the second stream");
    require(rating.first_drop >= 0 && rating.second_drop >= 0, shape, "a pressure drop is negative",
            "Pa, 0 (unknown) or above");
    RatingState at = rating_state(shape, first, second, rating.duty, rating.heat);
    Core core;
    core.name = shape.name;
    core.arrangement = shape.arrangement;
    core.uncertainty = shape.uncertainty;
    core.levels.conductance = conductance_level(shape.uncertainty);
    core.levels.second_loss =
        rating.second_drop > 0 ? Assumed{1, 0.9, 1.1, "a stated drop; common practice, no source"}
                               : Assumed{1, 0.6, 1.6, "no drop stated; common practice, no source"};
    const Settled s = settle(shape, first, second, rating.duty, at.first.properties, core);
    const double r1 = s.split.first / at.ua, r2 = s.split.second / at.ua;
    core.wall_resistance = s.split.wall / at.ua;
    core.first = make_side(inner_side(shape.inner, s.diameter, s.flow_area, s.length, first));
    if (second.is_air) {
        core.second = make_side(air_side(shape, s, at.second.properties.prandtl()));
    } else {
        const double area = std::abs(rating.duty.second_flow) / at.second.properties.density;
        core.second = make_side(inner_side(InnerShape::smooth, 4e-3, area, s.length, second));
        core.second_volume = area * s.length;
        core.assumptions.emplace_back(
            "Second liquid assumed to flow at 1 m/s in smooth passages of 4 mm.");
    }
    // The wall's viscosity as rate() will find it, so that the rating comes back exactly.
    const double wall = at.mean1 + s.split.first * (at.mean2 - at.mean1);
    at.first.wall_viscosity = first.liquid.viscosity(wall);
    if (!second.is_air) at.second.wall_viscosity = second.liquid.viscosity(wall);
    level(core.first, at.first, r1);
    level(core.second, at.second, r2);
    if (rating.first_drop > 0) {
        level_drop(core.first, at.first, rating.first_drop);
    } else {
        core.assumptions.emplace_back(
            "Liquid pressure drop from friction in the assumed passages.");
    }
    if (rating.second_drop > 0) {
        level_drop(core.second, at.second, rating.second_drop);
    } else if (second.is_air) {
        const double g = rating.duty.second_flow / core.second.flow_area;
        const double air_ntu =
            1 / (r2 * rating.duty.second_flow * at.second.properties.specific_heat);
        const double pr = at.second.properties.prandtl();
        level_drop(
            core.second, at.second,
            air_ntu * std::cbrt(pr * pr) / goodness * g * g / (2 * at.second.properties.density));
        core.assumptions.emplace_back(
            "Air pressure drop from the air side's NTU with j/f = 0.3 (louvred fins).");
    } else {
        core.assumptions.emplace_back(
            "Second liquid's pressure drop from friction in the assumed passages.");
    }
    core.width = s.width;
    core.height = s.height;
    core.depth = s.depth;
    core.open_fraction = shape.open_fraction;
    const double mass = shape.mass > 0 ? shape.mass
                        : s.face > 0   ? 600 * s.face * s.depth
                                       : 600 * 3 * s.flow_area * s.length;
    if (shape.mass == 0) core.assumptions.push_back("Dry mass assumed " + text(mass) + " kg.");
    core.heat_capacity = mass * shape.wall_specific_heat;
    core.first_volume = shape.first_volume > 0 ? shape.first_volume : s.flow_area * s.length;
    core.envelope = {rating.duty.first_flow / 4, rating.duty.first_flow * 4,
                     rating.duty.second_flow / 4, rating.duty.second_flow * 4, 1e9};
    return {make_core(std::move(core)), s.split_assumption};
}

Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                const Rating& rating) {
    return rate_one(shape, first, second, rating).core;
}

double gross_weight_heat(double mass, const GrossWeightAssumption& a) {
    return mass * constants::gravity * a.grade * a.speed * a.loss_share;
}

Core gross_weight_core(RatedShape shape, const Medium& first, const Medium& second, double mass,
                       const GrossWeightAssumption& a) {
    require(mass > 0 && mass < 1e5, shape, "gross vehicle weight of " + text(mass) + " kg",
            "0 to 100 000 kg");
    require(second.is_air, shape, "a gross vehicle weight class is for air-cooled cores", "air");
    const double heat = gross_weight_heat(mass, a);
    if (!(shape.width > 0 && shape.height > 0)) {
        shape.width = shape.height = std::sqrt(heat / a.heat_per_face);
    }
    Rating r;
    r.heat = heat;
    r.duty = {a.first_flow, a.first_inlet,
              a.face_velocity * shape.width * shape.height * second.at(a.second_inlet).density,
              a.second_inlet};
    shape.uncertainty = std::max(shape.uncertainty, 0.5);
    Core core = rated_core(shape, first, second, r);
    core.assumptions.insert(
        core.assumptions.begin(),
        "A gross vehicle weight of " + text(mass, 4) + " kg is read as " + text(heat / 1e3) +
            " kW: " + text(100 * a.loss_share) + " % of the power up a " + text(100 * a.grade) +
            " % grade at " + text(a.speed * 3.6) + " km/h, held with fluid at " +
            text(a.first_inlet - constants::zero_celsius, 4) + " °C and " + text(a.first_flow) +
            " kg/s, air at " + text(a.second_inlet - constants::zero_celsius, 4) + " °C and " +
            text(a.face_velocity) + " m/s (a guess, ±50 %).");
    return core;
}

}  // namespace lapheat::exchangers
