#pragma once

#include <lapheat/units/diagnostic.hpp>
#include <lapheat/units/error.hpp>

#include <algorithm>
#include <string>

namespace lapheat::heat {

/// Throws, with all three in `what`'s units, unless low <= value <= high (false for a value that is
/// not a number).
inline void require_within(double value, double low, double high, const char* key,
                           units::Quantity what = units::Quantity::ratio) {
    if (value >= low && value <= high) return;
    std::string spoken(key);
    std::replace(spoken.begin(), spoken.end(), '_', ' ');
    throw Error(
        Diagnostic{Code::out_of_range, {}, {spoken}, {{value, what}, {low, what}, {high, what}}},
        {}, key);
}

}  // namespace lapheat::heat
