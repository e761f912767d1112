// Series to so many bits as they are worth.
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

namespace lapheat::results {

/// Rounds to the nearest with `bits` of the mantissa left, ties to even (Klöwer et al., Nature
/// Computational Science 1 (2021) 713, from memory); what is not finite stays as it is.
inline std::vector<float> keep_bits(std::span<const double> values, int bits) {
    const std::uint32_t dropped = 23U - static_cast<std::uint32_t>(bits);
    std::vector<float> out;
    out.reserve(values.size());
    for (const double value : values) {
        const auto x = static_cast<float>(value);
        auto word = std::bit_cast<std::uint32_t>(x);
        if (dropped > 0 && std::isfinite(x)) {
            const std::uint32_t half = (1U << (dropped - 1)) - 1 + ((word >> dropped) & 1U);
            word = (word + half) & ~((1U << dropped) - 1);
        }
        out.push_back(std::bit_cast<float>(word));
    }
    return out;
}

}  // namespace lapheat::results
