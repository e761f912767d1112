// Values from a reference library, asked for in the same run.
#pragma once

#include <array>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

namespace lapheat::validation {

/// Runs a command that prints one JSON object and returns it. A missing library fails the check:
/// a comparison that did not happen must not look like one that passed.
inline nlohmann::json reference(const std::string& command) {
    FILE* pipe = popen((command + " 2>&1").c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("cannot run '" + command + "'");
    std::string text;
    std::array<char, 4096> buffer{};
    while (std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe))
        text.append(buffer.data(), n);
    if (pclose(pipe) != 0)
        throw std::runtime_error("'" + command +
                                 "' failed; ./run.sh installs the reference libraries. It said:\n" +
                                 text);
    return nlohmann::json::parse(text);
}

inline std::string here(const char* file) {
    return std::string(LAPHEAT_SOURCE_DIR) + "/validation/fluids/" + file;
}

}  // namespace lapheat::validation
