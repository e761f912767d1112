// Cross-flow with both streams unmixed, exactly.
//
// With A and B Poisson numbers of means a = NTU and b = C* NTU, Mason's (1954) double series reads
//     effectiveness = sum over n of Pr(A > n) Pr(B > n) / b = E[min(A, B)] / b,
// a sum of positive terms that converges like 1/n!². For large NTU its complement
//     1 - effectiveness = E[max(B - A, 0)] / b
// is a contour integral of the generating function of B - A around the circle |z| = r > 1, which
// the trapezoidal rule (Trefethen & Weideman, SIAM Review 56, 2014, 385) takes with about 40
// points at any NTU.
#pragma once

#include "dual.hpp"

namespace lapheat::exchangers {

double cross_unmixed(double ntu, double capacity_ratio);
Dual cross_unmixed(Dual ntu, Dual capacity_ratio);

}  // namespace lapheat::exchangers
