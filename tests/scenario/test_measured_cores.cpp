// Cores rated from measured surfaces, from a file through a whole drive: the kind flat_tube, and a
// table of one's own (`surface`) in place of a kind's relation.
#include <catch2/catch.hpp>
#include <string>

#include "lapheat/drive/generate.hpp"
#include "lapheat/model/simulate.hpp"
#include "trial.hpp"

using namespace lapheat;

namespace {

/// The demo car with another radiator, "classic", in the radiator's place.
std::string with_radiator(const std::string& keys) {
    return "[cores.classic]\nfluid = \"coolant\"\nwidth = \"700 mm\"\nheight = \"440 mm\"\n" +
           keys +
           "[air.front]\nstack = [ { core = \"classic\" } ]\n"
           "[loops.coolant.runs.radiator.parts]\n\"radiator\" = { core = \"classic\" }\n";
}

const std::string flat_tube =
    "kind = \"flat_tube\"\ntube_pitch = \"11 mm\"\ntube_height = \"2.5 mm\"\ntube_depth = \"16 "
    "mm\"\nrows = 3\nrow_pitch = \"19 mm\"\nfins = \"450 1/m\"\n";

const std::string louvred =
    "kind = \"louvred\"\ndepth = \"42 mm\"\nrows = 2\ntube_pitch = \"10.5 mm\"\ntube_height = "
    "\"2.0 "
    "mm\"\ntube_depth = \"19 mm\"\nfins = \"13 1/inch\"\n";

/// Tables of one's own, film and friction `by` times those of a middling louvred fin.
std::string surface(double by) {
    std::string text = "surface = { reynolds = [ 100, 300, 1000, 3000, 9000 ], j = [ ";
    for (const double j : {0.040, 0.024, 0.0135, 0.0078, 0.0046})
        text += std::to_string(by * j) + ", ";
    text += "], f = [ ";
    for (const double f : {0.20, 0.11, 0.065, 0.046, 0.036}) text += std::to_string(by * f) + ", ";
    return text + "] }\n";
}

/// Coolant at the end of half an hour on the motorway in hot air, K; the ledger must close.
double coolant_of(const std::string& keys) {
    const scenario::Scenario s = trial::read(with_radiator(keys));
    drive::Surroundings hot;
    hot.ambient = 318.15;
    const model::Result r = model::simulate(*model::compile(s.car), drive::steady(30, 1800, hot));
    CHECK(std::abs(r.ledger.closure) < 1e-6);
    const model::Series* t = r.find("loops/coolant", "watched_temperature");
    REQUIRE(t != nullptr);
    return t->values.back();
}

}  // namespace

TEST_CASE("a car with a radiator of flat tubes through fins drives, and more fins cool more") {
    const double plain = coolant_of(flat_tube);
    CHECK(plain > 355);
    CHECK(plain < 400);
    // Ruffled fins pass more than smooth ones, and a fourth row more than three.
    CHECK(coolant_of(flat_tube + "fin_shape = \"ruffled\"\n") < plain);
    std::string deeper = flat_tube;
    deeper.replace(deeper.find("rows = 3"), 8, "rows = 4");
    CHECK(coolant_of(deeper) < plain);
}

TEST_CASE("a core's own measured table takes the place of its kind's relation in a whole drive") {
    const double by_relation = coolant_of(louvred), by_table = coolant_of(louvred + surface(1));
    CHECK(by_table != Approx(by_relation).margin(1e-3));
    // A better surface cools more: film decides, the friction that comes with it takes less away.
    CHECK(coolant_of(louvred + surface(1.3)) < by_table);
    CHECK(coolant_of(flat_tube + surface(1)) != Approx(coolant_of(flat_tube)).margin(1e-3));
}

TEST_CASE(
    "what is wrong in a flat-tube core or a table of one's own is said with its line and key") {
    const auto first = [](const std::string& keys) {
        return trial::problems(with_radiator(keys)).front();
    };
    const auto without = [](std::string text, const std::string& line) {
        return text.replace(text.find(line), line.size(), "");
    };
    CHECK(first(flat_tube) == "none");
    CHECK(first(without(flat_tube, "fins = \"450 1/m\"\n")).find("cores.classic.fins") !=
          std::string::npos);
    CHECK(
        first(without(flat_tube, "tube_height = \"2.5 mm\"\n")).find("cores.classic.tube_height") !=
        std::string::npos);
    CHECK(first(flat_tube + "fin_shape = \"wavy\"\n").find("12: cores.classic.fin_shape") == 0);
    CHECK(first(flat_tube + "louvre_pitch = \"1 mm\"\n").find("12: cores.classic.louvre_pitch") ==
          0);
    // Tubes thicker than their pitch leave no way for the air.
    std::string closed = flat_tube;
    closed.replace(closed.find("2.5 mm"), 6, "12 mm");
    CHECK(first(closed).find("cores.classic") != std::string::npos);
    struct Wrong {
        const char *text, *key;
    };
    for (
        const Wrong& w :
        {Wrong{
             "{ reynolds = [ 100, 300, 1000 ], j = [ 0.04, 0.02, 0.01 ], f = [ 0.2, 0.1, 0.05 ] }",
             "surface"},
         Wrong{
             "{ reynolds = [ 100, 300, 200, 900 ], j = [ 0.04, 0.03, 0.02, 0.01 ], f = [ 0.2, 0.1, "
             "0.05, 0.04 ] }",
             "reynolds"},
         Wrong{"{ reynolds = [ 100, 300, 600, 900 ], j = [ 0.04, -0.03, 0.02, 0.01 ], f = [ 0.2, "
               "0.1, "
               "0.05, 0.04 ] }",
                "surface"},
         Wrong{
             "{ reynolds = [ 100, 300, 600, 900 ], j = [ 0.04, 0.03, 0.02 ], f = [ 0.2, 0.1, 0.05, "
             "0.04 ] }",
             "surface"},
         Wrong{"{ reynolds = [ 100, 300, 600, 900 ], j = [ 0.04, 0.03, 0.02, 0.01 ] }", "surface"},
         Wrong{"\"nowhere.csv\"", "surface"}}) {
        INFO(w.text);
        const std::string found = first(louvred + "surface = " + w.text + "\n");
        CHECK(found.find("cores.classic.surface") != std::string::npos);
        CHECK(found.find(w.key) != std::string::npos);
    }
}
