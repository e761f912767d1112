// What boiling and cavitation do: heat that vapour carries off, liquid that is gone, head that a
// starved pump has left.
#pragma once

namespace lapheat::heat {

/// J/kg that water takes to evaporate at a temperature (K); a glycol mix gives off all but water.
/// Watson's relation through 2257 kJ/kg at 373.15 K, exponent 0.38 (Poling, Prausnitz & O'Connell,
/// The Properties of Gases and Liquids): within 1 % of the steam tables from 350 to 415 K, 1.5 % to
/// 435 K.
double evaporation_heat(double kelvin);

/// Time constant (s) in which liquid above its boiling point gives its excess to vapour: fast
/// against all else in a loop, so that it stays within a kelvin or two of boiling.
inline constexpr double boiling_lag = 0.5;

/// Part of a centrifugal pump's head that is left with available over required net positive suction
/// head. 1 from 1.3 on; 0.97 at 1, which is how the requirement is defined (3 % of head lost,
/// ISO 9906); then the head breaks away, 0.2 left at 0.5 and 0.1 at nothing (assumption: break-off
/// curves of makers differ, 0.3 to 0.8 for 0.2 left). Straight in between, never rising as the
/// ratio falls.
double head_left(double available_over_required);

}  // namespace lapheat::heat
