// The page of a search: what it shows is what was found, and nothing breaks out of its text.
#include <catch2/catch.hpp>
#include <fstream>
#include <regex>

#include "count_of.hpp"
#include "lapheat/study/search_page.hpp"

using namespace lapheat;
using Catch::Matchers::Contains;

namespace {

const char* const evil = "<script>alert(\"x\")</script>&'<img src=x>";

study::Search found(std::size_t draws) {
    study::Search s;
    s.car = s.currency = evil;
    s.cycles = {"traffic", evil};
    s.placements = {evil};
    s.lists = {"cooler"};
    s.draws = draws;
    s.share = 0.9;
    for (int i = 0; i < 4; ++i) {
        study::Choice c;
        c.offers = {static_cast<std::size_t>(i)};
        c.words = "choice " + std::to_string(i) + evil;
        c.price = 60 + 35.5 * i * i;
        c.margin = -8 + 6 * i;
        c.margin_low = c.margin - 2;
        c.margin_high = c.margin + 1.5;
        c.holds = 0.3 * i;
        c.loop = c.cycle = evil;
        s.front.push_back(c);
    }
    s.answer = 2;
    s.choices = 9;
    s.dominated = 5;
    s.shopping = {{"cooler", evil, evil, 202, 1, 202, false},
                  {"line", "hose", "", 8, 3.2, 25.6, true}};
    s.cautions = {{"Fire", evil}, {"Fire", "Oil burns."}, {"Space", "Measure."}};
    return s;
}

}  // namespace

TEST_CASE("the page of a search draws the front, fills the point chosen and lists what to buy") {
    const std::size_t draws = GENERATE(0, 40);
    const auto s = found(draws);
    const std::string page = study::search_page(s, units::System::si);
    // Everything stands there twice, in both systems of units.
    CHECK(count_of(page, "<circle") == 2 * s.front.size());
    CHECK(count_of(page, "class=\"point pick\"") == 2);
    CHECK(count_of(page, "class=\"reach\"") == (draws > 0 ? 2 * s.front.size() : 0));
    CHECK_THAT(page, Contains("202.00"));
    CHECK_THAT(page, Contains("/ft") && Contains("/m<"));
    CHECK(count_of(page, "<h3>Fire</h3>") == 2);
    CHECK(page.find("evil") == std::string::npos);
    CHECK(page.find("<img") == std::string::npos);
    CHECK(page.find("<script>alert") == std::string::npos);
    CHECK(!std::regex_search(page, std::regex("(src|href)=\"(https?:)?//")));
    // A dearer point lies further right and, being on the front, higher.
    const std::regex circle("cx=\"([0-9.]+)\" cy=\"([0-9.]+)\"");
    double x = 0, y = 1e9;
    auto at = std::sregex_iterator(page.begin(), page.end(), circle);
    for (std::size_t i = 0; i < s.front.size(); ++i, ++at) {
        CHECK(std::stod((*at)[1]) > x);
        CHECK(std::stod((*at)[2]) < y);
        x = std::stod((*at)[1]);
        y = std::stod((*at)[2]);
    }
}

TEST_CASE("the page of a search that reached nothing says so, and one that was stopped is whole") {
    auto s = found(0);
    s.answer.reset();
    s.target = 20;
    CHECK_THAT(study::search_page(s, units::System::us), Contains("does not reach what was asked"));
    s.front.clear();
    s.shopping.clear();
    s.cancelled = true;
    const std::string page = study::search_page(s, units::System::si);
    CHECK_THAT(page, Contains("Nothing was looked at to the end") && Contains("</html>"));
    CHECK(count_of(page, "Shopping list") == 0);
}

TEST_CASE("the page of a search for the accessibility check is written") {
    std::ofstream out(std::string(LAPHEAT_BINARY_DIR) + "/search_page.html");
    out << study::search_page(found(40), units::System::si);
    CHECK(out.good());
}
