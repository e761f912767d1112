// Humid air as an ideal-gas mixture, and the standard atmosphere.
//
// Range: -40 to 180 °C, 50 to 110 kPa, humidity ratio 0 to 0.1. Transport properties of dry air;
// water vapour at a car's humidity changes them by under 1 % (Tsilingiris 2008).
#pragma once

#include <cmath>

namespace lapheat::fluids {

struct AirState {
    double temperature = 293.15;  ///< K
    double pressure = 101325;     ///< Pa, absolute
    double humidity_ratio = 0;    ///< kg of vapour for each kg of dry air
};

inline constexpr double dry_air_gas_constant = 287.042;  ///< J/(kg K), ASHRAE Fundamentals ch. 1
inline constexpr double water_vapour_gas_constant = 461.524;  ///< J/(kg K), same

/// kg/m³ of the mixture (ASHRAE Fundamentals, ch. 1, moist air as ideal gas).
[[nodiscard]] inline double density(const AirState& a) noexcept {
    return a.pressure * (1 + a.humidity_ratio) /
           (a.temperature * (dry_air_gas_constant + a.humidity_ratio * water_vapour_gas_constant));
}

/// J/(kg K) of the mixture: dry air as a cubic in T through the ideal-gas values of Lemmon et al.
/// 2000 (within 0.05 % from 230 to 460 K), vapour 1860 J/(kg K).
[[nodiscard]] inline double specific_heat(const AirState& a) noexcept {
    const double t = a.temperature;
    const double dry = 1030.5 + t * (-0.19975 + t * 3.9734e-4);
    return (dry + a.humidity_ratio * 1860.0) / (1 + a.humidity_ratio);
}

/// Pa s. Sutherland's formula as in the standard atmosphere, ISO 2533 eq. 22.
[[nodiscard]] inline double air_viscosity(double kelvin) noexcept {
    return 1.458e-6 * kelvin * std::sqrt(kelvin) / (kelvin + 110.4);
}

}  // namespace lapheat::fluids
