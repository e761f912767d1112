// The shopping list, and what a foot of hose and an elbow cost.
#include <algorithm>
#include <catch2/catch.hpp>

#include "lapheat/drive/generate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/study/page.hpp"
#include "lapheat/study/plumbing.hpp"

using namespace lapheat;
using namespace lapheat::study;

namespace {

model::Car plumbed_car(const std::string& placement) {
    return scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/" + placement + ".toml").car;
}

const LineCost& cost(const std::vector<LineCost>& all, const std::string& part) {
    for (const LineCost& c : all)
        if (c.part == part) return c;
    throw Error("no line " + part);
}

const drive::Surroundings hot_day{
    .ambient = 311.15, .humidity = 0.25, .sun = 850, .wind = 0, .altitude = 300};

}  // namespace

TEST_CASE("the shopping list holds every hose with its ends, and the totals are what it sums to") {
    const model::Car rear = plumbed_car("rear");
    const auto items = plumbing(rear, 0.1);
    double lines = 0, hoses = 0;
    int clamps = 0, crimped = 0, soft = 0;
    for (const model::Loop& loop : rear.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& p : run.parts)
                if (const auto* line = std::get_if<model::Line>(&p.body)) {
                    lines += line->length;
                    ++soft;
                }
    for (const PlumbingItem& item : items) {
        if (item.what == "hose") hoses += item.length;
        if (item.what == "clamp") clamps += item.count;
        if (item.what == "crimped hose end") crimped += item.count;
    }
    CHECK(hoses == Approx(1.1 * lines));  // all of hose in this car
    CHECK(crimped == 2);                  // the pump's pressure hose
    CHECK(clamps == 2 * (soft - 1));
    double total = 0;
    for (const PlumbingItem& item : plumbing_totals(items))
        if (item.what == "hose") total += item.length;
    CHECK(total == Approx(hoses));
    const auto in_us = plumbing(rear, 0.1, units::System::us);
    REQUIRE(in_us.size() == items.size());
    for (std::size_t i = 0; i < items.size(); ++i) {
        CHECK(in_us[i].length == items[i].length);
        CHECK((in_us[i].note.find(" mm") == std::string::npos &&
               in_us[i].note.find("°C") == std::string::npos));
    }
    const auto capped = std::find_if(items.begin(), items.end(),
                                     [](const PlumbingItem& i) { return i.what == "cap"; });
    REQUIRE(capped != items.end());
    CHECK(capped->count == 2);
}

TEST_CASE("the list never adds a hose of one class to a hose of another") {
    const auto items = plumbing(plumbed_car("under_floor"));
    const auto totals = plumbing_totals(items);
    double pressure_hose = 0;
    for (const PlumbingItem& item : items) {
        if (item.what != "hose") continue;
        CHECK(item.temperature > 373);
        CHECK(item.standard != "");
        if (item.standard.find("J188") != std::string::npos) {
            CHECK(item.pressure > 50e5);
            pressure_hose += item.length;
        } else {
            CHECK(item.pressure < 50e5);
        }
    }
    CHECK(pressure_hose > 0);
    double listed = 0;
    for (const PlumbingItem& total : totals)
        if (total.what == "hose" && total.pressure > 50e5) listed += total.length;
    CHECK(listed == Approx(pressure_hose));
}

TEST_CASE("a foot of cooler line costs flow, and more of it at the smaller bore") {
    model::Car rear = plumbed_car("rear");
    const drive::Cycle climb = drive::climb(28, 600, 0.06, 0, hot_day);
    const auto wide = line_costs(rear, climb);
    CHECK(cost(wide, "supply hose").flow_per_metre > 0);
    CHECK(cost(wide, "supply hose").flow_per_bend > 0);
    CHECK(cost(wide, "supply hose").cycle == climb.name);
    for (model::Loop& loop : rear.loops)
        for (model::Run& run : loop.runs)
            for (model::Part& p : run.parts)
                if (auto* line = std::get_if<model::Line>(&p.body);
                    line && loop.name == "transmission")
                    line->inner_diameter = 0.0064;
    const auto narrow = line_costs(rear, climb);
    CHECK(cost(narrow, "supply hose").flow_per_metre >
          2 * cost(wide, "supply hose").flow_per_metre);
    CHECK(cost(narrow, "supply hose").peak_per_bend > 0);
}

TEST_CASE("what a metre costs hardly depends on how far the line is stretched to find out") {
    model::Car rear = plumbed_car("rear");
    const drive::Cycle climb = drive::climb(28, 600, 0.06, 0, hot_day);
    LineCostOptions little, much;
    little.metres = 0.8;
    much.metres = 1.6;
    const double a = cost(line_costs(rear, climb, little), "supply hose").flow_per_metre,
                 b = cost(line_costs(rear, climb, much), "supply hose").flow_per_metre;
    CHECK(a == Approx(b).epsilon(0.2));
}

TEST_CASE("a comparison that was asked says on its page what lines cost and what to buy") {
    std::vector<scenario::Scenario> cars(2);
    cars[0].car = plumbed_car("rear");
    cars[1].car = plumbed_car("under_floor");
    for (scenario::Scenario& s : cars) s.cycles = {drive::climb(28, 120, 0.06, 0, hot_day)};
    CompareOptions options;
    const std::string plain = comparison_page(compare(cars, options), units::System::si);
    options.line_costs = true;
    const Comparison c = compare(cars, options);
    REQUIRE(c.line_costs.size() == 2);
    CHECK(cost(c.line_costs[0], "supply hose").length >
          cost(c.line_costs[1], "supply hose").length);
    const std::string page = comparison_page(c, units::System::us);
    CHECK(page.find("What lines cost") != std::string::npos);
    CHECK(page.find("eak, a foot more") != std::string::npos);
    CHECK(page.find("To buy") != std::string::npos);
    CHECK(plain.find("What lines cost") == std::string::npos);
    CHECK(plain.find("To buy") != std::string::npos);
}
