// Files into memory.
#pragma once

#include <filesystem>
#include <string>

#include "lapheat/scenario/problems.hpp"

namespace lapheat::scenario {

/// Reads a whole file; returns the reason in words if it cannot, else an empty string. Files above
/// 256 MiB are refused: no scenario or cycle is that long, and a slip should not fill the memory.
std::string read_file(const std::filesystem::path& path, std::string& text);
/// The same, or what this reading keeps of that file.
std::string read_file(const std::filesystem::path& path, std::string& text,
                      const Problems& problems);

}  // namespace lapheat::scenario
