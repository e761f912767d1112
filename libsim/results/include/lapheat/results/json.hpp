// Values to be written as JSON for machines, in the order given.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace lapheat::results {

/// A JSON value. Numbers that are not finite are written as null, for JSON has no other word.
///
///     const Json report = Json::Object{{"placement", "rear"}, {"peak", 371.2},
///                                      {"peaks", Json::Array{368.0, 371.2}}};
///     out << to_text(report);
struct Json {
    using Array = std::vector<Json>;
    using Object = std::vector<std::pair<std::string, Json>>;
    std::variant<std::nullptr_t, bool, std::int64_t, double, std::string, Array, Object> value;

    Json() : value(nullptr) {}
    Json(bool x) : value(x) {}
    Json(int x) : value(std::int64_t{x}) {}
    Json(std::int64_t x) : value(x) {}
    Json(double x) : value(x) {}
    Json(const char* x) : value(std::string(x)) {}
    Json(std::string x) : value(std::move(x)) {}
    Json(Array x) : value(std::move(x)) {}
    Json(Object x) : value(std::move(x)) {}
};

/// JSON text (RFC 8259), `indent` spaces for each level, or on one line for -1. Doubles round-trip.
/// Text that is not UTF-8 has its bad bytes replaced by U+FFFD.
[[nodiscard]] std::string to_text(const Json& json, int indent = 2);

}  // namespace lapheat::results
