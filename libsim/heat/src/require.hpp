#pragma once

#include <fmt/core.h>

#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::heat {

/// Throws unless low <= value <= high (false for a value that is not a number).
inline void require_within(double value, double low, double high, const char* key) {
    if (value >= low && value <= high) return;
    throw Error(fmt::format("{} is {:.6g}", key, value), fmt::format("{:.6g} to {:.6g}", low, high),
                {}, key);
}

}  // namespace lapheat::heat
