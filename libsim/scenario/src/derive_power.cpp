// The derived car: engine, gearbox, vehicle, and the loops that do not depend on the cooler.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "derive_build.hpp"
#include "lapheat/units/constants.hpp"

namespace lapheat::scenario {

namespace {
constexpr double rpm = std::numbers::pi / 30, litre = 1e-3, per_minute = 1e-3 / 60;
constexpr double redline_over_power_speed = 1.1;
using constants::inch;
}  // namespace

double power_speed(const Short& s) {
    if (s.power_speed > 0) return s.power_speed;
    const double cylinder = s.displacement / s.cylinders;
    const double stroke = std::cbrt(4 * cylinder / std::numbers::pi);
    const double speed = (s.classic ? 14.5 : 18.0) / (2 * stroke) * 2 * std::numbers::pi;
    return s.redline > 0 ? std::min(speed, s.redline / redline_over_power_speed) : speed;
}

double peak_torque(const Short& s) { return 1.17 * s.power / power_speed(s); }

Item derived_engine(const Short& s) {
    const double speed = power_speed(s);
    Item e(s.engine_at);
    e.quantity("peak_power_speed", Q::angular_speed, speed, "peak power speed")
        .quantity("peak_torque", Q::torque, peak_torque(s), "peak torque")
        .quantity("peak_torque_speed", Q::angular_speed, 0.72 * speed, "peak torque speed")
        .quantity("redline", Q::angular_speed, redline_over_power_speed * speed, "redline")
        .quantity("idle_speed", Q::angular_speed, 750 * rpm, "idle speed");
    return e;
}

Item derived_vehicle(const Short& s) {
    Item v(s.vehicle_at);
    v.quantity("frontal_area", Q::area, 1.6 + 0.00056 * (s.mass - 765), "frontal area")
        .number("drag_coefficient", 0.42, "drag coefficient")
        .number("front_weight_share", 0.55, "front weight");
    return v;
}

namespace {

/// What gearboxes of that many gears have; between those listed, even steps.
std::vector<double> usual_ratios(int gears, bool automatic) {
    if (automatic && gears == 2) return {1.82, 1.0};
    if (automatic && gears == 3) return {2.48, 1.48, 1.0};
    if (automatic && gears == 4) return {2.85, 1.6, 1.0, 0.71};
    if (automatic && gears == 5) return {3.4, 2.1, 1.45, 1.0, 0.75};
    if (automatic && gears == 6) return {4.1, 2.35, 1.53, 1.15, 0.86, 0.68};
    if (automatic && gears == 8) return {4.65, 3.0, 2.1, 1.67, 1.29, 1.0, 0.84, 0.67};
    if (automatic && gears == 10) return {4.7, 3.0, 2.15, 1.77, 1.52, 1.28, 1.0, 0.85, 0.69, 0.64};
    if (gears == 3) return {2.7, 1.6, 1.0};
    if (gears == 4) return {2.6, 1.85, 1.35, 1.0};
    if (gears == 5) return {3.2, 1.95, 1.34, 1.0, 0.74};
    if (gears == 6) return {2.9, 1.95, 1.4, 1.07, 0.8, 0.6};
    const double first = automatic ? 4.5 : 3.0, last = 0.68;
    std::vector<double> out;
    for (int i = 0; i < gears; ++i)
        out.push_back(first * std::pow(last / first, static_cast<double>(i) / (gears - 1)));
    return out;
}

}  // namespace

void derive_gearbox(const Short& s, Item& root) {
    const std::vector<double> ratios = usual_ratios(s.gears, s.automatic);
    const double top = ratios.back();
    const double wheel = (100 / 3.6) / s.tyre_radius;
    Item g(s.gearbox_at);
    g.numbers("ratios", ratios, "gear ratios")
        .number("final_drive", (top < 0.9 ? 2050 : 2600) * rpm / (wheel * top), "final drive");
    if (s.automatic)
        g.quantity("cooler_flow", Q::volume_flow, 7.8 * per_minute, "cooler flow")
            .quantity("cooler_idle_flow", Q::volume_flow, 3.35 * per_minute, "cooler flow at idle")
            .quantity("cooler_pressure", Q::pressure, 450e3, "cooler pressure");
    root.table("gearbox", std::move(g));
    Item shift(s.gearbox_at);
    shift.quantity("full_load_speed", Q::angular_speed, 0.93 * power_speed(s), "full-load shift");
    if (s.automatic) {
        const double torque = 0.8 * peak_torque(s);
        Item c(s.gearbox_at);
        c.quantity("stall_torque", Q::torque, torque, "stall torque")
            .quantity("stall_speed", Q::angular_speed, 112 * std::sqrt(torque) * rpm, "stall speed")
            .number("stall_torque_ratio", 1.95, "stall torque ratio");
        root.table("converter", std::move(c));
        shift.flag("lockup", s.gears >= 4).whole("lockup_gear", s.gears <= 3 ? 3 : s.gears / 2 + 1);
    }
    root.table("shift", std::move(shift));
    Item steering(s.vehicle_at);
    steering.quantity("controlled_flow", Q::volume_flow, 8.4 * per_minute, "steering flow")
        .quantity("relief_pressure", Q::pressure, 85e5, "steering relief")
        .quantity("pump_displacement", Q::displacement, 9.6e-6 / (2 * std::numbers::pi),
                  "steering pump")
        .number("pump_speed_ratio", 1.2, "steering pulley");
    root.table("steering", std::move(steering));
}

namespace {

Item part(const FilePlace& at, const char* kind, const char* name) {
    Item p(at);
    p.text("kind", kind).text("name", name);
    return p;
}

Item run(const FilePlace& at, const char* from, const char* to, std::vector<Item> parts) {
    Item r(at);
    r.text("from", from).text("to", to).list("parts", std::move(parts));
    return r;
}

Item hose(const FilePlace& at, const char* name, double bore, double length, int bends) {
    Item h = part(at, "hose", name);
    h.quantity("inner_diameter", Q::length, bore, "radiator hoses")
        .quantity("length", Q::length, length, "radiator hose length")
        .whole("bends", bends);
    return h;
}

}  // namespace

Item derived_coolant(const Short& s) {
    const FilePlace& at = s.engine_at;
    const heat::EngineLumps l = derived_lumps(s);
    const double free = 1.55 * per_minute * s.power / 1e3, litres = s.displacement / litre;
    Item pump = part(at, "pump", "water pump");
    pump.text("reference_speed", "4000 rev/min")
        .number("speed_ratio", 1.1, "water pump pulley")
        .quantity("shut_off_pressure", Q::pressure, 180e3, "water pump pressure")
        .quantity("free_flow", Q::volume_flow, free, "water pump flow");
    Item passages = part(at, "restriction", "jacket passages");
    passages.text("flow", units::format(0.36 * free, Q::volume_flow, units::System::si))
        .quantity("pressure_loss", Q::pressure, 25e3, "jacket passages");
    Item jacket = part(at, "volume", "jacket");
    jacket.quantity("volume", Q::volume, l.jacket_volume, "jacket volume")
        .texts("heat", {"engine_coolant"})
        .quantity("wall_heat_capacity", Q::heat_capacity, l.jacket_metal, "jacket metal")
        .quantity("wall_conductance", Q::thermal_conductance, l.wall_conductance, "jacket wall")
        .text("wall_flow", units::format(l.wall_flow, Q::mass_flow, units::System::si))
        .quantity("still_conductance", Q::thermal_conductance, l.still_conductance, "jacket wall")
        .quantity("ambient_conductance", Q::thermal_conductance, 0.5 * l.surface_conductance,
                  "jacket surface")
        .number("ambient_speed_gain", 0.5 * l.surface_conductance_slope, "jacket surface");
    const double upper = (litres >= 4 ? 1.5 : 1.25) * inch,
                 lower = (litres >= 4 ? 1.75 : 1.5) * inch;
    Item thermostat = part(at, "thermostat", "thermostat");
    thermostat.quantity("opens", Q::temperature, 355.15, "thermostat")
        .quantity("full", Q::temperature, 367.15, "thermostat")
        .quantity("bore", Q::length, 0.84 * upper, "thermostat bore")
        .text("bleed", "3 mm")
        .text("sensor", "jacket");
    Item core = part(at, "core", "radiator");
    core.text("core", "radiator");
    Item passage = part(at, "restriction", "bypass passage");
    passage.text("flow", units::format(0.095 * free, Q::volume_flow, units::System::si))
        .quantity("pressure_loss", Q::pressure, 60e3, "bypass passage");
    std::vector<Item> to_radiator = {std::move(thermostat),
                                     hose(at, "upper hose", upper, 0.16 * s.wheelbase, 2),
                                     std::move(core)};
    if (s.place == Short::Place::tank && s.automatic) {
        Item tank = part(at, "core", "outlet tank");
        tank.text("core", "tank_cooler").flag("second_side", true);
        to_radiator.push_back(std::move(tank));
    }
    to_radiator.push_back(hose(at, "lower hose", lower, 0.2 * s.wheelbase, 2));
    Item runs(at);
    runs.table("engine", run(at, "pump_inlet", "engine_outlet",
                             {std::move(pump), std::move(passages), std::move(jacket)}))
        .table("radiator", run(at, "engine_outlet", "pump_inlet", std::move(to_radiator)))
        .table("bypass", run(at, "engine_outlet", "pump_inlet",
                             {std::move(passage), hose(at, "bypass", 0.5 * upper, 0.3, 2)}));
    Item loop(at);
    loop.text("fluid", "coolant")
        .quantity("cap_pressure", Q::pressure, 110.3e3, "cap")
        .quantity("expansion_volume", Q::volume, 0.2 * s.displacement, "expansion")
        .table("runs", std::move(runs));
    return loop;
}

Item derived_oil(const Short& s) {
    const FilePlace& at = s.engine_at;
    const heat::EngineLumps l = derived_lumps(s);
    const double litres = s.displacement / litre;
    Item pump = part(at, "displacement_pump", "oil pump");
    pump.quantity("displacement", Q::displacement, 2.3e-6 * litres / (2 * std::numbers::pi),
                  "oil pump")
        .text("relief_pressure", "450 kPa");
    pump.plain("speed_ratio", 0.5);
    Item passages = part(at, "restriction", "bearings");
    passages.text("flow", units::format(5 * per_minute * litres, Q::volume_flow, units::System::si))
        .quantity("pressure_loss", Q::pressure, 350e3, "oil passages");
    passages.plain("laminar_share", 0.7);
    Item pan = part(at, "volume", "pan");
    pan.quantity("volume", Q::volume, l.oil_volume, "oil volume")
        .texts("heat", {"engine_oil"})
        .quantity("metal_heat_capacity", Q::heat_capacity, l.oil_metal, "oil metal")
        .quantity("ambient_conductance", Q::thermal_conductance, 8, "oil pan surface")
        .number("ambient_speed_gain", 2.5, "oil pan surface")
        .text("surroundings", "under_floor");
    Item runs(at);
    runs.table("circuit",
               run(at, "pan", "pan", {std::move(pump), std::move(passages), std::move(pan)}));
    Item loop(at);
    loop.text("fluid", "oil").table("runs", std::move(runs));
    return loop;
}

}  // namespace lapheat::scenario
