// [fans]: what moves air.
#include <cmath>
#include <numbers>

#include "read_parts.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using D = airflow::DriveKind;

constexpr airflow::FanDrive usual_drive{};

constexpr Column curve_columns[] = {
    {.name = "flow", .quantity = Q::air_flow, .range = not_negative, .increasing = true},
    {.name = "pressure", .quantity = Q::air_pressure, .range = not_negative},
    {.name = "power", .quantity = Q::power, .range = not_negative, .required = false}};

constexpr Word drives[] = {
    {"on_off", D::on_off, "electric, full speed or none"},
    {"two_stage", D::two_stage, "electric, two windings"},
    {"two_stage_resistor", D::two_stage_resistor, "electric, the first stage by a resistor"},
    {"pulse_width", D::pulse_width, "electric, any speed by a controller"},
    {"viscous_clutch", D::viscous_clutch, "from the engine, by a clutch that feels warm air"},
    {"belt", D::belt, "from the engine, always"}};

constexpr Key switch_keys[] = {
    key::text("loop", "whose fluid it feels"),
    key::text("part", "of the loop, where it sits"),
    key::quantity("on", Q::temperature, between(250, 450), "switches on above").usually(325, 400),
    key::quantity("off", Q::temperature, between(250, 450), "switches off below; under `on`"),
    key::quantity("lag", Q::time, positive, "time constant")
        .otherwise("6 s", "of the sensor")
        .usually(1, 30),
    key::number("command", fraction, "1 full speed; less is the first stage or a duty")
        .otherwise(1.0),
    shift_key("on and off"),
    key::quantity("full", Q::temperature, between(250, 450),
                  "command rises from `on` to 1 here; above `on`")
        .nothing("no rise")};
constexpr Table switch_table{"switches", "[[fans.NAME.switches]]",
                             "A switch or sensor that runs the fan. Several may.", switch_keys};

constexpr std::string_view electric = "to an electric drive", driven = "to a drive by the engine",
                           viscous = "to drive = \"viscous_clutch\"";
constexpr Key fan_keys[] = {
    key::columns("curve", curve_columns, "measured, in place of its two ends")
        .nothing("from free_flow and shut_off_pressure"),
    key::quantity("free_flow", Q::air_flow, Range{.low = 0, .high = 20, .low_allowed = false},
                  "against no pressure")
        .only("in a fan without `curve`")
        .usually(0.03, 2.5),
    key::quantity("shut_off_pressure", Q::air_pressure, positive, "at no flow")
        .only("in a fan without `curve`")
        .usually(30, 700),
    key::number("curve_shape", fraction, "between the two ends")
        .otherwise(0,
                   "a straight line, 1 a parabola; against six measured fans the line passes as "
                   "much air on the mean, by estimate 12 % too much at worst and 8 % too little "
                   "at best")
        .only("in a fan without `curve`"),
    level_key("flow_level", "on the flows of its curve"),
    key::quantity("diameter", Q::length, between(0.03, 1.5), "of the blades").usually(0.08, 0.7),
    key::choice("drive", drives, "what turns it").otherwise("on_off"),
    key::quantity("current", Q::electric_current, positive, "at full speed in dense air")
        .only(electric)
        .usually(1, 70),
    key::quantity("voltage", Q::voltage, positive, "at the motor for full speed")
        .otherwise("13 V")
        .only(electric)
        .usually(11, 15),
    key::quantity("wiring_resistance", Q::resistance, not_negative, "thin or long wire costs speed")
        .otherwise("0.02 ohm", "there and back, with relay")
        .only(electric)
        .usually(0.002, 0.15),
    key::quantity("spin_up", Q::time, positive, "time constant")
        .otherwise("1 s", "a soft start takes 2 to 5 s")
        .only(electric)
        .usually(0.1, 8),
    key::quantity("run_down", Q::time, positive, "time constant")
        .usual(usual_drive.run_down)
        .only(electric)
        .usually(0.2, 10),
    key::number("back_emf_share", between(0.3, 0.98), "of the voltage, by speed; 0.6 to 0.9")
        .usual(usual_drive.back_emf)
        .only(electric)
        .usually(0.5, 0.95),
    key::number("low_stage", between(0.1, 1), "over full speed")
        .otherwise(usual_drive.low_stage, "speed of the first stage")
        .only("to a drive of two stages"),
    key::quantity("controller_efficiency", Q::ratio, efficiency, "0.9 to 0.98")
        .usual(usual_drive.controller_efficiency)
        .only("to drive = \"pulse_width\""),
    key::quantity("wire_length", Q::length, between(0.1, 15), "for the advice on wire and fuse")
        .otherwise("4 m", "one way from the battery, for the wire's size")
        .only(electric),
    key::number("pulley_ratio", between(0.3, 3), "fan hub over engine speed")
        .otherwise(usual_drive.pulley_ratio)
        .only(driven),
    key::quantity("full_speed", Q::angular_speed, positive, "at which the curve was measured")
        .otherwise("2200 rev/min", "of the fan, where its curve holds")
        .only(driven),
    key::number("engaged_slip_ratio", between(0.3, 1), "fan over hub speed, clutch closed")
        .usual(usual_drive.engaged)
        .only(viscous),
    key::number("idling_slip_ratio", between(0, 0.9), "fan over hub speed, clutch open")
        .usual(usual_drive.idling)
        .only(viscous),
    key::quantity("clutch_begins", Q::temperature, between(290, 400), "begins to close")
        .otherwise("65 degC", "air behind the radiator; common practice 55 to 75 degC")
        .only(viscous),
    key::quantity("clutch_closed", Q::temperature, between(290, 420), "closed; above clutch_begins")
        .otherwise("80 degC", "common practice 70 to 90 degC")
        .only(viscous),
    key::number("locked_loss", positive, "of still blades, on the dynamic pressure in the disc")
        .usual([] { return airflow::Fan{}.locked_loss; })
        .usually(3, 12),
    key::number("freewheel_loss", positive, "of blades that the wind turns")
        .usual([] { return airflow::Fan{}.freewheel_loss; })
        .usually(1, 5),
    key::quantity("windmill_velocity", Q::speed, positive, "air in the disc that turns them")
        .usual([] { return airflow::Fan{}.windmill_velocity; })
        .usually(2, 8),
    key::tables("switches", &switch_table, "what switches it on"),
    key::boolean("with_air_conditioning", "runs while the compressor does").otherwise(false),
    key::boolean("after_run", "runs on when the engine is off")
        .otherwise(false, "stops with the ignition"),
    key::boolean("dead", "never runs; a fault that begins on the way is in [[faults]]")
        .otherwise(false)};
constexpr Table fan_table{"fans", "[fans.NAME]",
                          "A fan: its curve, its drive, and what switches it on.", fan_keys};

constexpr Key fan_file_keys[] = {key::named("fans", &fan_table, "what moves air")};

airflow::FanCurve read_curve(Reader& r) {
    if (r.has(fan_table["curve"])) {
        const Columns c = r.columns(fan_table["curve"]);
        const std::vector<double> power = c.has("power") ? c["power"] : std::vector<double>{};
        return r.attempt([&] { return airflow::fan_curve(c["flow"], c["pressure"], power); })
            .value_or(airflow::FanCurve{});
    }
    const double flow = r.quantity(fan_table["free_flow"]);
    const double pressure = r.quantity(fan_table["shut_off_pressure"]);
    // What is known of the line: airflow::line_flow_level.
    const double shape = r.number(fan_table["curve_shape"]);
    return r.attempt([&] { return airflow::fan_curve(flow, pressure, shape); })
        .value_or(airflow::FanCurve{});
}

void read_electric(Reader& r, model::FanEntry& out) {
    airflow::FanDrive& d = out.drive;
    d.rated_current = r.quantity(fan_table["current"]);
    d.rated_voltage = r.quantity(fan_table["voltage"]);
    out.fan.rated_power = d.rated_current * d.rated_voltage;
    d.wiring_resistance = r.quantity(fan_table["wiring_resistance"]);
    d.spin_up = r.quantity(fan_table["spin_up"]);
    d.run_down = r.quantity(fan_table["run_down"]);
    d.back_emf = r.number(fan_table["back_emf_share"]);
    if (d.kind == D::two_stage || d.kind == D::two_stage_resistor)
        d.low_stage = r.number(fan_table["low_stage"]);
    if (d.kind == D::pulse_width)
        d.controller_efficiency = r.quantity(fan_table["controller_efficiency"]);
    out.wire_length = r.quantity(fan_table["wire_length"]);
}

void read_engine_driven(Reader& r, model::FanEntry& out) {
    airflow::FanDrive& d = out.drive;
    out.fan.rated_power = 0;
    d.pulley_ratio = r.number(fan_table["pulley_ratio"]);
    d.full_speed = r.quantity(fan_table["full_speed"]);
    if (d.kind != D::viscous_clutch) return;
    d.engaged = r.number(fan_table["engaged_slip_ratio"]);
    d.idling = r.number(fan_table["idling_slip_ratio"]);
    d.clutch_begins = r.quantity(fan_table["clutch_begins"]);
    d.clutch_closed = r.quantity(fan_table["clutch_closed"]);
    if (r.sound() && !(d.clutch_closed > d.clutch_begins))
        r.error(fan_table["clutch_closed"], "above the temperature at which it begins to close");
}

model::FanSwitch read_switch(Reader& s) {
    model::FanSwitch one;
    one.loop = s.text(switch_table["loop"]);
    one.part = s.text(switch_table["part"]);
    one.on = s.quantity(switch_table["on"]);
    one.off = s.quantity(switch_table["off"]);
    if (s.sound() && !(one.on > one.off))
        s.error(switch_table["off"], "below the temperature at which it switches on");
    one.lag = s.quantity(switch_table["lag"]);
    one.command = s.number(switch_table["command"]);
    read_assumed(s, switch_table["shift"], one.shift);
    one.full = s.optional_quantity(switch_table["full"]).value_or(0);
    if (s.sound() && one.full != 0 && !(one.full > one.on))
        s.error(switch_table["full"], "above the temperature at which it switches on");
    return one;
}

/// Air through the ring of the blades at free flow: car fans reach 8 to 12 m/s, the strongest some
/// 14 (common practice, no source).
void warn_of_claim(Reader& r, const airflow::Fan& fan) {
    constexpr double fastest = 14;
    const Key& claim = fan_table["free_flow"];
    if (!r.sound() || !r.has(claim) || !(fan.disc_area > 0)) return;
    const double most = fastest * fan.disc_area;
    if (r.quantity(claim) > most)
        r.warn(claim,
               "at most some " + units::format(most, Q::air_flow, units::System::si, 2) + " (" +
                   as_text(std::round(most / 4.719474e-4 / 10) * 10) +
                   " ft3/min) from blades of that diameter",
               "sellers claim more than fans give; a curve, or what a test found");
}

model::FanEntry read_fan(Reader& r) {
    model::FanEntry out;
    out.name = r.name();
    out.place = r.place();
    out.fan.curve = read_curve(r);
    out.fan.flow_level =
        r.has(fan_table["curve"]) ? airflow::curve_flow_level : airflow::line_flow_level;
    read_assumed(r, fan_table["flow_level"], out.fan.flow_level);
    const double diameter = r.quantity(fan_table["diameter"]);
    out.fan.disc_area = std::numbers::pi / 4 * diameter * diameter * 0.85;  // less the hub
    warn_of_claim(r, out.fan);
    out.drive.kind = r.choice<D>(fan_table["drive"]);
    if (out.drive.kind == D::viscous_clutch || out.drive.kind == D::belt)
        read_engine_driven(r, out);
    else
        read_electric(r, out);
    out.fan.locked_loss = r.number(fan_table["locked_loss"]);
    out.fan.freewheel_loss = r.number(fan_table["freewheel_loss"]);
    out.fan.windmill_velocity = r.quantity(fan_table["windmill_velocity"]);
    for (Reader s : r.tables(fan_table["switches"])) out.switches.push_back(read_switch(s));
    out.with_air_conditioning = r.boolean(fan_table["with_air_conditioning"]);
    out.after_run = r.boolean(fan_table["after_run"]);
    out.dead = r.boolean(fan_table["dead"]);
    return out;
}

}  // namespace

constexpr Table fan_tables{"", "", "", fan_file_keys};

std::vector<model::FanEntry> read_fans(Reader& root) {
    std::vector<model::FanEntry> out;
    for (Reader r : root.named(fan_tables["fans"])) out.push_back(read_fan(r));
    return out;
}

}  // namespace lapheat::scenario
