// [vehicle] [gearbox] [converter] [clutch] [shift]: the car that is driven.
#include <cmath>

#include "lapheat/drive/tyre.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

constexpr drive::Vehicle usual_vehicle{};

constexpr Word driven_axles[] = {{"rear", drive::DrivenAxle::rear},
                                 {"front", drive::DrivenAxle::front},
                                 {"both", drive::DrivenAxle::both}};

constexpr Key vehicle_keys[] = {
    key::quantity("mass", Q::mass, between(200, 20000), "with driver, passengers and fuel")
        .usually(500, 4500),
    key::quantity("frontal_area", Q::area, between(0.5, 12),
                  "of the silhouette from ahead; about 0.8 times width times height")
        .usually(1.2, 4),
    key::number("drag_coefficient", between(0.1, 1.5), "on the frontal area"),
    key::number("rolling_resistance", between(0.004, 0.05),
                "force over load; rough asphalt and soft tyres have more")
        .otherwise(usual_vehicle.rolling, "road tyres on asphalt")
        .usually(0.007, 0.02),
    level_key("rolling_level", "on rolling_resistance"),
    key::quantity("tyre_pressure", Q::pressure, between(5e4, 8e5),
                  "of the front tyres; little pressure makes parking heavy")
        .otherwise("2.2 bar", "above ambient, front")
        .usually(1.4e5, 4e5),
    key::number("understeer", between(-0.02, 0.05),
                "how much more the wheel is turned as the car corners harder")
        .otherwise(usual_vehicle.understeer, "rad of road wheel for each m/s2 sideways"),
    key::quantity("trailer_drag_area", Q::area, not_negative, "drag coefficient times area")
        .otherwise("2 m2", "added while a trailer is on")
        .usually(0.5, 6),
    key::text("tyre",
              "its size as on the wall, \"225/50R16\": gives the rolling radius; its width is used "
              "for nothing else, grip and rolling resistance have keys of their own")
        .nothing("by tyre_radius"),
    key::quantity("tyre_radius", Q::length, between(0.15, 0.8), "rolling, axle to road")
        .only("without `tyre`")
        .usually(0.22, 0.5),
    key::quantity("wheelbase", Q::length, between(1, 8), "front axle to rear axle")
        .usually(1.8, 4.5),
    key::number("front_weight_share", between(0.2, 0.8), "of the weight at rest"),
    key::quantity("centre_height", Q::length, between(0.1, 2), "of the car over the road")
        .otherwise("0.52 m", "height of the centre of mass")
        .usually(0.35, 0.9),
    key::number("steering_ratio", between(5, 40), "steering wheel's angle over the road wheel's")
        .otherwise(usual_vehicle.steering_ratio)
        .usually(10, 26),
    key::quantity("steering_lock", Q::angle, between(2, 30), "of the steering wheel")
        .otherwise("540 degree", "wheel from straight to lock"),
    key::number("grip_long", between(0.2, 2.5), "friction coefficient, braking and driving")
        .otherwise(usual_vehicle.grip_long)
        .usually(0.5, 2),
    key::number("grip_lateral", between(0.2, 2.5), "friction coefficient, cornering")
        .otherwise(usual_vehicle.grip_lat)
        .usually(0.5, 2),
    key::quantity("accessory_power", Q::power, not_negative, "taken at the crank at all speeds")
        .otherwise("600 W", "alternator and water pump")
        .usually(100, 3000),
    key::choice("driven_axle", driven_axles, "which wheels the engine turns").otherwise("rear")};
constexpr Table vehicle_table{"vehicle", "[vehicle]",
                              "What the engine has to move: mass, drag, tyres, steering.",
                              vehicle_keys};

enum class GearboxKind { automatic, manual };
constexpr Word boxes[] = {{"automatic", GearboxKind::automatic, "with a torque converter"},
                          {"manual", GearboxKind::manual, "with a clutch"}};
constexpr Key gearbox_keys[] = {
    key::integer("gears", 2, 12, "how many go forward; a short description derives the ratios")
        .nothing("as many as ratios"),
    key::choice("kind", boxes, "what a short description derives the rest from")
        .optional("automatic with a table [converter]"),
    key::numbers("ratios", between(0.2, 20), "of the forward gears, first gear first"),
    key::number("efficiency", efficiency, "of every forward gear alike")
        .otherwise(0.965, "mesh of each gear")
        .usually(0.9, 0.99),
    key::number("final_drive", between(1, 8), "ratio of the axle"),
    key::number("reverse_ratio", positive, "of the reverse gear")
        .otherwise(usual_vehicle.gearbox.reverse_ratio)
        .usually(1.5, 4.5),
    key::number("final_drive_efficiency", efficiency, "of the axle; hypoid 0.95 to 0.97")
        .otherwise(usual_vehicle.gearbox.final_drive_efficiency)
        .usually(0.92, 0.99),
    key::quantity("spin_torque", Q::torque, not_negative, "lost at the input at any load")
        .otherwise("2 N m", "open clutches and bearings")
        .usually(0.3, 8),
    key::quantity("pump_torque", Q::torque, not_negative,
                  "taken at the crank by an automatic's pump")
        .otherwise("5 N m", "oil pump at line pressure")
        .usually(1, 20),
    key::quantity("cooler_flow", Q::volume_flow, positive, "what a loop's `cooler_feed` gives")
        .otherwise("7.8 L/min", "through the cooler circuit, warm and open"),
    key::quantity("cooler_idle_flow", Q::volume_flow, positive, "the same at idle")
        .otherwise("3 L/min", "at idle in gear"),
    key::quantity("cooler_pressure", Q::pressure, positive,
                  "the most that long or narrow lines can take")
        .otherwise("500 kPa", "at the cooler port when the line is blocked"),
    key::quantity("case_conductance", Q::thermal_conductance, not_negative,
                  "what the case sheds without a cooler")
        .otherwise("11 W/K", "case to air at rest"),
    level_key("cooler_flow_level", "on cooler_flow and cooler_idle_flow"),
    level_key("case_level", "on case_conductance"),
    level_key("housing_level", "on what leaves the converter by shafts and housing")};
constexpr Table gearbox_table{"gearbox", "[gearbox]",
                              "Gears, their losses, and what an automatic gives its cooler.",
                              gearbox_keys};

constexpr Column converter_columns[] = {
    {.name = "speed_ratio", .quantity = Q::ratio, .increasing = true, .help = "turbine over pump"},
    {.name = "torque_ratio", .quantity = Q::ratio, .range = positive, .help = "turbine over pump"},
    {.name = "pump_torque", .quantity = Q::torque, .help = "at `pump_speed`"}};
constexpr std::string_view without_table = "in a file without `table`";
constexpr Key converter_keys[] = {
    key::quantity("stall_speed", Q::angular_speed, positive,
                  "of the engine held by the brakes at `stall_torque`")
        .only(without_table),
    key::quantity("stall_torque", Q::torque, positive, "of the engine at that speed")
        .only(without_table),
    key::number("stall_torque_ratio", between(1.5, 3), "turbine over pump torque at stall")
        .otherwise(2.0)
        .only(without_table),
    key::number("coupling_point", between(0.7, 0.98), "speed ratio from which torques are equal")
        .otherwise(0.88)
        .only(without_table),
    key::columns("table", converter_columns, "the maker's curve, in place of the stall values")
        .optional("a generic curve"),
    level_key("capacity_level", "on the torque it takes at a speed"),
    key::quantity("pump_speed", Q::angular_speed, positive, "of the maker's test")
        .otherwise("2000 rev/min", "at which pump_torque was measured")
        .only("with `table`")};
constexpr Table converter_table{
    "converter", "[converter]",
    "The torque converter of an automatic. Without this table the car has a clutch.",
    converter_keys};

constexpr Key clutch_keys[] = {
    key::quantity("launch_speed", Q::angular_speed, positive, "while the clutch slips")
        .otherwise("1720 rev/min", "engine at a full-throttle launch")};
constexpr Table clutch_table{"clutch", "[clutch]",
                             "The clutch of a car without [converter]; its gearbox has no cooler.",
                             clutch_keys};

constexpr Key shift_keys[] = {
    key::quantity("light_load_speed", Q::angular_speed, positive, "shifts up above this at no load")
        .otherwise("1800 rev/min", "up-shift at no load, turbine speed"),
    key::quantity("full_load_speed", Q::angular_speed, positive,
                  "shifts up above this at full load")
        .otherwise("5200 rev/min", "up-shift at full load, turbine speed"),
    key::boolean("lockup", "whether the converter has a clutch that locks it")
        .otherwise(false, "no lock-up clutch"),
    key::integer("lockup_gear", 1, 12, "lowest gear that locks")
        .otherwise(usual_vehicle.shift.lockup_gear),
    key::quantity("lockup_speed", Q::angular_speed, positive, "locks above")
        .otherwise("1430 rev/min", "turbine speed above which it locks"),
    key::number("lockup_load", fraction, "opens above")
        .otherwise(usual_vehicle.shift.lockup_load, "share of peak power above which lock-up opens")
        .usually(0.1, 1),
    key::number("hysteresis", between(0.3, 0.98), "the smaller, the longer a gear is kept")
        .otherwise(usual_vehicle.shift.hysteresis, "down-shift over up-shift speed"),
    key::quantity("shift_time", Q::time, not_negative, "of a shift in timed laps")
        .otherwise("0.3 s", "without drive at a full-load shift")
        .usually(0.05, 1.5)};
constexpr Table shift_table{"shift", "[shift]", "When gears are changed and the converter locks.",
                            shift_keys};

constexpr Key vehicle_file_keys[] = {
    key::table("vehicle", &vehicle_table, "mass, drag, tyres, steering"),
    key::table("gearbox", &gearbox_table, "gears, and what feeds the cooler"),
    key::table("converter", &converter_table, "of an automatic").optional("a clutch"),
    key::table("clutch", &clutch_table, "of a car without a converter")
        .nothing("defaults")
        .only("in a file without [converter]"),
    key::table("shift", &shift_table, "when gears are changed").nothing("defaults")};

}  // namespace

constexpr Table vehicle_tables{"", "", "", vehicle_file_keys};

namespace {

drive::Gearbox read_gearbox(Reader& root) {
    Reader r = root.table(vehicle_tables["gearbox"]);
    drive::Gearbox box;
    box.ratio = r.numbers(gearbox_table["ratios"]);
    const Key &gears = gearbox_table["gears"], &kind = gearbox_table["kind"];
    if (!r.has(gears))
        r.ignore(gears);
    else if (r.integer(gears) != static_cast<std::int64_t>(box.ratio.size()) && !box.ratio.empty())
        r.error(gears, "as many as there are ratios");
    if (!r.has(kind))
        r.ignore(kind);
    else if ((r.choice<GearboxKind>(kind) == GearboxKind::automatic) !=
             root.has(vehicle_tables["converter"]))
        r.error(kind, "\"automatic\" with a table [converter], \"manual\" without");
    const double mesh = r.number(gearbox_table["efficiency"]);
    box.efficiency.assign(box.ratio.size(), mesh);
    box.final_drive = r.number(gearbox_table["final_drive"]);
    box.reverse_ratio = r.number(gearbox_table["reverse_ratio"]);
    box.final_drive_efficiency = r.number(gearbox_table["final_drive_efficiency"]);
    box.spin_torque = r.quantity(gearbox_table["spin_torque"]);
    box.pump_torque = r.quantity(gearbox_table["pump_torque"]);
    return box;
}

/// A maker's curve: the pump's torque measured at one speed; torque goes with its square.
drive::Converter converter_from_curve(Reader& c) {
    const Columns t = c.columns(converter_table["table"]);
    for (const Key* other : {&converter_table["stall_speed"], &converter_table["stall_torque"],
                             &converter_table["stall_torque_ratio"]})
        c.ignore(*other);
    const double speed = c.quantity(converter_table["pump_speed"]);
    std::vector<double> capacity_factor;
    for (const double torque : t["pump_torque"])
        capacity_factor.push_back(torque > 0 ? speed / std::sqrt(torque) : 0);
    return c
        .attempt([&] {
            return drive::converter_from_table(t["speed_ratio"], t["torque_ratio"],
                                               capacity_factor);
        })
        .value_or(drive::Converter{});
}

bool is_automatic(const Reader& root) { return root.has(vehicle_tables["converter"]); }

drive::Converter read_converter(Reader& root) {
    Reader c = root.table(vehicle_tables["converter"]);
    drive::Converter made;
    c.ignore(converter_table["table"]);
    if (c.has(converter_table["table"])) {
        made = converter_from_curve(c);
    } else {
        const double speed = c.quantity(converter_table["stall_speed"]);
        const double torque = c.quantity(converter_table["stall_torque"]);
        const double ratio = c.number(converter_table["stall_torque_ratio"]);
        const double coupling = c.number(converter_table["coupling_point"]);
        made = c.attempt([&] {
                    return drive::generic_converter(speed, torque, ratio, coupling);
                }).value_or(drive::Converter{});
    }
    read_assumed(c, converter_table["capacity_level"], made.capacity_level);
    return made;
}

void read_shift(Reader& root, drive::ShiftRule& shift) {
    Reader s = root.table(vehicle_tables["shift"]);
    shift.light_speed = s.quantity(shift_table["light_load_speed"]);
    shift.full_speed = s.quantity(shift_table["full_load_speed"]);
    shift.lockup = s.boolean(shift_table["lockup"]);
    shift.lockup_gear = static_cast<int>(s.integer(shift_table["lockup_gear"]));
    shift.lockup_speed = s.quantity(shift_table["lockup_speed"]);
    shift.lockup_load = s.number(shift_table["lockup_load"]);
    shift.hysteresis = s.number(shift_table["hysteresis"]);
    shift.shift_time = s.quantity(shift_table["shift_time"]);
}

/// The size on the wall, or the rolling radius.
void read_tyre(Reader& r, drive::Vehicle& v) {
    if (!r.has(vehicle_table["tyre"])) {
        v.tyre_radius = r.quantity(vehicle_table["tyre_radius"]);
        r.ignore(vehicle_table["tyre"]);
        return;
    }
    const std::string text = r.text(vehicle_table["tyre"]);
    if (const auto size = r.attempt([&] { return drive::tyre_size(text); }))
        v.tyre_radius = size->rolling_radius();
    r.ignore(vehicle_table["tyre_radius"]);  // of a file that this one extends
}

}  // namespace

drive::Vehicle read_vehicle(Reader& root) {
    drive::Vehicle v;
    Reader r = root.table(vehicle_tables["vehicle"]);
    v.mass = r.quantity(vehicle_table["mass"]);
    v.frontal_area = r.quantity(vehicle_table["frontal_area"]);
    v.drag_coefficient = r.number(vehicle_table["drag_coefficient"]);
    v.rolling = r.number(vehicle_table["rolling_resistance"]);
    read_assumed(r, vehicle_table["rolling_level"], v.rolling_level);
    v.tyre_pressure = r.quantity(vehicle_table["tyre_pressure"]);
    v.understeer = r.number(vehicle_table["understeer"]);
    v.trailer_drag_area = r.quantity(vehicle_table["trailer_drag_area"]);
    read_tyre(r, v);
    v.wheelbase = r.quantity(vehicle_table["wheelbase"]);
    v.front_share = r.number(vehicle_table["front_weight_share"]);
    v.centre_height = r.quantity(vehicle_table["centre_height"]);
    v.steering_ratio = r.number(vehicle_table["steering_ratio"]);
    v.steering_lock = r.quantity(vehicle_table["steering_lock"]);
    v.grip_long = r.number(vehicle_table["grip_long"]);
    v.grip_lat = r.number(vehicle_table["grip_lateral"]);
    v.accessory_power = r.quantity(vehicle_table["accessory_power"]);
    v.driven = r.choice<drive::DrivenAxle>(vehicle_table["driven_axle"]);
    v.engine = read_engine(root);
    v.gearbox = read_gearbox(root);
    if (is_automatic(root)) {
        v.converter = read_converter(root);
    } else {
        v.coupling = drive::Coupling::clutch;
        Reader c = root.table(vehicle_tables["clutch"]);
        v.clutch.launch_speed = c.quantity(clutch_table["launch_speed"]);
        v.gearbox.pump_torque = v.gearbox.pump_torque_slope = 0;  // splash, no oil pump
    }
    read_shift(root, v.shift);
    return v;
}

heat::TransmissionModel read_transmission(Reader& root, const drive::Vehicle& vehicle) {
    heat::TransmissionModel t;
    Reader r = root.table(vehicle_tables["gearbox"]);
    t.automatic = is_automatic(root);
    t.cooler_flow = r.quantity(gearbox_table["cooler_flow"]);
    t.cooler_idle_flow = r.quantity(gearbox_table["cooler_idle_flow"]);
    t.cooler_pressure = r.quantity(gearbox_table["cooler_pressure"]);
    t.case_conductance = r.quantity(gearbox_table["case_conductance"]);
    t.idle_speed = vehicle.engine.idle_speed;
    read_assumed(r, gearbox_table["cooler_flow_level"], t.cooler_flow_level);
    read_assumed(r, gearbox_table["case_level"], t.case_level);
    read_assumed(r, gearbox_table["housing_level"], t.housing_level);
    return t;
}

}  // namespace lapheat::scenario
