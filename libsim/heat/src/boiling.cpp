#include <algorithm>
#include <cmath>
#include <lapheat/heat/boiling.hpp>

namespace lapheat::heat {

double evaporation_heat(double kelvin) {
    constexpr double critical = 647.096, reference = 373.15;  // K
    return 2257e3 * std::pow(std::max(0.0, critical - kelvin) / (critical - reference), 0.38);
}

double head_left(double ratio) {
    constexpr double at[] = {0, 0.5, 1, 1.3};
    constexpr double left[] = {0.1, 0.2, 0.97, 1};
    if (ratio <= at[0]) return left[0];
    for (int i = 1; i < 4; ++i)
        if (ratio < at[i])
            return left[i - 1] +
                   (left[i] - left[i - 1]) * (ratio - at[i - 1]) / (at[i] - at[i - 1]);
    return 1;
}

}  // namespace lapheat::heat
