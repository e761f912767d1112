// How long a transmission fluid lasts, and the limits a report holds temperatures against.
#pragma once

#include <span>
#include <string>

namespace lapheat::heat {

/// Life is halved for each `halving` kelvin above `reference` (and doubled below): common
/// practice, no source. The constant `reference_life` only scales "hours left".
struct FluidLife {
    double reference = 366.15;  ///< K, 93 degC
    double halving = 11;        ///< K
    double reference_life =
        3.4e6;                   ///< s at the reference, about 940 h (common practice, no source)
    double cooler_limit = 8;     ///< most that a cool fluid's life is multiplied by
    double least = 1, most = 1;  ///< parts of reference_life that sources leave open
};

/// What seals and clutch facings stand, in the same form: so long at one temperature, halved for
/// each 10 K above (Arrhenius' rule of thumb, common practice). The temperature is that of the type
/// of rubber by ASTM D2000 / SAE J200 (from memory): after 70 h there it has lost no more than 30 %
/// of its strength and half of its stretch.
///   transmission  type D, 150 degC, polyacrylate. Range 30 h to 700 h there: a table copied
///                 everywhere ends at 40 miles at 199 degC and half an hour at 213 degC, 30 to 40 h
///                 by this rule; fluids pass 300 h and 450 h at 163 degC in a running transmission
///                 (descriptions of two makers' oxidation tests), 740 h and more.
///   steering      type C, 125 degC, between nitrile (type B, 100 degC) and hydrogenated nitrile
///                 (type D): a factor of six either way.
[[nodiscard]] FluidLife transmission_seals();
[[nodiscard]] FluidLife steering_seals();

/// K above which a transmission is ruined while one looks on: 200 degC. The paper of its clutch
/// facings chars from there on, and no halving rule reaches further (common practice, no source).
inline constexpr double ruined_above = 473.15;

/// Life used up in a second, over that at the reference: 2^((T - reference) / halving), not less
/// than 1/cooler_limit. Integrate it to get equivalent seconds at the reference.
double aging_rate(const FluidLife& life, double temperature);

/// Part of the fluid's life used by a temperature record (s, K), straight between points.
double life_used(const FluidLife& life, std::span<const double> time,
                 std::span<const double> temperature);

/// s for which it lasts at one temperature (K).
double stands(const FluidLife& life, double temperature);

/// Moment (s) at which a record has used it all up; negative: it has not.
double used_up(const FluidLife& life, std::span<const double> time,
               std::span<const double> temperature);

/// A limit and why. Temperatures in K.
struct Limit {
    double caution = 0;
    double limit = 0;
    double peak = 0;             ///< allowed for seconds; 0: same as the limit
    double boiling_reserve = 0;  ///< K to stay below boiling; the limit then follows the pressure
    std::string note;
};
Limit coolant_limit();       ///< by its own boiling point at local pressure
Limit transmission_limit();  ///< sump
Limit steering_limit();      ///< reservoir
Limit engine_oil_limit();    ///< sump

}  // namespace lapheat::heat
