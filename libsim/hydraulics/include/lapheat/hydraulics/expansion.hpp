// The expansion volume and its cap: the pressure of a closed loop from the gas that is left as
// the liquid swells. All pressures absolute unless called gauge.
#pragma once

#include <string>
#include <string_view>

namespace lapheat::hydraulics {

struct ExpansionVolume {
    double gas_volume = 0;             ///< m³ of gas when the loop was filled
    double fill_pressure = 101325;     ///< Pa, absolute
    double fill_temperature = 293.15;  ///< K
    double cap_pressure = 0;           ///< Pa gauge at which the cap opens; 0: open to the air
    double vacuum_pressure = 7e3;      ///< Pa below ambient at which the cap lets air (or the
                                       ///< overflow's liquid) back in (common practice, no source)
};

/// What the gas space holds; changes only when the cap opens.
struct GasContent {
    double amount = 0;  ///< J/K: pressure times volume over temperature of the dry gas
};

/// As filled: liquid cold, gas at the filling pressure less the vapour's (Pa).
GasContent fill(const ExpansionVolume& tank, double vapour_pressure_at_fill = 0);

/// m³ by which a mass of liquid (kg) swells from a density to another (kg/m³). For a loop with
/// parts at several temperatures, add the parts.
double swelling(double mass, double density_at_fill, double density_now);

struct SystemPressure {
    double pressure = 0;       ///< Pa, absolute, in the tank
    GasContent gas;            ///< after the cap has done its work
    bool cap_open = false;     ///< gas (or liquid) blew off
    bool vacuum_open = false;  ///< air came in
    bool overfilled = false;   ///< the liquid has no gas left: it is pushed out through the cap
    double gas_volume = 0;     ///< m³ left
};

/// Pressure at a swelling (m³), gas temperature (K), vapour pressure of the liquid there (Pa) and
/// ambient pressure (Pa): ideal gas and vapour by Dalton's law, held between the cap's opening
/// and the vacuum valve's. A gas space below 2 % of the filled one counts as none.
SystemPressure system_pressure(const ExpansionVolume& tank, const GasContent& gas, double swelling,
                               double gas_temperature, double vapour_pressure,
                               double ambient_pressure);

/// Throws lapheat::Error if the cap opens above what the weakest part bears (Pa gauge).
void check_cap(double cap_pressure, double rating, std::string_view rated_part);

}  // namespace lapheat::hydraulics
