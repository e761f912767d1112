// [steering] [engine_bay] [air_conditioning] [alternator] [brakes] [driver] [start]: what else is
// on board, who drives, and how the day begins.
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

constexpr heat::SteeringModel usual_steering{};
constexpr Key steering_keys[] = {
    key::quantity("pump_displacement", Q::displacement, positive, "of the pump")
        .otherwise("9.6 cm3/rev", "vane pump"),
    key::number("pump_speed_ratio", between(0.5, 3), "by its pulley")
        .otherwise(usual_steering.speed_ratio, "pump over engine speed"),
    key::quantity("controlled_flow", Q::volume_flow, positive, "what the gear gets at any speed")
        .otherwise("8.4 L/min", "after flow control"),
    key::quantity("relief_pressure", Q::pressure, positive, "at which the pump spills")
        .otherwise("85 bar"),
    key::quantity("back_pressure", Q::pressure, not_negative, "of valve, hoses and cooler together")
        .otherwise("3 bar", "open circuit at controlled flow, warm")
        .usually(0.5e5, 10e5),
    key::quantity("piston_area", Q::area, positive, "of the piston that oil pushes")
        .otherwise("9 cm2", "assist cylinder"),
    key::quantity("arm", Q::length, between(0.03, 0.4), "of the steering linkage")
        .otherwise("140 mm", "rack force times this turns the kingpins"),
    key::number("assist", fraction, "the rest is the driver's")
        .otherwise(usual_steering.assist, "share of the load that oil carries")
        .usually(0.5, 1),
    level_key("holding_level", "on lock_holding"),
    key::number("lock_holding", fraction, "how hard the driver holds the wheel at its lock")
        .otherwise(usual_steering.lock_holding,
                   "share of the time at the lock spent against the relief valve")
        .usually(0, 1)};
constexpr Table steering_table{
    "steering", "[steering]",
    "The hydraulic steering: its pump, stated once, and what it pushes. Without this table the "
    "steering has no pump.",
    steering_keys};

constexpr Key bay_keys[] = {
    key::quantity("air_at_rest", Q::mass_flow, positive, "through the engine bay, fans apart")
        .otherwise("0.03 kg/s", "by buoyancy, its air 30 K above ambient")
        .usually(0.01, 0.3),
    key::number("air_per_speed", not_negative, "more through the bay as the car moves")
        .otherwise(heat::EngineBay{}.per_speed, "kg/s for each m/s"),
    key::number("radiated_below", fraction, "of the manifolds' radiation, past the open bottom")
        .otherwise(heat::EngineBay{}.radiated_below, "the rest falls on hood and wings"),
    level_key("fresh_air_level", "on the air through the bay"),
    level_key("exchange_level", "on what hood and wings take"),
    level_key("road_rise_level", "on the road's rise over the air in the sun")};
constexpr Table bay_table{"engine_bay", "[engine_bay]",
                          "The air that carries heat out of the engine bay.", bay_keys};

constexpr Key ac_keys[] = {
    key::quantity("shaft_power", Q::power, not_negative, "of the compressor")
        .otherwise("3500 W", "compressor at full demand")
        .usually(1000, 8000),
    key::number("performance", between(0.5, 6), "falls as the condenser's air warms")
        .otherwise(heat::AirConditioning{}.performance, "cold over shaft power in 25 degC air")
        .usually(1.2, 4),
    level_key("performance_level", "on performance")};
constexpr Table ac_table{"air_conditioning", "[air_conditioning]",
                         "The compressor. Cycles say when it runs; a stack says where its "
                         "condenser stands.",
                         ac_keys};

constexpr Key alternator_keys[] = {
    key::quantity("current", Q::electric_current, positive, "as its label rates it")
        .otherwise("90 A", "at full speed, warm"),
    key::number("idle_share", between(0.05, 0.95), "of the rated current")
        .otherwise(airflow::Alternator{}.idle_share,
                   "of it at 1500 rev/min of the rotor, hot; 0.25 to 0.45")
        .usually(0.2, 0.6),
    key::number("efficiency", between(0.3, 0.9), "what the crank gives for it")
        .otherwise(airflow::Alternator{}.efficiency, "electrical over shaft power, belt included")
        .usually(0.4, 0.8),
    key::number("pulley_ratio", between(0.5, 5), "by its pulley")
        .otherwise(airflow::Alternator{}.pulley_ratio, "rotor over engine speed")
        .usually(1.8, 4),
    key::quantity("other_loads", Q::electric_current, not_negative, "what is fed besides fans")
        .otherwise("30 A", "ignition, pumps, blower, lamps; 15 to 50 A")
        .usually(5, 100)};
constexpr Table alternator_table{"alternator", "[alternator]",
                                 "What feeds the fans, and what else it feeds.", alternator_keys};

constexpr Key brakes_keys[] = {
    key::quantity("heat_capacity", Q::heat_capacity, positive, "of what warms as the car brakes")
        .otherwise("8.4 kJ/K", "both front discs")
        .usually(3e3, 4e4),
    key::number("front_share", fraction, "of the brake power")
        .otherwise(heat::Brakes{}.share)
        .usually(0.5, 0.9)};
constexpr Table brakes_table{"brakes", "[brakes]",
                             "The front brakes, which warm the air of a cooler near them.",
                             brakes_keys};

constexpr Word looks_words[] = {
    {"back", false, "the cycle's speed is driven exactly; what the engine lacks is reported"},
    {"forward", true, "a driver follows the cycle's speed as well as the car can"}};
constexpr Key driver_keys[] = {
    key::choice("looks", looks_words, "who decides the speed: the cycle, or a driver who can fail")
        .otherwise("back", "the cycle's speed is driven exactly")};
constexpr Table driver_table{"driver", "[driver]", "How a cycle's speed is followed.", driver_keys};

constexpr Key start_keys[] = {
    key::boolean("warm", "settled at a cruise; a loop's `warm_start` says otherwise")
        .otherwise(true, "the car has been driven before the cycle begins"),
    key::quantity("temperature", Q::temperature, between(220, 420), "of all that is not warm")
        .optional("the ambient"),
    key::quantity("settled_at", Q::speed, between(3, 60), "a steady cruise on the level")
        .otherwise("90 km/h", "what the car has settled at before the cycle, in its first air")
        .only("of a warm car without `temperature`")};
constexpr Table start_table{"start", "[start]", "How warm the car is when a cycle begins.",
                            start_keys};

constexpr Key equipment_file_keys[] = {
    key::table("steering", &steering_table, "the hydraulic steering").optional("no pump"),
    key::table("engine_bay", &bay_table, "its air").nothing("defaults"),
    key::table("air_conditioning", &ac_table, "the compressor").nothing("defaults"),
    key::table("alternator", &alternator_table, "what feeds the fans").nothing("defaults"),
    key::table("brakes", &brakes_table, "the front brakes").nothing("defaults"),
    key::table("driver", &driver_table, "how a cycle is followed").nothing("defaults"),
    key::table("start", &start_table, "how warm the car is at first").nothing("defaults")};

}  // namespace

constexpr Table equipment_tables{"", "", "", equipment_file_keys};

heat::SteeringModel read_steering(Reader& root) {
    heat::SteeringModel s;
    if (!root.has(equipment_tables["steering"])) {
        s.hydraulic = false;
        return s;
    }
    Reader r = root.table(equipment_tables["steering"]);
    s.displacement = r.quantity(steering_table["pump_displacement"]);
    s.speed_ratio = r.number(steering_table["pump_speed_ratio"]);
    s.controlled_flow = r.quantity(steering_table["controlled_flow"]);
    s.relief_pressure = r.quantity(steering_table["relief_pressure"]);
    s.back_pressure = r.quantity(steering_table["back_pressure"]);
    s.piston_area = r.quantity(steering_table["piston_area"]);
    s.arm = r.quantity(steering_table["arm"]);
    s.assist = r.number(steering_table["assist"]);
    s.lock_holding = r.number(steering_table["lock_holding"]);
    read_assumed(r, steering_table["holding_level"], s.holding_level);
    return s;
}

void read_equipment(Reader& root, model::Car& car) {
    Reader bay = root.table(equipment_tables["engine_bay"]);
    car.bay.at_rest = bay.quantity(bay_table["air_at_rest"]);
    car.bay.per_speed = bay.number(bay_table["air_per_speed"]);
    car.bay.radiated_below = bay.number(bay_table["radiated_below"]);
    read_assumed(bay, bay_table["fresh_air_level"], car.bay.fresh_level);
    read_assumed(bay, bay_table["exchange_level"], car.bay.exchange_level);
    read_assumed(bay, bay_table["road_rise_level"], car.road_rise_level);
    Reader ac = root.table(equipment_tables["air_conditioning"]);
    car.vehicle.air_conditioning_power = ac.quantity(ac_table["shaft_power"]);
    Reader feed = root.table(equipment_tables["alternator"]);
    model::Electrics& e = car.electrics;
    e.alternator.rated_current = feed.quantity(alternator_table["current"]);
    e.alternator.idle_share = feed.number(alternator_table["idle_share"]);
    e.alternator.efficiency = feed.number(alternator_table["efficiency"]);
    e.alternator.pulley_ratio = feed.number(alternator_table["pulley_ratio"]);
    e.other_loads = feed.quantity(alternator_table["other_loads"]);
    car.air_conditioning.performance = ac.number(ac_table["performance"]);
    read_assumed(ac, ac_table["performance_level"], car.air_conditioning.performance_level);
    Reader brakes = root.table(equipment_tables["brakes"]);
    car.brakes.heat_capacity = brakes.quantity(brakes_table["heat_capacity"]);
    car.brakes.share = brakes.number(brakes_table["front_share"]);
    Reader driver = root.table(equipment_tables["driver"]);
    car.forward_driver = driver.choice<bool>(driver_table["looks"]);
    Reader start = root.table(equipment_tables["start"]);
    car.start_warm = start.boolean(start_table["warm"]);
    car.start_temperature = start.optional_quantity(start_table["temperature"]).value_or(0);
    if (car.start_warm && car.start_temperature == 0)
        car.settled_speed = start.quantity(start_table["settled_at"]);
    else
        start.ignore(start_table["settled_at"]);
}

}  // namespace lapheat::scenario
