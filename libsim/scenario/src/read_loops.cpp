// [loops] and [[links]]: runs of parts between nodes.
#include <algorithm>

#include "lapheat/heat/fluid_life.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/model.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using model::PartBody;
using model::Surroundings;

Surroundings read_where(Reader& r, const char* fallback = "engine_bay") {
    return r.choice<Surroundings>("surroundings",
                                  {{"outside", Surroundings::outside},
                                   {"engine_bay", Surroundings::engine_bay},
                                   {"under_floor", Surroundings::under_floor},
                                   {"inside", Surroundings::inside}},
                                  fallback);
}

/// A bore in any unit, or a dash number (sixteenths of an inch).
double read_bore(Reader& r) {
    const std::string which = r.one_of({"inner_diameter", "dash"});
    if (which == "dash")
        return hydraulics::dash_diameter(static_cast<int>(r.integer("dash", 1, 64)));
    if (which.empty()) return 0.01;
    return r.quantity("inner_diameter", Q::length, between(5e-4, 0.3));
}

model::Line read_line(Reader& r, bool hose) {
    model::Line line;
    line.length = r.quantity("length", Q::length, positive);
    line.inner_diameter = read_bore(r);
    line.wall_thickness =
        r.optional_quantity("wall_thickness", Q::length, positive).value_or(hose ? 0.004 : 0.001);
    line.wall_conductivity = r.optional_quantity("wall_conductivity", Q::conductivity, positive)
                                 .value_or(hose ? 0.3 : 50);
    line.wall_heat_capacity = hose ? 1.8e6 : 3.6e6;
    line.roughness = hose ? hydraulics::rubber_hose_roughness : hydraulics::drawn_tube_roughness;
    line.rise = r.optional_quantity("rise", Q::length).value_or(0);
    line.bends_90 = r.optional_number("bends", not_negative).value_or(0);
    line.bend_radius_ratio = r.optional_number("bend_radius_ratio", between(1, 20)).value_or(3);
    line.surroundings = read_where(r);
    line.cells = r.has("cells") ? static_cast<int>(r.integer("cells", 1, 200)) : 0;
    return line;
}

model::Fitting read_fitting(Reader& r) {
    model::Fitting out;
    out.diameter = read_bore(r);
    out.count = r.optional_number("count", positive).value_or(1);
    if (r.one_of({"fitting", "loss_coefficient"}) == "fitting") {
        std::vector<std::string> names;
        for (const auto& entry : hydraulics::fitting_table()) names.emplace_back(entry.name);
        const std::string name = r.reference("fitting", names);
        if (!name.empty())
            out.loss_coefficient = hydraulics::fitting(name, out.diameter).loss_coefficient;
    } else {
        out.loss_coefficient = r.number("loss_coefficient", not_negative);
    }
    return out;
}

model::Restriction read_restriction(Reader& r) {
    model::Restriction out;
    out.flow = r.quantity("flow", Q::volume_flow, positive);
    out.pressure_loss = r.quantity("pressure_loss", Q::pressure, positive);
    out.viscosity = r.optional_quantity("viscosity", Q::dynamic_viscosity, positive).value_or(0);
    out.laminar_share = r.optional_number("laminar_share", fraction).value_or(0);
    return out;
}

model::Volume read_volume(Reader& r) {
    model::Volume v;
    v.volume = r.quantity("volume", Q::volume, positive);
    v.metal_heat_capacity =
        r.optional_quantity("metal_heat_capacity", Q::heat_capacity, not_negative).value_or(0);
    v.wall_heat_capacity =
        r.optional_quantity("wall_heat_capacity", Q::heat_capacity, positive).value_or(0);
    if (v.wall_heat_capacity > 0) {
        v.wall_conductance = r.quantity("wall_conductance", Q::thermal_conductance, positive);
        v.wall_flow = r.quantity("wall_flow", Q::mass_flow, positive);
        v.static_conductance =
            r.quantity("still_conductance", Q::thermal_conductance, not_negative, {"100 W/K"});
    }
    v.ambient_conductance =
        r.optional_quantity("ambient_conductance", Q::thermal_conductance, not_negative)
            .value_or(0);
    v.ambient_speed_gain = r.optional_number("ambient_speed_gain", not_negative).value_or(0);
    v.surroundings = read_where(r);
    if (r.has("heat")) {
        v.heat = r.references("heat", model::stream_names());
    }
    return v;
}

model::Pump read_pump(Reader& r) {
    model::Pump p;
    p.reference_speed = r.quantity("reference_speed", Q::angular_speed, positive);
    p.shutoff_head = r.quantity("shut_off_pressure", Q::pressure, positive);
    p.free_flow = r.quantity("free_flow", Q::volume_flow, positive);
    p.efficiency = r.number("efficiency", efficiency, 0.5);
    if (r.has("electric_speed"))
        p.electric_speed = r.quantity("electric_speed", Q::angular_speed, positive);
    else
        p.speed_ratio = r.number("speed_ratio", between(0.2, 5), 1.0, "pump over engine speed");
    return p;
}

model::FlowSource read_source(Reader& r) {
    model::FlowSource s;
    s.displacement = r.quantity("displacement", Q::displacement, positive);
    s.speed_ratio = r.number("speed_ratio", between(0.2, 5), 1.0, "pump over engine speed");
    s.maximum_flow = r.optional_quantity("controlled_flow", Q::volume_flow, positive).value_or(0);
    s.relief_pressure = r.optional_quantity("relief_pressure", Q::pressure, positive).value_or(0);
    return s;
}

model::Thermostat read_thermostat(Reader& r) {
    model::Thermostat t;
    t.opens = r.quantity("opens", Q::temperature, between(280, 420));
    t.full = r.quantity("full", Q::temperature, between(280, 430));
    t.hysteresis = r.quantity("hysteresis", Q::temperature_difference, not_negative, {"3 K"});
    t.lag = r.quantity("lag", Q::time, positive, {"8 s", "of the wax"});
    const double diameter =
        r.quantity("bore", Q::length, positive, {"30 mm", "flow area fully open"});
    t.open_area = 0.7854 * diameter * diameter;
    const double bleed = r.optional_quantity("bleed", Q::length, not_negative).value_or(0);
    t.closed_area = 0.7854 * bleed * bleed;
    t.reversed = r.boolean("closes_when_hot", false);
    t.sensor = r.optional_text("sensor").value_or("");
    if (r.has("stuck_at")) t.stuck = r.number("stuck_at", fraction);
    return t;
}

enum class Kind {
    hose,
    tube,
    fitting,
    restriction,
    volume,
    core,
    pump,
    displacement_pump,
    cooler_feed,
    thermostat,
    check_valve
};

PartBody read_body(Reader& r, Kind kind, const std::vector<std::string>& cores) {
    switch (kind) {
        case Kind::hose:
            return read_line(r, true);
        case Kind::tube:
            return read_line(r, false);
        case Kind::fitting:
            return read_fitting(r);
        case Kind::restriction:
            return read_restriction(r);
        case Kind::volume:
            return read_volume(r);
        case Kind::core: {
            model::CorePass pass;
            pass.core = r.reference("core", cores);
            pass.second_side = r.boolean("second_side", false);
            return pass;
        }
        case Kind::pump:
            return read_pump(r);
        case Kind::displacement_pump:
            return read_source(r);
        case Kind::cooler_feed:
            return model::CoolerFeed{};
        case Kind::thermostat:
            return read_thermostat(r);
        default: {
            model::CheckValve v;
            v.diameter = read_bore(r);
            return v;
        }
    }
}

model::Part read_part(Reader& r, const std::vector<std::string>& cores) {
    model::Part part;
    part.place = r.place();
    const Kind kind = r.kind<Kind>("kind", {{"hose", Kind::hose},
                                            {"tube", Kind::tube},
                                            {"fitting", Kind::fitting},
                                            {"restriction", Kind::restriction},
                                            {"volume", Kind::volume},
                                            {"core", Kind::core},
                                            {"pump", Kind::pump},
                                            {"displacement_pump", Kind::displacement_pump},
                                            {"cooler_feed", Kind::cooler_feed},
                                            {"thermostat", Kind::thermostat},
                                            {"check_valve", Kind::check_valve}});
    part.name = r.text("name");
    part.body = read_body(r, kind, cores);
    return part;
}

void read_limits(Reader& loop, model::Loop& out) {
    Reader r = loop.table_or_empty("limits");
    heat::Limit usual;
    if (out.name == "transmission")
        usual = heat::transmission_limit();
    else if (out.name == "steering")
        usual = heat::steering_limit();
    else if (out.name == "engine_oil")
        usual = heat::engine_oil_limit();
    else
        usual = heat::coolant_limit();
    out.limits.caution =
        r.optional_quantity("caution", Q::temperature, positive).value_or(usual.caution);
    out.limits.limit = r.optional_quantity("limit", Q::temperature, positive).value_or(usual.limit);
    out.limits.boiling_reserve =
        r.optional_quantity("boiling_reserve", Q::temperature_difference, not_negative)
            .value_or(usual.boiling_reserve);
    out.limits.part = r.optional_text("part").value_or("");
    out.limits.note = r.optional_text("note").value_or(usual.note);
}

model::Loop read_loop(Reader& r, const Fluids& fluids, const std::vector<std::string>& cores) {
    model::Loop loop;
    loop.name = r.name();
    loop.place = r.place();
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    const std::string fluid = r.reference("fluid", names);
    if (!fluid.empty()) loop.fluid = fluids.at(fluid);
    loop.cap_pressure = r.optional_quantity("cap_pressure", Q::pressure, not_negative).value_or(0);
    loop.expansion_volume =
        r.optional_quantity("expansion_volume", Q::volume, not_negative).value_or(0);
    loop.warm_start = r.optional_quantity("warm_start", Q::temperature, positive).value_or(0);
    read_limits(r, loop);
    for (Reader run : r.named("runs")) {
        model::Run out;
        out.name = run.name();
        out.place = run.place();
        out.from = run.text("from");
        out.to = run.text("to");
        out.closed = run.boolean("capped", false);
        for (Reader part : run.tables("parts")) {
            out.parts.push_back(read_part(part, cores));
            for (const model::Run& other : loop.runs)
                for (const model::Part& p : other.parts)
                    if (p.name == out.parts.back().name)
                        part.error("name", "a name no other part of the loop has");
            for (std::size_t i = 0; i + 1 < out.parts.size(); ++i)
                if (out.parts[i].name == out.parts.back().name)
                    part.error("name", "a name no other part of the loop has");
        }
        if (out.parts.empty()) run.error("parts", "at least one part that holds fluid");
        loop.runs.push_back(std::move(out));
    }
    if (loop.runs.empty())
        r.error("runs", "at least one run of parts, [loops." + loop.name + ".runs.cooler]");
    return loop;
}

}  // namespace

std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids,
                                    const std::vector<model::CoreEntry>& cores) {
    std::vector<std::string> names;
    for (const model::CoreEntry& c : cores) names.push_back(c.name);
    std::vector<model::Loop> out;
    for (Reader r : root.named("loops")) out.push_back(read_loop(r, fluids, names));
    return out;
}

std::vector<model::Link> read_links(Reader& root) {
    std::vector<model::Link> out;
    for (Reader r : root.tables("links")) {
        model::Link link;
        link.place = r.place();
        link.first_loop = r.text("first_loop");
        link.first_part = r.text("first_part");
        link.second_loop = r.text("second_loop");
        link.second_part = r.text("second_part");
        link.conductance = r.quantity("conductance", Q::thermal_conductance, positive);
        out.push_back(std::move(link));
    }
    return out;
}

}  // namespace lapheat::scenario
