#include <algorithm>
#include <lapheat/heat/faults.hpp>

namespace lapheat::heat {

double gas_handling(double fraction) {
    return std::clamp((0.15 - fraction) / (0.15 - 0.03), 0.0, 1.0);
}

double void_fraction(double coolant_missing, double expansion_share) {
    return std::clamp(coolant_missing - expansion_share, 0.0, 1.0);
}

}  // namespace lapheat::heat
