// Where a temperature is heading when its cycle ends.
#pragma once

#include <vector>

namespace lapheat::model {

/// The end of a record.
struct Ending {
    double rate = 0;   ///< K/s, positive: still rising; 0: it is not
    double limit = 0;  ///< K it approaches; 0: none can be told
};

/// Takes the highest of three equal windows at the end of the record, each a sixth of it (60 s to
/// 10 min), M1, M2, M3: peaks and not means, so that laps and waits do not count as a trend. Rising
/// if M1 <= M2 < M3 by more than 0.3 K and M3 is the highest of all. Three points of an exponential
/// approach at equal distance have the ratio q = (M3 - M2) / (M2 - M1), and go to
/// M3 + (M3 - M2) q / (1 - q); with q of 0.9 or more that says nothing, and none is given. Rate is
/// (M3 - M2) over a window. Empty for records shorter than 3 min.
Ending ending_of(const std::vector<double>& time, const std::vector<double>& temperature);

}  // namespace lapheat::model
