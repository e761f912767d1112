// Codes, their subjects, values and words in both systems of units.
#include <catch2/catch.hpp>
#include <set>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using units::Quantity;
using units::System;

namespace {

const Diagnostic cavitates{
    Code::pump_cavitates,
    "coolant",
    {"water pump"},
    {{12.4, Quantity::time}, {3.048, Quantity::length}, {6.096, Quantity::length}}};

}  // namespace

TEST_CASE("every code has a name that leads back to it, and words that no other code says") {
    std::set<std::string> names, said;
    for (int i = 0; i < code_count; ++i) {
        const auto code = static_cast<Code>(i);
        INFO(name(code));
        CHECK(names.insert(name(code)).second);
        CHECK(code_named(name(code)) == code);
        const std::string told = sentence({code, "S", {"A", "B"}, {{1}, {1}, {1}}}, System::si);
        // Two pass on what they are given.
        if (code == Code::as_written || code == Code::run_failed)
            CHECK(told == "A");
        else
            CHECK(said.insert(told).second);
    }
    CHECK_FALSE(code_named("nothing_of_the_kind").has_value());
}

TEST_CASE("every place kept in a sentence is filled, for either system") {
    for (int i = 0; i < code_count; ++i)
        for (const System system : {System::si, System::us}) {
            const Diagnostic d{static_cast<Code>(i), "S", {"A", "B"}, {{1}, {1}, {1}}};
            INFO(name(d.code));
            CHECK(words(d, system).find_first_of("{}?") == std::string::npos);
        }
}

TEST_CASE("words are made in the reader's units from one value in SI") {
    CHECK(
        words(cavitates, System::si) ==
        "coolant: water pump cavitates for 12 s: its inlet has 3.0 m of suction head at the worst "
        "moment and needs 6.1 m; the flow there is less than said");
    CHECK(words(cavitates, System::us) ==
          "coolant: water pump cavitates for 12 s: its inlet has 10.0 ft of suction head at the "
          "worst moment and needs 20.0 ft; the flow there is less than said");
    const Diagnostic hot{
        Code::part_too_hot,
        "transmission",
        {"supply hose"},
        {{273.15 + 100, Quantity::temperature}, {373.15 - 10, Quantity::temperature}}};
    CHECK(sentence(hot, System::si) ==
          "supply hose reaches 100 °C, above the 90 °C it is rated for");
    CHECK(sentence(hot, System::us) ==
          "supply hose reaches 212 °F, above the 194 °F it is rated for");
    const Diagnostic pressed{Code::part_over_pressure,
                             "steering",
                             {"return"},
                             {{150e3, Quantity::pressure}, {100e3, Quantity::pressure}}};
    CHECK(sentence(pressed, System::si) ==
          "return stands under 1.5 bar, above the 1.0 bar it is rated for");
    CHECK(sentence(pressed, System::us) ==
          "return stands under 22 psi, above the 15 psi it is rated for");  // 21.8 and 14.5
    const Diagnostic narrow{Code::suction_line_fast,
                            "steering",
                            {"suction"},
                            {{3.048, Quantity::speed},
                             {1.5, Quantity::speed},
                             {0.0254, Quantity::length},
                             {0.015875, Quantity::length}}};
    CHECK(
        sentence(narrow, System::si) ==
        "suction: the fluid runs at 3.05 m/s, above the 1.5 m/s that is usual for a suction line, "
        "where more starves the pump; 25.4 mm inside would do, sold as 15.9 mm (-10)");
    CHECK(sentence(narrow, System::us).find("10 ft/s, above the 4.92 ft/s") != std::string::npos);
    CHECK(sentence(narrow, System::us).find("1 inch inside") != std::string::npos);
    CHECK(sentence(narrow, System::us).find("sold as 5/8 inch (-10)") != std::string::npos);
    const Diagnostic flat{Code::loads_beyond_alternator,
                          {},
                          {},
                          {{12.3, Quantity::electric_current}, {5400, Quantity::electric_charge}}};
    CHECK(words(flat, System::us) ==
          "loads took up to 12 A more than the alternator gave; the battery gave 1.50 A h for it");
}

TEST_CASE("a number of another quantity than its sentence speaks of is told with its own unit") {
    const Diagnostic odd{Code::fan_stalled, "left", {}, {{300e3, Quantity::pressure}}};
    CHECK(words(odd, System::si).find("300 kPa") != std::string::npos);
}

TEST_CASE("a subject is spoken of by its kind, and once") {
    CHECK(words({Code::fan_reversed, "left", {}, {{7, Quantity::time}}}, System::si) ==
          "fan left: turned against air that came from behind for 7 s");
    CHECK(who({Code::air_backwards, "nose"}) == "air path nose");
    CHECK(words({Code::fluid_boils, "coolant"}, System::si).find("coolant boils: vapour carries") ==
          0);
    CHECK(words({Code::solves_failed, {}, {}, {{3}}}, System::si).find("3 network solves") == 0);
    CHECK(words({Code::as_written, {}, {"radiator: dusty"}}, System::us) == "radiator: dusty");
}

TEST_CASE("an error carries its code, subject and values, and their words in SI") {
    const Error e(Diagnostic{Code::cap_above_rating,
                             "coolant",
                             {"the line 'bypass'"},
                             {{140e3, Quantity::pressure}, {110e3, Quantity::pressure}}},
                  {"car.toml", 3, 4}, "cap_pressure");
    CHECK(e.code() == Code::cap_above_rating);
    REQUIRE(e.diagnostic());
    CHECK(e.diagnostic()->subject == "coolant");
    CHECK(e.diagnostic()->values.at(1).si == 110e3);
    CHECK(
        std::string(e.what()) ==
        "coolant: the cap opens at 1.400 bar, above the 1.100 bar that the line 'bypass' is rated "
        "for");
    CHECK(words(*e.diagnostic(), System::us).find("20.3 psi, above the 16.0 psi") !=
          std::string::npos);
    CHECK(e.expected() == "a cap at or below the weakest part's rating");
    CHECK(e.key() == "cap_pressure");
    CHECK(e.place().line == 3);
    const Error plain("found nothing", "something");
    CHECK(plain.code() == Code::bad_input);
    CHECK_FALSE(plain.diagnostic());
}
