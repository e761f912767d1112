// Names of the columns that warnings have in a file, beside their sentences: code, subject, and
// their names and values, the first of each in one column, the second in the next. And words that
// columns of flags mean.
#pragma once

#include <fmt/core.h>

#include <algorithm>
#include <cstddef>
#include <sstream>
#include <string>
#include <vector>

#include "lapheat/units/units.hpp"

namespace lapheat::results {

inline constexpr std::size_t most_names = 2, most_values = 4;
inline std::string note_name(std::size_t i) { return fmt::format("/name_{}", i + 1); }
inline std::string note_value(std::size_t i) { return fmt::format("/value_{}", i + 1); }
inline std::string note_quantity(std::size_t i) { return fmt::format("/quantity_{}", i + 1); }

/// "volume flow" as one word among flag_meanings: "volume_flow".
inline std::string flag_meaning(std::string words) {
    std::replace(words.begin(), words.end(), ' ', '_');
    return words;
}
inline std::string flag_meaning(units::Quantity q) {
    return flag_meaning(std::string(units::name(q)));
}
inline std::vector<std::string> flag_words(const std::string& meanings) {
    std::istringstream in(meanings);
    std::vector<std::string> out;
    for (std::string word; in >> word;) out.push_back(word);
    return out;
}

}  // namespace lapheat::results
