// Water: the equations against the release documents' own check values, the table against iapws.
#include "../check.hpp"

#include "lapheat/fluids/iapws.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "reference.hpp"

using namespace lapheat::fluids;
using namespace lapheat::validation;

TEST_CASE("water's equations give the check values of the IAPWS releases") {
    // Nine figures are printed.
    const auto one = [](const char* quantity, const char* source, const char* unit,
                        std::vector<Point> points) {
        Row row{.topic = "Water",
                .quantity = quantity,
                .source = source,
                .from_memory = true,
                .unit = unit,
                .points = std::move(points)};
        row.band = {5e-9, 0, "half of the ninth figure"};
        published(row);
    };
    const auto s = [](double t, double mpa) { return if97_region_1(t, mpa * 1e6); };
    const char* r7 = "IAPWS R7-97, Table 5";
    one("specific volume, 300 K, 3 MPa", r7, "m3/kg",
        {{"", 0.100215168e-2, s(300, 3).specific_volume}});
    one("specific heat, 300 K, 3 and 80 MPa", r7, "J/(kg K)",
        {{"3 MPa", 4173.01218, s(300, 3).specific_heat},
         {"80 MPa", 4010.08987, s(300, 80).specific_heat}});
    one("specific enthalpy, 300 K, 3 MPa", r7, "J/kg",
        {{"", 115331.273, s(300, 3).specific_enthalpy}});
    one("saturation pressure, 500 K", "IAPWS R7-97, Table 35", "Pa",
        {{"", 2.63889776e6, if97_saturation_pressure(500)}});
    one("viscosity, 298.15 K, 998 kg/m3 and 373.15 K, 1000 kg/m3", "IAPWS R12-08, Table 4", "Pa s",
        {{"298.15 K", 889.735100e-6, iapws_viscosity(298.15, 998)},
         {"373.15 K", 307.883622e-6, iapws_viscosity(373.15, 1000)}});
    one("conductivity without critical enhancement, 298.15 K, 998 kg/m3", "IAPWS R15-11, Table 4",
        "W/(m K)", {{"", 0.6077128675, iapws_conductivity(298.15, 998)}});
}

TEST_CASE("water's table agrees with iapws over a car's temperatures") {
    const auto r = reference("/usr/bin/python3 " + here("reference_iapws.py"));
    const Liquid w = water();
    Row row{.topic = "Water",
            .source = "library iapws " + r["version"].get<std::string>() +
                      ", IAPWS-95 and its transport releases"};
    Row density = row, heat = row, conductivity = row, viscosity = row, boiling = row;
    density.quantity = "density, 1 to 175 degC";
    density.unit = "kg/m3";
    density.relation = Relation::water_density;
    density.band = {2e-5, 0, "IF97 within 0.001 % of IAPWS-95, as much again for our table"};
    heat.quantity = "specific heat, 1 to 175 degC";
    heat.unit = "J/(kg K)";
    heat.relation = Relation::water_specific_heat;
    heat.band = {1e-3, 0, "IAPWS-95: 0.1 %"};
    conductivity.quantity = "conductivity, 1 to 175 degC";
    conductivity.unit = "W/(m K)";
    conductivity.relation = Relation::water_conductivity;
    conductivity.band = {7e-3, 0, "the critical enhancement that ours leaves out: to 0.7 %"};
    viscosity.quantity = "viscosity, 1 to 175 degC";
    viscosity.unit = "Pa s";
    viscosity.relation = Relation::water_viscosity;
    viscosity.band = {1e-3, 0, "a tenth of the release's 1 %"};
    boiling.quantity = "boiling point, 50 to 1000 kPa";
    boiling.unit = "K";
    boiling.relation = Relation::water_boiling;
    boiling.band = {0, 0.002, "the table's inverse"};
    for (const auto& p : r["water"]) {
        const double t = p["kelvin"];
        const std::string at = number(t - 273.15) + " degC";
        density.points.push_back({at, p["density"], w.density(t)});
        heat.points.push_back({at, p["specific_heat"], w.specific_heat(t)});
        conductivity.points.push_back({at, p["conductivity"], w.conductivity(t)});
        viscosity.points.push_back({at, p["viscosity"], w.viscosity(t)});
    }
    for (const auto& p : r["boiling"])
        boiling.points.push_back({number(p["pressure"].get<double>() / 1e3) + " kPa", p["kelvin"],
                                  w.boiling_temperature(p["pressure"])});
    for (const Row& one : {density, heat, conductivity, viscosity, boiling}) library(one);
}

TEST_CASE("each psi of cap pressure raises the boiling point about 3 degF") {
    constexpr double psi = 6894.757293168;
    const Liquid mix = ethylene_glycol(0.5), plain = water();
    const auto rise = [&](const Liquid& l, double cap) {
        return 1.8 * (l.boiling_temperature(101325 + cap * psi) - l.boiling_temperature(101325)) /
               cap;
    };
    Row row{.topic = "Boiling",
            .quantity = "rise of the boiling point for each psi of the cap, 7 and 16 psi",
            .source = "about 3 degF",
            .common_practice = true,
            .unit = "degF",
            .points = {{"water, 7 psi", 3, rise(plain, 7)},
                       {"50 % ethylene glycol, 7 psi", 3, rise(mix, 7)},
                       {"50 % ethylene glycol, 16 psi", 3, rise(mix, 16)}}};
    row.band = {0, 0.5, "a rule of one digit"};
    row.note =
        "3.5 degF for the first psi, 2.0 for the sixteenth: the rule promises too much for "
        "stiff caps";
    published(row);
}
