#include <algorithm>
#include <cmath>

#include "build.hpp"
#include "lapheat/fluids/iapws.hpp"
#include "lapheat/fluids/liquids.hpp"

namespace lapheat::fluids {

double log_water_vapour_pressure(double kelvin) {
    // Below the triple point only the shape matters: first ice comes long before boiling.
    constexpr double t0 = 273.15, heat = 2.5009e6 / 461.526;
    if (kelvin < t0) return std::log(if97_saturation_pressure(t0)) - heat * (1 / kelvin - 1 / t0);
    return std::log(if97_saturation_pressure(kelvin));
}

Properties water_properties(double kelvin) {
    // The equations grow wild in deeply supercooled water; no car holds it liquid there.
    const double t = std::max(kelvin, 263.15);
    // A closed loop sits about an atmosphere above its vapour pressure. Between 0.1 and 0.5 MPa
    // density changes by 0.02 %, so that one curve serves.
    const double pressure = std::exp(log_water_vapour_pressure(t)) + 1e5;
    const WaterState s = if97_region_1(t, pressure);
    const double density = 1 / s.specific_volume;
    return {density, s.specific_heat, iapws_conductivity(t, density), iapws_viscosity(t, density)};
}

Liquid water() {
    Info info;
    info.name = "water";
    info.density = {"IAPWS R7-97 (2012), region 1", 273.15, 453.15, 0.0002,
                    "0.1 MPa above saturation"};
    info.specific_heat = {"IAPWS R7-97 (2012), region 1", 273.15, 453.15, 0.002, ""};
    info.conductivity = {"IAPWS R15-11", 273.15, 453.15, 0.02, "without the critical enhancement"};
    info.viscosity = {"IAPWS R12-08", 273.15, 453.15, 0.01, ""};
    info.boiling = {"IAPWS R7-97 (2012), region 4", 273.15, 493.15, 0.0005, ""};
    info.freezing = {"ice point", 273.15, 273.15, 0, ""};
    return build({water_properties, log_water_vapour_pressure, 273.15, 273.15, 453.15},
                 std::move(info));
}

}  // namespace lapheat::fluids
