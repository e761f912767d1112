#include "lapheat/exchangers/core.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/units/diagnostic.hpp>
#include <lapheat/units/error.hpp>
#include <limits>

#include "lapheat/exchangers/film.hpp"

namespace lapheat::exchangers {
namespace {

SideFlow side_flow(const StreamInput& s) {
    const fluids::Properties& p = s.properties;
    return {s.mass_flow, p.density, p.viscosity, p.conductivity, p.prandtl(), s.wall_viscosity};
}

bool usable(const StreamInput& s) {
    const fluids::Properties& p = s.properties;
    return p.density > 0 && p.viscosity > 0 && p.conductivity > 0 && p.specific_heat > 0 &&
           std::isfinite(s.mass_flow) && std::isfinite(s.inlet_temperature) &&
           std::isfinite(p.density + p.viscosity + p.conductivity + p.specific_heat);
}

double core_effectiveness(const Core& core, double ntu, double ratio, Smaller smaller) {
    return core.table.data ? effectiveness(core.table, ntu, ratio, smaller)
                           : effectiveness(core.arrangement, ntu, ratio, smaller);
}

bool outside(double x, double minimum, double maximum) { return x < minimum || x > maximum; }

/// What comes out when nothing can flow or is known: temperatures as they went in.
CoreOperation idle(const Core& core, const StreamInput& first, const StreamInput& second,
                   unsigned flags) {
    CoreOperation o;
    o.first_outlet = o.wall_temperature = first.inlet_temperature;
    o.second_outlet = second.inlet_temperature;
    o.resistance_wall = core.wall_resistance;
    o.resistance_first = o.resistance_second = std::numeric_limits<double>::infinity();
    o.flags = flags;
    return o;
}

/// From the films of both sides to the heat.
[[gnu::always_inline]] inline CoreOperation exchange(const Core& core, const StreamInput& first,
                                                     const StreamInput& second, const SideState& a,
                                                     const SideState& b, double drop1,
                                                     double drop2) {
    unsigned flags = (a.flags ? core_first_range : 0u) | (b.flags ? core_second_range : 0u);
    const double m1 = std::abs(first.mass_flow), m2 = std::abs(second.mass_flow);
    const Envelope& e = core.envelope;
    if ((m1 > 0 && outside(m1, e.first_flow_minimum, e.first_flow_maximum)) ||
        (m2 > 0 && outside(m2, e.second_flow_minimum, e.second_flow_maximum)) ||
        first.inlet_temperature > e.temperature_maximum) {
        flags |= core_envelope;
    }
    const double total = a.resistance + core.wall_resistance + b.resistance;
    const double ua = std::isfinite(total) && total > 0 ? 1 / total : 0;
    const double c1 = m1 * first.properties.specific_heat,
                 c2 = m2 * second.properties.specific_heat;
    const double least = std::min(c1, c2), most = std::max(c1, c2);
    if (!(least > 0)) flags |= core_no_flow;
    if (!(most > 0)) {
        CoreOperation o = idle(core, first, second, flags);
        o.resistance_first = a.resistance;
        o.resistance_second = b.resistance;
        o.ua = ua;
        return o;
    }
    // A stream that stands still ends up at the other's inlet temperature: the limit of any
    // small flow.
    const double ntu = least > 0 ? ua / least : std::numeric_limits<double>::infinity();
    const double ratio = least / most;
    const bool first_smaller = c1 <= c2;
    const double effective =
        core_effectiveness(core, ntu, ratio, first_smaller ? Smaller::first : Smaller::second);
    const double span = first.inlet_temperature - second.inlet_temperature;
    const double change = effective * span, other = change * ratio;
    const double outlet1 = first.inlet_temperature - (first_smaller ? change : other);
    const double outlet2 = second.inlet_temperature + (first_smaller ? other : change);
    const double mean1 = 0.5 * (first.inlet_temperature + outlet1);
    const double mean2 = 0.5 * (second.inlet_temperature + outlet2);
    // Filled in one go: clearing the struct first would cost a tenth of the call.
    return {.heat = change * least,
            .effectiveness = effective,
            .ntu = ntu,
            .capacity_ratio = ratio,
            .ua = ua,
            .resistance_first = a.resistance,
            .resistance_wall = core.wall_resistance,
            .resistance_second = b.resistance,
            .first_outlet = outlet1,
            .second_outlet = outlet2,
            .wall_temperature =
                mean1 + (std::isfinite(a.resistance) ? a.resistance * ua : 1.0) * (mean2 - mean1),
            .first_pressure_drop = drop1,
            .second_pressure_drop = drop2,
            .flags = flags};
}

void require(bool ok, const std::string& name, const std::string& message,
             const std::string& expected) {
    if (!ok)
        throw Error((name.empty() ? std::string("core") : "core \"" + name + "\"") + ": " + message,
                    expected);
}

}  // namespace

CoreOperation operate_with_wall(const Core& core, StreamInput first, StreamInput second,
                                const fluids::Liquid* first_liquid,
                                const fluids::Liquid* second_liquid) noexcept {
    if (!usable(first) || !usable(second)) return idle(core, first, second, core_not_finite);
    if (!core.first.table || !core.second.table) return idle(core, first, second, core_empty);
    SideState a = side_state(core.first, side_flow(first)),
              b = side_state(core.second, side_flow(second));
    const CoreOperation o = exchange(core, first, second, a, b, 0, 0);
    if (!(o.wall_temperature > 0) || (!first_liquid && !second_liquid)) return o;
    // A film without a correction is what it was.
    if (first_liquid) {
        first.wall_viscosity = first_liquid->viscosity(o.wall_temperature);
        a = side_state(core.first, side_flow(first));
    }
    if (second_liquid) {
        second.wall_viscosity = second_liquid->viscosity(o.wall_temperature);
        b = side_state(core.second, side_flow(second));
    }
    return exchange(core, first, second, a, b, 0, 0);
}

CoreOperation operate(const Core& core, const StreamInput& first,
                      const StreamInput& second) noexcept {
    if (!usable(first) || !usable(second)) return idle(core, first, second, core_not_finite);
    if (!core.first.table || !core.second.table) return idle(core, first, second, core_empty);
    double drop1 = 0, drop2 = 0;
    const SideState a = side_state(core.first, side_flow(first), drop1);
    const SideState b = side_state(core.second, side_flow(second), drop2);
    return exchange(core, first, second, a, b, drop1, drop2);
}

std::vector<Code> core_codes(unsigned flags) {
    constexpr std::pair<CoreFlag, Code> said[] = {
        {core_first_range, Code::core_first_beyond}, {core_second_range, Code::core_second_beyond},
        {core_envelope, Code::core_beyond_rating},   {core_no_flow, Code::core_stands_still},
        {core_empty, Code::core_not_described},      {core_not_finite, Code::core_not_finite}};
    std::vector<Code> out;
    for (const auto& [flag, code] : said)
        if (flags & flag) out.push_back(code);
    return out;
}

std::string describe_core_flags(unsigned flags) {
    std::string text;
    for (const Code code : core_codes(flags))
        text += (text.empty() ? "" : " ") + sentence({code}, units::System::si);
    return text;
}

Core make_core(Core core) {
    check(core.arrangement);
    require(core.first.table && core.second.table, core.name, "a side is missing",
            "both sides, from make_side()");
    require(core.wall_resistance >= 0 && std::isfinite(core.wall_resistance), core.name,
            "negative wall resistance", "K/W, 0 or above");
    require(core.width >= 0 && core.height >= 0 && core.depth >= 0 && core.face_area >= 0,
            core.name, "negative dimension", "m, 0 or above");
    require(core.open_fraction > 0 && core.open_fraction <= 1, core.name,
            "free-flow area " + fmt::format("{:.6g}", core.open_fraction) + " of the face",
            "above 0, at most 1");
    require(core.heat_capacity >= 0 && core.first_volume >= 0 && core.second_volume >= 0, core.name,
            "negative heat capacity or volume", "0 or above");
    require(core.uncertainty >= 0 && core.uncertainty < 10, core.name, "uncertainty out of range",
            "a fraction, 0 or above");
    if (core.face_area == 0) core.face_area = core.width * core.height;
    if (is_slow(core.arrangement)) core.table = make_effectiveness_table(core.arrangement);
    return core;
}

Core with_condition(Core core, const Condition& c) {
    require(c.blocked >= 0 && c.blocked <= 0.95, core.name, "blocked share of the face",
            "0 to 0.95");
    require(c.bent >= 0 && c.bent <= 1, core.name, "share of the face with bent fins", "0 to 1");
    require(c.first_fouling >= 0 && c.second_fouling >= 0 &&
                std::isfinite(c.first_fouling + c.second_fouling),
            core.name, "negative fouling factor", "m² K/W, 0 or above");
    const double open = (1 - c.blocked) * (1 - 0.5 * c.bent);
    core.first.fouling += c.first_fouling;
    core.second.fouling += c.second_fouling;
    core.first.heat_area *= open;
    core.second.heat_area *= open;
    core.second.flow_area *= open;
    core.wall_resistance /= open;
    core.open_fraction *= open;
    Condition& now = core.condition;
    now.first_fouling += c.first_fouling;
    now.second_fouling += c.second_fouling;
    now.blocked = 1 - (1 - now.blocked) * (1 - c.blocked);
    now.bent = 1 - (1 - now.bent) * (1 - c.bent);
    return core;
}

std::vector<NamedAssumption> assumptions(Core& core) {
    using M = NamedAssumption::Meaning;
    return {{"heat transfer as stated", &core.levels.conductance, M::level},
            {"liquid-side heat transfer", &core.levels.first_film, M::level},
            {core.face_area > 0 ? "air-side heat transfer" : "coolant-side heat transfer",
             &core.levels.second_film, M::level},
            {core.face_area > 0 ? "air-side pressure loss" : "coolant-side pressure loss",
             &core.levels.second_loss, M::level}};
}

Core at_levels(Core core) {
    CoreLevels& l = core.levels;
    core.first.heat_factor *= l.conductance.value * l.first_film.value;
    core.second.heat_factor *= l.conductance.value * l.second_film.value;
    core.second.drop_factor *= l.second_loss.value;
    core.wall_resistance /= l.conductance.value;
    for (const NamedAssumption& n : assumptions(core)) *n.number = exact_level;
    return core;
}

Assumed conductance_level(double uncertainty) {
    const double u = std::min(uncertainty, 0.95);
    const auto level = [](double share) { return std::log1p(-0.5 * share) / std::log(0.5); };
    return {1, level(1 - u), level(1 + u), "uncertainty of the stated heat"};
}

Core face_fraction(Core core, double fraction) {
    require(fraction > 0 && fraction <= 1, core.name, "share of the face", "above 0, at most 1");
    core.first = side_fraction(std::move(core.first), fraction);
    core.second = side_fraction(std::move(core.second), fraction);
    core.wall_resistance /= fraction;
    core.height *= fraction;
    core.face_area *= fraction;
    core.heat_capacity *= fraction;
    core.first_volume *= fraction;
    core.second_volume *= fraction;
    Envelope& e = core.envelope;
    e.first_flow_minimum *= fraction;
    e.first_flow_maximum *= fraction;
    e.second_flow_minimum *= fraction;
    e.second_flow_maximum *= fraction;
    return core;
}

}  // namespace lapheat::exchangers
