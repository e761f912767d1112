// Quantities written as text with their unit, to SI and back.
//
// Files and the command line speak "8 mm", "195 degF", "2.5 gal/min"; everything inside is SI.
// Unit strings go through UDUNITS-2 (Unidata), with the names that car builders use and UDUNITS
// lacks or reads otherwise (gal is the US liquid gallon, not the galileo), and with the spellings
// of spellings.hpp before it. All functions may be called from any thread. The unit database is
// loaded at the first use (about 9 ms); parsed unit strings are remembered, which changes no
// answer.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/units/error.hpp"

namespace lapheat::units {

/// What a number measures. The SI unit of each is what si_unit() returns.
enum class Quantity {
    ratio,                      ///< dimensionless; also "%" and a bare number
    temperature,                ///< K, with the offset of degC and degF
    temperature_difference,     ///< K, without the offset: 10 degF is 5.56 K
    length,                     ///< m
    area,                       ///< m²
    volume,                     ///< m³
    mass,                       ///< kg
    time,                       ///< s
    speed,                      ///< m/s
    acceleration,               ///< m/s²
    angle,                      ///< rad
    angular_speed,              ///< rad/s; "rpm" and "rev/min", not "Hz"
    volume_flow,                ///< m³/s
    mass_flow,                  ///< kg/s
    force,                      ///< N
    pressure,                   ///< Pa; whether gauge or absolute is the key's business
    power,                      ///< W
    energy,                     ///< J
    torque,                     ///< N m
    density,                    ///< kg/m³
    specific_heat,              ///< J/(kg K)
    specific_energy,            ///< J/kg
    conductivity,               ///< W/(m K)
    dynamic_viscosity,          ///< Pa s
    kinematic_viscosity,        ///< m²/s
    thermal_conductance,        ///< W/K
    thermal_resistance,         ///< K/W
    fouling_resistance,         ///< m² K/W
    heat_transfer_coefficient,  ///< W/(m² K)
    heat_capacity,              ///< J/K
    volumetric_heat_capacity,   ///< J/(m³ K)
    heat_flux,                  ///< W/m²
    per_length,                 ///< 1/m, e.g. fins: "14 1/inch"
    displacement,               ///< m³/rad, e.g. "9.6 cm3/rev"
    volume_per_energy,          ///< m³/J
    mass_per_energy,            ///< kg/J, e.g. brake specific fuel "270 g/kWh"
    per_temperature,            ///< 1/K
    frequency,                  ///< 1/s
    electric_current,           ///< A
    electric_charge,            ///< A s
    voltage,                    ///< V
    resistance,                 ///< ohm
    // The same once more where the trade measures it by other units.
    heat_flow,     ///< W, of cores, heaters, losses: Btu/h where engines have hp
    air_flow,      ///< m³/s, of fans: m³/h and ft³/min
    air_pressure,  ///< Pa, of fans and cores: Pa and inches of water
    flow_speed,    ///< m/s, of liquids and air: m/s and ft/s
    distance       ///< m, of lines, cars and courses: m and ft
};

/// Which display units a person reads.
enum class System { si, us };
/// The system called "si" or "us"; nothing for any other word.
[[nodiscard]] constexpr std::optional<System> system_named(std::string_view word) noexcept {
    if (word == "si") return System::si;
    if (word == "us") return System::us;
    return std::nullopt;
}

/// The SI value of text such as "8 mm", "195 degF", "30 %", "1,050 cfm", "3 ft 6 in", "14 fpi". A
/// number without a unit is accepted only for ratio. Throws Error that says what was found (no
/// number, no unit, an unknown unit, a wrong dimension) with expected() giving an example.
[[nodiscard]] double parse(std::string_view text, Quantity quantity);

/// The SI value of `value` in `unit` ("psi"), for tables whose columns state their unit once.
/// Throws Error as parse() does.
[[nodiscard]] double to_si(double value, std::string_view unit, Quantity quantity);

/// What a unit belongs to, e.g. "kg" → "a mass", or its base units if no Quantity matches;
/// empty for an unknown unit.
[[nodiscard]] std::string describe(std::string_view unit);

/// The SI unit as UDUNITS text, e.g. "W m-1 K-1"; "1" for ratio. Static storage.
[[nodiscard]] const char* si_unit(Quantity quantity) noexcept;

/// The handy unit a person reads, e.g. "L/min" or "gal/min"; "" for ratio. Static storage; every
/// one can be read back by parse().
[[nodiscard]] const char* display_unit(Quantity quantity, System system) noexcept;

/// `si` in display_unit(). Exact factors, no UDUNITS call.
[[nodiscard]] double to_display(double si, Quantity quantity, System system) noexcept;

/// `si` as text with its display unit, e.g. "93.3 degC", rounded to `digits` significant digits.
/// Never in exponent form between 1e-4 and 1e7. "nan" and "inf" are written as such.
[[nodiscard]] std::string format(double si, Quantity quantity, System system, int digits = 4);

/// The quantity's name for messages, e.g. "temperature difference".
[[nodiscard]] const char* name(Quantity quantity) noexcept;

/// Text that parse() reads for this quantity, e.g. "8 mm".
[[nodiscard]] const char* example(Quantity quantity) noexcept;

/// The quantity by whose units it is read: power for a heat flow, length for a distance; itself for
/// most.
[[nodiscard]] Quantity kind_of(Quantity quantity) noexcept;

/// Every quantity, in the order of the enumeration.
[[nodiscard]] const std::vector<Quantity>& all_quantities();

}  // namespace lapheat::units
