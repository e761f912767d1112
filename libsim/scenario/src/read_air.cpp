// [fans] and [air]: what moves air, and the way the air takes through each place.
#include <algorithm>
#include <numbers>

#include "lapheat/scenario/place_keys.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

airflow::FanCurve read_curve(Reader& r) {
    if (r.has("curve")) {
        const Columns c = r.columns(
            "curve",
            {{.name = "flow",
              .quantity = Q::volume_flow,
              .range = not_negative,
              .increasing = true},
             {.name = "pressure", .quantity = Q::pressure, .range = not_negative},
             {.name = "power", .quantity = Q::power, .range = not_negative, .required = false}});
        const std::vector<double> power = c.has("power") ? c["power"] : std::vector<double>{};
        return r.attempt([&] { return airflow::fan_curve(c["flow"], c["pressure"], power); })
            .value_or(airflow::FanCurve{});
    }
    const double flow = r.quantity("free_flow", Q::volume_flow, positive);
    const double pressure = r.quantity("shut_off_pressure", Q::pressure, positive);
    // Against six measured axial fans (24 points) a curve half way to the parabola passed 7 % too
    // much air on the mean, 21 % at worst, too much at all points but one. The straight line passes
    // 5 to 9 % less than that on system curves through 0.5 to 0.8 of the free flow. What is said of
    // the line follows from these numbers; it was not measured by itself.
    const double shape =
        r.number("curve_shape", fraction, 0,
                 "a straight line, 1 a parabola; against six measured fans the line passes as much "
                 "air on the "
                 "mean, by estimate 12 % too much at worst and 8 % too little at best");
    return r.attempt([&] { return airflow::fan_curve(flow, pressure, shape); })
        .value_or(airflow::FanCurve{});
}

void read_electric(Reader& r, model::FanEntry& out) {
    airflow::FanDrive& d = out.drive;
    using D = airflow::DriveKind;
    d.rated_current = r.quantity("current", Q::electric_current, positive);
    d.rated_voltage = r.quantity("voltage", Q::voltage, positive, {"13 V"});
    out.fan.rated_power = d.rated_current * d.rated_voltage;
    d.wiring_resistance = r.quantity("wiring_resistance", Q::resistance, not_negative,
                                     {"0.02 ohm", "there and back, with relay"});
    d.spin_up = r.quantity("spin_up", Q::time, positive, {"1 s", "a soft start takes 2 to 5 s"});
    d.run_down = r.optional_quantity("run_down", Q::time, positive).value_or(d.run_down);
    d.back_emf = r.optional_number("back_emf_share", between(0.3, 0.98)).value_or(d.back_emf);
    if (d.kind == D::two_stage || d.kind == D::two_stage_resistor)
        d.low_stage =
            r.number("low_stage", between(0.1, 1), d.low_stage, "speed of the first stage");
    if (d.kind == D::pulse_width)
        d.controller_efficiency = r.optional_quantity("controller_efficiency", Q::ratio, efficiency)
                                      .value_or(d.controller_efficiency);
    out.wire_length = r.quantity("wire_length", Q::length, between(0.1, 15),
                                 {"4 m", "one way from the battery, for the wire's size"});
}

void read_engine_driven(Reader& r, model::FanEntry& out) {
    airflow::FanDrive& d = out.drive;
    out.fan.rated_power = 0;
    d.pulley_ratio = r.number("pulley_ratio", between(0.3, 3), d.pulley_ratio);
    d.full_speed = r.quantity("full_speed", Q::angular_speed, positive,
                              {"2200 rev/min", "of the fan, where its curve holds"});
    if (d.kind != airflow::DriveKind::viscous_clutch) return;
    d.engaged = r.optional_number("engaged_slip_ratio", between(0.3, 1)).value_or(d.engaged);
    d.idling = r.optional_number("idling_slip_ratio", between(0, 0.9)).value_or(d.idling);
    d.clutch_begins =
        r.quantity("clutch_begins", Q::temperature, between(290, 400),
                   {"65 degC", "air behind the radiator; common practice 55 to 75 degC"});
    d.clutch_closed = r.quantity("clutch_closed", Q::temperature, between(290, 420),
                                 {"80 degC", "common practice 70 to 90 degC"});
    if (r.sound() && !(d.clutch_closed > d.clutch_begins))
        r.error("clutch_closed", "above the temperature at which it begins to close");
}

model::FanEntry read_fan(Reader& r) {
    model::FanEntry out;
    out.name = r.name();
    out.place = r.place();
    out.fan.curve = read_curve(r);
    const double diameter = r.quantity("diameter", Q::length, between(0.03, 1.5));
    out.fan.disc_area = std::numbers::pi / 4 * diameter * diameter * 0.85;  // less the hub
    using D = airflow::DriveKind;
    out.drive.kind = r.choice<D>("drive",
                                 {{"on_off", D::on_off},
                                  {"two_stage", D::two_stage},
                                  {"two_stage_resistor", D::two_stage_resistor},
                                  {"pulse_width", D::pulse_width},
                                  {"viscous_clutch", D::viscous_clutch},
                                  {"belt", D::belt}},
                                 "on_off");
    if (out.drive.kind == D::viscous_clutch || out.drive.kind == D::belt)
        read_engine_driven(r, out);
    else
        read_electric(r, out);
    airflow::Fan& blades = out.fan;
    blades.locked_loss = r.optional_number("locked_loss", positive).value_or(blades.locked_loss);
    blades.freewheel_loss =
        r.optional_number("freewheel_loss", positive).value_or(blades.freewheel_loss);
    blades.windmill_velocity = r.optional_quantity("windmill_velocity", Q::speed, positive)
                                   .value_or(blades.windmill_velocity);
    for (Reader s : r.tables("switches")) {
        model::FanSwitch one;
        one.loop = s.text("loop");
        one.part = s.text("part");
        one.on = s.quantity("on", Q::temperature, between(250, 450));
        one.off = s.quantity("off", Q::temperature, between(250, 450));
        if (s.sound() && !(one.on > one.off))
            s.error("off", "below the temperature at which it switches on");
        one.lag = s.quantity("lag", Q::time, positive, {"6 s", "of the sensor"});
        one.command = s.number("command", fraction, 1.0);
        one.full = s.optional_quantity("full", Q::temperature, between(250, 450)).value_or(0);
        if (s.sound() && one.full != 0 && !(one.full > one.on))
            s.error("full", "above the temperature at which it switches on");
        out.switches.push_back(one);
    }
    out.with_air_conditioning = r.boolean("with_air_conditioning", false);
    out.after_run = r.boolean("after_run", false, "stops with the ignition");
    out.dead = r.boolean("dead", false);
    return out;
}

struct Box {
    double x = 0, y = 0, width = 0, height = 0;
    [[nodiscard]] double area() const { return width * height; }
};

/// Cores of that name, or the circuits of a combined one, in the order of the file.
std::vector<const model::CoreEntry*> cores_named(const std::vector<model::CoreEntry>& cores,
                                                 const std::string& name) {
    std::vector<const model::CoreEntry*> out;
    for (const model::CoreEntry& c : cores)
        if (c.name == name || c.name.rfind(name + ".", 0) == 0) out.push_back(&c);
    return out;
}

std::vector<std::string> face_names(const std::vector<model::CoreEntry>& cores) {
    std::vector<std::string> names;
    for (const model::CoreEntry& c : cores) {
        const std::string base = c.name.substr(0, c.name.find('.'));
        if (std::find(names.begin(), names.end(), base) == names.end()) names.push_back(base);
    }
    return names;
}

Box read_item(Reader& r, const std::vector<model::CoreEntry>& cores, model::AirPath& path) {
    Box box;
    const std::string what = r.one_of({"core", "heat"});
    const double dx = r.optional_quantity("offset_x", Q::length).value_or(0);
    const double dy = r.optional_quantity("offset_y", Q::length).value_or(0);
    const double rise = r.optional_quantity("rise", Q::length).value_or(0);
    const double gap =
        r.quantity("gap_behind", Q::length, not_negative, {"15 mm", "to the next core; 0 sealed"});
    if (what == "heat") {
        model::StackItem item;
        item.heat = r.reference("heat", {"condenser"});
        item.width = r.quantity("width", Q::length, positive);
        item.height = r.quantity("height", Q::length, positive);
        item.pressure_loss = r.quantity("pressure_loss", Q::pressure, positive);
        item.velocity = r.quantity("velocity", Q::speed, positive, {"3 m/s"});
        item.x = dx - item.width / 2;
        item.y = dy - item.height / 2;
        item.rise = rise;
        item.gap_behind = gap;
        box = {item.x, item.y, item.width, item.height};
        path.stack.push_back(item);
        return box;
    }
    const std::string name = r.reference("core", face_names(cores));
    const auto parts = cores_named(cores, name);
    double height = 0;
    for (const model::CoreEntry* c : parts) height += c->core.height;
    double y = dy - height / 2;
    for (const model::CoreEntry* c : parts) {
        model::StackItem item;
        item.core = c->name;
        item.width = c->core.width;
        item.height = c->core.height;
        item.x = dx - item.width / 2;
        item.y = y;
        item.rise = rise;
        item.gap_behind = gap;
        y += item.height;
        box = {item.x, dy - height / 2, item.width, height};
        path.stack.push_back(item);
    }
    return box;
}

void read_shroud(Reader& r, const std::vector<std::string>& fans, const Box& over,
                 model::AirPath& path) {
    model::Shroud out;
    out.fans = r.references("fans", fans);
    out.pusher = r.boolean("pusher", false);
    out.bare = r.boolean("bare", false);
    out.distance = r.optional_quantity("distance", Q::length, positive).value_or(out.distance);
    out.gap_area = r.optional_quantity("gap_area", Q::area, not_negative).value_or(0);
    out.flap_area = r.optional_quantity("flap_area", Q::area, not_negative).value_or(0);
    const double cover = r.quantity("cover", Q::ratio, {.low = 0.02, .high = 1.0},
                                    {"100 %", "of the width of the stack's largest face"});
    const double offset = r.optional_quantity("offset_x", Q::length).value_or(0);
    out.width = over.width * cover;
    out.height = over.height;
    out.x = over.x + (over.width - out.width) / 2 + offset;
    out.y = over.y;
    path.shrouds.push_back(std::move(out));
}

/// The numbers of a place that a file overrides: a value, or a value with its low and high end.
void read_assumptions(Reader& r, airflow::PlaceDefaults& place) {
    Reader a = r.table_or_empty("assumptions");
    for (const airflow::NamedAssumption& n : airflow::assumptions(place)) {
        const std::string name = n.name;
        const bool pressure = name.find("pressure") != std::string::npos || name == "ram recovery";
        const bool speed = name == "fading speed";
        read_assumed(a, place_key(n.name), speed ? Q::speed : Q::ratio,
                     speed      ? between(0.5, 60)
                     : pressure ? between(-2, 1.2)
                                : fraction,
                     *n.number);
    }
}

/// The stretch of the exhaust that a place has for a neighbour.
const char* exhaust_near(airflow::Place place) {
    switch (place) {
        case airflow::Place::under_floor:
            return "front_pipe";
        case airflow::Place::behind_rear_axle:
        case airflow::Place::trunk_or_side_scoop:
            return "silencer";
        default:
            return "manifold";
    }
}

/// Exhaust parts in sight of the core and the sheets between: an area that sees them with the
/// place's view factor, or a rectangle of the core opposite a part of the same size.
void read_exhaust(Reader& r, const char* near, model::AirPath& path) {
    if (r.has("exhaust_width") || r.has("exhaust_length") || r.has("exhaust_distance")) {
        const double width = r.quantity("exhaust_width", Q::length, positive);
        const double length = r.quantity("exhaust_length", Q::length, positive);
        const double distance = r.quantity("exhaust_distance", Q::length, positive);
        path.exhaust_view_area = width * length;
        if (const auto view =
                r.attempt([&] { return airflow::view_factor_parallel(width, length, distance); })) {
            // An engine's parts are never quite parallel and aligned: half to one and a half times.
            path.assumptions.exhaust_view = {*view, 0.5 * *view, std::min(1.0, 1.5 * *view),
                                             "Incropera, Table 13.2, from the scenario's sizes"};
        }
        if (r.has("exhaust_view_area"))
            r.error("exhaust_view_area",
                    "either this or exhaust_width, exhaust_length and "
                    "exhaust_distance");
    } else {
        path.exhaust_view_area =
            r.optional_quantity("exhaust_view_area", Q::area, not_negative).value_or(0);
    }
    path.exhaust_part = read_exhaust_part(r, near);
    path.exhaust_emissivity =
        r.optional_number("exhaust_emissivity", between(0.02, 1)).value_or(path.exhaust_emissivity);
    path.heat_shields =
        r.has("heat_shields") ? static_cast<int>(r.integer("heat_shields", 0, 5)) : 0;
    path.shield_emissivity =
        r.optional_number("shield_emissivity", between(0.02, 1)).value_or(path.shield_emissivity);
    path.shield_keeps =
        r.optional_quantity("shield_keeps", Q::ratio, fraction).value_or(path.shield_keeps);
}

model::AirPath read_path(Reader& r, const std::vector<model::CoreEntry>& cores,
                         const std::vector<std::string>& fans) {
    model::AirPath path;
    path.name = r.name();
    path.place = r.place();
    using P = airflow::Place;
    const P place = r.kind<P>("place", {{"front", P::front},
                                        {"behind_radiator", P::behind_radiator},
                                        {"side_duct", P::side_duct},
                                        {"under_floor", P::under_floor},
                                        {"behind_rear_axle", P::behind_rear_axle},
                                        {"side_scoop", P::trunk_or_side_scoop}});
    path.assumptions = airflow::defaults(place);
    path.into_bay = r.boolean("into_bay", place == P::front || place == P::behind_radiator);
    read_assumptions(r, path.assumptions);
    const auto opening = [&](const char* area_key, const char* open_key,
                             std::vector<airflow::Loss>& losses) {
        const double area = r.quantity(area_key, Q::area, positive);
        const double open = r.quantity(open_key, Q::ratio, efficiency, {"60 %"});
        if (area > 0 && open > 0)
            losses.push_back({airflow::grille_coefficient(open), area * open});
    };
    opening("grille_area", "grille_open", path.inlet_losses);
    const double exit = r.quantity("exit_area", Q::area, positive);
    if (exit > 0)
        path.exit_losses.push_back({1.0 + 0.5, exit});  // turn into the bay and out, Idelchik
    path.leak_area = r.quantity("leak_area", Q::area, not_negative, {"0 m2", "well sealed"});
    path.bay_rise = r.optional_quantity("rise_to_exit", Q::length).value_or(0);
    path.brake_view_area =
        r.optional_quantity("brake_view_area", Q::area, not_negative).value_or(0);
    path.brake_air_share = r.optional_quantity("brake_air_share", Q::ratio, fraction).value_or(0);
    read_exhaust(r, exhaust_near(place), path);
    path.condenser_cover = r.optional_quantity("condenser_cover", Q::ratio, fraction).value_or(0);
    // A shroud is built onto the largest face: the radiator's, even where a cooler hides behind it.
    Box largest;
    for (Reader item : r.tables("stack"))
        if (const Box box = read_item(item, cores, path); box.area() > largest.area())
            largest = box;
    if (path.stack.empty()) r.error("stack", "at least one core");
    for (Reader shroud : r.tables("shrouds")) read_shroud(shroud, fans, largest, path);
    return path;
}

}  // namespace

std::string place_key(std::string_view name) {
    std::string key;
    for (const char c : name) {
        const bool word = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (word)
            key += c;
        else if (!key.empty() && key.back() != '_')
            key += '_';
    }
    return key;
}

std::vector<model::FanEntry> read_fans(Reader& root) {
    std::vector<model::FanEntry> out;
    for (Reader r : root.named("fans")) out.push_back(read_fan(r));
    return out;
}

std::vector<model::AirPath> read_air(Reader& root, const std::vector<model::CoreEntry>& cores,
                                     const std::vector<model::FanEntry>& fans) {
    std::vector<std::string> names;
    for (const model::FanEntry& f : fans) names.push_back(f.name);
    std::vector<model::AirPath> out;
    for (Reader r : root.named("air")) out.push_back(read_path(r, cores, names));
    return out;
}

}  // namespace lapheat::scenario
