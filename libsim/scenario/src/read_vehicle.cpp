// [vehicle] [engine] [gearbox] [converter] [shift]: the car that is driven.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/drive/tyre.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

drive::Engine read_engine(Reader& root) {
    Reader r = root.table("engine");
    drive::Engine engine;
    const double displacement = r.quantity("displacement", Q::volume, between(1e-4, 0.02));
    const double redline = r.quantity("redline", Q::angular_speed, positive);
    const double idle = r.quantity("idle_speed", Q::angular_speed, between(30, 200));
    if (r.has("full_load")) {
        const Columns curve =
            r.columns("full_load", {{.name = "engine_speed",
                                     .quantity = Q::angular_speed,
                                     .range = positive,
                                     .increasing = true},
                                    {.name = "torque", .quantity = Q::torque, .range = positive}});
        // A file that extends another cannot take its peaks away.
        for (const char* peak :
             {"peak_torque", "peak_torque_speed", "peak_power", "peak_power_speed"})
            r.ignore(peak);
        engine.speed = curve["engine_speed"];
        engine.full_torque = curve["torque"];
        engine.redline = redline;
        engine.idle_speed = idle;
        engine.displacement = displacement;
    } else {
        const double torque = r.quantity("peak_torque", Q::torque, positive);
        const double torque_speed = r.quantity("peak_torque_speed", Q::angular_speed, positive);
        const double power = r.quantity("peak_power", Q::power, positive);
        const double power_speed = r.quantity("peak_power_speed", Q::angular_speed, positive);
        if (auto made = r.attempt([&] {
                return drive::engine_from_peaks(torque, torque_speed, power, power_speed, redline,
                                                idle, displacement);
            }))
            engine = *made;
    }
    engine.boosted = r.boolean("boosted", false, "breathes by itself");
    engine.inertia = r.number("inertia", positive, 0.25, "kg m2, crank and flexplate");
    return engine;
}

drive::Gearbox read_gearbox(Reader& root) {
    Reader r = root.table("gearbox");
    drive::Gearbox box;
    box.ratio = r.numbers("ratios", positive);
    const double mesh = r.number("efficiency", scenario::efficiency, 0.965, "mesh of each gear");
    box.efficiency.assign(box.ratio.size(), mesh);
    box.final_drive = r.number("final_drive", between(1, 8));
    box.reverse_ratio = r.number("reverse_ratio", positive, box.reverse_ratio);
    box.final_drive_efficiency =
        r.number("final_drive_efficiency", efficiency, box.final_drive_efficiency);
    box.spin_torque =
        r.quantity("spin_torque", Q::torque, not_negative, {"2 N m", "open clutches and bearings"});
    box.pump_torque =
        r.quantity("pump_torque", Q::torque, not_negative, {"5 N m", "oil pump at line pressure"});
    return box;
}

drive::Converter read_converter(Reader& root) {
    Reader c = root.table("converter");
    if (c.has("table")) {
        // A maker's curve: the pump's torque measured at one speed; torque goes with its square.
        const Columns t =
            c.columns("table", {{.name = "speed_ratio", .quantity = Q::ratio, .increasing = true},
                                {.name = "torque_ratio", .quantity = Q::ratio, .range = positive},
                                {.name = "pump_torque", .quantity = Q::torque}});
        for (const char* other : {"stall_speed", "stall_torque", "stall_torque_ratio"})
            c.ignore(other);
        const double speed = c.quantity("pump_speed", Q::angular_speed, positive,
                                        {"2000 rev/min", "at which pump_torque was measured"});
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
    const double speed = c.quantity("stall_speed", Q::angular_speed, positive);
    const double torque = c.quantity("stall_torque", Q::torque, positive);
    const double ratio = c.number("stall_torque_ratio", between(1.5, 3), 2.0);
    const double coupling = c.number("coupling_point", between(0.7, 0.98), 0.88);
    return c.attempt([&] { return drive::generic_converter(speed, torque, ratio, coupling); })
        .value_or(drive::Converter{});
}

/// A user's own measurements over engine speed and torque: rows of a full grid in any order.
void read_heat_map(Reader& r, heat::EngineModel& engine) {
    if (!r.has("heat_map")) return;
    const Columns t = r.columns(
        "heat_map",
        {{.name = "engine_speed", .quantity = Q::angular_speed, .range = positive},
         {.name = "torque", .quantity = Q::torque},
         {.name = "fuel", .quantity = Q::mass_flow, .range = positive, .required = false},
         {.name = "coolant_heat", .quantity = Q::power, .range = not_negative, .required = false},
         {.name = "oil_heat", .quantity = Q::power, .range = not_negative, .required = false}},
        4);
    if (t.rows() == 0) return;
    std::vector<double> speeds = t["engine_speed"], torques = t["torque"];
    for (std::vector<double>* axis : {&speeds, &torques}) {
        std::sort(axis->begin(), axis->end());
        axis->erase(std::unique(axis->begin(), axis->end()), axis->end());
    }
    if (t.rows() != speeds.size() * torques.size()) {
        r.error("heat_map", "a full grid: a row for each torque at each speed, " +
                                std::to_string(speeds.size()) + " speeds by " +
                                std::to_string(torques.size()) + " torques");
        return;
    }
    // Mean effective pressure of a four-stroke from torque: 4 pi T / V (Heywood, eq. 2.20).
    std::vector<double> pressures;
    for (const double torque : torques)
        pressures.push_back(4 * std::numbers::pi * torque / engine.displacement);
    const auto grid = [&](const char* column, double factor) {
        if (!t.has(column)) return solve::BilinearTable{};
        std::vector<double> z(t.rows(), -1);
        for (std::size_t i = 0; i < t.rows(); ++i) {
            const auto at = [](const std::vector<double>& axis, double x) {
                return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), x) -
                                                axis.begin());
            };
            z[at(speeds, t["engine_speed"][i]) * torques.size() + at(torques, t["torque"][i])] =
                factor * t[column][i];
        }
        if (std::find(z.begin(), z.end(), -1) != z.end())
            r.error("heat_map", "each pair of speed and torque once");
        return r.attempt([&] { return solve::BilinearTable(speeds, pressures, z); })
            .value_or(solve::BilinearTable{});
    };
    engine.fuel_map = grid("fuel", engine.heating_value);
    engine.coolant_map = grid("coolant_heat", 1);
    engine.oil_map = grid("oil_heat", 1);
}

/// The size on the wall, or the rolling radius.
void read_tyre(Reader& r, drive::Vehicle& v) {
    if (!r.has("tyre")) {
        v.tyre_radius = r.quantity("tyre_radius", Q::length, between(0.15, 0.8));
        return;
    }
    const std::string text = r.text("tyre");
    if (const auto size = r.attempt([&] { return drive::tyre_size(text); }))
        v.tyre_radius = size->rolling_radius();
    r.ignore("tyre_radius");  // of a file that this one extends
}

}  // namespace

void read_assumed(Reader& r, std::string_view key, Q what, Range range, Assumed& number,
                  std::string_view why) {
    if (!r.has(key)) {
        if (why.empty())
            r.ignore(key);
        else
            r.number(key, range, number.value, why);
        return;
    }
    const auto numbers = r.quantities(key, what, range);
    if (numbers.size() != 1 && numbers.size() != 3) {
        if (r.sound()) r.error(key, "a value, or [value, low, high]");
        return;
    }
    number.value = numbers[0];
    if (numbers.size() == 3) {
        number.low = numbers[1];
        number.high = numbers[2];
        if (!(number.low <= number.value && number.value <= number.high))
            r.error(key, "[value, low, high] with low <= value <= high");
    }
    number.low = std::min(number.low, number.value);
    number.high = std::max(number.high, number.value);
    number.source = "given in the scenario";
}

drive::Vehicle read_vehicle(Reader& root) {
    drive::Vehicle v;
    Reader r = root.table("vehicle");
    v.mass = r.quantity("mass", Q::mass, between(200, 20000));
    v.frontal_area = r.quantity("frontal_area", Q::area, between(0.5, 12));
    v.drag_coefficient = r.number("drag_coefficient", between(0.1, 1.5));
    v.rolling =
        r.number("rolling_resistance", between(0.004, 0.05), v.rolling, "road tyres on asphalt");
    v.tyre_pressure = r.quantity("tyre_pressure", Q::pressure, between(5e4, 8e5),
                                 {"2.2 bar", "above ambient, front"});
    v.understeer = r.number("understeer", between(-0.02, 0.05), v.understeer,
                            "rad of road wheel for each m/s2 sideways");
    v.trailer_drag_area = r.quantity("trailer_drag_area", Q::area, not_negative,
                                     {"2 m2", "added while a trailer is on"});
    read_tyre(r, v);
    v.wheelbase = r.quantity("wheelbase", Q::length, between(1, 8));
    v.front_share = r.number("front_weight_share", between(0.2, 0.8));
    v.centre_height = r.quantity("centre_height", Q::length, between(0.1, 2),
                                 {"0.52 m", "height of the centre of mass"});
    v.steering_ratio = r.number("steering_ratio", between(5, 40), v.steering_ratio);
    v.steering_lock = r.quantity("steering_lock", Q::angle, between(2, 30),
                                 {"540 degree", "wheel from straight to lock"});
    v.grip_long = r.number("grip_long", between(0.2, 2.5), v.grip_long);
    v.grip_lat = r.number("grip_lateral", between(0.2, 2.5), v.grip_lat);
    v.accessory_power = r.quantity("accessory_power", Q::power, not_negative,
                                   {"600 W", "alternator and water pump"});
    v.driven = r.choice<drive::DrivenAxle>("driven_axle",
                                           {{"rear", drive::DrivenAxle::rear},
                                            {"front", drive::DrivenAxle::front},
                                            {"both", drive::DrivenAxle::both}},
                                           "rear");
    v.engine = read_engine(root);
    v.gearbox = read_gearbox(root);
    if (root.has("converter")) {
        v.converter = read_converter(root);
    } else {
        v.coupling = drive::Coupling::clutch;
        Reader c = root.table_or_empty("clutch");
        v.clutch.launch_speed = c.quantity("launch_speed", Q::angular_speed, positive,
                                           {"1720 rev/min", "engine at a full-throttle launch"});
        v.gearbox.pump_torque = v.gearbox.pump_torque_slope = 0;  // splash, no oil pump
    }
    Reader s = root.table_or_empty("shift");
    v.shift.light_speed = s.quantity("light_load_speed", Q::angular_speed, positive,
                                     {"1800 rev/min", "up-shift at no load, turbine speed"});
    v.shift.full_speed = s.quantity("full_load_speed", Q::angular_speed, positive,
                                    {"5200 rev/min", "up-shift at full load, turbine speed"});
    v.shift.lockup = s.boolean("lockup", false, "no lock-up clutch");
    v.shift.lockup_gear = static_cast<int>(s.integer("lockup_gear", 1, 12, v.shift.lockup_gear));
    v.shift.lockup_speed = s.quantity("lockup_speed", Q::angular_speed, positive,
                                      {"1430 rev/min", "turbine speed above which it locks"});
    v.shift.lockup_load = s.number("lockup_load", fraction, v.shift.lockup_load,
                                   "share of peak power above which lock-up opens");
    v.shift.hysteresis = s.number("hysteresis", between(0.3, 0.98), v.shift.hysteresis,
                                  "down-shift over up-shift speed");
    v.shift.shift_time = s.quantity("shift_time", Q::time, not_negative,
                                    {"0.3 s", "without drive at a full-load shift"});
    return v;
}

heat::EngineModel read_engine_heat(Reader& root, const drive::Vehicle& vehicle) {
    Reader r = root.table("engine");
    const auto cylinders = static_cast<int>(r.integer("cylinders", 1, 16));
    heat::EngineModel engine;
    double peak = 0;
    for (const double torque : vehicle.engine.full_torque) peak = std::max(peak, torque);
    const auto era = r.choice<heat::Era>(
        "era", {{"modern", heat::Era::modern}, {"classic", heat::Era::classic}}, "modern",
        "friction and wall heat of engines since about 1995; classic: until about 1980");
    if (auto made = r.attempt(
            [&] { return heat::engine_model(vehicle.engine.displacement, cylinders, peak, era); }))
        engine = *made;
    engine.idle_speed = vehicle.engine.idle_speed;
    engine.indicated_efficiency = r.number("indicated_efficiency", between(0.2, 0.55),
                                           engine.indicated_efficiency, "at best spark");
    read_assumed(r, "friction_level", Q::ratio, between(0.3, 2), engine.friction_level,
                 "friction over that of its era");
    read_assumed(r, "wall_heat_level", Q::ratio, between(0.4, 2), engine.wall_heat_level,
                 "heat to coolant and oil over that of its era");
    engine.retard = r.quantity("spark_retard", Q::angle, between(0, 0.7),
                               {"0 degree", "later than best torque"}) *
                    180 / std::numbers::pi;
    engine.idle_retard =
        r.quantity("idle_spark_retard", Q::angle, between(0, 0.7), {"12 degree", "more at idle"}) *
        180 / std::numbers::pi;
    engine.exhaust_pipe_diameter =
        r.quantity("exhaust_pipe_diameter", Q::length, between(0.02, 0.15), {"57 mm"});
    engine.exhaust_pipes = static_cast<int>(r.integer("exhaust_pipes", 1, 4, 2));
    read_heat_map(r, engine);
    return engine;
}

heat::TransmissionModel read_transmission(Reader& root) {
    heat::TransmissionModel t;
    Reader r = root.table("gearbox");
    t.automatic = root.has("converter");
    t.cooler_flow = r.quantity("cooler_flow", Q::volume_flow, positive,
                               {"7.8 L/min", "through the cooler circuit, warm and open"});
    t.cooler_idle_flow =
        r.quantity("cooler_idle_flow", Q::volume_flow, positive, {"3 L/min", "at idle in gear"});
    t.cooler_pressure = r.quantity("cooler_pressure", Q::pressure, positive,
                                   {"500 kPa", "at the cooler port when the line is blocked"});
    t.case_conductance = r.quantity("case_conductance", Q::thermal_conductance, not_negative,
                                    {"11 W/K", "case to air at rest"});

    t.idle_speed = root.table("engine").quantity("idle_speed", Q::angular_speed, between(30, 200));
    return t;
}

heat::SteeringModel read_steering(Reader& root) {
    heat::SteeringModel s;
    if (!root.has("steering")) {
        s.hydraulic = false;
        return s;
    }
    Reader r = root.table("steering");
    s.displacement =
        r.quantity("pump_displacement", Q::displacement, positive, {"9.6 cm3/rev", "vane pump"});
    s.speed_ratio =
        r.number("pump_speed_ratio", between(0.5, 3), s.speed_ratio, "pump over engine speed");
    s.controlled_flow = r.quantity("controlled_flow", Q::volume_flow, positive,
                                   {"8.4 L/min", "after flow control"});
    s.relief_pressure = r.quantity("relief_pressure", Q::pressure, positive, {"85 bar"});
    s.back_pressure = r.quantity("back_pressure", Q::pressure, not_negative,
                                 {"3 bar", "open circuit at controlled flow, warm"});
    s.piston_area = r.quantity("piston_area", Q::area, positive, {"9 cm2", "assist cylinder"});
    s.arm = r.quantity("arm", Q::length, between(0.03, 0.4),
                       {"140 mm", "rack force times this turns the kingpins"});
    s.assist = r.number("assist", fraction, s.assist, "share of the load that oil carries");
    s.lock_holding = r.number("lock_holding", fraction, s.lock_holding,
                              "share of the time at the lock spent against the relief valve");
    return s;
}

void read_surroundings(Reader& root, model::Car& car) {
    Reader bay = root.table_or_empty("engine_bay");
    car.bay.at_rest = bay.quantity("air_at_rest", Q::mass_flow, positive,
                                   {"0.06 kg/s", "by buoyancy, its air 30 K above ambient"});
    car.bay.per_speed =
        bay.number("air_per_speed", not_negative, car.bay.per_speed, "kg/s for each m/s");
    Reader ac = root.table_or_empty("air_conditioning");
    car.vehicle.air_conditioning_power =
        ac.quantity("shaft_power", Q::power, not_negative, {"3500 W", "compressor at full demand"});
    Reader feed = root.table_or_empty("alternator");
    model::Electrics& e = car.electrics;
    e.alternator.rated_current =
        feed.quantity("current", Q::electric_current, positive, {"90 A", "at full speed, warm"});
    e.alternator.idle_share =
        feed.number("idle_share", between(0.05, 0.95), e.alternator.idle_share,
                    "of it at 1500 rev/min of the rotor, hot; 0.25 to 0.45");
    e.alternator.efficiency = feed.number("efficiency", between(0.3, 0.9), e.alternator.efficiency,
                                          "electrical over shaft power, belt included");
    e.alternator.pulley_ratio = feed.number("pulley_ratio", between(0.5, 5),
                                            e.alternator.pulley_ratio, "rotor over engine speed");
    e.other_loads = feed.quantity("other_loads", Q::electric_current, not_negative,
                                  {"30 A", "ignition, pumps, blower, lamps; 15 to 50 A"});
    car.air_conditioning.performance =
        ac.number("performance", between(0.5, 6), 2.4, "cold over shaft power in 25 degC air");
    Reader brakes = root.table_or_empty("brakes");
    car.brakes.heat_capacity = brakes.quantity("heat_capacity", Q::heat_capacity, positive,
                                               {"8.4 kJ/K", "both front discs"});
    car.brakes.share = brakes.number("front_share", fraction, car.brakes.share);
    Reader driver = root.table_or_empty("driver");
    car.forward_driver = driver.choice<bool>("looks", {{"back", false}, {"forward", true}}, "back",
                                             "the cycle's speed is driven exactly");
    Reader start = root.table_or_empty("start");
    car.start_warm = start.boolean("warm", true, "the car has been driven before the cycle begins");
    car.start_temperature =
        start.optional_quantity("temperature", Q::temperature, between(220, 420)).value_or(0);
    if (car.start_warm && car.start_temperature == 0)
        car.settled_speed = start.quantity(
            "settled_at", Q::speed, between(3, 60),
            {"90 km/h", "what the car has settled at before the cycle, in its first air"});
    else
        start.ignore("settled_at");
}

}  // namespace lapheat::scenario
