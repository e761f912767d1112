#include "lapheat/solve/draws.hpp"

#include <fmt/core.h>

#include <array>
#include <boost/random/sobol.hpp>
#include <utility>

#include "lapheat/units/error.hpp"

namespace lapheat::solve {
namespace {

constexpr unsigned bits = 32;

/// Turns each bit of `x` over or not as the bits above it and the key say: a random binary tree of
/// swaps whose node, the leading bits with a 1 ahead, is hashed in place of being stored.
std::uint32_t scrambled(std::uint32_t x, std::uint64_t key) noexcept {
    std::uint32_t out = x;
    for (unsigned b = 0; b < bits; ++b) {
        const std::uint64_t leading = std::uint64_t{x} >> (bits - b);
        const std::uint64_t node = (std::uint64_t{1} << b) | leading;
        out ^= static_cast<std::uint32_t>(mixed(key ^ mixed(node)) >> 63) << (bits - 1 - b);
    }
    return out;
}

/// The bits of `x` from the other end.
std::uint32_t reversed(std::uint32_t x) noexcept {
    std::uint32_t out = 0;
    for (unsigned b = 0; b < bits; ++b) out |= (x >> b & 1u) << (bits - 1 - b);
    return out;
}

/// Where the j-th goes in a random order of a block (Fisher & Yates).
std::uint32_t place_of(std::uint32_t j, std::uint64_t key) noexcept {
    std::array<std::uint8_t, SpreadPoints::block> order{};
    for (std::uint32_t i = 0; i < SpreadPoints::block; ++i) {
        const auto at = static_cast<std::uint32_t>(mixed(key ^ mixed(i)) % (i + 1));
        order[i] = order[at];
        order[at] = static_cast<std::uint8_t>(i);
    }
    return order[j];
}

}  // namespace

std::uint64_t mixed(std::uint64_t x) noexcept {
    x += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    return x ^ (x >> 31);
}

std::uint64_t mixed(std::uint64_t first, std::string_view name) noexcept {
    std::uint64_t h = mixed(first);
    for (const char c : name) h = mixed(h ^ static_cast<unsigned char>(c));
    return h;
}

ScrambledPoints::ScrambledPoints(std::vector<std::uint64_t> keys) : keys_(std::move(keys)) {
    if (keys_.size() > most_dimensions)
        throw Error("too many uncertain numbers to draw",
                    fmt::format("at most {}", most_dimensions));
    if (keys_.empty()) return;
    using Engine = boost::random::sobol_engine<std::uint32_t, bits>;
    // Boost counts points in Gray code from the one after the origin: its point 2^(b+1) - 2 is the
    // direction number of bit b alone.
    for (unsigned b = 0; b < bits; ++b) {
        Engine engine(keys_.size());
        engine.discard(((std::uint64_t{2} << b) - 2) * keys_.size());
        for (std::size_t d = 0; d < keys_.size(); ++d) directions_.push_back(engine());
    }
}

void ScrambledPoints::point(std::uint32_t index, std::span<double> out) const noexcept {
    const std::size_t n = keys_.size();
    for (std::size_t d = 0; d < n; ++d) {
        std::uint32_t x = 0;
        for (unsigned b = 0; b < bits && (index >> b) != 0; ++b)
            if (((index >> b) & 1u) != 0) x ^= directions_[b * n + d];
        // The middle of its interval of 2^-32, so that neither 0 nor 1 is met.
        out[d] = (static_cast<double>(scrambled(x, keys_[d])) + 0.5) * 0x1p-32;
    }
}

void SpreadPoints::point(std::uint32_t index, std::span<double> out) const noexcept {
    const std::uint32_t round = index / block;
    for (std::size_t d = 0; d < keys_.size(); ++d) {
        const std::uint32_t interval = place_of(index % block, mixed(keys_[d] ^ mixed(round)));
        // Within it the rounds halve what is left, each interval in an order of its own.
        const std::uint32_t within =
            scrambled(reversed(round), mixed(keys_[d] ^ mixed(block + std::uint64_t{interval})));
        out[d] = (interval + (static_cast<double>(within) + 0.5) * 0x1p-32) / block;
    }
}

}  // namespace lapheat::solve
