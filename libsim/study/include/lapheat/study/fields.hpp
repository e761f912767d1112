// The rows of a study and their members by name, once: for JSON, the Python package and its
// docstrings. See lapheat/results/fields.hpp.
#pragma once

#include "lapheat/results/fields.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/gauges.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/study/margin.hpp"
#include "lapheat/study/plumbing.hpp"
#include "lapheat/study/size.hpp"
#include "lapheat/study/wiring.hpp"

namespace lapheat::results {

template <>
[[nodiscard]] std::span<const Field<study::LineCost>> fields();
template <>
[[nodiscard]] std::span<const Field<study::Lever>> fields();
template <>
[[nodiscard]] std::span<const Field<study::PlumbingItem>> fields();
template <>
[[nodiscard]] std::span<const Field<study::FanFeed>> fields();
template <>
[[nodiscard]] std::span<const Field<study::CycleOutcome>> fields();
/// Without `margins`, `effects` and `lines`, which have a number for each loop.
template <>
[[nodiscard]] std::span<const Field<study::Ranked>> fields();
template <>
[[nodiscard]] std::span<const Field<study::CycleCertainty>> fields();
template <>
[[nodiscard]] std::span<const Field<study::PlacementCertainty>> fields();
template <>
[[nodiscard]] std::span<const Field<study::FluidCertainty>> fields();
template <>
[[nodiscard]] std::span<const Field<study::GaugeReading>> fields();
template <>
[[nodiscard]] std::span<const Field<study::Driver>> fields();
template <>
[[nodiscard]] std::span<const Field<study::Measurement>> fields();
template <>
[[nodiscard]] std::span<const Field<study::Caution>> fields();
template <>
[[nodiscard]] std::span<const Field<study::HottestAmbient>> fields();
template <>
[[nodiscard]] std::span<const Field<study::SizeTried>> fields();

}  // namespace lapheat::results
