// What logs told of a car in one place, laid over the same car in another.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "lapheat/scenario/scenario.hpp"

namespace lapheat::scenario {

/// The car of `file` with what [fitted] of the file `fitted` says of numbers that it has too, such
/// as a placement with what logs told of the same car in another: `left_out` receives those it
/// lacks. `cycles`, if not empty, in place of those it lists. Throws Error for a file without
/// [fitted], and as read() does.
[[nodiscard]] Scenario read_with_fitted(const std::filesystem::path& file,
                                        const std::filesystem::path& fitted,
                                        const std::vector<std::filesystem::path>& cycles,
                                        std::vector<std::string>& left_out);

}  // namespace lapheat::scenario
