// From correlations to the table of a Liquid; used by the builders only.
#pragma once

#include <functional>

#include "lapheat/fluids/liquid.hpp"

namespace lapheat::fluids {

using Function = std::function<double(double)>;

/// What a builder knows of a liquid. Functions take kelvin and must be finite from 213 to 493 K.
struct Correlations {
    std::function<Properties(double)> properties;
    Function log_vapour_pressure;  ///< ln(Pa), 220 to 640 K, rising; empty: does not boil
    double freezing = 0;           ///< K
    double minimum = 0, maximum = 0;
};

[[nodiscard]] Liquid build(const Correlations& correlations, Info info);

/// ln(Pa) of water, IAPWS R7-97 eq. 30, continued by Clausius-Clapeyron below 273.15 K.
[[nodiscard]] double log_water_vapour_pressure(double kelvin);

/// Water's properties for the tables: a little above saturation; held below 263.15 K.
[[nodiscard]] Properties water_properties(double kelvin);

}  // namespace lapheat::fluids
