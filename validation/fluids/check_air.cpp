// Air: the standard atmosphere, dry air against a handbook and iapws, humid air against psychrolib.
#include "../check.hpp"

#include "lapheat/fluids/air.hpp"
#include "reference.hpp"

using namespace lapheat::fluids;
using lapheat::validation::check;
using lapheat::validation::here;
using lapheat::validation::reference;

TEST_CASE("the standard atmosphere is that of ISO 2533") {
    const char* source = "ISO 2533 (1975), table of the atmosphere";
    for (const auto& [h, t, p] : {std::tuple{1000.0, 281.65, 89874.6}, {2000.0, 275.15, 79495.0}}) {
        const AirState a = standard_atmosphere(h);
        const std::string at = ", " + std::to_string(static_cast<int>(h)) + " m";
        check(
            {"Atmosphere", "temperature" + at, source, true, t, a.temperature, "K", 0, 0.005, ""});
        check({"Atmosphere", "pressure" + at, source, true, p, a.pressure, "Pa", 1e-5, 0, ""});
    }
}

TEST_CASE("dry air at 300 K is the handbook's") {
    const char* source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Table A.4";
    const AirState a{300, 101325, 0};
    check({"Air", "density, 300 K, 1 atm", source, true, 1.1614, density(a), "kg/m3", 0.015, 0,
           "the table's 1.1614 holds at 1 bar: 1.1614 x 1.01325 = 1.1768"});
    check({"Air", "density, 300 K, 1 bar", source, true, 1.1614, density({300, 1e5, 0}), "kg/m3",
           1e-3, 0, ""});
    check({"Air", "specific heat, 300 K", source, true, 1007, specific_heat(a), "J/(kg K)", 3e-3, 0,
           "ideal gas; the table's real gas at 1 atm is 0.14 % above"});
    check({"Air", "viscosity, 300 K", source, true, 184.6e-7, viscosity(a), "Pa s", 5e-3, 0, ""});
    check({"Air", "conductivity, 300 K", source, true, 26.3e-3, conductivity(a), "W/(m K)", 5e-3, 0,
           ""});
    check({"Air", "Prandtl number, 300 K", source, true, 0.707, prandtl(a), "-", 5e-3, 0, ""});
    check({"Air", "viscosity, 250 K", source, true, 159.6e-7, viscosity({250, 101325, 0}), "Pa s",
           0.01, 0, ""});
    check({"Air", "conductivity, 250 K", source, true, 22.3e-3, conductivity({250, 101325, 0}),
           "W/(m K)", 0.02, 0, "the table is older than the correlation"});
    check({"Air", "viscosity, 400 K", source, true, 230.1e-7, viscosity({400, 101325, 0}), "Pa s",
           0.01, 0, ""});
    check({"Air", "conductivity, 400 K", source, true, 33.8e-3, conductivity({400, 101325, 0}),
           "W/(m K)", 0.02, 0, "the table is older than the correlation"});
}

TEST_CASE("dry air agrees with iapws from winter to behind the radiator") {
    const auto r = reference("/usr/bin/python3 " + here("reference_iapws.py"));
    const std::string source = "library iapws " + r["version"].get<std::string>() +
                               ", air by Lemmon et al. 2000 and Lemmon & Jacobsen 2004";
    for (const auto& p : r["air"]) {
        const AirState a{p["kelvin"], 101325, 0};
        const std::string at = ", " + std::to_string(static_cast<int>(a.temperature)) + " K";
        check({"Air", "density" + at, source, false, p["density"], density(a), "kg/m3", 2e-3, 0,
               "ideal gas: 0.1 % light at -30 degC"});
        check({"Air", "specific heat" + at, source, false, p["specific_heat"], specific_heat(a),
               "J/(kg K)", 2.5e-3, 0, "ideal gas"});
        check({"Air", "viscosity" + at, source, false, p["viscosity"], viscosity(a), "Pa s", 5e-4,
               0,
               "ours is a cubic through it; Sutherland's formula, tried first, is 1.1 % low at 450 "
               "K"});
        check({"Air", "conductivity" + at, source, false, p["conductivity"], conductivity(a),
               "W/(m K)", 5e-4, 0,
               "ours is a cubic through it; that of ISO 2533 is 1.4 % low at -30 degC"});
    }
}

TEST_CASE("humid air agrees with psychrolib") {
    const auto r = reference("node " + here("reference_psychrolib.js"));
    const std::string source = "library psychrolib " + r["version"].get<std::string>();
    for (const auto& s : r["states"]) {
        const double t = s["celsius"].get<double>() + 273.15;
        const double p = standard_atmosphere(s["altitude"]).pressure;
        const AirState a{t, p, humidity_ratio(t, p, s["humidity"])};
        const std::string at = ", " + std::to_string(s["celsius"].get<int>()) + " degC, " +
                               std::to_string(static_cast<int>(100 * s["humidity"].get<double>())) +
                               " %, " + std::to_string(s["altitude"].get<int>()) + " m";
        check({"Humid air", "pressure" + at, source, false, s["pressure"], p, "Pa", 2e-5, 0,
               "psychrolib uses a rounded power law"});
        check({"Humid air", "saturation pressure" + at, source, false, s["saturation"],
               saturation_pressure(t), "Pa", 1e-6, 0, ""});
        check({"Humid air", "humidity ratio" + at, source, false, s["ratio"], a.humidity_ratio,
               "kg/kg", 5e-5, 0, ""});
        check({"Humid air", "density" + at, source, false, s["density"], density(a), "kg/m3", 5e-5,
               0, ""});
    }
}
