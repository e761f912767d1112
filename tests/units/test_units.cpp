#include <catch2/catch.hpp>
#include <cmath>
#include <thread>

#include "lapheat/units/doubt.hpp"
#include "lapheat/units/units.hpp"

using namespace lapheat;
using units::Quantity;
using units::System;

namespace {

double si(const char* text, Quantity q) { return units::parse(text, q); }

/// What a person is told about text that cannot be used.
std::string complaint(const char* text, Quantity q) {
    try {
        (void)units::parse(text, q);
    } catch (const Error& e) {
        return std::string(e.what()) + ", expected " + e.expected();
    }
    return "accepted";
}

}  // namespace

TEST_CASE("units that car builders write come out in SI") {
    struct Row {
        const char* text;
        Quantity quantity;
        double si;
    };
    const Row rows[] = {
        {"8 mm", Quantity::length, 0.008},
        {"1.5 inch", Quantity::length, 0.0381},
        {"11 in", Quantity::length, 0.2794},
        {"6 ft", Quantity::length, 1.8288},
        {"8mm", Quantity::length, 0.008},
        {"195 degF", Quantity::temperature, 363.70555555555555},
        {"-3.5 degC", Quantity::temperature, 269.65},
        {"90 °C", Quantity::temperature, 363.15},
        {"2.5 gal/min", Quantity::volume_flow, 2.5 * 3.785411784e-3 / 60},
        {"2.5 gpm", Quantity::volume_flow, 2.5 * 3.785411784e-3 / 60},
        {"30 L/min", Quantity::volume_flow, 5e-4},
        {"2000 ft3/min", Quantity::volume_flow, 0.9438948864},
        {"2000 cfm", Quantity::volume_flow, 0.9438948864},
        {"7 gal", Quantity::volume, 7 * 3.785411784e-3},
        {"12 qt", Quantity::volume, 12 * 0.946352946e-3},
        {"16 psi", Quantity::pressure, 16 * 6894.757293168},
        {"1.1 bar", Quantity::pressure, 1.1e5},
        {"0.5 inH2O", Quantity::pressure, 124.544455},
        {"300 hp", Quantity::power, 300 * 745.6998715822702},
        {"60 mph", Quantity::speed, 26.8224},
        {"90 km/h", Quantity::speed, 25},
        {"3000 rpm", Quantity::angular_speed, 314.1592653589793},
        {"3000 rev/min", Quantity::angular_speed, 314.1592653589793},
        {"300 lbf.ft", Quantity::torque, 300 * 1.3558179483314004},
        {"300 lb-ft", Quantity::torque, 300 * 1.3558179483314004},
        {"400 N m", Quantity::torque, 400},
        {"34 cSt", Quantity::kinematic_viscosity, 34e-6},
        {"34 mm2/s", Quantity::kinematic_viscosity, 34e-6},
        {"0.7 cP", Quantity::dynamic_viscosity, 7e-4},
        {"30 %", Quantity::ratio, 0.3},
        {"0.3", Quantity::ratio, 0.3},
        {"14 1/inch", Quantity::per_length, 14 / 0.0254},
        {"14/inch", Quantity::per_length, 14 / 0.0254},
        {"9.6 cm3/rev", Quantity::displacement, 9.6e-6 / 6.283185307179586},
        {"270 g/kWh", Quantity::mass_per_energy, 0.27 / 3.6e6},
        {"12 deg", Quantity::angle, 0.20943951023931953},
        {"0.5 Btu/(lb degF)", Quantity::specific_heat, 0.5 * 4186.8},
        {"+5 N", Quantity::force, 5},
        {"1e3 W/K", Quantity::thermal_conductance, 1000},
    };
    for (const Row& row : rows) {
        INFO(row.text);
        CHECK(si(row.text, row.quantity) == Approx(row.si).epsilon(1e-9));
    }
}

TEST_CASE("a temperature difference carries no offset") {
    CHECK(si("10 degF", Quantity::temperature_difference) == Approx(10 / 1.8).epsilon(1e-12));
    CHECK(si("10 degC", Quantity::temperature_difference) == Approx(10.0).epsilon(1e-12));
    CHECK(si("10 K", Quantity::temperature_difference) == 10.0);
    CHECK(si("0 degF", Quantity::temperature) == Approx(255.3722222222222).epsilon(1e-12));
}

TEST_CASE("a gallon is volume, never the galileo of geodesy, and mph is speed") {
    CHECK(units::describe("gal") == "a volume");
    CHECK(units::describe("mph") == "a speed");
}

TEST_CASE("a complaint says what was found and what was expected") {
    CHECK(complaint("8 kg", Quantity::length) ==
          "'8 kg' is a mass, expected a length such as \"8 mm\"");
    CHECK(complaint("8", Quantity::length) ==
          "'8' has no unit, expected a length such as \"8 mm\"");
    CHECK(complaint("mm", Quantity::length) ==
          "'mm' does not start with a number, expected a length such as \"8 mm\"");
    CHECK(complaint("", Quantity::length) ==
          "the text is empty, expected a length such as \"8 mm\"");
    CHECK(complaint("8 smoots", Quantity::length) ==
          "'smoots' is not a known unit in '8 smoots', expected a length such as \"8 mm\"");
    // Letters that happen to be units, litre and volt, are none of anything.
    CHECK(complaint("5.3 litre V8", Quantity::volume) ==
          "'litre V8' is not a known unit in '5.3 litre V8', expected a volume such as \"" +
              std::string(units::example(Quantity::volume)) + '"');
    CHECK(complaint("8 kg s", Quantity::length).find("something in") != std::string::npos);
    CHECK(complaint("-300 degC", Quantity::temperature).find("absolute zero") != std::string::npos);
}

TEST_CASE("lengths are read in the fractions of an inch that hoses are sold by") {
    CHECK(units::parse("5/16 inch", Quantity::length) == Approx(0.0254 * 5 / 16));
    CHECK(units::parse("3 1/2 inch", Quantity::length) == Approx(0.0254 * 3.5));
    CHECK(units::parse("1-1/4 inch", Quantity::length) == Approx(0.0254 * 1.25));
    CHECK_THROWS_AS(units::parse("5/16 bar", Quantity::pressure), Error);
}

TEST_CASE("text that UDUNITS would read as something else is refused") {
    for (const char* text :
         {"3 2/1 inch", "3 1/0 inch", "1/2", "1/2/3 inch", "8 mm @ 3", "8 mm 3", "1,5 mm",
          "8 mm 2 ft", "nan mm", "inf mm", "1e999 mm", "8 seconds since 2000-01-01", "8 3mm"}) {
        INFO(text);
        CHECK_THROWS_AS(units::parse(text, Quantity::length), Error);
    }
}

TEST_CASE("a frequency is not an angular speed, nor an angle a ratio") {
    CHECK_THROWS_AS(units::parse("50 Hz", Quantity::angular_speed), Error);
    CHECK_THROWS_AS(units::parse("3000 rpm", Quantity::frequency), Error);
    CHECK_THROWS_AS(units::parse("30 deg", Quantity::ratio), Error);
    CHECK_THROWS_AS(units::parse("9.6 cm3", Quantity::displacement), Error);
}

TEST_CASE("every quantity's example and display units can be read back") {
    for (const Quantity q : units::all_quantities()) {
        INFO(units::name(q));
        const double value = units::parse(units::example(q), q);
        CHECK(units::to_si(1.0, std::string("1") == units::si_unit(q) ? "" : units::si_unit(q),
                           q) == 1.0);
        for (const System system : {System::si, System::us}) {
            INFO(units::display_unit(q, system));
            const std::string text = units::format(value, q, system, 12);
            CHECK(units::parse(text, q) == Approx(value).epsilon(1e-10));
        }
    }
}

TEST_CASE("a number is shown with as many digits as asked") {
    CHECK(units::format(366.45, Quantity::temperature, System::si, 3) == "93.3 degC");
    CHECK(units::format(366.45, Quantity::temperature, System::us, 3) == "200 degF");
    CHECK(units::format(16 * 6894.757293168, Quantity::pressure, System::us, 3) == "16.0 psi");
    CHECK(units::format(999.96e3, Quantity::power, System::si, 4) == "1000 kW");
    CHECK(units::format(0, Quantity::power, System::si) == "0 kW");
    CHECK(units::format(0.25, Quantity::ratio, System::si, 2) == "0.25");
    CHECK(units::format(123456, Quantity::thermal_conductance, System::si, 3) == "123000 W/K");
    CHECK(units::format(std::nan(""), Quantity::power, System::si) == "nan kW");
}

TEST_CASE("units can be read from many threads at once") {
    std::vector<std::thread> threads;
    const double flow = 2.5 * 3.785411784e-3 / 60, pressure = 16 * 6894.757293168;
    std::vector<int> right(4);
    for (std::size_t i = 0; i < right.size(); ++i)
        threads.emplace_back([&, i] {
            for (int k = 0; k < 200; ++k)
                right[i] += std::abs(si("2.5 gal/min", Quantity::volume_flow) / flow - 1) < 1e-9 &&
                            std::abs(si("16 psi", Quantity::pressure) / pressure - 1) < 1e-9;
        });
    for (auto& t : threads) t.join();
    CHECK(right == std::vector<int>(4, 200));
}

TEST_CASE("a value carries its doubt beside it, in its own unit or as a share") {
    struct Row {
        const char* text;
        Quantity quantity;
        double value, half;
    };
    const Row rows[] = {{"28 mm +- 1 mm", Quantity::length, 0.028, 0.001},
                        {"28 +- 1 mm", Quantity::length, 0.028, 0.001},
                        {"28 mm+-1mm", Quantity::length, 0.028, 0.001},
                        {"28 mm +/- 0.1 cm", Quantity::length, 0.028, 0.001},
                        {"28 mm \u00b1 1 mm", Quantity::length, 0.028, 0.001},
                        {"1 1/2 inch +- 1/16 inch", Quantity::length, 0.0381, 0.0254 / 16},
                        {"1050 cfm +- 15 %", Quantity::volume_flow, 0.49554481536, 0.0743317223},
                        {"-40 Pa +- 50 %", Quantity::pressure, -40, 20},
                        {"85 degC +- 3 degC", Quantity::temperature, 358.15, 3},
                        {"185 degF +- 9 degF", Quantity::temperature, 358.15, 5},
                        {"0.42 +- 10 %", Quantity::ratio, 0.42, 0.042},
                        {"0.42 +- 0.05", Quantity::ratio, 0.42, 0.05},
                        {"30 % +- 5 %", Quantity::ratio, 0.30, 0.05},
                        {"5 bar", Quantity::pressure, 5e5, 0},
                        {"5 bar +- 0 bar", Quantity::pressure, 5e5, 0}};
    for (const Row& row : rows) {
        INFO(row.text);
        const units::Doubted d = units::parse_doubted(row.text, row.quantity);
        CHECK(d.value == Approx(row.value).epsilon(1e-9));
        CHECK(d.half == Approx(row.half).epsilon(1e-9).margin(1e-15));
    }
}

TEST_CASE("a doubt that cannot be read is refused with what to write") {
    for (const auto& [text, quantity] : {std::pair{"28 mm +-", Quantity::length},
                                         {"28 mm +- -1 mm", Quantity::length},
                                         {"28 mm +- 1 bar", Quantity::length},
                                         {"85 degC +- 5 %", Quantity::temperature},
                                         {"28 mm +- 1 mm +- 1 mm", Quantity::length},
                                         {"+- 1 mm", Quantity::length},
                                         {"28 mm +- 1", Quantity::length}}) {
        INFO(text);
        CHECK_THROWS_AS(units::parse_doubted(text, quantity), Error);
    }
}
