// The only door to TOML++: text to a tree of nodes with places.
#pragma once

#include <string>
#include <string_view>

#include "lapheat/scenario/document.hpp"

namespace lapheat::scenario {

/// Parses TOML text. Errors of syntax go to `problems` with places in `file`.
DocumentNode toml_tree(std::string_view text, const std::string& file, Problems& problems);

/// True if `text` is a TOML value by itself, such as 12, "a", [1, 2] or true.
bool is_toml_value(std::string_view text);

}  // namespace lapheat::scenario
