// A seal behind an HDF5 file's own end, where readers of HDF5 do not look: a checksum of all that
// is before it, so that damage is found before the library goes through what was damaged.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

namespace lapheat::results::h5 {

/// Where a file of HDF5 ends by its superblock (of version 2 and on); 0 if that is not to be had
/// from these bytes.
[[nodiscard]] std::size_t end_of(std::string_view file);

/// The 16 bytes to put behind `file`.
[[nodiscard]] std::string seal_of(std::string_view file);

enum class Seal : std::uint8_t {
    none,    ///< written by another program, or by a version before
    intact,  ///< all bytes are those that were sealed
    broken,
};
[[nodiscard]] Seal seal_in(std::string_view sealed);

/// How many texts each heap of the file holds, by where it begins. None if one does not add up
/// (HDF5 File Format Specification 3.0, III.E, Global Heap): the library goes through these without
/// looking, and no checksum of its own is on them. For files that have no seal, or one that was
/// made for what is wrong.
using Heaps = std::unordered_map<std::uint64_t, std::uint64_t>;
[[nodiscard]] std::optional<Heaps> heaps_in(std::string_view file);

/// False if one of `references`, end to end as a dataset of texts holds them (VIII.B of the same:
/// four bytes of length, eight of a heap's address, four of a text's number there), leads nowhere:
/// the library follows it all the same.
[[nodiscard]] bool lead_to_texts(std::string_view references, const Heaps& heaps);

}  // namespace lapheat::results::h5
