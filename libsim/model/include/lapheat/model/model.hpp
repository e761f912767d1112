// From a car to numbers: compile once, simulate any cycle, share between threads.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/model/streams.hpp"
#include "lapheat/units/diagnostic.hpp"

namespace lapheat::model {

/// The compiled car, immutable. Made by compile(), used by simulate().
struct Model;

/// Checks that everything refers to something and lays it out flat. Throws Error with the place of
/// the part that cannot be: an unknown name, a run that holds no fluid, a loop without a pump, a
/// core used twice, a fan in two paths.
[[nodiscard]] std::shared_ptr<const Model> compile(const Car& car);

/// What the line `run.parts[part]` is for, by where it stands: in a loop with a centrifugal pump a
/// coolant hose; straight before a displacement pump suction; from there to the steering gear, a
/// core or a restriction a pressure line; else it leads to or from a cooler.
[[nodiscard]] hydraulics::LineUse line_use(const Loop& loop, const Run& run, std::size_t part);

/// What compile() noticed: physically possible but unwise. Words of it are made by words().
[[nodiscard]] const std::vector<Diagnostic>& warnings(const Model& model);

/// True if the air conditioning's heat has air to go to: a condenser in a stack, or one ahead of a
/// path that is not in it (AirPath::condenser_cover).
[[nodiscard]] bool has_condenser(const Car& car);

/// The car a model was compiled from.
[[nodiscard]] const Car& car(const Model& model);

}  // namespace lapheat::model
