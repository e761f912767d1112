#include <catch2/catch.hpp>
#include <fstream>
#include <regex>

#include "count_of.hpp"
#include "lapheat/study/gauges.hpp"
#include "lapheat/study/page.hpp"
#include "lapheat/study/report.hpp"
#include "synthetic.hpp"

using namespace lapheat;
using namespace synthetic;
using Catch::Matchers::Contains;

namespace {

void add_series(study::Comparison& c, std::size_t samples) {
    for (study::CycleOutcome& o : c.outcomes) {
        for (std::size_t i = 0; i < samples; ++i) o.result.time.push_back(static_cast<double>(i));
        for (const model::Verdict& v : o.result.verdicts) {
            model::Series t{"loops/" + v.loop, "watched_temperature", "K", "", {}},
                limit{"loops/" + v.loop, "limit", "K", "", {}};
            for (std::size_t i = 0; i < samples; ++i) {
                t.values.push_back(i == samples / 2 ? v.peak : 330 + static_cast<double>(i % 7));
                limit.values.push_back(v.limit);
            }
            o.result.series.push_back(t);
            o.result.series.push_back(limit);
        }
    }
}

study::Comparison hostile() {
    const std::string evil = "<script>alert(\"x\")</script>&'<img src=x>";
    study::Comparison c;
    add(c, evil, {{verdict(evil, 5), verdict("coolant", 7)}});
    add(c, "plain", {{verdict(evil, 9), verdict("coolant", 8)}}, 0, 2.0);
    for (auto& car : c.cars) {
        car.name = evil;
        car.summary = evil;
        car.assumptions = {{{}, evil}};
    }
    c.cycles[0] = evil;
    for (auto& o : c.outcomes) o.binding = evil;
    add_series(c, 50);
    study::rank(c);
    c.verdict = study::verdict_text(c, units::System::si);
    c.cautions = {{evil, evil}};
    study::Certainty sure;
    sure.draws = 100;
    sure.about = sure.first_failure = evil;
    sure.failed = 1;
    sure.not_drawn = {evil};
    for (const std::string& name : c.placements) {
        study::PlacementCertainty p;
        p.placement = name;
        p.bound_by = evil;
        p.margin_95 = 20;
        sure.placements.push_back(p);
        study::CycleCertainty row;
        row.placement = name;
        row.cycle = evil;
        sure.cycles.push_back(row);
    }
    sure.better.assign(2, std::vector<double>(2, 0.5));
    study::Driver driver;
    driver.number = driver.origin = evil;
    driver.share = driver.share_high = 0.5;
    sure.drivers = {driver};
    sure.measure = {study::Measurement{.what = evil, .how = evil, .how_well = evil}};
    c.certainty = sure;
    return c;
}

}  // namespace

TEST_CASE("markup in names shows as text on the page", "[study][page]") {
    const std::string page = study::comparison_page(hostile(), units::System::si);
    CHECK(count_of(page, "<script>") == 1);  // its own
    CHECK(count_of(page, "<img") == 0);
    CHECK_THAT(page,
               Contains("&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt;&amp;&#39;&lt;img"));
}

TEST_CASE("the page refers to nothing outside itself", "[study][page]") {
    std::string page = study::comparison_page(hostile(), units::System::us);
    // The one address allowed is the name of SVG's namespace, which is never fetched.
    const std::string name = "http://www.w3.org/2000/svg";
    const auto at = page.find(name);
    REQUIRE(at != std::string::npos);
    page.erase(at, name.size());
    CHECK_FALSE(std::regex_search(
        page, std::regex("https?:|//[a-z]+\\.|@import|url\\(|<link|<iframe| src=\"")));
}

TEST_CASE("tags that open also close, and no identifier stands twice", "[study][page]") {
    const std::string page = study::comparison_page(hostile(), units::System::si);
    for (const char* tag : {"table", "tr", "td", "div", "section", "figure", "svg", "g", "text",
                            "ol", "li", "details", "dl", "p"})
        CHECK(count_of(page, std::string("<") + tag + ">") +
                  count_of(page, std::string("<") + tag + " ") ==
              count_of(page, std::string("</") + tag + ">"));
    std::vector<std::string> ids;
    const std::regex id(" id=\"([^\"]*)\"");
    for (std::sregex_iterator it(page.begin(), page.end(), id), end; it != end; ++it)
        ids.push_back((*it)[1]);
    auto sorted = ids;
    std::sort(sorted.begin(), sorted.end());
    CHECK(std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end());
    CHECK(ids.size() > 6);
}

TEST_CASE("a page of twenty placements and three cycles of an hour stays below a megabyte",
          "[study][page]") {
    study::Comparison c;
    for (int p = 0; p < 20; ++p) {
        const std::vector<model::Verdict> fluids{verdict("coolant", 5 + p),
                                                 verdict("transmission", 9),
                                                 verdict("steering", 20), verdict("engine_oil", 8)};
        add(c, "place " + std::to_string(p), {fluids, fluids, fluids}, 1e5, 3.0);
    }
    add_series(c, 3601);
    study::rank(c);
    c.verdict = study::verdict_text(c, units::System::si);
    const std::string page = study::comparison_page(c, units::System::si);
    CHECK(page.size() < 1'000'000);
    CHECK(count_of(page, "<svg viewBox") == 60);
}

TEST_CASE("a peak of one sample survives the thinning of a plot", "[study][page]") {
    study::Comparison c;
    add(c, "place", {{verdict("coolant", 1)}});
    add_series(c, 20001);
    study::rank(c);
    const std::string page = study::comparison_page(c, units::System::si);
    // The axis runs from 40 to 140 degC over 208 units of drawing; 399 K is 125.85 degC.
    const std::regex line("data-name=\"coolant\" points=\"([^\"]*)\"");
    std::smatch found;
    REQUIRE(std::regex_search(page, found, line));
    const std::string points = found[1];
    double highest = 1e9;
    std::size_t n = 0;
    for (auto at = points.find(','); at != std::string::npos; at = points.find(',', at + 1), ++n)
        highest = std::min(highest, std::stod(points.substr(at + 1)));
    CHECK(n < 1000);
    CHECK(highest == Approx(218 - 208 * (125.85 - 40) / 100).margin(0.06));
}

TEST_CASE("a gauge reads what the fluid has for eight tenths of the time, and its highest",
          "[study][page]") {
    study::Comparison c;
    add(c, "place", {{verdict("coolant", 1)}});
    c.outcomes[0].result.verdicts[0].part = "jacket";
    add_series(c, 1000);
    study::rank(c);
    const auto readings = study::gauge_readings(c, 0);
    REQUIRE(readings.size() == 1);
    // The series goes round from 330 to 336 K, a seventh of the time each, and once to 399 K.
    CHECK(readings[0].low == Approx(330));
    CHECK(readings[0].high == Approx(336));
    CHECK(readings[0].most == Approx(399));
    CHECK_FALSE(readings[0].drawn);
    study::Certainty sure;
    sure.draws = 20;
    sure.bands = {{"place",
                   "cycle 1",
                   "coolant",
                   {0, 500, 1000},
                   {320, 320, 320},
                   {340, 342, 344},
                   {360, 365, 361}}};
    sure.placements.emplace_back().placement = "place";
    sure.better = {{0}};
    c.certainty = sure;
    const auto drawn = study::gauge_readings(c, 0);
    CHECK(drawn[0].drawn);
    CHECK(drawn[0].most == 365);
    CHECK(drawn[0].low >= 340);
    CHECK(drawn[0].high <= 344);
    const auto table = study::gauge_table(c, units::System::si);
    REQUIRE(table.rows.size() == 1);
    CHECK(table.rows[0][1].text == "jacket");
    CHECK_THAT(table.rows[0][2].text, Contains("(92)"));  // 365 K
    CHECK_THROWS_AS(study::gauge_readings(c, 1), std::out_of_range);
}

TEST_CASE("with draws a card tells of all cars, and what the one as written has beside it",
          "[study][page]") {
    const study::Comparison c = hostile();
    const std::string page = study::comparison_page(c, units::System::si);
    CHECK_THAT(page, Contains("cars like yours</p>"));
    CHECK_THAT(page, Contains("The car exactly as written: "));
}

TEST_CASE("the page for the accessibility check is written", "[study][page]") {
    std::ofstream out(std::string(LAPHEAT_BINARY_DIR) + "/comparison_page.html");
    out << study::comparison_page(hostile(), units::System::si);
    CHECK(out.good());
}

TEST_CASE("the page tells the same in both systems of units, and shows the one asked for",
          "[study][page]") {
    study::Comparison c;
    add(c, "place", {{verdict("coolant", 9)}});
    add_series(c, 50);
    for (const auto& [system, shown] :
         {std::pair{units::System::si, "units-si"}, std::pair{units::System::us, "units-us"}}) {
        study::rank(c, system);
        const std::string page = study::comparison_page(c, system);
        CHECK_THAT(page, Contains(std::string("id=\"") + shown + "\" checked=\"\""));
        CHECK(count_of(page, "checked=\"\"") == 1);
        CHECK_THAT(page, Contains("Holds with at least 9 K"));  // 9 K are 16.2 degF
        CHECK_THAT(page, Contains("Holds with at least 16 °F"));
        CHECK(count_of(page, "<figure data-x0") == 1);
        CHECK_THAT(page, Contains("data-si-unit=\"°C\""));
        CHECK_THAT(page, Contains("data-us-unit=\"°F\""));
    }
    // An end of the axis is one temperature in two units.
    const std::string page = study::comparison_page(c, units::System::si);
    const auto number = [&](const char* name) {
        const auto at = page.find(name);
        REQUIRE(at != std::string::npos);
        return std::stod(page.substr(at + std::string(name).size()));
    };
    CHECK(number("data-us-low=\"") == Approx(32 + 1.8 * number("data-si-low=\"")).margin(0.1));
    CHECK(number("data-us-high=\"") == Approx(32 + 1.8 * number("data-si-high=\"")).margin(0.1));
}
