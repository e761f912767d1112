// What a fluid must stay below.
#pragma once

#include <string>

namespace lapheat::model {

/// Limits of a fluid, absolute kelvin unless said otherwise, each with the note a report shows.
struct Limits {
    double caution = 0;          ///< K
    double limit = 0;            ///< K; 0 with `boiling_reserve` set: the boiling point rules
    double boiling_reserve = 0;  ///< K below boiling at the local pressure
    std::string part;            ///< part whose temperature counts; empty: the hottest
    std::string note;
};

}  // namespace lapheat::model
