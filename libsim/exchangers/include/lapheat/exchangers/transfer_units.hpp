// NTU from effectiveness with its slopes, for sizing and for fits that need gradients.
#pragma once

#include "lapheat/exchangers/arrangement.hpp"

namespace lapheat::exchangers {

/// NTU and its slopes, those of the inverse function; infinite where the effectiveness has reached
/// its flat end.
struct TransferUnits {
    double value = 0;
    double by_effectiveness = 0;   ///< d(NTU) / d(effectiveness)
    double by_capacity_ratio = 0;  ///< d(NTU) / d(C*) at constant effectiveness
};

/// As ntu() of arrangement.hpp, with slopes. Throws as that does.
[[nodiscard]] TransferUnits ntu_with_slopes(const ArrangementSpec& spec, double effectiveness,
                                            double capacity_ratio,
                                            Smaller smaller = Smaller::first);

}  // namespace lapheat::exchangers
