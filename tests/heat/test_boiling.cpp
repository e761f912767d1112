#include <catch2/catch.hpp>
#include <lapheat/heat/boiling.hpp>

using namespace lapheat::heat;

TEST_CASE("heat of evaporation follows the steam tables") {
    // kJ/kg at 80, 100, 120, 140 and 160 degC (Incropera et al., Table A.6, from memory).
    const double table[][2] = {
        {353.15, 2308}, {373.15, 2257}, {393.15, 2202}, {413.15, 2144}, {433.15, 2082}};
    for (const auto& [kelvin, heat] : table)
        CHECK(evaporation_heat(kelvin) == Approx(heat * 1e3).epsilon(kelvin < 420 ? 0.01 : 0.015));
}

TEST_CASE("a pump at its required suction head has lost 3 %, one far below most of its head") {
    CHECK(head_left(5) == 1);
    CHECK(head_left(1.3) == Approx(1));
    CHECK(head_left(1) == Approx(0.97));
    CHECK(head_left(0) == Approx(0.1));
    CHECK(head_left(-2) == Approx(0.1));
    double last = 0;
    for (double r = -0.5; r < 2; r += 0.01) {
        CHECK(head_left(r) >= last);
        CHECK(head_left(r) - last < 0.11);
        last = head_left(r);
    }
}
