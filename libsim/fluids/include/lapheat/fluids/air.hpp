// Humid air as an ideal-gas mixture, and the standard atmosphere.
//
// Range of everything here: -50 to 200 °C, 30 to 110 kPa, humidity ratio 0 to 0.1. Viscosity and
// conductivity are those of dry air: water vapour at a car's humidity lowers them by about 1 %
// (Tsilingiris, Energy Conversion and Management 49 (2008) 1098). Real-gas effects at 1 atm are
// below 0.2 %. Hot functions are inline and allocate nothing.
#pragma once

#include <cmath>
#include "lapheat/solve/relation.hpp"

namespace lapheat::fluids {

struct AirState {
    double temperature = 293.15;  ///< K
    double pressure = 101325;     ///< Pa, absolute
    double humidity_ratio = 0;    ///< kg of vapour for each kg of dry air
};

inline constexpr double dry_air_gas_constant = 287.042;  ///< J/(kg K), ASHRAE Fundamentals, ch. 1
inline constexpr double water_vapour_gas_constant = 461.524;  ///< J/(kg K), same

/// kg/m³ of the mixture (ASHRAE Fundamentals, ch. 1, ideal-gas relations).
[[nodiscard]] inline double density(const AirState& a) noexcept {
    return solve::perturbed(solve::Relation::air_density,
                            a.pressure * (1 + a.humidity_ratio) /
                                (a.temperature * (dry_air_gas_constant +
                                                  a.humidity_ratio * water_vapour_gas_constant)));
}

/// J/(kg K) of the mixture. Dry air: a cubic through the ideal-gas heat capacity of Lemmon,
/// Jacobsen, Penoncello & Friend, J. Phys. Chem. Ref. Data 29 (2000) 331, within 0.01 %; vapour
/// 1860 J/(kg K) as in ASHRAE Fundamentals, ch. 1.
[[nodiscard]] inline double specific_heat(const AirState& a) noexcept {
    const double t = a.temperature / 300;
    const double dry = 1012.91990 + t * (-24.6998983 + t * (10.4923973 + t * 6.29277008));
    return solve::perturbed(solve::Relation::air_specific_heat,
                            (dry + a.humidity_ratio * 1860) / (1 + a.humidity_ratio));
}

/// Pa s, dynamic. A cubic through the correlation of Lemmon & Jacobsen, Int. J. Thermophysics 25
/// (2004) 21, at 1 atm, within 0.02 % of it; 1 %.
[[nodiscard]] inline double viscosity(const AirState& a) noexcept {
    const double t = a.temperature / 300;
    return solve::perturbed(
        solve::Relation::air_viscosity,
        1e-5 * (0.011681678 + t * (2.3283186 + t * (-0.57721978 + t * 0.090942831))));
}

/// W/(m K). Likewise, of the same paper; 2 %.
[[nodiscard]] inline double conductivity(const AirState& a) noexcept {
    const double t = a.temperature / 300;
    return solve::perturbed(
        solve::Relation::air_conductivity,
        -5.8632284e-4 + t * (0.032710665 + t * (-6.8021033e-3 + t * 1.0620951e-3)));
}

[[nodiscard]] inline double prandtl(const AirState& a) noexcept {
    return viscosity(a) * specific_heat(a) / conductivity(a);
}

/// m²/s.
[[nodiscard]] inline double kinematic_viscosity(const AirState& a) noexcept {
    return viscosity(a) / density(a);
}

/// Dry air at a geopotential altitude (m, -2000 to 11 000, clamped) after ISO 2533, its temperature
/// shifted by `warmer` (K) at the same pressure, as on a hot day.
[[nodiscard]] AirState standard_atmosphere(double altitude, double warmer = 0);

/// Pa over liquid water (over ice below 273.15 K), Hyland & Wexler 1983 as in ASHRAE Fundamentals,
/// ch. 1, eq. 5 and 6. 173 to 473 K, clamped.
[[nodiscard]] double saturation_pressure(double kelvin) noexcept;

/// kg/kg at a relative humidity 0…1 (clamped). Above boiling the air can be all vapour: the
/// vapour's share of the pressure is held below one half. ASHRAE Fundamentals, ch. 1.
[[nodiscard]] double humidity_ratio(double kelvin, double pressure,
                                    double relative_humidity) noexcept;

/// 0…1 and above when supersaturated.
[[nodiscard]] double relative_humidity(const AirState& a) noexcept;

/// Air of a day: ambient temperature, altitude and relative humidity.
[[nodiscard]] AirState ambient_air(double kelvin, double altitude, double relative_humidity);

/// True inside the range that the top of this file states.
[[nodiscard]] bool in_range(const AirState& a) noexcept;

}  // namespace lapheat::fluids
