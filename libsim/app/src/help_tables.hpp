// lapheat help TABLE: what the registry says of a table, for a person.
#pragma once

#include <string>
#include <string_view>

#include "lapheat/scenario/registry.hpp"

namespace lapheat::app {

/// The table or kind of that name; nullptr if there is none.
const scenario::Table* table_of_topic(std::string_view topic);

/// Its keys, each with type, range, default and help; its kinds. Lines of at most `width` columns
/// (0: 100); ranges, defaults and notes in the units of `system`.
std::string table_text(const scenario::Table& table, std::size_t width, units::System system);

}  // namespace lapheat::app
