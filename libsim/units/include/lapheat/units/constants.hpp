// Numbers of nature and of definitions that several rooms use, each in one place.
#pragma once

namespace lapheat::constants {

inline constexpr double gravity = 9.80665;                  ///< m/s², standard, ISO 80000-3
inline constexpr double stefan_boltzmann = 5.670374419e-8;  ///< W/(m² K⁴), CODATA 2018
inline constexpr double zero_celsius = 273.15;              ///< K
inline constexpr double standard_pressure = 101325;         ///< Pa, ISO 2533 at sea level

// Exact by definition: inch, pound, US gallon (NIST SP 811, appendix B); Btu and inch of water as
// given there.
inline constexpr double inch = 0.0254, foot = 12 * inch, mile = 5280 * foot;           ///< m
inline constexpr double gallon = 231 * inch * inch * inch;                             ///< m³
inline constexpr double pound = 0.45359237;                                            ///< kg
inline constexpr double pound_force = pound * gravity;                                 ///< N
inline constexpr double psi = pound_force / (inch * inch), inch_of_water = 249.08891;  ///< Pa
inline constexpr double horsepower = 550 * foot * pound_force;                         ///< W
inline constexpr double btu = 1055.05585262;                                           ///< J

}  // namespace lapheat::constants
