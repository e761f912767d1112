// [fans] and [air]: what moves air, and the way the air takes through each place.
#include <algorithm>
#include <numbers>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

airflow::FanCurve read_curve(Reader& r) {
    if (r.has("curve")) {
        const Columns c = r.columns(
            "curve", {{.name = "flow",
                       .quantity = Q::volume_flow,
                       .range = not_negative,
                       .increasing = true},
                      {.name = "pressure", .quantity = Q::pressure, .range = not_negative}});
        return r.attempt([&] { return airflow::fan_curve(c["flow"], c["pressure"]); })
            .value_or(airflow::FanCurve{});
    }
    const double flow = r.quantity("free_flow", Q::volume_flow, positive);
    const double pressure = r.quantity("shut_off_pressure", Q::pressure, positive);
    const double shape = r.number("curve_shape", fraction, 0.5, "0 straight line, 1 parabola");
    return r.attempt([&] { return airflow::fan_curve(flow, pressure, shape); })
        .value_or(airflow::FanCurve{});
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
    if (out.drive.kind != D::viscous_clutch && out.drive.kind != D::belt) {
        out.drive.rated_current = r.quantity("current", Q::electric_current, positive);
        out.drive.rated_voltage = r.quantity("voltage", Q::voltage, positive, {"13 V"});
        out.fan.rated_power = out.drive.rated_current * out.drive.rated_voltage;
        out.drive.wiring_resistance = r.quantity("wiring_resistance", Q::resistance, not_negative,
                                                 {"0.02 ohm", "there and back, with relay"});
        out.drive.spin_up = r.quantity("spin_up", Q::time, positive, {"1 s"});
    } else {
        out.fan.rated_power = 0;
        out.drive.pulley_ratio = r.number("pulley_ratio", between(0.3, 3), out.drive.pulley_ratio);
    }
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
        out.switches.push_back(one);
    }
    out.after_run = r.boolean("after_run", false, "stops with the ignition");
    out.dead = r.boolean("dead", false);
    return out;
}

struct Box {
    double x = 0, y = 0, width = 0, height = 0;
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

void read_shroud(Reader& r, const std::vector<std::string>& fans, const Box& behind,
                 model::AirPath& path) {
    model::Shroud out;
    out.fans = r.references("fans", fans);
    out.pusher = r.boolean("pusher", false);
    out.bare = r.boolean("bare", false);
    out.distance = r.optional_quantity("distance", Q::length, positive).value_or(out.distance);
    out.gap_area = r.optional_quantity("gap_area", Q::area, not_negative).value_or(0);
    out.flap_area = r.optional_quantity("flap_area", Q::area, not_negative).value_or(0);
    const double cover = r.quantity("cover", Q::ratio, {.low = 0.02, .high = 1.0},
                                    {"100 %", "of the last core's width"});
    const double offset = r.optional_quantity("offset_x", Q::length).value_or(0);
    out.width = behind.width * cover;
    out.height = behind.height;
    out.x = behind.x + (behind.width - out.width) / 2 + offset;
    out.y = behind.y;
    path.shrouds.push_back(std::move(out));
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
    Reader a = r.table_or_empty("assumptions");
    for (const airflow::NamedAssumption& n : airflow::assumptions(path.assumptions))
        if (auto value = a.optional_quantity(n.name, Q::ratio)) n.number->value = *value;
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
    path.exhaust_view_area =
        r.optional_quantity("exhaust_view_area", Q::area, not_negative).value_or(0);
    path.heat_shields =
        r.has("heat_shields") ? static_cast<int>(r.integer("heat_shields", 0, 5)) : 0;
    Box last;
    for (Reader item : r.tables("stack")) last = read_item(item, cores, path);
    if (path.stack.empty()) r.error("stack", "at least one core");
    for (Reader shroud : r.tables("shrouds")) read_shroud(shroud, fans, last, path);
    return path;
}

}  // namespace

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
