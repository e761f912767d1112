// Names of the columns that warnings have in a file, beside their sentences: code, subject, and
// their names and values, the first of each in one column, the second in the next.
#pragma once

#include <fmt/core.h>

#include <cstddef>
#include <string>

namespace lapheat::results {

inline constexpr std::size_t most_names = 2, most_values = 4;
inline std::string note_name(std::size_t i) { return fmt::format("/name_{}", i + 1); }
inline std::string note_value(std::size_t i) { return fmt::format("/value_{}", i + 1); }
inline std::string note_quantity(std::size_t i) { return fmt::format("/quantity_{}", i + 1); }

}  // namespace lapheat::results
