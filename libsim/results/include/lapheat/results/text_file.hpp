// Text files, written whole or not at all.
#pragma once

#include <filesystem>
#include <string_view>

namespace lapheat::results {

/// Writes beside the target and renames. Throws Error (place: the file) if that cannot be done; a
/// file that was there then stays as it was.
void write_text(const std::filesystem::path& target, std::string_view text);

}  // namespace lapheat::results
