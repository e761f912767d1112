// Fuse and wire for each electric fan of a car, as guidance.
#pragma once

#include <string>
#include <vector>

#include "lapheat/units/units.hpp"

namespace lapheat::model {
struct Car;
}

namespace lapheat::study {

/// How one electric fan is fed, by airflow::wire_guide().
struct FanFeed {
    std::string fan;
    double current = 0;   ///< A, rated
    double fuse = 0;      ///< A, at the battery end; 0: see `problem`
    double area = 0;      ///< m² of copper
    double length = 0;    ///< m, run of the wire
    std::string problem;  ///< why no fuse and wire are given
};

/// A row for each electric fan, in the order of the car; none for fans that the engine turns.
[[nodiscard]] std::vector<FanFeed> fan_feeds(const model::Car& car);

/// Copper of at least `area` m² as it is sold: "6 mm²", or the next thicker even gauge "10 AWG"
/// (ASTM B258: 0.127 mm x 92^((36 - n)/39); square millimetres beyond 0 AWG).
[[nodiscard]] std::string copper_size(double area, units::System system);

/// "13 A: 20 A fuse at the battery end, 2.5 mm² of copper for a run of 3 m".
[[nodiscard]] std::string feed_words(const FanFeed& feed, units::System system);

/// A sentence for each kind of feed in the car, then the caution that belongs to them; none without
/// electric fans.
[[nodiscard]] std::vector<std::string> wiring(const model::Car& car, units::System system);

/// Said with every size.
[[nodiscard]] const char* wiring_caution() noexcept;

}  // namespace lapheat::study
