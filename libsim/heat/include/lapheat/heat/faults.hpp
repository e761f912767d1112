// What a pump does when its loop has lost liquid. The faults themselves: model/faults.hpp.
#pragma once

namespace lapheat::heat {

/// Flow factor of a centrifugal pump that draws air: 1 down to a void fraction of 3 %, then
/// straight to 0 at 15 % (common practice, no source; gas locking of radial pumps is usually seen
/// at 5 to 15 % of gas by volume, Gulich, Centrifugal Pumps, chapter 13, from memory).
double gas_handling(double void_fraction);

/// Void fraction in the loop when this part of its coolant is missing and an expansion volume (as
/// part of the coolant) has been used up first.
double void_fraction(double coolant_missing, double expansion_share);

}  // namespace lapheat::heat
