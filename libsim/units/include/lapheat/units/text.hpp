// Small things done to text; of ASCII, whatever the locale.
#pragma once

#include <string>
#include <string_view>

namespace lapheat::units {

/// Without blanks and ends of lines at either end.
[[nodiscard]] std::string_view trimmed(std::string_view text) noexcept;

[[nodiscard]] constexpr char lower(char c) noexcept {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}
/// Each letter of A to Z; others stay.
[[nodiscard]] std::string lowered(std::string_view text);

}  // namespace lapheat::units
