// What to buy: lists, the front against one made by hand and against running everything.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "lapheat/drive/generate.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/study/search.hpp"

using namespace lapheat;

namespace {

const std::filesystem::path folder = std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

scenario::Scenario car(const std::string& placement) {
    auto s = scenario::read(folder / "placements" / (placement + ".toml"));
    s.cycles = {drive::steady(3, 400, {.ambient = 318.15}),
                drive::steady(30, 120, {.ambient = 318.15})};
    s.cycles[0].name = "crawl";
    s.cycles[1].name = "fast";
    return s;
}

std::filesystem::path list(const std::string& name, const std::string& text) {
    const auto file = std::filesystem::temp_directory_path() / ("lapheat-" + name + ".csv");
    std::ofstream(file) << text;
    return file;
}

scenario::PartsList offers(const std::string& part, const std::string& text,
                           const scenario::Scenario& s) {
    scenario::Problems problems;
    auto out = scenario::read_parts_list(list(part, text), part, s, problems);
    problems.throw_if_any();
    return out;
}

/// The problems of a list as "line:column what".
std::vector<std::string> wrong(const std::string& part, const std::string& text) {
    scenario::Problems problems;
    (void)scenario::read_parts_list(list("wrong", text), part, car("under_floor"), problems);
    std::vector<std::string> out;
    for (const auto& p : problems.sorted())
        out.push_back(std::to_string(p.place.line) + ":" + std::to_string(p.place.column) + " " +
                      p.found);
    return out;
}

const char* const coolers =
    "# invented\n"
    "what, width [mm], height [mm], depth [mm], price [EUR], notes\n"
    "small, 200, 150, 38, 60, two weeks\n"
    "middle, 280, 210, 38, 95,\n"
    "\"large, deep\", 340, 240, 50, 160, heavy\n"
    "same as middle, 280, 210, 38, 120, dearer\n";
const char* const fans =
    "what, flow, pressure, current [A], price [EUR], notes\n"
    "weak, 400 ft3/min, 90 Pa, 5, 30,\n"
    "strong, 900 ft3/min, 200 Pa, 11, 70,\n";
const char* const lines =
    "what, size, price [EUR/m], notes\n"
    "hose -6, -6, 8, oil rated\n"
    "hose -8, -8, 11, oil rated\n";

}  // namespace

TEST_CASE("the front of points made by hand is those that none beats for less") {
    const std::vector<double> prices = {10, 20, 20, 30, 40, 5, 30};
    const std::vector<double> margins = {1, 3, 4, 4, 9, -2, 3.9};
    CHECK(study::front_of(prices, margins) == std::vector<std::size_t>{5, 0, 2, 4});
    CHECK(study::front_of({}, {}).empty());
    // Crumbs are worth no money, but for what they bring over the line.
    const std::vector<double> rising = {10, 11, 12, 13, 14}, crumbs = {5, 5.2, 5.4, 5.6, 9};
    CHECK(study::front_of(rising, crumbs, 0.5) == std::vector<std::size_t>{0, 3, 4});
    CHECK(study::front_of(rising, crumbs, 0.5, 5.3) == std::vector<std::size_t>{0, 2, 4});
}

TEST_CASE("a list of offers is read with units in headings or cells, and fits what follows") {
    const auto s = car("under_floor");
    const auto cooler = offers("cooler", coolers, s);
    REQUIRE(cooler.offers.size() == 4);
    CHECK(cooler.currency == "EUR");
    CHECK(cooler.offers[2].what == "large, deep");
    CHECK(cooler.offers[2].notes == "heavy");
    const auto set = scenario::fitted(s, cooler, cooler.offers[0]);
    const auto value = [&](const std::string& path) {
        for (const auto& [known, x] : set)
            if (known == path) return x;
        return std::nan("");
    };
    CHECK(value("cores.cooler.width") == Approx(0.2));
    CHECK(value("cores.cooler.passages") == Approx(20 * 150.0 / 210));  // plates keep their pitch
    const auto line = offers("line", lines, s);
    CHECK(line.per_metre);
    CHECK(scenario::amount_needed(s, line) == Approx(0.7 + 0.7 + 1.3 + 1.6));
    CHECK(scenario::fitted(s, line, line.offers[1]).size() == 4);
    const auto fan = offers("fan", fans, s);
    CHECK(fan.offers[0].numbers[0].second == Approx(0.18878).epsilon(1e-3));
    CHECK(scenario::amount_needed(car("ahead_of_radiator"), fan) == 2);
    // As a spreadsheet of another country writes it.
    const auto other = offers("cooler", "what;width [mm];price [EUR]\nA;200,5;12,50\n", s);
    CHECK(other.offers[0].price == 12.5);
    CHECK(other.offers[0].numbers[0].second == Approx(0.2005));
}

TEST_CASE("a list with a mistake is one error at its line and column") {
    using Found = std::vector<std::string>;
    CHECK(wrong("cooler", "what, width [mm], price\nA, 200,\n") == Found{"2:8 no price of 'A'"});
    CHECK(wrong("cooler", "what, width [kg], price\nA, 200, 3\n").size() == 1);
    CHECK(wrong("cooler", "what, width [kg], price\nA, 200, 3\n")[0].starts_with("1:7 "));
    CHECK(wrong("cooler", "what, widht [mm], price\nA, 200, 3\n") ==
          Found{"1:7 unknown column 'widht'"});
    CHECK(
        wrong("cooler", "what, width, price\nA, 200 mm, 3\nB, 200 kg, 4\n")[0].starts_with("3:4 "));
    CHECK(wrong("cooler", "what, width [mm]\nA, 200\n") == Found{"1:1 no column 'price'"});
    CHECK(wrong("cooler", "what, width [mm], price\nA, -200, 3\n")[0].starts_with("2:4 "));
    CHECK(wrong("cooler", "what, width [mm], price\nA, 200, 3, 4\n")[0].starts_with("2:"));
    CHECK(wrong("cooler", "what, price\n").size() == 1);
    CHECK(wrong("fan", "what, flow [ft3/min], price [EUR]\nA, 200, 3 USD\n") ==
          Found{"2:9 a price in USD"});
    const auto s = car("under_floor");
    CHECK_THROWS_WITH(scenario::tables_of_part(s, "sunroof"), Catch::Contains("no part 'sunroof'"));
}

TEST_CASE("a search finds the front of running everything, with fewer runs, for any threads") {
    const std::vector<scenario::Scenario> placements = {car("under_floor"), car("rear")};
    study::SearchOptions o;
    o.lists = {offers("cooler", coolers, placements[0]), offers("fan", fans, placements[0]),
               offers("line", lines, placements[0])};
    o.fluids = {"transmission", "steering"};
    o.target = 5;
    const std::size_t draws = GENERATE(0, 20);
    o.draws = draws;
    const study::Search quick = study::search(placements, o);
    o.every_one = true;
    o.threads = 1;
    const study::Search all = study::search(placements, o);
    CHECK(quick.choices == 2 * 4 * 2 * 2);
    CHECK(all.runs == all.runs_of_all);
    CHECK(quick.runs < all.runs);
    INFO(quick.runs << " of " << all.runs);
    REQUIRE(quick.front.size() == all.front.size());
    for (std::size_t i = 0; i < all.front.size(); ++i) {
        CHECK(quick.front[i].words == all.front[i].words);
        CHECK(quick.front[i].margin == all.front[i].margin);
        CHECK(quick.front[i].price == all.front[i].price);
        if (i > 0) CHECK(all.front[i].margin > all.front[i - 1].margin);
        CHECK(all.front[i].words.find("same as middle") == std::string::npos);
    }
    CHECK(quick.answer == all.answer);
    CHECK(!quick.cautions.empty());
    double sum = 0;
    for (const auto& b : quick.shopping) sum += b.sum;
    CHECK(sum == Approx(quick.front[quick.answer.value_or(quick.front.size() - 1)].price));
}

TEST_CASE("a budget, a space and a current keep out what is over them before anything is run") {
    const std::vector<scenario::Scenario> placements = {car("under_floor")};
    study::SearchOptions o;
    o.lists = {offers("cooler", coolers, placements[0]), offers("fan", fans, placements[0])};
    o.budget = 100;
    o.rooms = {{"under the floor", {0.3, 0.22, 0.06}}};
    o.current = 32;  // two of 13 A at the radiator, and what is chosen
    const study::Search s = study::search(placements, o);
    CHECK(s.choices == 8);
    CHECK(s.over_budget == 7);
    CHECK(s.too_large == 0);
    CHECK(s.over_current == 0);
    REQUIRE(!s.front.empty());
    CHECK(s.front[0].words == "under the floor: small, weak");
    o.budget = 1000;
    const study::Search rich = study::search(placements, o);
    CHECK(rich.over_budget == 0);
    CHECK(rich.too_large == 2);
    CHECK(rich.over_current == 3);
    o.current = 1;
    CHECK_THROWS_WITH(study::search(placements, o), Catch::Contains("none of 8 choices"));
    o.lists.push_back(offers("line", "what, size, price [USD/m]\nA, -6, 3\n", placements[0]));
    CHECK_THROWS_WITH(study::search(placements, o), Catch::Contains("USD"));
}
