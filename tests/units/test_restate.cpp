// Notes in the reader's units.
#include <catch2/catch.hpp>

#include "lapheat/units/restate.hpp"

using namespace lapheat;
using units::restated;
using units::System;

TEST_CASE("numbers in notes are told in the reader's units, as precisely as they stood there") {
    struct Row {
        const char* written;
        const char* us;
    };
    const Row rows[] = {
        {"by buoyancy, its air 30 K above ambient", "by buoyancy, its air 54 °F above ambient"},
        {"sump: 80 to 95 degC normal", "sump: 176 to 203 °F normal"},
        {"the cap holds only 0 kPa", "the cap holds only 0 psi"},
        {"85 bar", "1200 psi"},
        {"7.8 L/min", "2.1 gal/min"},
        {"keep 100 mm or fit a heat shield", "keep 3.9 inch or fit a heat shield"},
        {"below -10 degC, where", "below 14 °F, where"},
        {"cold over shaft power in 25 degC air", "cold over shaft power in 77 °F air"},
        {"falls by 0.65 kg/m3 with each", "falls by 0.041 lb/ft³ with each"},
        {"250 W/K, 2 m2 and 0.1 MPa", "470 Btu/(h °F), 22 ft² and 15 psi"},
        // What has no unit of the other system stays: words, sources, dashes, counts.
        {"Hooper, Chem. Eng. 88 (1981) no. 17, p. 96",
         "Hooper, Chem. Eng. 88 (1981) no. 17, p. 96"},
        {"SAE 100R5, -6, 3 fans, 95 of 100 cases", "SAE 100R5, -6, 3 fans, 95 of 100 cases"},
        {"a V8 of 4.6 L, -6", "a V8 of 1.2 gal, -6"},  // 4.6 / 3.785
        {"16 psi and 3/8 inch", "16 psi and 3/8 inch"},
        {"IAPWS R7-97 (2012), region 1", "IAPWS R7-97 (2012), region 1"},
        {"", ""}};
    for (const Row& row : rows) {
        INFO(row.written);
        CHECK(restated(row.written, System::us) == row.us);
    }
    CHECK(restated("16 psi, 1.5 and 2.5 inch from 4 L", System::si) ==
          "110 kPa, 38 and 64 mm from 4 L");
    CHECK(restated("\"3/8 inch\" or (345 kPa)", System::si) == "\"9.5 mm\" or (345 kPa)");
    CHECK(restated("1 1/4 inch, 14 1/inch", System::si) == "32 mm, 5.5 1/cm");
    CHECK(restated("bear (345 kPa, common practice)", System::us) ==
          "bear (50.0 psi, common practice)");
    CHECK(restated("opens at 195 degF", System::si) == "opens at 91 °C");
    CHECK(restated("30 K above", System::si) == "30 K above");
}
