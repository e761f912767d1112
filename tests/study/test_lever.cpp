// What would make a placement hold: each answer is driven, and holds.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "lapheat/model/model.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/margin.hpp"

using namespace lapheat;
using study::Lever;

namespace {

const std::filesystem::path scenarios_of_levers =
    std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

scenario::Scenario placed(const char* name) {
    return scenario::read(scenarios_of_levers / "placements" / name,
                          {scenarios_of_levers / "cycles/lap_session.toml"});
}

double margin_of(const model::Car& car, const drive::Cycle& cycle,
                 const std::vector<std::string>& loops) {
    model::Options options;
    options.keep_series = false;
    double least = 1e9;
    for (const model::Verdict& v : model::simulate(*model::compile(car), cycle, options).verdicts)
        if (std::find(loops.begin(), loops.end(), v.loop) != loops.end())
            least = std::min(least, v.margin);
    return least;
}

study::CompareOptions asked() {
    study::CompareOptions o;
    o.levers = true;
    o.run.keep_series = false;
    return o;
}

}  // namespace

TEST_CASE("A fluid without a core of its own is told so, and the day on which it holds holds",
          "[study][lever]") {
    const std::vector<scenario::Scenario> cars = {placed("under_floor.toml"),
                                                  placed("tank_only.toml")};
    const study::Comparison c = study::compare(cars, asked());
    REQUIRE(!c.levers.empty());
    const auto day = std::find_if(c.levers.begin(), c.levers.end(),
                                  [](const Lever& l) { return l.what == "ambient"; });
    REQUIRE(day != c.levers.end());
    for (const Lever& l : c.levers) {
        CHECK(l.placement == c.placements[1]);  // the other holds
        CHECK(l.loop == "steering");
        CHECK_FALSE(l.cored);
        CHECK(l.missing == Approx(-c.at(1, 0).worst_margin));
    }
    const drive::Cycle cooler = study::shifted(cars[1].cycles[0], day->to - day->stands);
    CHECK(margin_of(cars[1].car, cooler, c.served) == Approx(0).margin(0.4));
    CHECK(study::missing_words(*day, units::System::si).find("no core cools it") !=
          std::string::npos);
}
