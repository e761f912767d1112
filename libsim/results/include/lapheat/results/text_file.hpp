// Files that appear whole or not at all: the one way out of this library onto a disk.
#pragma once

#include <filesystem>
#include <string_view>

namespace lapheat::results {

/// Puts `bytes` in the place of `target`: into a file of a chance name beside it, which nobody else
/// can have made or linked, onto the disk, then renamed; the folder is synced too. A link is
/// followed. What writers that were killed have left in the folder goes. Throws Error
/// (place: the file) for a folder or target that cannot be written to, of code run_failed if the
/// disk refuses (full, too large, gone); a file that was there is then as it was, and nothing is
/// left.
void write_whole(const std::filesystem::path& target, std::string_view bytes);

/// Throws what write_whole would of a folder that is not there or cannot be written to, and of a
/// target that is no regular file: to be asked before work that takes long.
void require_writable(const std::filesystem::path& target);

}  // namespace lapheat::results
