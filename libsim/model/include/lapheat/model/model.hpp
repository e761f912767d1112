// From a car to numbers: compile once, simulate any cycle, share between threads.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/description.hpp"

namespace lapheat::model {

/// The compiled car, immutable. Made by compile(), used by simulate().
struct Model;

/// Streams of heat that a volume or a stack item may name.
enum class Stream : int {
    engine_coolant,  ///< W from gas and friction to the jacket
    engine_oil,      ///< W to the engine's oil
    converter,       ///< W lost in the converter or a slipping clutch
    gears,           ///< W of mesh, spin, shift clutches and oil pump to the transmission fluid
    gearbox_case,    ///< W that gears and bearings give straight to the case
    steering_pump,   ///< W of relief, flow control and leakage in the steering pump
    steering_gear,   ///< W throttled in the rack or box and in its lines
    condenser,       ///< W of the air conditioning's condenser
};
inline constexpr int stream_count = 8;

/// Names as files spell them, in the order of Stream: "engine_coolant", …
[[nodiscard]] const std::vector<std::string>& stream_names();

/// Checks that everything refers to something and lays it out flat. Throws Error with the place of
/// the part that cannot be: an unknown name, a run that holds no fluid, a loop without a pump, a
/// core used twice, a fan in two paths.
[[nodiscard]] std::shared_ptr<const Model> compile(const Car& car);

/// What the line `run.parts[part]` is for, by where it stands: in a loop with a centrifugal pump a
/// coolant hose; straight before a displacement pump suction; from there to the steering gear, a
/// core or a restriction a pressure line; else it leads to or from a cooler.
[[nodiscard]] hydraulics::LineUse line_use(const Loop& loop, const Run& run, std::size_t part);

/// What compile() noticed: physically possible but unwise.
[[nodiscard]] const std::vector<std::string>& warnings(const Model& model);

/// The car a model was compiled from.
[[nodiscard]] const Car& car(const Model& model);

}  // namespace lapheat::model
