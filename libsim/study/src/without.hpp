// The car as it would be without what the compared placements place.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lapheat/model/description.hpp"

namespace lapheat::study {

/// Cores of the loops in `served`, of all cars, each once: what is placed. None if a loop of
/// coolant is served, for an engine has no car without its radiator.
[[nodiscard]] std::vector<std::string> placed_cores(const std::vector<model::Car>& cars,
                                                    const std::vector<std::string>& served);

/// The car with these cores taken out: of its stacks and of the loops they pass, from either side.
/// An air path that is left with nothing goes, with its fans; the place behind the radiator becomes
/// the front without it; lines stay, closed where the core was. Nothing if it has none of them, or
/// a run would be left without a part.
[[nodiscard]] std::optional<model::Car> without_cores(model::Car car,
                                                      const std::vector<std::string>& cores);

}  // namespace lapheat::study
