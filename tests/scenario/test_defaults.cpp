// A default that a file's key and a struct both state is the same number.
#include <catch2/catch.hpp>
#include <string>

#include "lapheat/model/description.hpp"
#include "lapheat/model/parts.hpp"
#include "lapheat/scenario/registry.hpp"

using namespace lapheat;
using namespace lapheat::scenario;

namespace {

const Key& key_of(const std::string& table, const std::string& key) {
    for (const Table* t : all_tables())
        if (t->name == table) return t->at(key);
    throw std::logic_error("no table '" + table + "'");
}

double stated(const Key& key) {
    if (!key.fallback.empty()) return units::parse(key.fallback, key.quantity);
    return key.computed != nullptr ? key.computed() : key.value;
}

struct Both {
    const char *table, *key;
    double usual;
};

}  // namespace

TEST_CASE("What a file leaves out is what the struct says") {
    const drive::Vehicle car;
    const heat::SteeringModel steering;
    const heat::TransmissionModel transmission;
    const heat::EngineBay bay;
    const heat::Brakes brakes;
    const airflow::Alternator alternator;
    const airflow::FanDrive fan;
    const model::FanSwitch fan_switch;
    const model::StackItem stack;
    const model::Thermostat thermostat;
    const Both all[] = {
        {"vehicle", "rolling_resistance", car.rolling},
        {"vehicle", "tyre_pressure", car.tyre_pressure},
        {"vehicle", "understeer", car.understeer},
        {"vehicle", "trailer_drag_area", car.trailer_drag_area},
        {"vehicle", "centre_height", car.centre_height},
        {"vehicle", "steering_ratio", car.steering_ratio},
        {"vehicle", "steering_lock", car.steering_lock},
        {"vehicle", "grip_long", car.grip_long},
        {"vehicle", "grip_lateral", car.grip_lat},
        {"vehicle", "accessory_power", car.accessory_power},
        {"gearbox", "reverse_ratio", car.gearbox.reverse_ratio},
        {"gearbox", "final_drive_efficiency", car.gearbox.final_drive_efficiency},
        {"gearbox", "spin_torque", car.gearbox.spin_torque},
        {"gearbox", "pump_torque", car.gearbox.pump_torque},
        {"gearbox", "cooler_flow", transmission.cooler_flow},
        {"gearbox", "cooler_idle_flow", transmission.cooler_idle_flow},
        {"gearbox", "cooler_pressure", transmission.cooler_pressure},
        {"gearbox", "case_conductance", transmission.case_conductance},
        {"clutch", "launch_speed", car.clutch.launch_speed},
        {"shift", "light_load_speed", car.shift.light_speed},
        {"shift", "full_load_speed", car.shift.full_speed},
        {"shift", "lockup_gear", static_cast<double>(car.shift.lockup_gear)},
        {"shift", "lockup_speed", car.shift.lockup_speed},
        {"shift", "lockup_load", car.shift.lockup_load},
        {"shift", "hysteresis", car.shift.hysteresis},
        {"shift", "shift_time", car.shift.shift_time},
        {"engine", "inertia", car.engine.inertia},
        {"steering", "pump_displacement", steering.displacement},
        {"steering", "pump_speed_ratio", steering.speed_ratio},
        {"steering", "controlled_flow", steering.controlled_flow},
        {"steering", "relief_pressure", steering.relief_pressure},
        {"steering", "back_pressure", steering.back_pressure},
        {"steering", "piston_area", steering.piston_area},
        {"steering", "arm", steering.arm},
        {"steering", "assist", steering.assist},
        {"steering", "lock_holding", steering.lock_holding},
        {"engine_bay", "air_at_rest", bay.at_rest},
        {"engine_bay", "air_per_speed", bay.per_speed},
        {"air_conditioning", "shaft_power", car.air_conditioning_power},
        {"air_conditioning", "performance", heat::AirConditioning{}.performance},
        {"alternator", "current", alternator.rated_current},
        {"alternator", "idle_share", alternator.idle_share},
        {"alternator", "efficiency", alternator.efficiency},
        {"alternator", "pulley_ratio", alternator.pulley_ratio},
        {"brakes", "heat_capacity", brakes.heat_capacity},
        {"brakes", "front_share", brakes.share},
        {"switches", "lag", fan_switch.lag},
        {"switches", "command", fan_switch.command},
        {"fans", "low_stage", fan.low_stage},
        {"fans", "run_down", fan.run_down},
        {"fans", "wire_length", model::FanEntry{}.wire_length},
        {"stack", "gap_behind", stack.gap_behind},
        {"stack", "velocity", stack.velocity},
        {"thermostat", "lag", thermostat.lag}};
    for (const Both& one : all) {
        INFO(one.table << "." << one.key);
        CHECK(stated(key_of(one.table, one.key)) == Approx(one.usual).epsilon(1e-5));
    }
}
