// The steps by which a derived car is built, see derive.hpp.
#pragma once

#include "derive.hpp"
#include "derive_item.hpp"

namespace lapheat::scenario {

using Q = units::Quantity;

/// rad/s and N m of the derived engine.
double power_speed(const Short& s);
double peak_torque(const Short& s);
heat::EngineLumps derived_lumps(const Short& s);

Item derived_engine(const Short& s);
Item derived_vehicle(const Short& s);
/// [gearbox] [converter] [shift] [steering]
void derive_gearbox(const Short& s, Item& root);
Item derived_coolant(const Short& s);
Item derived_oil(const Short& s);
/// What the cooler's place decides: cores, fans, ways of the air, loops of transmission, steering.
void derive_cooling(const Short& s, Item& root, Item& loops);

}  // namespace lapheat::scenario
