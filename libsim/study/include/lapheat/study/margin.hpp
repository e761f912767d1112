// A margin as a builder feels it: the hottest day that the car still comes through.
#pragma once

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include "lapheat/model/simulate.hpp"

namespace lapheat::study {

struct HottestAmbient {
    double ambient = 0;         ///< K, the cycle's highest air temperature when the margin is zero
    double shift = 0;           ///< K from the cycle's own air temperatures
    std::string loop;           ///< the fluid that reaches its limit there
    std::size_t runs = 0;       ///< simulations it took
    bool beyond_range = false;  ///< holds (or fails) over the whole range: the range's end is given
};

/// Range of shifts that are tried, and how close the answer is.
struct HottestSearch {
    double coolest = -60;   ///< K of shift; kept so that no air is below −40 °C
    double hottest = 40;    ///< K of shift; kept so that no air is above 59.8 °C
    double accuracy = 0.1;  ///< K of ambient
};

/// The cycle with all air temperatures moved by `shift` K. Humidity stays relative.
[[nodiscard]] drive::Cycle shifted(const drive::Cycle& cycle, double shift);

/// Moves the cycle's air temperatures until the least margin of all loops but `left_out` is zero.
/// The margin falls by about 1 K for each kelvin of ambient, so a secant step brackets the root and
/// TOMS 748 (Alefeld, Potra & Shi 1995) closes in: four to six runs, none keeping series.
/// `known_margin` saves the run at zero shift (NaN: not known). Throws Error as simulate() does.
[[nodiscard]] HottestAmbient hottest_ambient(
    const model::Model& model, const drive::Cycle& cycle, const model::Options& options,
    const std::vector<std::string>& left_out = {},
    double known_margin = std::numeric_limits<double>::quiet_NaN(),
    const HottestSearch& search = {});

}  // namespace lapheat::study
