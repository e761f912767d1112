// Water by the formulations of the International Association for the Properties of Water and Steam.
//
// Liquid water, 273.15 to 623.15 K up to 100 MPa; the functions themselves neither check nor clamp.
// These are the equations behind the table of water(); use a Liquid in hot code.
#pragma once

namespace lapheat::fluids {

struct WaterState {
    double specific_volume = 0;    ///< m³/kg
    double specific_heat = 0;      ///< J/(kg K), isobaric
    double specific_enthalpy = 0;  ///< J/kg
};

/// Liquid, IAPWS R7-97 (2012), region 1, eq. 7. kelvin 273.15–623.15, pascal up to 100 MPa.
[[nodiscard]] WaterState if97_region_1(double kelvin, double pascal);

/// Pa, IAPWS R7-97 (2012), region 4, eq. 30. 273.15–647.096 K.
[[nodiscard]] double if97_saturation_pressure(double kelvin);

/// Pa s, IAPWS R12-08, eq. 10–12 without the critical enhancement.
[[nodiscard]] double iapws_viscosity(double kelvin, double density);

/// W/(m K), IAPWS R15-11, eq. 15–17 without the critical enhancement, which adds up to 0.5 % to
/// liquid water between 0 and 100 °C.
[[nodiscard]] double iapws_conductivity(double kelvin, double density);

}  // namespace lapheat::fluids
