// JSON for machines: keys in the order given, SI units. Only names here; a source that makes JSON
// includes json_rows.hpp.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace lapheat::results {

using Json = nlohmann::ordered_json;

/// JSON text (RFC 8259), `indent` spaces for each level, or on one line for -1. Doubles round-trip;
/// those that are not finite are null, for JSON has no other word. Text that is not UTF-8 has its
/// bad bytes replaced by U+FFFD.
[[nodiscard]] std::string to_text(const Json& json, int indent = 2);

}  // namespace lapheat::results
