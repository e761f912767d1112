// Property: no text, however broken, crashes the reading or is refused without a place.
#include <catch2/catch.hpp>

#include "../mutator.hpp"
#include "car.hpp"

namespace {

/// What a file of ours is made of, a character a word.
std::vector<std::string> spice() {
    std::vector<std::string> out;
    for (const char c : std::string("[]{}=\"'#,.\n\t \\-+0159aezEN_%\x01\x7f\xc3\xa9\xff"))
        out.emplace_back(1, c);
    return out;
}

}  // namespace

TEST_CASE("No mutation of a valid file crashes, and every refusal names a place and a reason") {
    Mutator mutator({car::text}, spice(), 20240607);
    int good = 0;
    int bad = 0;
    for (int round = 0; round < 4000; ++round) {
        // Many edits leave next to nothing that is still a car.
        const std::string text = mutator.next(round % 2 == 0 ? 1 : 5);
        lapheat::scenario::Problems problems;
        const auto document = lapheat::scenario::parse(text, "car.toml", problems);
        const car::Car c = car::read(document, problems);
        ++(problems.errors() > 0 ? bad : good);
        for (const auto& problem : problems.sorted()) {
            REQUIRE_FALSE(to_string(problem, document.files, true).empty());
            REQUIRE(problem.place.line >= 1);
            REQUIRE(problem.place.column >= 1);
            REQUIRE((!problem.found.empty() || !problem.expected.empty()));
        }
        if (problems.errors() == 0) {
            // A car that passed has nothing that is no number in it.
            REQUIRE(c.mass > 0.0);
            for (const auto& core : c.cores) REQUIRE(core.width > 0.0);
        }
    }
    CHECK(good > 100);
    CHECK(bad > 1000);
}

TEST_CASE("No mutation of a table of numbers crashes or passes with rows of different length") {
    using lapheat::units::Quantity;
    const std::string csv = "time [s],speed [km/h],grade [%]\n0,0,\"0\"\n1,36,2 # up\n2,40,-3\n";
    const std::vector<lapheat::scenario::Column> asked = {
        {"time", Quantity::time}, {"speed", Quantity::speed}, {"grade", Quantity::ratio}};
    Mutator mutator({csv}, spice(), 7);
    for (int round = 0; round < 4000; ++round) {
        lapheat::scenario::Problems problems;
        const auto columns = lapheat::scenario::parse_csv(mutator.next(), "c.csv", asked, problems);
        REQUIRE(columns["time"].size() == columns["speed"].size());
        REQUIRE(columns["time"].size() == columns["grade"].size());
        REQUIRE((problems.errors() == 0) == (columns.rows() > 0));
    }
}
