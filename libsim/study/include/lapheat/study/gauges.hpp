// What a driver's gauges should show, so that a car that runs can be held against its estimate at a
// glance, before any log is written.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lapheat/study/compare.hpp"

namespace lapheat::study {

/// One fluid of one placement in one cycle, where its limit is watched.
struct GaugeReading {
    std::string cycle, loop, part;
    double low = 0, high = 0;  ///< K, between which it stays for eight tenths of the cycle
    double most = 0;           ///< K, highest; with draws what one car in twenty passes
    bool drawn = false;        ///< low and high are of the middle car, not of the one as written
};

/// Readings of the p-th placement, cycle by cycle, its loops in order; of results without series,
/// and of fluids without a limit, none. Throws std::out_of_range for a placement that is not there.
[[nodiscard]] std::vector<GaugeReading> gauge_readings(const Comparison& comparison, std::size_t p);

}  // namespace lapheat::study
