// What a builder can measure before the choice is made, and what it would have read in each draw.
#pragma once

#include <string>
#include <vector>

#include "lapheat/study/certainty.hpp"

namespace lapheat::study {

/// Draws that gave an answer for every placement.
[[nodiscard]] std::vector<std::size_t> complete_draws(const DrawTable& table);

/// The margins with what lies beyond nine of ten put at their ends. A single car that boils would
/// be most of the variance otherwise, and whatever number stood at its end in that car its cause.
[[nodiscard]] std::vector<double> nine_of_ten(std::vector<double> margins);

struct Instrument {
    std::string what, how, how_well;  ///< as in Measurement
    std::vector<double> reading;      ///< with the instrument's own error, in each of the draws
};

/// For the p-th placement and those that may beat it: air and flows at their cores, and the numbers
/// of the table that can be measured by themselves. In the order met.
[[nodiscard]] std::vector<Instrument> instruments_for(const Certainty& certainty, std::size_t p,
                                                      std::size_t served_loops,
                                                      const std::vector<std::size_t>& draws);

}  // namespace lapheat::study
