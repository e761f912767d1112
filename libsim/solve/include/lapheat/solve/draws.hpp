// Points that fill the unit cube evenly: Sobol' points (Sobol' 1967; direction numbers of Joe & Kuo
// 2008 as Boost.Random carries them) under nested uniform scrambling (Owen 1995, "Randomly permuted
// (t,m,s)-nets and (t,s)-sequences"). Each coordinate of each point is uniform in (0, 1) over the
// keys, and any first 2^m points hold one in each of 2^m equal intervals of every coordinate.
//
// A point depends on its index, its coordinate and that coordinate's key alone: on any thread, in
// any order, as one run or resumed, the same bits.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

namespace lapheat::solve {

/// A well mixed 64-bit number of `x` (finalizer of SplitMix64: Steele, Lea & Flood 2014).
[[nodiscard]] std::uint64_t mixed(std::uint64_t x) noexcept;
/// The same of a number and a name: a key for a coordinate that stays the same whatever others there
/// are.
[[nodiscard]] std::uint64_t mixed(std::uint64_t first, std::string_view name) noexcept;

/// Immutable; may be read from all threads. For few coordinates: of fifty in a hundred points many a
/// pair lies on few lines (the one's quarter tells the other's, whatever the scrambling), and what
/// one number does then shows as the doing of its twin. For those: SpreadPoints.
class ScrambledPoints {
  public:
    /// One coordinate for each key. Throws Error for more than most_dimensions.
    explicit ScrambledPoints(std::vector<std::uint64_t> keys);

    static constexpr std::size_t most_dimensions = 3667;

    [[nodiscard]] std::size_t dimensions() const noexcept { return keys_.size(); }
    /// The index-th point into `out`, which has dimensions() places; each in (0, 1).
    void point(std::uint32_t index, std::span<double> out) const noexcept;

  private:
    std::vector<std::uint64_t> keys_;
    std::vector<std::uint32_t> directions_;  ///< [bit of the index][coordinate]
};

/// Points of many coordinates: each block of 64 is a Latin hypercube (McKay, Beckman & Conover,
/// Technometrics 21, 1979, 239), one point in each of 64 equal intervals of every coordinate, paired
/// at random; and the blocks are nested (the idea of Qian, Biometrika 96, 2009, 957), so that of any
/// first 64·2^m points one lies in each of 64·2^m intervals. As with ScrambledPoints each coordinate
/// is uniform in (0, 1) over the keys, and the same bits whatever else there is. Immutable.
class SpreadPoints {
  public:
    explicit SpreadPoints(std::vector<std::uint64_t> keys = {}) : keys_(std::move(keys)) {}

    static constexpr std::uint32_t block = 64;

    [[nodiscard]] std::size_t dimensions() const noexcept { return keys_.size(); }
    /// The index-th point into `out`, which has dimensions() places; each in (0, 1).
    void point(std::uint32_t index, std::span<double> out) const noexcept;

  private:
    std::vector<std::uint64_t> keys_;
};

}  // namespace lapheat::solve
