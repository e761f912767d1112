// Fuse and wire for each electric fan of a car, as guidance.
#pragma once

#include <string>
#include <vector>

#include "lapheat/model/description.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

/// Copper of at least `area` mm² as it is sold: "6 mm²", or the next thicker even gauge "10 AWG"
/// (ASTM B258: 0.127 mm x 92^((36 - n)/39); square millimetres beyond 0 AWG).
[[nodiscard]] std::string copper_size(double area, units::System system);

/// Fuse, copper and run of one electric fan, by airflow::wire_guide(): "13 A: 20 A fuse at the
/// battery end, …". Empty for a fan that the engine turns.
[[nodiscard]] std::string fan_feed(const model::FanEntry& fan, units::System system);

/// A sentence for each kind of feed in the car, then the caution that belongs to them; none without
/// electric fans.
[[nodiscard]] std::vector<std::string> wiring(const model::Car& car, units::System system);

/// Said with every size.
[[nodiscard]] const char* wiring_caution() noexcept;

}  // namespace lapheat::study
