#include "lapheat/units/text.hpp"

#include <algorithm>

namespace lapheat::units {

std::string_view trimmed(std::string_view text) noexcept {
    constexpr std::string_view blank = " \t\r\n\v\f";
    const std::size_t begin = text.find_first_not_of(blank);
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(blank) - begin + 1);
}

std::string lowered(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(), lower);
    return out;
}

}  // namespace lapheat::units
