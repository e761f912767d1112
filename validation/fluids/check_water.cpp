// Water: the equations against the release documents' own check values, the table against iapws.
#include "../check.hpp"

#include "lapheat/fluids/iapws.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "reference.hpp"

using namespace lapheat::fluids;
using lapheat::validation::check;
using lapheat::validation::here;
using lapheat::validation::reference;

TEST_CASE("water's equations give the check values of the IAPWS releases") {
    const char* r7 = "IAPWS R7-97, Table 5";
    const auto s = [](double t, double mpa) { return if97_region_1(t, mpa * 1e6); };
    // Nine figures are printed: half a unit of the last is the tolerance.
    check({"Water", "specific volume, 300 K, 3 MPa", r7, true, 0.100215168e-2,
           s(300, 3).specific_volume, "m3/kg", 1e-9, 0, ""});
    check({"Water", "specific heat, 300 K, 3 MPa", r7, true, 4173.01218, s(300, 3).specific_heat,
           "J/(kg K)", 2e-9, 0, ""});
    check({"Water", "specific enthalpy, 300 K, 3 MPa", r7, true, 115331.273,
           s(300, 3).specific_enthalpy, "J/kg", 5e-9, 0, ""});
    check({"Water", "specific heat, 300 K, 80 MPa", r7, true, 4010.08987, s(300, 80).specific_heat,
           "J/(kg K)", 2e-9, 0, ""});
    const char* r4 = "IAPWS R7-97, Table 36";
    check({"Water", "saturation temperature, 0.1 MPa", r4, true, 372.755919,
           if97_saturation_temperature(1e5), "K", 2e-9, 0, ""});
    check({"Water", "saturation temperature, 1 MPa", r4, true, 453.035632,
           if97_saturation_temperature(1e6), "K", 2e-9, 0, ""});
    check({"Water", "saturation temperature, 10 MPa", r4, true, 584.149488,
           if97_saturation_temperature(1e7), "K", 2e-9, 0, ""});
    check({"Water", "saturation pressure, 500 K", "IAPWS R7-97, Table 35", true, 2.63889776e6,
           if97_saturation_pressure(500), "Pa", 2e-9, 0, ""});
    const char* r12 = "IAPWS R12-08, Table 4";
    check({"Water", "viscosity, 298.15 K, 998 kg/m3", r12, true, 889.735100e-6,
           iapws_viscosity(298.15, 998), "Pa s", 2e-9, 0, ""});
    check({"Water", "viscosity, 373.15 K, 1000 kg/m3", r12, true, 307.883622e-6,
           iapws_viscosity(373.15, 1000), "Pa s", 2e-9, 0, ""});
    check({"Water", "conductivity, 298.15 K, 998 kg/m3", "IAPWS R15-11, Table 4", true,
           0.6077128675, iapws_conductivity(298.15, 998), "W/(m K)", 1e-9, 0,
           "without critical enhancement"});
}

TEST_CASE("water's table agrees with iapws over a car's temperatures") {
    const auto r = reference("/usr/bin/python3 " + here("reference_iapws.py"));
    const std::string source = "library iapws " + r["version"].get<std::string>() +
                               ", IAPWS-95 and its transport releases";
    const Liquid w = water();
    for (const auto& p : r["water"]) {
        const double t = p["kelvin"];
        const std::string at = ", " + std::to_string(std::lround(t - 273.15)) + " degC";
        check({"Water", "density" + at, source, false, p["density"], w.density(t), "kg/m3", 2e-5, 0,
               "IF97 was fitted to IAPWS-95 within 0.001 %"});
        check({"Water", "specific heat" + at, source, false, p["specific_heat"], w.specific_heat(t),
               "J/(kg K)", 1e-3, 0, ""});
        check({"Water", "conductivity" + at, source, false, p["conductivity"], w.conductivity(t),
               "W/(m K)", 7e-3, 0, "iapws adds the critical enhancement, which ours leaves out"});
        check({"Water", "viscosity" + at, source, false, p["viscosity"], w.viscosity(t), "Pa s",
               1e-3, 0, ""});
    }
    for (const auto& p : r["boiling"])
        check({"Water",
               "boiling point at " + std::to_string(p["pressure"].get<double>() / 1e3) + " kPa",
               source, false, p["kelvin"], w.boiling_temperature(p["pressure"]), "K", 0, 0.002,
               "through the table's inverse"});
}

TEST_CASE("each psi of cap pressure raises the boiling point about 3 degF") {
    constexpr double psi = 6894.757293168;
    const Liquid mix = ethylene_glycol(0.5), plain = water();
    const auto rise = [&](const Liquid& l, double cap) {
        return 1.8 * (l.boiling_temperature(101325 + cap * psi) - l.boiling_temperature(101325)) /
               cap;
    };
    const char* source = "common practice, no source";
    const char* note =
        "3.5 degF for the first psi, 2.0 for the sixteenth: the rule of thumb is an "
        "average for caps of 5 to 10 psi and promises too much for stiffer ones";
    check({"Boiling", "rise for each psi, water, 7 psi cap", source, false, 3, rise(plain, 7),
           "degF", 0.1, 0, note});
    check({"Boiling", "rise for each psi, 50 % ethylene glycol, 7 psi cap", source, false, 3,
           rise(mix, 7), "degF", 0.1, 0, note});
    check({"Boiling", "rise for each psi, 50 % ethylene glycol, 16 psi cap", source, false, 3,
           rise(mix, 16), "degF", 0.2, 0, note});
}
