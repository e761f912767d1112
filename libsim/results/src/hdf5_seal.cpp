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

/// `bytes` of them at `at`, the lowest first.
std::uint64_t number(std::string_view file, std::size_t at, std::size_t bytes) {
    std::uint64_t out = 0;
    for (std::size_t i = bytes; i-- > 0;)
        out = out << 8U | static_cast<unsigned char>(file[at + i]);
    return out;
}

/// Objects of one heap from its signature on: end to end, numbered from 1 without gaps, then what
/// is free. None if it does not add up.
std::optional<std::uint64_t> objects_of(std::string_view heap) {
    constexpr std::size_t size_at = 8, first = 16, head = 16;
    if (heap.size() < first) return {};
    const std::uint64_t size = number(heap, size_at, 8);
    if (size < first || size > heap.size()) return {};
    std::uint64_t objects = 0;
    for (std::size_t at = first; size - at >= head;) {
        const std::uint64_t index = number(heap, at, 2), length = number(heap, at + 8, 8);
        if (index == 0) {
            if (length != size - at) return {};
            break;
        }
        if (index != ++objects || length > size - at - head) return {};
        const std::uint64_t padded = head + (length + 7) / 8 * 8;
        if (padded > size - at) return {};
        at += padded;
    }
    return objects;
}

}  // namespace

std::optional<Heaps> heaps_in(std::string_view file) {
    using namespace std::string_view_literals;
    constexpr std::string_view signature = "GCOL\1\0\0\0"sv;
    Heaps out;
    for (std::size_t at = file.find(signature); at != std::string_view::npos;
         at = file.find(signature, at + 1)) {
        const std::optional<std::uint64_t> objects = objects_of(file.substr(at));
        if (!objects) return {};
        out[at] = *objects;
    }
    return out;
}

bool lead_to_texts(std::string_view references, const Heaps& heaps) {
    constexpr std::size_t reference = 16, address_at = 4, number_at = 12;
    for (std::size_t at = 0; at + reference <= references.size(); at += reference) {
        const std::uint64_t address = number(references, at + address_at, 8);
        if (address == 0) continue;  // of no text
        const auto heap = heaps.find(address);
        const std::uint64_t object = number(references, at + number_at, 4);
        if (heap == heaps.end() || object == 0 || object > heap->second) return false;
    }
    return true;
}

std::string seal_of(std::string_view file) {
    std::string out{mark};
    for (std::uint64_t hash = digest(file), i = 0; i < digest_bytes; ++i, hash >>= 8U)
        out += static_cast<char>(hash & 0xffU);
    return out;
}

std::size_t end_of(std::string_view file) {
    constexpr std::size_t version_at = 8, end_at = 28, superblock = 48;
    if (file.size() < superblock || static_cast<unsigned char>(file[version_at]) < 2) return 0;
    const std::uint64_t end = number(file, end_at, 8);
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
