#include <catch2/catch.hpp>

#include "synthetic.hpp"

using namespace lapheat;
using namespace synthetic;
using Catch::Matchers::Contains;
using Names = std::vector<std::string>;

TEST_CASE("a placement is as good as its worst fluid in its worst cycle", "[study]") {
    study::Comparison c;
    add(c, "even",
        {{verdict("coolant", 8), verdict("steering", 9)},
         {verdict("coolant", 7), verdict("steering", 8)}});
    add(c, "uneven",
        {{verdict("coolant", 40), verdict("steering", 40)},
         {verdict("coolant", 40), verdict("steering", 3)}});
    CHECK(order(c) == Names{"even", "uneven"});
    CHECK(c.ranking[1].worst_margin == 3);
    CHECK(c.ranking[1].worst_loop == "steering");
    CHECK(c.ranking[1].worst_cycle == "cycle 2");
}

TEST_CASE("engine oil ranks only where all else is equal", "[study]") {
    study::Comparison c;
    add(c, "hot oil", {{verdict("coolant", 8), verdict("engine_oil", -20, 100)}});
    add(c, "cool oil", {{verdict("coolant", 5), verdict("engine_oil", 30)}});
    CHECK(order(c) == Names{"hot oil", "cool oil"});
    CHECK(c.ranking[0].holds);
    CHECK(c.ranking[0].time_over == 0);
    CHECK_THAT(c.ranking[0].reason,
               Contains("engine oil, which the place does not serve, goes 20 K over"));
    study::Comparison tied;
    add(tied, "hot oil", {{verdict("coolant", 8), verdict("engine_oil", -20)}});
    add(tied, "cool oil", {{verdict("coolant", 8), verdict("engine_oil", 9)}});
    CHECK(order(tied) == Names{"cool oil", "hot oil"});
}

TEST_CASE("margins within half a kelvin tie and less time over the limit decides", "[study]") {
    study::Comparison c;
    add(c, "longer", {{verdict("coolant", -3.0, 300)}});
    add(c, "shorter", {{verdict("coolant", -3.4, 60)}});
    CHECK(order(c) == Names{"shorter", "longer"});
    CHECK_FALSE(c.ranking[0].holds);
    CHECK_THAT(study::verdict_text(c, units::System::si), Contains("No placement holds"));
}

TEST_CASE("where the same fluid binds everywhere the next fluid's margin decides", "[study]") {
    study::Comparison c;
    add(c, "a", {{verdict("coolant", 4), verdict("transmission", 6)}}, 1e3);
    add(c, "b", {{verdict("coolant", 4), verdict("transmission", 15)}}, 9e5);
    CHECK(order(c) == Names{"b", "a"});
    CHECK_THAT(study::verdict_text(c, units::System::si),
               Contains("B and a tie") && Contains("transmission 15 K against 6 K"));
}

TEST_CASE("more than plenty is no reason to burn fan energy", "[study]") {
    study::Comparison c;
    add(c, "thirsty", {{verdict("coolant", 4), verdict("transmission", 50)}}, 9e5);
    add(c, "thrifty", {{verdict("coolant", 4), verdict("transmission", 30)}}, 1e5);
    CHECK(order(c) == Names{"thrifty", "thirsty"});
    CHECK_THAT(c.ranking[1].reason, Contains("less fan energy (100 kJ against 900 kJ)"));
}

TEST_CASE("shorter lines win between equals, and the order given between twins", "[study]") {
    study::Comparison c;
    add(c, "far", {{verdict("coolant", 4)}}, 1e5, 9.0);
    add(c, "near", {{verdict("coolant", 4)}}, 1e5, 2.0);
    add(c, "near twin", {{verdict("coolant", 4)}}, 1e5, 2.0);
    CHECK(order(c) == Names{"near", "near twin", "far"});
    CHECK_THAT(c.ranking[1].reason, Contains("equal to near in all that is ranked"));
    CHECK_THAT(study::verdict_text(c, units::System::si), Contains("the order given"));
}

TEST_CASE("ties are counted from the best of a group, so small steps do not chain", "[study]") {
    study::Comparison c;
    add(c, "5.0", {{verdict("coolant", 5.0)}}, 3e5);
    add(c, "4.6", {{verdict("coolant", 4.6)}}, 1e5);
    add(c, "4.2", {{verdict("coolant", 4.2)}}, 0);
    CHECK(order(c) == Names{"4.6", "5.0", "4.2"});
}

TEST_CASE("the verdict names the winner's and the next one's numbers and a cause", "[study]") {
    study::Comparison c;
    auto cool = verdict("steering", 12), hot = verdict("steering", 4);
    hot.air_inlet = cool.air_inlet + 9;
    add(c, "ahead of the radiator", {{hot}});
    add(c, "under the floor", {{cool}});
    study::rank(c);
    const std::string text = study::verdict_text(c, units::System::si);
    CHECK_THAT(
        text,
        Contains(
            "Under the floor wins: its least margin is 12 K (steering, cycle 1), against 4 K"));
    CHECK_THAT(text, Contains("arrives 9 K cooler"));
    CHECK_THAT(study::verdict_text(c, units::System::us), Contains("22 °F"));
}

TEST_CASE("a placement alone is judged by itself", "[study]") {
    study::Comparison c;
    add(c, "at the rear", {{verdict("coolant", -2, 30)}});
    study::rank(c);
    CHECK_THAT(
        study::verdict_text(c, units::System::si),
        Contains("only placement here and it does not hold: it goes 2 K over (coolant, cycle 1)"));
}
