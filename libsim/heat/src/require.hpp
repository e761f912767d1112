#pragma once

#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::heat {

/// Throws unless low <= value <= high (false for a value that is not a number).
inline void require_within(double value, double low, double high, const char* key) {
    if (value >= low && value <= high) return;
    const auto text = [](double v) {
        std::string s = std::to_string(v);
        if (v != 0 && (v < 1e-3 && v > -1e-3)) {
            char buffer[32];
            std::snprintf(buffer, sizeof buffer, "%.3g", v);
            s = buffer;
        }
        return s;
    };
    throw Error(std::string(key) + " is " + text(value), text(low) + " to " + text(high), {}, key);
}

}  // namespace lapheat::heat
