// The scenarios of this project, carried inside the command.
#pragma once

#include <string_view>
#include <vector>

namespace lapheat::app {

struct Example {
    std::string_view path;  ///< relative, "placements/rear.toml"
    std::string_view text;
};

/// Made at build time from the folder `scenarios`.
const std::vector<Example>& examples();

}  // namespace lapheat::app
