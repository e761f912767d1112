// Fluids that the tests of rated cores share.
#pragma once

#include "lapheat/exchangers/rate.hpp"
#include "lapheat/fluids/liquids.hpp"

namespace lapheat::exchangers {

inline const Medium oil = liquid_medium(fluids::by_name("transmission_fluid"));
inline const Medium coolant = liquid_medium(fluids::ethylene_glycol(0.5));
inline const Medium air = air_medium();

}  // namespace lapheat::exchangers
