#include "lapheat/units/utf8.hpp"

namespace lapheat::units {

std::size_t utf8_length(std::string_view text, std::size_t at) noexcept {
    const auto byte = [&](std::size_t i) {
        return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0U;
    };
    const auto follows = [&](std::size_t i, unsigned low, unsigned high) {
        return byte(i) >= low && byte(i) <= high;
    };
    const unsigned first = byte(0);
    if (at >= text.size()) return 0;
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(1, 0x80, 0xBF) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF)
        return follows(1, first == 0xE0 ? 0xA0 : 0x80, first == 0xED ? 0x9F : 0xBF) &&
                       follows(2, 0x80, 0xBF)
                   ? 3
                   : 0;
    if (first >= 0xF0 && first <= 0xF4)
        return follows(1, first == 0xF0 ? 0x90 : 0x80, first == 0xF4 ? 0x8F : 0xBF) &&
                       follows(2, 0x80, 0xBF) && follows(3, 0x80, 0xBF)
                   ? 4
                   : 0;
    return 0;
}

}  // namespace lapheat::units
