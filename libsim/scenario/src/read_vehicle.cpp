// [vehicle] [engine] [gearbox] [converter] [shift]: the car that is driven.
#include <numbers>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

drive::Engine read_engine(Reader& root) {
    Reader r = root.table("engine");
    drive::Engine engine;
    const double displacement = r.quantity("displacement", Q::volume, between(1e-4, 0.02));
    const double torque = r.quantity("peak_torque", Q::torque, positive);
    const double torque_speed = r.quantity("peak_torque_speed", Q::angular_speed, positive);
    const double power = r.quantity("peak_power", Q::power, positive);
    const double power_speed = r.quantity("peak_power_speed", Q::angular_speed, positive);
    const double redline = r.quantity("redline", Q::angular_speed, positive);
    const double idle = r.quantity("idle_speed", Q::angular_speed, between(30, 200));
    if (auto made = r.attempt([&] {
            return drive::engine_from_peaks(torque, torque_speed, power, power_speed, redline, idle,
                                            displacement);
        }))
        engine = *made;
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

}  // namespace

drive::Vehicle read_vehicle(Reader& root) {
    drive::Vehicle v;
    Reader r = root.table("vehicle");
    v.mass = r.quantity("mass", Q::mass, between(200, 20000));
    v.frontal_area = r.quantity("frontal_area", Q::area, between(0.5, 12));
    v.drag_coefficient = r.number("drag_coefficient", between(0.1, 1.5));
    v.rolling =
        r.number("rolling_resistance", between(0.004, 0.05), v.rolling, "road tyres on asphalt");
    v.tyre_radius = r.quantity("tyre_radius", Q::length, between(0.15, 0.8));
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
        Reader c = root.table("converter");
        const double speed = c.quantity("stall_speed", Q::angular_speed, positive);
        const double torque = c.quantity("stall_torque", Q::torque, positive);
        const double ratio = c.number("stall_torque_ratio", between(1.5, 3), 2.0);
        const double coupling = c.number("coupling_point", between(0.7, 0.98), 0.88);
        if (auto made =
                c.attempt([&] { return drive::generic_converter(speed, torque, ratio, coupling); }))
            v.converter = *made;
    } else {
        v.coupling = drive::Coupling::clutch;
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
    return v;
}

heat::EngineModel read_engine_heat(Reader& root, const drive::Vehicle& vehicle) {
    Reader r = root.table("engine");
    const auto cylinders = static_cast<int>(r.integer("cylinders", 1, 16));
    heat::EngineModel engine;
    double peak = 0;
    for (const double torque : vehicle.engine.full_torque) peak = std::max(peak, torque);
    if (auto made = r.attempt(
            [&] { return heat::engine_model(vehicle.engine.displacement, cylinders, peak); }))
        engine = *made;
    engine.idle_speed = vehicle.engine.idle_speed;
    engine.indicated_efficiency = r.number("indicated_efficiency", between(0.2, 0.55),
                                           engine.indicated_efficiency, "at best spark");
    const double friction =
        r.number("friction_level", between(0.3, 1.5), 1.0,
                 "friction over that of engines of the 1970s (Heywood, eq. 13.6)");
    engine.friction_p0 *= friction;
    engine.friction_p1 *= friction;
    engine.friction_p2 *= friction;
    engine.retard = r.quantity("spark_retard", Q::angle, between(0, 0.7),
                               {"0 degree", "later than best torque"}) *
                    180 / std::numbers::pi;
    engine.idle_retard =
        r.quantity("idle_spark_retard", Q::angle, between(0, 0.7), {"12 degree", "more at idle"}) *
        180 / std::numbers::pi;
    engine.exhaust_pipe_diameter =
        r.quantity("exhaust_pipe_diameter", Q::length, between(0.02, 0.15), {"57 mm"});
    engine.exhaust_pipes = static_cast<int>(r.integer("exhaust_pipes", 1, 4, 2));
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
    return s;
}

void read_surroundings(Reader& root, model::Car& car) {
    Reader bay = root.table_or_empty("engine_bay");
    car.bay.at_rest =
        bay.quantity("air_at_rest", Q::mass_flow, positive, {"0.06 kg/s", "by buoyancy"});
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
                    "of it at 1500 rev/min of the rotor; common practice 0.3 to 0.6");
    e.alternator.pulley_ratio = feed.number("pulley_ratio", between(0.5, 5),
                                            e.alternator.pulley_ratio, "rotor over engine speed");
    e.other_loads = feed.quantity("other_loads", Q::electric_current, not_negative,
                                  {"30 A", "ignition, pumps, blower, lamps; 15 to 50 A"});
    Reader start = root.table_or_empty("start");
    car.start_warm = start.boolean("warm", true, "the car has been driven before the cycle begins");
    car.start_temperature =
        start.optional_quantity("temperature", Q::temperature, between(220, 420)).value_or(0);
}

}  // namespace lapheat::scenario
