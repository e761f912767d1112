// Files into memory.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "lapheat/scenario/problems.hpp"

namespace lapheat::scenario {

/// Reads a whole file; returns the reason in words if it cannot, else an empty string. Files above
/// 256 MiB are refused: no scenario or cycle is that long, and a slip should not fill the memory.
std::string read_file(const std::filesystem::path& path, std::string& text);
/// Why a person's text cannot be in `text`, with what to do, and where it shows; empty if it can:
/// UTF-16 and UTF-32, single-byte encodings, results, archives, formatted documents.
struct NotText {
    std::string reason, hint;
    std::size_t line = 0, column = 0;  ///< 0: of the whole file
};
NotText not_text(std::string_view text);
/// The same, or what this reading keeps of that file.
std::string read_file(const std::filesystem::path& path, std::string& text,
                      const Problems& problems);

}  // namespace lapheat::scenario
