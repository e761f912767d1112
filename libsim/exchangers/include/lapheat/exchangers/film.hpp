// A core at work with the viscosities that its films have at the wall, for a few hundred
// nanoseconds: what rate() iterates to the end, in two rounds.
#pragma once

#include "lapheat/exchangers/core.hpp"
#include "lapheat/fluids/liquid.hpp"

namespace lapheat::exchangers {

/// operate() twice, without pressure drops. The first round, without a correction, finds the wall's
/// temperature; the second has each liquid's viscosity there (Sieder & Tate, see
/// ViscosityCorrection), which lowers the film of an oil that is cooled. Inlet temperatures decide
/// the wall, so both streams need theirs. A null liquid (air) gets no correction. Within 1.5 % of
/// rate()'s heat where properties are given at the same mean temperatures (tests/exchangers).
[[nodiscard]] CoreOperation operate_with_wall(const Core& core, StreamInput first,
                                              StreamInput second,
                                              const fluids::Liquid* first_liquid,
                                              const fluids::Liquid* second_liquid) noexcept;

}  // namespace lapheat::exchangers
