// Numbers in this room's sentences.
#pragma once

#include <fmt/core.h>

#include <string>

namespace lapheat::exchangers {

/// To so many significant digits.
inline std::string text(double value, int digits = 3) {
    return fmt::format("{:.{}g}", value, digits);
}

}  // namespace lapheat::exchangers
