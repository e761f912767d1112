// What --map says, for every verb that reads a logger's file.
#pragma once

#include <string>
#include <vector>

#include "lapheat/scenario/log.hpp"

namespace lapheat::app {

/// From "coolant=ECT (degC)"; "coolant=" leaves the signal out. Throws Error for one without '='.
[[nodiscard]] inline scenario::LogOptions log_options(const std::vector<std::string>& map) {
    scenario::LogOptions out;
    for (const std::string& one : map) {
        const std::size_t at = one.find('=');
        if (at == std::string::npos || at == 0)
            throw Error("--map: found \"" + one + "\"", "SIGNAL=COLUMN, such as \"coolant=ECT\"");
        out.map[one.substr(0, at)] = one.substr(at + 1);
    }
    return out;
}

}  // namespace lapheat::app
