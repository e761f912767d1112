#include "hdf5_seal.hpp"

namespace lapheat::results::h5 {
namespace {

constexpr std::string_view mark = "\x89sealed\n";
constexpr std::size_t digest_bytes = 8;

/// FNV-1a of 64 bits (Fowler, Noll & Vo; IETF draft-eastlake-fnv). Each byte goes through a
/// one-to-one map, so one that differs always shows.
std::uint64_t digest(std::string_view bytes) {
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (const char byte : bytes) {
        hash ^= static_cast<unsigned char>(byte);
        hash *= 0x100000001b3U;
    }
    return hash;
}

}  // namespace

std::string seal_of(std::string_view file) {
    std::string out{mark};
    for (std::uint64_t hash = digest(file), i = 0; i < digest_bytes; ++i, hash >>= 8U)
        out += static_cast<char>(hash & 0xffU);
    return out;
}

std::size_t end_of(std::string_view file) {
    constexpr std::size_t version_at = 8, end_at = 28, superblock = 48;
    if (file.size() < superblock || static_cast<unsigned char>(file[version_at]) < 2) return 0;
    std::uint64_t end = 0;
    for (std::size_t i = 8; i-- > 0;)
        end = end << 8U | static_cast<unsigned char>(file[end_at + i]);
    return end <= file.size() ? end : 0;
}

Seal seal_in(std::string_view sealed) {
    const std::size_t size = mark.size() + digest_bytes;
    if (sealed.size() < size) return Seal::none;
    const std::string_view file = sealed.substr(0, sealed.size() - size),
                           seal = sealed.substr(file.size());
    if (seal.starts_with(mark)) return seal == seal_of(file) ? Seal::intact : Seal::broken;
    // Behind the end of a file of HDF5's own there is nothing but a seal, or what is left of one.
    const std::size_t end = end_of(sealed);
    return end > 0 && end < sealed.size() ? Seal::broken : Seal::none;
}

}  // namespace lapheat::results::h5
