// What keeps a fluid from being cooler, and which of them binds. Every report asks here.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "lapheat/model/result.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::results {

/// What keeps a fluid from being cooler at its least margin, in words: the air side, the wall or
/// the liquid side of its core, low flow in long lines, warm air, no core. Read off the verdict
/// alone, so that a run, a comparison and a file say the same.
[[nodiscard]] std::string what_binds(const model::Verdict& verdict, units::System system);

/// "Engine oil: …": the same led by the fluid; "" for no verdict.
[[nodiscard]] std::string fluid_and_what_binds(const model::Verdict* verdict, units::System system);

/// What cools the fluid's core: "air", "coolant", "" without a core.
[[nodiscard]] const char* cooled_by(const model::Verdict& verdict) noexcept;

/// The verdict with the least margin of the loops that are not left out; nullptr without any.
[[nodiscard]] const model::Verdict* tightest(const model::Result& result,
                                             std::span<const std::string> left_out = {}) noexcept;

/// The verdict on a loop; nullptr without it.
[[nodiscard]] const model::Verdict* verdict_of(const model::Result& result,
                                               const std::string& loop) noexcept;

/// Loops of all runs in the order first met; `cooled`: only those that a core cools somewhere.
[[nodiscard]] std::vector<std::string> loops_of(std::span<const model::Result> runs,
                                                bool cooled = false);

}  // namespace lapheat::results
