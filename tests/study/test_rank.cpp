#include <algorithm>
#include <catch2/catch.hpp>

#include "lapheat/study/report.hpp"
#include "synthetic.hpp"

using namespace lapheat;
using namespace synthetic;
using Catch::Matchers::Contains;
using Names = std::vector<std::string>;

TEST_CASE("a placement is as good as its worst fluid in its worst cycle", "[study]") {
    study::Comparison c;
    add(c, "even",
        {{verdict("coolant", 14), verdict("steering", 15)},
         {verdict("coolant", 13), verdict("steering", 14)}});
    add(c, "uneven",
        {{verdict("coolant", 40), verdict("steering", 40)},
         {verdict("coolant", 40), verdict("steering", 3)}});
    CHECK(order(c) == Names{"even", "uneven"});
    CHECK(c.ranking[1].worst_margin == 3);
    CHECK(c.ranking[1].worst_loop == "steering");
    CHECK(c.ranking[1].worst_cycle == "cycle 2");
}

TEST_CASE("a fluid that the places do not serve is a change, not a rank", "[study]") {
    study::Comparison c;
    add(c, "hot oil", {{verdict("steering", 18), verdict("engine_oil", 6)}});
    add(c, "cool oil", {{verdict("steering", 5), verdict("engine_oil", 30)}});
    CHECK(order(c) == Names{"hot oil", "cool oil"});
    CHECK(c.ranking[0].holds);
    REQUIRE(c.ranking[0].effects.size() == 1);
    CHECK(c.ranking[0].effects[0].second == 24);
    CHECK(c.ranking[1].effects[0].second == 0);
    CHECK_THAT(c.ranking[0].reason, Contains("costs engine oil 24 K at most"));
}

TEST_CASE("a place that drives a fluid it does not serve over its limit does not hold", "[study]") {
    study::Comparison c;
    add(c, "harmful", {{verdict("steering", 40), verdict("engine_oil", -1, 10)}});
    add(c, "harmless", {{verdict("steering", 3), verdict("engine_oil", 2)}});
    CHECK(order(c) == Names{"harmless", "harmful"});
    CHECK(c.ranking[1].harmed == "engine_oil");
    CHECK_FALSE(c.ranking[1].holds);
    // Over in every place: none of them is to blame, and it is said.
    study::Comparison both;
    add(both, "a", {{verdict("steering", 40), verdict("engine_oil", -5, 10)}});
    add(both, "b", {{verdict("steering", 20), verdict("engine_oil", -2, 10)}});
    CHECK(order(both) == Names{"a", "b"});
    CHECK(both.ranking[0].holds);
    CHECK_THAT(study::verdict_text(both, units::System::si), Contains("wherever the cooler is"));
}

TEST_CASE("what boils does not hold, whatever its margin", "[study]") {
    study::Comparison c;
    auto boiling = verdict("steering", 30);
    boiling.boils = 452;
    add(c, "boils", {{boiling}});
    add(c, "simmers", {{verdict("steering", 2)}});
    CHECK(order(c) == Names{"simmers", "boils"});
    CHECK_FALSE(c.ranking[1].holds);
    CHECK_THAT(c.ranking[1].reason, Contains("oils, though the margin is 30 K"));
}

TEST_CASE("margins closer than the doubt tie, and what holds comes before what does not",
          "[study]") {
    study::Comparison c;
    add(c, "far", {{verdict("steering", 14)}}, 0, 9.0);
    add(c, "near", {{verdict("steering", 14 - study::margin_doubt + 0.1)}}, 0, 2.0);
    CHECK(order(c) == Names{"near", "far"});
    CHECK_THAT(study::verdict_text(c, units::System::si),
               Contains("tie") && Contains("shorter lines"));
    c.doubt = 1;
    CHECK(order(c) == Names{"far", "near"});
    study::Comparison edge;
    add(edge, "over", {{verdict("steering", -1, 5)}}, 0, 1.0);
    add(edge, "under", {{verdict("steering", 1)}}, 0, 9.0);
    CHECK(order(edge) == Names{"under", "over"});
}

TEST_CASE("more than twenty kelvin of margin still ranks", "[study]") {
    study::Comparison c;
    add(c, "small", {{verdict("steering", 24)}}, 0, 1.0);
    add(c, "large", {{verdict("steering", 50)}}, 0, 3.0);
    CHECK(order(c) == Names{"large", "small"});
}

TEST_CASE("the rule names the fluids judged, the doubt and the order of ties", "[study]") {
    study::Comparison c;
    add(c, "a", {{verdict("steering", 24)}});
    study::rank(c);
    const std::string rule = study::ranking_rule(c, units::System::si);
    CHECK_THAT(rule, Contains("coolant, transmission and steering") &&
                         Contains("closer than 5 K") && Contains("engine oil"));
    CHECK(std::count(rule.begin(), rule.end(), '.') == 1);
    c.left_out.clear();
    CHECK_THAT(study::ranking_rule(c, units::System::us),
               Contains("Every fluid counts") && Contains("9 °F"));
}

TEST_CASE("a fault never wins, and a difference that rounds away is not named", "[study]") {
    study::Comparison c;
    auto few = verdict("steering", 4), many = verdict("steering", 20);
    few.air_flow = 0.400;
    many.air_flow = 0.404;
    add(c, "fan dead", {{few}});
    add(c, "thermostat stuck open", {{many}});
    c.faults = true;
    study::rank(c);
    const std::string text = study::verdict_text(c, units::System::si);
    CHECK_THAT(text, Contains("Thermostat stuck open loses least") && !Contains("wins") &&
                         !Contains("instead of"));
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
    add(c, "15", {{verdict("coolant", 15)}}, 0, 3);
    add(c, "11", {{verdict("coolant", 11)}}, 0, 2);
    add(c, "7", {{verdict("coolant", 7)}}, 0, 1);
    CHECK(order(c) == Names{"11", "15", "7"});
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
    CHECK_THAT(text, Contains("because there the air at its core is 9 K hotter"));
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

TEST_CASE("the short table marks who ties with the one above, and says how such are put in order",
          "[study]") {
    study::Comparison c;
    auto warm = verdict("steering", 2);
    warm.time_over_caution = 600;
    add(c, "far", {{verdict("coolant", 7), verdict("engine_oil", 31)}}, 0, 9);
    add(c, "near", {{verdict("coolant", 4), verdict("engine_oil", 29)}}, 0, 3);
    add(c, "hot", {{verdict("coolant", -20, 60), warm, verdict("engine_oil", 29)}}, 0, 1);
    study::rank(c);
    const auto table = study::short_table(c, units::System::si);
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0][0].text == "1 ");
    CHECK(table.rows[0][1].text == "near");
    CHECK(table.rows[1][0].text == "2=");
    CHECK(table.rows[2][0].text == "3 ");
    CHECK(table.rows[2][2].text == "no");
    std::string notes;
    for (const std::string& text : study::short_notes(c, units::System::si)) notes += text + '\n';
    CHECK_THAT(notes, Contains("ties with the one above") && Contains("shorter lines"));
    CHECK_THAT(notes, Contains("hot 10 min (most in steering, cycle 1)"));
    CHECK_THAT(notes, Contains("engine oil 29 K"));
    // Where nothing ties and nothing is warm, none of that is said.
    study::Comparison apart;
    add(apart, "cool", {{verdict("coolant", 30)}});
    add(apart, "cooler", {{verdict("coolant", 50)}});
    study::rank(apart);
    notes.clear();
    for (const std::string& text : study::short_notes(apart, units::System::si)) notes += text;
    CHECK_THAT(notes, !Contains("ties") && !Contains("caution"));
}
