// Several cross-flow passes in series whose streams do not mix between the passes.
//
// In one pass the temperature profile with which a stream leaves is a linear operator on the
// profiles with which both entered; the kernels are Anzelius' (1926) Bessel functions for two
// unmixed streams, exponentials when one stream is mixed. On Gauss-Legendre nodes the operators
// are small matrices with errors that fall faster than any power; the passes are then coupled in
// one linear system.
#pragma once

#include "dual.hpp"
#include "lapheat/exchangers/arrangement.hpp"

namespace lapheat::exchangers {

/// NTU of one pass above which the result stays at its last value.
inline constexpr double pass_ntu_limit = 60;

/// Spec: cross_counter or cross_parallel with unmixed coupling. NTU = 0 is not for this.
double unmixed_passes(const ArrangementSpec& spec, double ntu, double capacity_ratio,
                      Smaller smaller);
Dual unmixed_passes(const ArrangementSpec& spec, Dual ntu, Dual capacity_ratio, Smaller smaller);

}  // namespace lapheat::exchangers
