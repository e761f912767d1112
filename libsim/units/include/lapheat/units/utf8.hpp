// Text as bytes of UTF-8.
#pragma once

#include <cstddef>
#include <string_view>

namespace lapheat::units {

/// Bytes of the character that begins at `at`; 0 if none does, or past the end (The Unicode
/// Standard 15, table 3-7: no overlong forms, no surrogates).
[[nodiscard]] std::size_t utf8_length(std::string_view text, std::size_t at) noexcept;

}  // namespace lapheat::units
