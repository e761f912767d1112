// Air: the standard atmosphere, dry air against a handbook and iapws, humid air against psychrolib.
#include "../check.hpp"

#include "lapheat/fluids/air.hpp"
#include "reference.hpp"

using namespace lapheat::fluids;
using namespace lapheat::validation;

TEST_CASE("the standard atmosphere is that of ISO 2533") {
    Row temperature{.topic = "Atmosphere",
                    .quantity = "temperature, 1000 and 2000 m",
                    .source = "ISO 2533 (1975), table of the atmosphere",
                    .from_memory = true,
                    .unit = "K"};
    temperature.band = {0, 0.005, "half of the last digit"};
    Row pressure = temperature;
    pressure.quantity = "pressure, 1000 and 2000 m";
    pressure.relation = Relation::standard_atmosphere;
    pressure.unit = "Pa";
    pressure.band = {1e-5, 0, "five to six figures"};
    for (const auto& [h, t, p] : {std::tuple{1000.0, 281.65, 89874.6}, {2000.0, 275.15, 79495.0}}) {
        const AirState a = standard_atmosphere(h);
        temperature.points.push_back({number(h) + " m", t, a.temperature});
        pressure.points.push_back({number(h) + " m", p, a.pressure});
    }
    published(temperature);
    published(pressure);
}

TEST_CASE("dry air is the handbook's") {
    Row row{.topic = "Air",
            .source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Table A.4",
            .from_memory = true};
    const auto one = [&](const char* quantity, Relation relation, const char* unit, double fraction,
                         const char* from, std::vector<Point> points) {
        row.quantity = quantity;
        row.relation = relation;
        row.unit = unit;
        row.band = {fraction, 0, from};
        row.points = std::move(points);
        published(row);
    };
    const auto at = [](double t) { return AirState{t, 101325, 0}; };
    const char* older = "an older computation: other tables differ from it by up to 2 %";
    one("density, 300 K, 1 bar", Relation::air_density, "kg/m3", 1e-3, "real against ideal gas",
        {{"", 1.1614, density({300, 1e5, 0})}});
    one("specific heat, 300 K", Relation::air_specific_heat, "J/(kg K)", 3e-3,
        "real against ideal gas", {{"", 1007, specific_heat(at(300))}});
    one("viscosity, 250 to 400 K", Relation::air_viscosity, "Pa s", 0.02, older,
        {{"250 K", 159.6e-7, viscosity(at(250))},
         {"300 K", 184.6e-7, viscosity(at(300))},
         {"400 K", 230.1e-7, viscosity(at(400))}});
    one("conductivity, 250 to 400 K", Relation::air_conductivity, "W/(m K)", 0.02, older,
        {{"250 K", 22.3e-3, conductivity(at(250))},
         {"300 K", 26.3e-3, conductivity(at(300))},
         {"400 K", 33.8e-3, conductivity(at(400))}});
}

TEST_CASE("dry air agrees with iapws from winter to behind the radiator") {
    const auto r = reference("/usr/bin/python3 " + here("reference_iapws.py"));
    Row row{.topic = "Air",
            .source = "library iapws " + r["version"].get<std::string>() +
                      ", air by Lemmon et al. 2000 and Lemmon & Jacobsen 2004"};
    Row rho = row, cp = row, mu = row, k = row;
    rho.quantity = "density, 243 to 450 K";
    rho.unit = "kg/m3";
    rho.relation = Relation::air_density;
    rho.band = {2e-3, 0, "ideal gas: 0.1 % light at -30 degC"};
    cp.quantity = "specific heat, 243 to 450 K";
    cp.unit = "J/(kg K)";
    cp.relation = Relation::air_specific_heat;
    cp.band = {2.5e-3, 0, "ideal gas at 1 atm: 0.25 %"};
    mu.quantity = "viscosity, 243 to 450 K";
    mu.unit = "Pa s";
    mu.relation = Relation::air_viscosity;
    mu.own_data = true;
    mu.band = {5e-4, 0, "ours is a cubic through it"};
    k.quantity = "conductivity, 243 to 450 K";
    k.unit = "W/(m K)";
    k.relation = Relation::air_conductivity;
    k.own_data = true;
    k.band = {5e-4, 0, "ours is a cubic through it"};
    for (const auto& p : r["air"]) {
        const AirState a{p["kelvin"], 101325, 0};
        const std::string at = number(a.temperature) + " K";
        rho.points.push_back({at, p["density"], density(a)});
        cp.points.push_back({at, p["specific_heat"], specific_heat(a)});
        mu.points.push_back({at, p["viscosity"], viscosity(a)});
        k.points.push_back({at, p["conductivity"], conductivity(a)});
    }
    for (const Row& one : {rho, cp, mu, k}) library(one);
}

TEST_CASE("humid air agrees with psychrolib") {
    const auto r = reference("node " + here("reference_psychrolib.js"));
    Row row{.topic = "Humid air",
            .source = "library psychrolib " + r["version"].get<std::string>() +
                      " (ASHRAE Fundamentals, chapter 1)"};
    Row pressure = row, saturation = row, ratio = row, rho = row;
    pressure.quantity = "pressure, 0 to 5500 m";
    pressure.unit = "Pa";
    pressure.relation = Relation::standard_atmosphere;
    pressure.band = {2e-5, 0, "psychrolib uses a rounded power law"};
    saturation.quantity = "saturation pressure, -10 to 45 degC";
    saturation.unit = "Pa";
    saturation.relation = Relation::humid_saturation;
    saturation.band = {1e-6, 0, "the same equation"};
    ratio.quantity = "humidity ratio, -10 to 45 degC, 20 to 100 %";
    ratio.unit = "kg/kg";
    ratio.band = {5e-5, 0, "the pressure's rounding"};
    rho.quantity = "density, -10 to 45 degC, 20 to 100 %";
    rho.unit = "kg/m3";
    rho.band = {5e-5, 0, "the pressure's rounding"};
    for (const auto& s : r["states"]) {
        const double t = s["celsius"].get<double>() + 273.15;
        const double p = standard_atmosphere(s["altitude"]).pressure;
        const AirState a{t, p, humidity_ratio(t, p, s["humidity"])};
        const std::string at = number(s["celsius"].get<double>()) + " degC, " +
                               number(100 * s["humidity"].get<double>()) + " %, " +
                               number(s["altitude"].get<double>()) + " m";
        pressure.points.push_back({at, s["pressure"], p});
        saturation.points.push_back({at, s["saturation"], saturation_pressure(t)});
        ratio.points.push_back({at, s["ratio"], a.humidity_ratio});
        rho.points.push_back({at, s["density"], density(a)});
    }
    for (const Row& one : {pressure, saturation, ratio, rho}) library(one);
}
