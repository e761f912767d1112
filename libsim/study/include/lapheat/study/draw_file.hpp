// A table of draws as HDF5, to be gone on from and to be looked at by other means: xarray opens it
// as one data set over draw, number and outcome.
//
//   /draw                 int, a scale; /number (names), /outcome (int): the other two
//   /of, /origin, /stated, /low, /high   of each number: whose, yours, derived or assumed, the
//                         value as it stands, and the ends that nine of ten draws lie between (SI)
//   /in                   over number and place (int, a scale, in the order of the attribute): 1
//                         where that placement's car has the number
//   /value, /share        over draw and number: what was drawn (SI), and the share of cases below
//   /placement, /cycle, /loop            of each outcome
//   /margin, /peak (K), /air_rise (K), /air_flow (kg/s), /flow (m3/s), /holds (0, 1)
//                         over draw and outcome; not a number where there is none
//   /course               K of what is watched, over course_number (draw and outcome, the outcome
//                         fastest) and step (evenly over the cycle); /duration (s) of each outcome
//   /failed_draw, /failed_placement, /failed_cycle, /failed_what   over the scale `failure`
//   attributes            series, fingerprint, placements, cycles, loops
#pragma once

#include <filesystem>

#include "lapheat/study/draw_table.hpp"

namespace lapheat::study {

/// Whole or not at all. Throws Error.
void write_draws(const std::filesystem::path& target, const DrawTable& table);

/// What write_draws() wrote; the numbers come without their distributions, which add_draws() puts
/// back. Throws Error for a file that cannot be read or holds something else.
[[nodiscard]] DrawTable read_draws(const std::filesystem::path& file);

}  // namespace lapheat::study
