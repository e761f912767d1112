// The bad-input battery: each wrong file gives exactly the problems it has, where they are.
#include <catch2/catch.hpp>

#include "car.hpp"

using car::changed;
using car::places;
using Places = std::vector<std::string>;

TEST_CASE("The car that the bad files are made from has no problems") {
    CHECK(places(car::text).empty());
}

TEST_CASE("One slip is one problem, at its line and column, under its key") {
    struct Slip {
        const char* right;
        const char* wrong;
        const char* place;
    };
    const Slip slips[] = {
        // A quantity that is no text, has no unit, the wrong one, or an unknown one.
        {"\"600 mm\"", "600", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "true", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "[1]", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"600\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"600 kg\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"600 mmm\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"wide\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "1979-05-27", "13:9 cores.radiator.width"},
        // Out of range, or no number at all.
        {"\"600 mm\"", "\"-600 mm\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"0 m\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"inf m\"", "13:9 cores.radiator.width"},
        {"\"600 mm\"", "\"nan m\"", "13:9 cores.radiator.width"},
        {"= 0.5", "= 1.5", "5:19 fluids.coolant.ethylene_glycol"},
        {"= 0.5", "= nan", "5:19 fluids.coolant.ethylene_glycol"},
        {"\"0 %\"", "\"101 %\"", "8:19 fluids.oil.ethylene_glycol"},
        {"tubes = 42", "tubes = 0", "14:9 cores.radiator.tubes"},
        {"tubes = 42", "tubes = 42.5", "14:9 cores.radiator.tubes"},
        {"tubes = 42", "tubes = \"42\"", "14:9 cores.radiator.tubes"},
        {"insulated = true", "insulated = \"yes\"", "27:13 lines[1].insulated"},
        {"insulated = true", "insulated = 1", "27:13 lines[1].insulated"},
        {"\"invented coupe\"", "7", "1:8 name"},
        {"\"0.3125 inch\"", "\"0 inch\"", "26:18 lines[1].bores[2]"},
        {"\"0.3125 inch\"", "8", "26:18 lines[1].bores[2]"},
        {"bores = \"10 mm\"", "bores = \"10 m/s\"", "31:9 lines[2].bores"},
        // Keys misspelt, unknown, missing, and tables of the wrong kind.
        {"width =", "widht =", "13:1 cores.radiator.widht"},
        {"name =", "nmae =", "1:1 nmae"},
        {"insulated =", "insulatd =", "27:1 lines[1].insulatd"},
        {"tubes = 42", "tubes = 42\ncolour = \"red\"", "15:1 cores.radiator.colour"},
        {"tubes = 42", "tubes = 42\n\"two words\" = 1", "15:1 cores.radiator.\"two words\""},
        {"mass = \"2600 lb\"\n", "", "1:1 mass"},
        {"width = \"600 mm\"\n", "", "10:1 cores.radiator.width"},
        {"from = \"radiator\"\n", "", "24:1 lines[1].from"},
        {"[cores.radiator]", "[cores]\nspare = 3\n[cores.radiator]", "11:9 cores.spare"},
        {"[cores.radiator]", "[spare]\n[cores.radiator]", "10:2 spare"},
        // Words and names.
        {"kind = \"rating\"", "kind = \"ratings\"", "11:8 cores.radiator.kind"},
        {"kind = \"rating\"\n", "", "10:1 cores.radiator.kind"},
        {"fluid = \"coolant\"", "fluid = \"coolnt\"", "12:9 cores.radiator.fluid"},
        {"from = \"cooler\"", "from = \"boiler\"", "30:8 lines[2].from"},
        // Tables of numbers.
        {"flow [L/min]", "flw [L/min]", "22:12 cores.cooler.points"},
        {"flow [L/min]", "flow", "22:12 cores.cooler.points"},
        {"flow [L/min]", "flow [kg]", "22:12 cores.cooler.points"},
        {"flow [L/min]", "heat [W]", "22:24 cores.cooler.points"},
        {"[10, 6.5]", "[4, 6.5]", "22:53 cores.cooler.points"},
        {"[10, 6.5]", "[10, -6.5]", "22:57 cores.cooler.points"},
        {"[10, 6.5]", "[10, \"much\"]", "22:57 cores.cooler.points"},
        {"[10, 6.5]", "[10, 6.5, 1]", "22:62 cores.cooler.points"},
        {"[10, 6.5]", "[10]", "22:53 cores.cooler.points"},
        {"[10, 6.5]", "[10, [6.5]]", "22:57 cores.cooler.points"},
        {", [10, 6.5]", "", "22:10 cores.cooler.points"},
        // What is no TOML.
        {"\"600 mm\"", "600 mm", "13:13 "},
        {"\"600 mm\"", "wide", "13:9 "},
        {"\"600 mm\"", "\"600 mm", "13:16 "},
        {"\"600 mm\"", "", "13:9 "},
        {"tubes = 42", "tubes = 42 17", "14:12 "},
        {"name =", "mass = \"1 kg\"\nname =", "3:8 "},
        {"[cores.radiator]", "[cores.radiator", "10:16 "},
    };
    for (const Slip& slip : slips) {
        INFO(slip.right << " -> " << slip.wrong);
        CHECK(places(changed(slip.right, slip.wrong)) == Places{slip.place});
    }
}

TEST_CASE("Many slips in a file are all reported at once, in the order of its lines") {
    std::string text = car::text;
    const auto replace = [&](const std::string& from, const std::string& to) {
        text.replace(text.find(from), from.size(), to);
    };
    replace("\"2600 lb\"", "2600 lb");
    replace("ethylene_glycol", "glycol");
    replace("width = \"600 mm\"", "width = \"600 K\"");
    replace("fluid = \"oil\"", "fluid = \"oli\"");
    replace("[10, 6.5]", "[1, 6.5]");
    replace("\"10 mm\"", "\"ten\"");
    CHECK(places(text) == Places{"2:13 ", "5:1 fluids.coolant.glycol", "13:9 cores.radiator.width",
                                 "19:9 cores.cooler.fluid", "22:53 cores.cooler.points",
                                 "31:9 lines[2].bores"});
}

TEST_CASE("A message says what was found, what was expected and what to do") {
    const auto message = [](const std::string& from, const std::string& to) {
        lapheat::scenario::Problems problems;
        const auto document = parse(changed(from, to), "car.toml", problems);
        car::read(document, problems);
        REQUIRE(problems.errors() == 1);
        return to_string(problems.sorted().front());
    };
    CHECK(message("\"600 mm\"", "600 mm") ==
          "car.toml:13:13: not TOML: expected a comment or whitespace, saw 'm'; text is written in "
          "quotes: width = \"600 mm\"");
    CHECK(message("width =", "widht =") ==
          "car.toml:13:1: cores.radiator.widht: unknown key; did you mean 'width'? known: kind, "
          "fluid, width, tubes, heat");
    CHECK(message("\"600 mm\"", "600") ==
          "car.toml:13:9: cores.radiator.width: found 600, expected a length such as \"8 mm\"; a "
          "quantity is text with its unit");
    CHECK(message("\"600 mm\"", "\"-1 mm\"") ==
          "car.toml:13:9: cores.radiator.width: found \"-1 mm\", expected more than 0");
    CHECK(message("\"rating\"", "\"ratings\"") ==
          "car.toml:11:8: cores.radiator.kind: found \"ratings\", expected \"rating\" or "
          "\"points\"; did you mean \"rating\"?");
    CHECK(message("[fluids.oil]", "[surroundings]\nambient = \"200 degC\"\n[fluids.oil]") ==
          "car.toml:8:11: surroundings.ambient: found \"200 degC\", expected between -50 degC and "
          "60 degC");
}

TEST_CASE("On a terminal the line is shown with a caret under the place") {
    lapheat::scenario::Problems problems;
    const auto document = lapheat::scenario::parse("été = 1\n\tx = \x7f 3\n", "a.toml", problems);
    lapheat::scenario::Problem at;
    at.place = {"a.toml", 1, 7};
    at.found = "found 1";
    CHECK(to_string(at, document.files) == "a.toml:1:7: found 1\n  1 | été = 1\n    |       ^");
    at.place = {"a.toml", 2, 2};
    // Control characters never reach the terminal.
    CHECK(to_string(at, document.files) == "a.toml:2:2: found 1\n  2 |  x =   3\n    |  ^");
    at.place = {"a.toml", 99, 1};
    CHECK(to_string(at, document.files) == "a.toml:99:1: found 1");
    at.place = {"b.toml", 1, 1};
    CHECK(to_string(at, document.files) == "b.toml:1:1: found 1");
}
