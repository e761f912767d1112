// What lies over another file wins, and is what errors name.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "lapheat/scenario/scenario.hpp"

using namespace lapheat::scenario;

namespace {

const std::filesystem::path shipped = std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

/// Problems of a file that lies over the placement at the rear.
std::vector<std::string> over_rear(const std::string& text) {
    const auto file = std::filesystem::temp_directory_path() / "lapheat-over.toml";
    std::ofstream(file) << "extends = \"" << (shipped / "placements/rear.toml").string()
                        << "\"\nplacement = \"mine\"\n"
                        << text;
    std::vector<std::string> out;
    try {
        for (const Problem& p : lapheat::scenario::read(file).warnings) out.push_back(to_string(p));
    } catch (const Errors& e) {
        for (const Problem& p : e.problems())
            if (p.severity == Severity::error) out.push_back(to_string(p));
    }
    std::filesystem::remove(file);
    return out;
}

}  // namespace

TEST_CASE("Another kind of core leaves the former kind's keys behind and asks for its own here") {
    const auto told = over_rear("[cores.cooler]\nkind = \"louvred\"\n");
    REQUIRE(told.size() == 2);
    for (const std::string& line : told) CHECK_THAT(line, Catch::Contains("lapheat-over.toml:4"));
    CHECK_THAT(told[0], Catch::Contains("cores.cooler.fins: missing"));
    CHECK_THAT(told[1], Catch::Contains("cores.cooler.tube_height: missing"));
    CHECK(over_rear("[cores.cooler]\nkind = \"louvred\"\ntube_height = \"2 mm\"\nfins = \"15 "
                    "fpi\"\ntube_pitch = \"9 mm\"\n")
              .empty());
    // A key that no kind knows is still one too many, as is one of the kind it had.
    CHECK(over_rear("[cores.cooler]\nkind = \"louvred\"\ntube_height = \"2 mm\"\nfins = \"15 "
                    "fpi\"\ntube_pitch = \"9 mm\"\nair_fins = 9\n")
              .size() == 1);
}

TEST_CASE("Of keys that say the same in other ways, the later file's counts") {
    CHECK(over_rear("[loops.transmission.runs.cooler.parts]\n"
                    "\"supply hose\" = { size = \"AN-8\" }\n")
              .empty());
    // In one file it is a contradiction.
    const auto told = over_rear(
        "[loops.transmission.runs.cooler.parts]\n"
        "\"supply hose\" = { size = \"AN-8\", inner_diameter = \"9 mm\" }\n");
    REQUIRE(told.size() == 1);
    CHECK_THAT(told[0], Catch::Contains("given beside"));
}

TEST_CASE("Parts are called by their names, and ranges told in the units that were written") {
    const auto far = over_rear(
        "[loops.transmission.runs.cooler.parts]\n"
        "\"supply hose\" = { length = \"400 ft\" }\n");
    REQUIRE(far.size() == 1);
    CHECK_THAT(far[0], Catch::Contains("parts.\"supply hose\".length"));
    CHECK_THAT(far[0], Catch::Contains("39.3 ft"));  // 12 m are 39.37, so 39.4 would be refused
    const auto metric = over_rear(
        "[loops.transmission.runs.cooler.parts]\n"
        "\"supply hose\" = { length = \"120 m\" }\n");
    REQUIRE(metric.size() == 1);
    CHECK_THAT(metric[0], Catch::Contains("12 m;"));
    const auto wide = over_rear("[cores.radiator]\nwidth = \"-3 inch\"\nheight = \"90 psi\"\n");
    REQUIRE(wide.size() == 2);
    CHECK_THAT(wide[1], Catch::Contains("is a pressure"));
    const auto bore = over_rear(
        "[loops.transmission.runs.cooler.parts]\n"
        "\"supply hose\" = { inner_diameter = \"40 inch\" }\n");
    REQUIRE(bore.size() == 1);
    CHECK_THAT(bore[0], Catch::Contains("inch and 11.81 inch"));
}

TEST_CASE("A value is set in a part by its name, and in an item of a list by its number") {
    const Document car = parse(
        "[[parts]]\nname = \"upper hose\"\nlength = \"1 m\"\n[[parts]]\nname = \"lower hose\"\n"
        "length = \"2 m\"\n[[switches]]\non = \"90 degC\"\n",
        "car.toml");
    const auto length = [](const Document& d, std::size_t i) {
        return d.root.find("parts")->items.at(i).find("length")->text;
    };
    const Document changed =
        car.with("parts.\"lower hose\".length", "3 m").with("parts.1.length", "4 m");
    CHECK(length(changed, 0) == "4 m");
    CHECK(length(changed, 1) == "3 m");
    CHECK(length(car, 1) == "2 m");
    CHECK(changed.with("switches.1.on", "91 degC")
              .root.find("switches")
              ->items.at(0)
              .find("on")
              ->text == "91 degC");
    CHECK_THROWS_WITH(car.with("parts.\"middle hose\".length", "3 m"),
                      Catch::Contains("middle hose"));
    CHECK_THROWS_AS(car.with("parts.3.length", "3 m"), lapheat::Error);
    CHECK_THROWS_AS(car.with("parts.0.length", "3 m"), lapheat::Error);
}
