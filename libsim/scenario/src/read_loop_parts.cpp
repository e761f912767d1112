// The parts of a run: what each `kind` needs, with sizes as sold.
#include <algorithm>
#include <charconv>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/model/model.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using model::PartBody;
using model::Zone;

}  // namespace

heat::ExhaustPart read_exhaust_part(Reader& r, const char* fallback) {
    using Part = heat::ExhaustPart;
    return r.choice<Part>("exhaust_part",
                          {{"manifold", Part::manifold},
                           {"front_pipe", Part::front_pipe},
                           {"catalyst", Part::catalyst},
                           {"mid_pipe", Part::mid_pipe},
                           {"silencer", Part::silencer},
                           {"tail_pipe", Part::tail_pipe}},
                          fallback);
}

namespace {

constexpr Range bore_range = between(5e-4, 0.3);

Zone read_where(Reader& r, const char* fallback = "engine_bay") {
    return r.choice<Zone>("surroundings",
                          {{"outside", Zone::outside},
                           {"engine_bay", Zone::engine_bay},
                           {"under_floor", Zone::under_floor},
                           {"inside", Zone::inside}},
                          fallback);
}

/// A size as sold: a dash number, "-8" (sixteenths of an inch), or a bore, "5/16 inch".
double read_size(Reader& r) {
    const std::string text = r.text("size");
    int dash = 0;
    if (text.size() > 1 && text.front() == '-') {
        const auto [end, error] = std::from_chars(text.data() + 1, text.data() + text.size(), dash);
        if (error == std::errc{} && end == text.data() + text.size() && dash >= 1 && dash <= 64)
            return hydraulics::dash_diameter(dash);
    } else if (!text.empty()) {
        try {
            const double bore = units::parse(text, Q::length);
            if (bore >= 5e-4 && bore <= 0.3) return bore;
        } catch (const Error&) {
            dash = 0;  // said below, with both ways to write it
        }
    } else {
        return 0.01;
    }
    r.error("size", "a dash number such as \"-8\" or a bore such as \"5/16 inch\" or \"8 mm\"");
    return 0.01;
}

/// A bore in any unit, a dash number, or a size as sold.
double read_bore(Reader& r) {
    const std::string which = r.one_of({"inner_diameter", "dash", "size"});
    if (which == "dash")
        return hydraulics::dash_diameter(static_cast<int>(r.integer("dash", 1, 64)));
    if (which == "size") return read_size(r);
    if (which.empty()) return 0.01;
    return r.quantity("inner_diameter", Q::length, bore_range);
}

double circle(double diameter) { return std::numbers::pi / 4 * diameter * diameter; }

model::Line read_line(Reader& r, bool hose) {
    model::Line line;
    line.hose = hose;
    line.length = r.quantity("length", Q::length, positive);
    line.inner_diameter = read_bore(r);
    line.wall_thickness =
        r.optional_quantity("wall_thickness", Q::length, positive).value_or(hose ? 0.004 : 0.001);
    line.wall_conductivity = r.optional_quantity("wall_conductivity", Q::conductivity, positive)
                                 .value_or(hose ? 0.3 : 50);
    line.wall_heat_capacity = hose ? 1.8e6 : 3.6e6;
    line.roughness = hose ? hydraulics::rubber_hose_roughness : hydraulics::drawn_tube_roughness;
    line.rise = r.optional_quantity("rise", Q::length).value_or(0);
    line.bends = r.optional_number("bends", not_negative).value_or(0);
    line.bend_angle = r.optional_quantity("bend_angle", Q::angle, between(0.02, 3.1416))
                          .value_or(std::numbers::pi / 2) *
                      180 / std::numbers::pi;
    line.bend_radius_ratio = r.optional_number("bend_radius_ratio", between(1, 20)).value_or(3);
    if (r.has("bend_radius"))
        line.bend_radius_ratio = std::clamp(
            r.quantity("bend_radius", Q::length, positive) / line.inner_diameter, 1.0, 20.0);
    line.end_bore = r.optional_quantity("end_bore", Q::length, bore_range).value_or(0);
    if (line.end_bore > line.inner_diameter * 1.0001)
        r.error("end_bore", "a bore no wider than the line's own");
    line.exhaust_view = r.optional_number("exhaust_view", fraction).value_or(0);
    line.heat_shields =
        r.has("heat_shields") ? static_cast<int>(r.integer("heat_shields", 0, 5)) : 0;
    line.rated_pressure = r.optional_quantity("rated_pressure", Q::pressure, positive).value_or(0);
    line.rated_temperature =
        r.optional_quantity("rated_temperature", Q::temperature, between(300, 600)).value_or(0);
    line.surroundings = read_where(r);
    line.exhaust_part =
        read_exhaust_part(r, line.surroundings == Zone::engine_bay    ? "manifold"
                             : line.surroundings == Zone::under_floor ? "front_pipe"
                                                                              : "silencer");
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
        out.what = r.reference("fitting", names);
        if (!out.what.empty()) {
            const hydraulics::MinorLoss loss = hydraulics::fitting(out.what, out.diameter);
            out.loss_coefficient = loss.loss_coefficient;
            out.laminar_coefficient = loss.laminar_coefficient;
        }
    } else {
        out.loss_coefficient = r.number("loss_coefficient", not_negative);
        out.laminar_coefficient =
            r.optional_number("laminar_coefficient", not_negative).value_or(0);
    }
    return out;
}

model::Fitting made_of(const hydraulics::MinorLoss& loss, const char* what, double count) {
    return {loss.loss_coefficient, loss.laminar_coefficient, loss.diameter, count, what};
}

/// A barbed end: from the hose into its bore and out again.
model::Fitting read_barb(Reader& r) {
    const double hose = read_bore(r), bore = r.quantity("bore", Q::length, bore_range);
    if (bore > hose) r.error("bore", "a bore no wider than the hose");
    const double count = r.optional_number("count", positive).value_or(1);
    return made_of(hydraulics::barb(hose, std::min(bore, hose)), "barb", count);
}

/// From one bore to another, in the run's direction.
model::Fitting read_adapter(Reader& r) {
    const double from = read_bore(r), to = r.quantity("to_diameter", Q::length, bore_range);
    return made_of(to >= from ? hydraulics::sudden_expansion(from, to)
                              : hydraulics::sudden_contraction(from, to),
                   "adapter", 1);
}

model::Restriction read_restriction(Reader& r, bool filter) {
    model::Restriction out;
    out.filter = filter;
    out.flow = r.quantity("flow", Q::volume_flow, positive);
    out.pressure_loss = r.quantity("pressure_loss", Q::pressure, positive);
    out.viscosity = r.optional_quantity("viscosity", Q::dynamic_viscosity, positive).value_or(0);
    out.density = r.optional_quantity("density", Q::density, positive).value_or(0);
    out.laminar_share =
        filter ? r.number("laminar_share", fraction, 0.8, "filter media creep; common practice")
               : r.optional_number("laminar_share", fraction).value_or(0);
    return out;
}

/// Water jacket, head, block or oil sump of an engine of which only the size is known.
model::Volume engine_volume(Reader& r, const heat::EngineLumps& lumps) {
    enum class Which { jacket, head, block, sump };
    const auto which = r.choice<Which>("of_engine", {{"jacket", Which::jacket},
                                                     {"head", Which::head},
                                                     {"block", Which::block},
                                                     {"sump", Which::sump}});
    const auto lump = [&](const char* key, Q what, double value) {
        return r.quantity(key, what, not_negative,
                          {units::format(value, what, units::System::si), "by engine size"});
    };
    // Head and block are halves of the jacket; common practice, no source.
    const double part = which == Which::head || which == Which::block ? 0.5 : 1.0;
    model::Volume v;
    if (which == Which::sump) {
        v.volume = lump("volume", Q::volume, lumps.oil_volume);
        v.metal_heat_capacity = lump("metal_heat_capacity", Q::heat_capacity, lumps.oil_metal);
        v.surroundings = Zone::under_floor;
    } else {
        v.volume = lump("volume", Q::volume, part * lumps.jacket_volume);
        v.wall_heat_capacity =
            lump("wall_heat_capacity", Q::heat_capacity, part * lumps.jacket_metal);
        v.wall_conductance =
            lump("wall_conductance", Q::thermal_conductance, part * lumps.wall_conductance);
        v.wall_flow = lump("wall_flow", Q::mass_flow, lumps.wall_flow);
        v.static_conductance =
            lump("still_conductance", Q::thermal_conductance, part * lumps.still_conductance);
    }
    v.ambient_conductance =
        lump("ambient_conductance", Q::thermal_conductance, 0.5 * part * lumps.surface_conductance);
    v.ambient_speed_gain = r.number("ambient_speed_gain", not_negative,
                                    0.5 * part * lumps.surface_conductance_slope, "by engine size");
    if (r.has("surroundings")) v.surroundings = read_where(r);
    v.rise = r.optional_quantity("rise", Q::length).value_or(0);
    if (r.has("heat")) v.heat = r.references("heat", model::stream_names());
    return v;
}

model::Volume read_volume(Reader& r, const heat::EngineLumps& lumps) {
    if (r.has("of_engine")) return engine_volume(r, lumps);
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
    v.rise = r.optional_quantity("rise", Q::length).value_or(0);
    if (r.has("heat")) v.heat = r.references("heat", model::stream_names());
    v.usual_case = !r.has("ambient_conductance");
    return v;
}

/// What the pump needs at its inlet, from its data sheet.
model::SuctionHead read_suction(Reader& r) {
    model::SuctionHead s;
    s.bore = r.optional_quantity("inlet_bore", Q::length, positive).value_or(0);
    if (r.has("suction_head")) {
        s.at_flow = r.quantity("suction_head", Q::length, positive);
        s.flow = r.quantity("suction_head_flow", Q::volume_flow, positive);
        s.still = r.optional_quantity("suction_head_still", Q::length, not_negative)
                      .value_or(0.5 * s.at_flow);
        if (s.still > s.at_flow)
            r.error("suction_head_still", "no more than suction_head: a pump needs least at rest");
    }
    return s;
}

model::Pump read_pump(Reader& r) {
    model::Pump p;
    p.reference_speed = r.quantity("reference_speed", Q::angular_speed, positive);
    if (r.has("points")) {
        const Columns points =
            r.columns("points", {{"flow", Q::volume_flow, not_negative, true, true},
                                 {"pressure", Q::pressure, not_negative}});
        for (std::size_t i = 0; i < points.rows(); ++i)
            p.points.push_back({points["flow"][i], points["pressure"][i]});
        r.attempt([&] {
            std::vector<hydraulics::PumpPoint> curve;
            for (const model::PumpPoint& point : p.points)
                curve.push_back({point.flow, point.pressure});
            return hydraulics::fit_pump(curve, p.density, p.reference_speed);
        });
    } else {
        p.shutoff_head = r.quantity("shut_off_pressure", Q::pressure, positive);
        p.free_flow = r.quantity("free_flow", Q::volume_flow, positive);
    }
    p.efficiency = r.number("efficiency", efficiency, 0.5);
    if (r.has("electric_speed")) {
        p.electric_speed = r.quantity("electric_speed", Q::angular_speed, positive);
        p.after_run = r.boolean("after_run", false);
    } else {
        p.speed_ratio = r.number("speed_ratio", between(0.2, 5), 1.0, "pump over engine speed");
    }
    p.suction = read_suction(r);
    return p;
}

model::FlowSource read_source(Reader& r) {
    model::FlowSource s;
    s.displacement = r.quantity("displacement", Q::displacement, positive);
    s.speed_ratio = r.number("speed_ratio", between(0.2, 5), 1.0, "pump over engine speed");
    s.maximum_flow = r.optional_quantity("controlled_flow", Q::volume_flow, positive).value_or(0);
    s.relief_pressure = r.optional_quantity("relief_pressure", Q::pressure, positive).value_or(0);
    s.relief_override = r.optional_number("relief_override", between(0.005, 1)).value_or(0.1);
    if (r.has("volumetric_efficiency")) {
        const double share = r.number("volumetric_efficiency", between(0.3, 0.999));
        const double speed = r.quantity("rated_speed", Q::angular_speed, positive);
        const double pressure = r.quantity("rated_pressure", Q::pressure, positive);
        const double viscosity = r.quantity("rated_viscosity", Q::dynamic_viscosity, positive);
        if (const auto leak = r.attempt([&] {
                return hydraulics::leakage_from_efficiency(s.displacement, speed, pressure,
                                                           viscosity, share);
            }))
            s.leakage = *leak;
    }
    s.suction = read_suction(r);
    return s;
}

model::Thermostat read_thermostat(Reader& r) {
    model::Thermostat t;
    t.opens = r.quantity("opens", Q::temperature, between(280, 420));
    t.full = r.quantity("full", Q::temperature, between(280, 430));
    t.hysteresis = r.quantity("hysteresis", Q::temperature_difference, not_negative, {"3 K"});
    t.lag = r.quantity("lag", Q::time, positive, {"8 s", "of the wax"});
    const double bleed = r.optional_quantity("bleed", Q::length, not_negative).value_or(0);
    t.closed_area = circle(bleed);
    if (r.has("stroke")) {
        // A poppet: the ring it opens, or its seat if that is narrower.
        const double seat = r.quantity("seat", Q::length, positive);
        t.open_area = t.closed_area +
                      hydraulics::poppet_area(seat, r.quantity("stroke", Q::length, positive));
    } else {
        t.open_area =
            circle(r.quantity("bore", Q::length, positive, {"30 mm", "flow area fully open"}));
    }
    if (t.closed_area >= t.open_area) r.error("bleed", "a bleed smaller than the open valve");
    t.reversed = r.boolean("closes_when_hot", false);
    t.sensor = r.optional_text("sensor").value_or("");
    if (r.has("stuck_at")) t.stuck = r.number("stuck_at", fraction);
    return t;
}

model::Valve read_valve(Reader& r) {
    model::Valve v;
    v.open_area = circle(r.quantity("bore", Q::length, bore_range));
    v.opening = r.number("opening", fraction, 1.0, "open");
    v.loss_coefficient = r.optional_number("loss_coefficient", positive).value_or(1.8);
    return v;
}

model::CheckValve read_check_valve(Reader& r) {
    model::CheckValve v;
    v.diameter = read_bore(r);
    v.loss_coefficient = r.optional_number("loss_coefficient", positive).value_or(2);
    v.cracking_pressure =
        r.optional_quantity("cracking_pressure", Q::pressure, not_negative).value_or(0);
    return v;
}

model::CorePass read_pass(Reader& r, const std::vector<std::string>& cores) {
    model::CorePass pass;
    pass.core = r.reference("core", cores);
    pass.second_side = r.boolean("second_side", false);
    pass.rise = r.optional_quantity("rise", Q::length).value_or(0);
    return pass;
}

/// What parts refer to: names of cores, and the engine's lumps.
using Make = PartBody (*)(Reader&, const PartContext&);
using Context = const PartContext&;

}  // namespace

model::Part read_part(Reader& r, const PartContext& context) {
    model::Part part;
    part.place = r.place();
    const Make make = r.kind<Make>(
        "kind",
        {{"hose", [](Reader& t, Context) -> PartBody { return read_line(t, true); }},
         {"tube", [](Reader& t, Context) -> PartBody { return read_line(t, false); }},
         {"fitting", [](Reader& t, Context) -> PartBody { return read_fitting(t); }},
         {"barb", [](Reader& t, Context) -> PartBody { return read_barb(t); }},
         {"adapter", [](Reader& t, Context) -> PartBody { return read_adapter(t); }},
         {"orifice",
          [](Reader& t, Context) -> PartBody {
              return made_of(hydraulics::orifice(t.quantity("bore", Q::length, bore_range)),
                             "orifice", 1);
          }},
         {"restriction", [](Reader& t, Context) -> PartBody { return read_restriction(t, false); }},
         {"filter", [](Reader& t, Context) -> PartBody { return read_restriction(t, true); }},
         {"volume", [](Reader& t, Context c) -> PartBody { return read_volume(t, c.lumps); }},
         {"core", [](Reader& t, Context c) -> PartBody { return read_pass(t, c.cores); }},
         {"pump", [](Reader& t, Context) -> PartBody { return read_pump(t); }},
         {"displacement_pump", [](Reader& t, Context) -> PartBody { return read_source(t); }},
         {"cooler_feed", [](Reader&, Context) -> PartBody { return model::CoolerFeed{}; }},
         {"thermostat", [](Reader& t, Context) -> PartBody { return read_thermostat(t); }},
         {"valve", [](Reader& t, Context) -> PartBody { return read_valve(t); }},
         {"check_valve", [](Reader& t, Context) -> PartBody { return read_check_valve(t); }}});
    part.name = r.text("name");
    part.body = make(r, context);
    return part;
}

}  // namespace lapheat::scenario
