#include <catch2/catch.hpp>
#include <lapheat/drive/converter.hpp>
#include <lapheat/units/error.hpp>

#include "invented_car.hpp"

using namespace lapheat::drive;

TEST_CASE("the pump speed found for a turbine torque gives that torque back") {
    const Converter c = generic_converter(250, 500, 2.2);
    for (const double w_t : {0.0, 1.0, 30.0, 120.0, 300.0, 600.0})
        for (const double torque : {0.5, 20.0, 150.0, 400.0, 900.0, 1500.0}) {
            const ConverterPoint p = converter_for_torque(c, torque, w_t);
            CHECK(converter_at(c, p.pump_speed, w_t).turbine_torque ==
                  Approx(torque).epsilon(1e-10));
            CHECK(p.pump_speed > w_t);
        }
    const ConverterPoint over = converter_for_torque(c, -40, 200);
    CHECK(over.pump_speed < 200);
    CHECK(converter_at(c, over.pump_speed, 200).turbine_torque == Approx(-40));
}

TEST_CASE("at stall the converter is held by the stall torque at the stall speed") {
    const Converter c = generic_converter(250, 500, 2.0);
    const ConverterPoint p = converter_at(c, 250, 0);
    CHECK(p.pump_torque == Approx(500));
    CHECK(p.turbine_torque == Approx(1000));
    // All of the input is heat.
    CHECK(p.loss() == Approx(250 * 500.0));
}

TEST_CASE("a converter never gives out more power than it takes in") {
    const Converter c = generic_converter(230, 450, 2.3);
    for (double w_p = 70; w_p < 650; w_p += 9.7)
        for (double w_t = 0; w_t < 700; w_t += 7.3)
            CHECK(converter_at(c, w_p, w_t).loss() >= -1e-9);
}

TEST_CASE("turbine torque rises with pump speed at any turbine speed") {
    const Converter c = generic_converter(230, 450, 2.3);
    for (const double w_t : {0.0, 50.0, 200.0, 400.0}) {
        double last = -1e9;
        for (double w_p = 20; w_p < 650; w_p += 1.3) {
            const double torque = converter_at(c, w_p, w_t).turbine_torque;
            CHECK(torque > last);
            last = torque;
        }
    }
}

TEST_CASE("a maker's table of capacity factors is taken as printed") {
    // Invented table, K in rad/s per sqrt(N m).
    const Converter c = converter_from_table({0, 0.4, 0.7, 0.85, 0.95}, {2.1, 1.6, 1.25, 1.02, 1.0},
                                             {10.5, 10.8, 11.5, 13.0, 20.0});
    const ConverterPoint p = converter_at(c, 300, 0.4 * 300);
    CHECK(p.pump_torque == Approx(300 * 300 / (10.8 * 10.8)));
    CHECK(p.turbine_torque / p.pump_torque == Approx(1.6));
    CHECK(converter_at(c, 300, 300).pump_torque == Approx(0).margin(1e-12));
}

TEST_CASE("a converter table that cannot be is refused with the row") {
    Converter c = generic_converter(250, 500);
    c.torque_ratio[4] = 5;
    CHECK_THROWS_AS(validate(c), lapheat::Error);
    c = generic_converter(250, 500);
    c.speed_ratio[3] = 0;
    CHECK_THROWS_WITH(validate(c), Catch::Contains("row 3"));
    c = generic_converter(250, 500);
    c.pump_capacity[9] = 100;  // turbine torque would fall with pump speed before it
    CHECK_THROWS_AS(validate(c), lapheat::Error);
    CHECK_THROWS_AS(generic_converter(-1, 500), lapheat::Error);
    CHECK_THROWS_AS(generic_converter(250, 500, 4), lapheat::Error);
    CHECK_THROWS_AS(converter_from_table({0, 1}, {2, 1}, {10, 20}), lapheat::Error);
    CHECK_THROWS_AS(converter_from_table({0, 0.5, 0.9}, {2, 1.5, 1}, {10, -1, 20}), lapheat::Error);
}
