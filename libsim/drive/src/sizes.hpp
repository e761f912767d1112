// How much a drive may hold. A slip in a file (a year, a crawl's acceleration) is then told, where it
// would take all memory.
#pragma once

#include <cstddef>

namespace lapheat::drive {

inline constexpr std::size_t most_knots = 2'000'000;       ///< of a cycle: 23 days at 1 Hz
inline constexpr double longest_course = 200e3;            ///< m
inline constexpr std::size_t most_course_points = 50'000;  ///< given, or in its steps

}  // namespace lapheat::drive
