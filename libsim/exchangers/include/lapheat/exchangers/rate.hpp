// Rating a core outside a simulation: fluids by name of flow and inlet temperatures in, heat and
// drops out, with properties at the mean temperatures and the wall's viscosity settled.
#pragma once

#include "lapheat/exchangers/core.hpp"
#include "lapheat/fluids/liquid.hpp"

namespace lapheat::exchangers {

/// What flows on one side: a liquid, or air at a pressure and humidity.
struct Medium {
    fluids::Liquid liquid;
    bool is_air = false;
    double pressure = 101325;   ///< Pa, air only
    double humidity_ratio = 0;  ///< kg/kg dry, air only

    [[nodiscard]] fluids::Properties at(double kelvin) const noexcept;
};

[[nodiscard]] Medium liquid_medium(fluids::Liquid liquid);
[[nodiscard]] Medium air_medium(double pressure = 101325, double humidity_ratio = 0);

/// Flows (kg/s) and inlet temperatures (K) of both streams.
struct Duty {
    double first_flow = 0, first_inlet = 0;
    double second_flow = 0, second_inlet = 0;
};

struct RatedOperation {
    CoreOperation operation;
    StreamInput first, second;  ///< with the properties that were used
    bool settled = false;       ///< mean temperatures moved by less than 1e-9 K in the last round
};

/// Operates the core with properties at the arithmetic mean temperature of each stream and, for
/// liquids, the viscosity at the wall temperature. Up to 60 rounds of fixed-point iteration. Air
/// gets no property-ratio correction (small in coolers; Shah & Sekulić, section 7.6).
[[nodiscard]] RatedOperation rate(const Core& core, const Medium& first, const Medium& second,
                                  const Duty& duty);

}  // namespace lapheat::exchangers
