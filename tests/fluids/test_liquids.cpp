#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "lapheat/fluids/iapws.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using namespace lapheat::fluids;

namespace {

constexpr double celsius = 273.15;

std::vector<Liquid> all_liquids() {
    std::vector<Liquid> all;
    for (const std::string& n : names()) all.push_back(by_name(n));
    for (const double x : {0.1, 0.25, 0.33, 0.6}) {
        all.push_back(ethylene_glycol(x));
        all.push_back(propylene_glycol(x));
    }
    return all;
}

bool between(double x, double a, double b) {
    return x >= std::min(a, b) * (1 - 1e-12) && x <= std::max(a, b) * (1 + 1e-12);
}

}  // namespace

TEST_CASE("a liquid's viscosity and density fall with temperature where it is liquid") {
    for (const Liquid& l : all_liquids()) {
        INFO(l.name());
        // Water's density has its maximum at 4 °C.
        const double from = std::max(l.minimum_temperature(), l.name() == "water" ? 278.15 : 0.0);
        for (double t = from; t + 1 < l.maximum_temperature(); t += 1) {
            INFO(t);
            CHECK(l.viscosity(t + 1) < l.viscosity(t));
            CHECK(l.density(t + 1) < l.density(t));
        }
    }
}

TEST_CASE("at any temperature, even absurd ones, properties are finite and positive") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double inf = std::numeric_limits<double>::infinity();
    for (const Liquid& l : all_liquids()) {
        INFO(l.name());
        for (const double t : {nan, -inf, -1e300, 0.0, 200.0, 213.15, 233.0, 273.15, 350.0, 493.15,
                               500.0, 1e9, inf}) {
            INFO(t);
            const Properties p = l.at(t);
            for (const double x : {p.density, p.specific_heat, p.conductivity, p.viscosity}) {
                CHECK(std::isfinite(x));
                CHECK(x > 0);
            }
            CHECK_FALSE(std::isnan(l.vapour_pressure(t)));
            CHECK_FALSE(std::isnan(l.boiling_temperature(t)));
        }
        CHECK(l.flags(nan) == flag_not_a_number);
        CHECK(std::isfinite(l.specific_enthalpy(nan)));
    }
}

TEST_CASE("outside its sources' range a liquid is flagged, inside it is not") {
    for (const Liquid& l : all_liquids()) {
        INFO(l.name());
        const double low = l.minimum_temperature(), high = l.maximum_temperature();
        CHECK(l.flags(0.5 * (low + high)) == 0);
        CHECK(l.in_range(low));
        CHECK((l.flags(low - 1) & flag_below_range) != 0);
        CHECK((l.flags(high + 1) & flag_above_range) != 0);
        CHECK((l.flags(l.freezing_temperature() - 1) & flag_frozen) != 0);
        CHECK_THAT(describe_flags(l.flags(high + 1)), Catch::Contains("Hotter than the sources"));
        CHECK_THAT(describe_flags(l.flags(low - 1)), Catch::Contains("Colder than the sources"));
        CHECK(describe_flags(0).empty());
        for (const PropertyInfo* i : {&l.info().density, &l.info().specific_heat,
                                      &l.info().conductivity, &l.info().viscosity}) {
            CHECK_FALSE(i->source.empty());
            CHECK(i->minimum < i->maximum);
            CHECK(i->uncertainty > 0);
        }
    }
}

TEST_CASE("enthalpy is the integral of specific heat, so that the ledger closes") {
    for (const Liquid& l : all_liquids()) {
        INFO(l.name());
        CHECK(l.specific_enthalpy(273.15) == Approx(0).margin(1e-6));
        for (double t = 190; t < 520; t += 7.3) {
            INFO(t);
            // Simpson's rule is exact for cubics; small steps keep within a cell mostly.
            double integral = 0;
            const int n = 200;
            const double h = 5.0 / n;
            for (int i = 0; i < n; ++i) {
                const double a = t + i * h;
                integral +=
                    h / 6 *
                    (l.specific_heat(a) + 4 * l.specific_heat(a + h / 2) + l.specific_heat(a + h));
            }
            CHECK(l.specific_enthalpy(t + 5) - l.specific_enthalpy(t) ==
                  Approx(integral).epsilon(1e-8));
        }
    }
}

TEST_CASE("the table follows its correlation far more closely than the correlation is known") {
    const Liquid w = water();
    const auto worst = [](double a, double b) { return std::abs(a / b - 1); };
    double rho = 0, cp = 0, k = 0, mu = 0;
    for (double t = 273.15; t < 453; t += 0.37) {
        const double p = if97_saturation_pressure(t) + 1e5;
        const WaterState s = if97_region_1(t, p);
        const double d = 1 / s.specific_volume;
        rho = std::max(rho, worst(w.density(t), d));
        cp = std::max(cp, worst(w.specific_heat(t), s.specific_heat));
        k = std::max(k, worst(w.conductivity(t), iapws_conductivity(t, d)));
        mu = std::max(mu, worst(w.viscosity(t), iapws_viscosity(t, d)));
    }
    CHECK(rho < 1e-7);
    CHECK(cp < 1e-6);
    CHECK(k < 1e-6);
    CHECK(mu < 1e-6);
}

TEST_CASE("a mix lies between the columns beside it, and no glycol is water") {
    for (auto* make : {&ethylene_glycol, &propylene_glycol}) {
        const Liquid plain = water(), none = make(0);
        for (double t = celsius + 5; t < celsius + 125; t += 10) {
            INFO(t);
            CHECK(none.density(t) == Approx(plain.density(t)).epsilon(1e-9));
            CHECK(none.viscosity(t) == Approx(plain.viscosity(t)).epsilon(1e-9));
            for (double x = 0; x < 0.55; x += 0.1) {
                const Properties low = make(x).at(t), middle = make(x + 0.04).at(t),
                                 high = make(x + 0.1 > 0.6 ? 0.6 : x + 0.1).at(t);
                CHECK(between(middle.density, low.density, high.density));
                CHECK(between(middle.specific_heat, low.specific_heat, high.specific_heat));
                CHECK(between(middle.conductivity, low.conductivity, high.conductivity));
                CHECK(between(middle.viscosity, low.viscosity, high.viscosity));
            }
        }
    }
}

TEST_CASE("more glycol means thicker, less heat carried, earlier boiling never, later ice") {
    for (auto* make : {&ethylene_glycol, &propylene_glycol}) {
        Liquid last = make(0);
        for (const double x : {0.1, 0.2, 0.3, 0.4, 0.5, 0.6}) {
            const Liquid l = make(x);
            INFO(l.name());
            for (const double t : {celsius + 20, celsius + 90, celsius + 120}) {
                CHECK(l.viscosity(t) > last.viscosity(t));
                CHECK(l.specific_heat(t) < last.specific_heat(t));
                CHECK(l.conductivity(t) < last.conductivity(t));
                CHECK(l.vapour_pressure(t) < last.vapour_pressure(t));
            }
            CHECK(l.boiling_temperature(101325) > last.boiling_temperature(101325));
            CHECK(l.freezing_temperature() < last.freezing_temperature());
            last = l;
        }
    }
}

TEST_CASE("a stiffer cap raises the boiling point, altitude lowers it") {
    for (const Liquid& l : all_liquids()) {
        if (l.vapour_pressure(350) == 0) continue;
        INFO(l.name());
        double last = 0;
        for (double p = 2e3; p < 1.9e6; p *= 1.05) {
            const double t = l.boiling_temperature(p);
            INFO(p);
            CHECK(t > last);
            // The two tables are each other's inverse.
            if (t < 490) CHECK(l.vapour_pressure(t) == Approx(p).epsilon(1e-4));
            last = t;
        }
    }
}

TEST_CASE("oil does not boil in a car") {
    CHECK(std::isinf(by_name("transmission_fluid").boiling_temperature(101325)));
    CHECK(by_name("transmission_fluid").vapour_pressure(400) == 0);
}

TEST_CASE("an oil sheet gives back its own points") {
    OilSheet s = transmission_fluid_sheet();
    s.density_2 = SheetPoint{celsius + 100, 795};
    s.specific_heat = {{celsius + 40, 2000}, {celsius + 100, 2250}};
    s.conductivity = {{celsius + 40, 0.14}};
    const Liquid l = from_sheet(s);
    CHECK(l.at(celsius + 40).kinematic_viscosity() == Approx(34e-6).epsilon(1e-4));
    CHECK(l.at(celsius + 100).kinematic_viscosity() == Approx(7.2e-6).epsilon(1e-4));
    CHECK(l.density(celsius + 100) == Approx(795).epsilon(1e-9));
    CHECK(l.specific_heat(celsius + 70) == Approx(2125).epsilon(1e-9));
    CHECK(l.conductivity(celsius - 10) == Approx(0.14).epsilon(1e-9));
}

TEST_CASE("a coolant sheet gives back its own points and boils where it says") {
    CoolantSheet s;  // invented
    s.name = "a sheet";
    s.density = {{celsius, 1080}, {celsius + 50, 1060}, {celsius + 100, 1025}};
    s.specific_heat = {{celsius, 3200}, {celsius + 100, 3600}};
    s.conductivity = {{celsius, 0.37}, {celsius + 100, 0.42}};
    s.viscosity = {
        {celsius, 8e-3}, {celsius + 40, 2.2e-3}, {celsius + 80, 0.95e-3}, {celsius + 100, 0.7e-3}};
    s.freezing = celsius - 37;
    s.boiling = {celsius + 108, 101325};
    const Liquid l = from_sheet(s);
    CHECK(l.density(celsius + 50) == Approx(1060).epsilon(1e-5));
    CHECK(l.specific_heat(celsius + 50) == Approx(3400).epsilon(1e-5));
    CHECK(l.viscosity(celsius + 80) == Approx(0.95e-3).epsilon(1e-4));
    CHECK(l.viscosity(celsius + 120) < 0.7e-3);
    CHECK(l.boiling_temperature(101325) == Approx(celsius + 108).epsilon(1e-6));
    CHECK(l.flags(celsius + 110) == flag_above_range);
}

TEST_CASE("a data sheet that cannot be right is refused with what is wrong") {
    OilSheet s = engine_oil_sheet();
    std::swap(s.viscosity_1.value, s.viscosity_2.value);
    CHECK_THROWS_WITH(from_sheet(s), Catch::Contains("does not fall"));
    s = engine_oil_sheet();
    s.viscosity_2.kelvin = s.viscosity_1.kelvin;
    CHECK_THROWS_WITH(from_sheet(s), Catch::Contains("same temperature"));
    s = engine_oil_sheet();
    s.density_1.value = 0.855;
    CHECK_THROWS_WITH(from_sheet(s), Catch::Contains("density"));
    s = engine_oil_sheet();
    s.viscosity_1.value = std::nan("");
    CHECK_THROWS_AS(from_sheet(s), Error);
    s = engine_oil_sheet();
    s.specific_heat = {{300, 2000}, {350, 2100}, {400, 2200}};
    CHECK_THROWS_WITH(from_sheet(s), Catch::Contains("3 points"));
    CHECK_THROWS_AS(from_sheet(CoolantSheet{}), Error);
    CoolantSheet
        hot;  // boils where water's curve, moved there, has no end below its critical point
    hot.name = "too hot";
    hot.density = {{280, 1000}, {380, 950}};
    hot.specific_heat = {{280, 3000}, {380, 3200}};
    hot.conductivity = {{280, 0.4}, {380, 0.4}};
    hot.viscosity = {{280, 5e-3}, {380, 1e-3}};
    hot.freezing = 240;
    hot.boiling = {450, 101325};
    CHECK(from_sheet(hot).boiling_temperature(101325) == Approx(450).epsilon(1e-4));
    hot.boiling = {470, 101325};
    CHECK_THROWS_WITH(from_sheet(hot), Catch::Contains("boiling point"));
}

TEST_CASE("a mix outside 0 to 60 % is refused") {
    for (const double x : {-0.01, 0.61, 1.0, std::nan("")}) {
        CHECK_THROWS_AS(ethylene_glycol(x), Error);
        CHECK_THROWS_AS(propylene_glycol(x), Error);
    }
}

TEST_CASE("a misspelt fluid is answered with the nearest name") {
    CHECK_THROWS_WITH(by_name("ethylen_glycol"), Catch::Contains("did you mean 'ethylene_glycol'"));
    CHECK_THROWS_WITH(by_name("lemonade"), !Catch::Contains("did you mean"));
    CHECK(by_name("ATF").name() == transmission_fluid_sheet().name);
    CHECK(by_name("power-steering fluid").name() == steering_fluid_sheet().name);
    CHECK(by_name("antifreeze", 0.4).info().glycol_fraction == 0.4);
    CHECK(by_name("ethylene_glycol", 0.3).info().glycol_fraction == 0.3);
    CHECK(Liquid().name() == "water");
}
