// Property: no text, however broken, crashes the reading or is refused without a place.
#include <catch2/catch.hpp>
#include <random>

#include "car.hpp"

namespace {

const std::string spice = "[]{}=\"'#,.\n\t \\-+0159aezEN_%\x01\x7f\xc3\xa9\xff";

/// One to six random edits: a character changed, put in or taken out, a piece moved or cut off.
std::string mutated(std::string text, std::mt19937& random) {
    const auto below = [&](std::size_t n) { return n == 0 ? 0 : random() % n; };
    for (std::size_t edits = 1 + below(6); edits > 0 && !text.empty(); --edits) {
        const std::size_t at = below(text.size());
        const std::size_t length = below(std::min<std::size_t>(text.size() - at, 40));
        switch (below(6)) {
            case 0:
                text[at] = spice[below(spice.size())];
                break;
            case 1:
                text.insert(at, 1, spice[below(spice.size())]);
                break;
            case 2:
                text.erase(at, 1);
                break;
            case 3:
                text.erase(at, length);
                break;
            case 4:
                text.insert(below(text.size()), text.substr(at, length));
                break;
            default:
                if (below(20) == 0) text.resize(at);
                break;
        }
    }
    return text;
}

}  // namespace

TEST_CASE("No mutation of a valid file crashes, and every refusal names a place and a reason") {
    std::mt19937 random(20240607);
    int good = 0;
    int bad = 0;
    for (int round = 0; round < 4000; ++round) {
        const std::string text = mutated(car::text, random);
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
    std::mt19937 random(7);
    for (int round = 0; round < 4000; ++round) {
        lapheat::scenario::Problems problems;
        const auto columns =
            lapheat::scenario::parse_csv(mutated(csv, random), "c.csv", asked, problems);
        REQUIRE(columns["time"].size() == columns["speed"].size());
        REQUIRE(columns["time"].size() == columns["grade"].size());
        REQUIRE((problems.errors() == 0) == (columns.rows() > 0));
    }
}
