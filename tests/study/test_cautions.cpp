#include <catch2/catch.hpp>
#include <set>

#include "lapheat/drive/generate.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/wiring.hpp"

using namespace lapheat;

namespace {

scenario::Scenario in_traffic(const std::string& name) {
    const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";
    auto s = scenario::read(scenarios / "placements" / (name + ".toml"),
                            {scenarios / "cycles" / "traffic.toml"});
    s.cycles = {
        drive::idle(120, drive::Selector::drive,
                    {.ambient = 311, .humidity = 0.3, .sun = 800, .wind = 0, .altitude = 0})};
    return s;
}

std::vector<std::string> about(const study::Comparison& c, const std::string& words) {
    std::vector<std::string> out;
    for (const study::Caution& caution : c.cautions)
        if (caution.text.find(words) != std::string::npos) out.push_back(caution.text);
    return out;
}

}  // namespace

TEST_CASE("cautions are said once each, in groups, the worst harm first", "[study]") {
    const auto c = study::compare({in_traffic("ahead_of_radiator"), in_traffic("under_floor"),
                                   in_traffic("in_tank"), in_traffic("tank_only")});
    std::set<std::string> texts, groups;
    std::string last;
    for (const study::Caution& caution : c.cautions) {
        CHECK(texts.insert(caution.text).second);
        if (caution.about != last) CHECK(groups.insert(caution.about).second);
        last = caution.about;
    }
    CHECK(c.cautions.front().about == "Safety");
    CHECK(c.cautions.size() < 20);
    // What a place warns of is said of the placements that put a cooler there.
    REQUIRE(about(c, "ground clearance").size() == 1);
    CHECK(about(c, "ground clearance")[0].starts_with("Under the floor"));
    CHECK(about(c, "stone strike from the road")[0].find("fuel") != std::string::npos);
    const auto mesh = about(c, "fit a mesh ahead of the core");
    REQUIRE(!mesh.empty());
    for (const std::string& text : mesh) {
        INFO(text);
        CHECK(text.find("ank only") == std::string::npos);
    }
    CHECK(about(c, "a leak mixes coolant and fluid").size() == 2);
}

TEST_CASE("a comparison tells the current of each placement and what the alternator has",
          "[study]") {
    const auto c = study::compare({in_traffic("ahead_of_radiator"), in_traffic("under_floor")});
    for (const study::Ranked& r : c.ranking) {
        CHECK(r.peak_current == Approx(r.peak_fan_current + 32));
        CHECK(r.idle_capacity > 40);
        CHECK(!about(c, "the alternator gives").empty());
        double sum = 0;
        for (const auto& [loop, metres] : r.lines) sum += metres;
        CHECK(sum == Approx(r.line_length));
    }
}

TEST_CASE("an electric fan has a fuse and a wire, one the engine turns has none", "[study]") {
    model::FanEntry fan;
    fan.name = "left";
    fan.drive.rated_current = 13;
    model::Car car;
    car.fans = {fan};
    const auto words = [&] {
        return study::feed_words(study::fan_feeds(car).at(0), units::System::si);
    };
    CHECK(words().find("20 A fuse") != std::string::npos);
    CHECK(study::fan_feeds(car)[0].fuse == 20);
    fan.wire_length = car.fans[0].wire_length = 6;
    CHECK(words().find("6 m") != std::string::npos);
    car.fans = {fan, fan};
    CHECK(study::wiring(car, units::System::si).size() == 2);  // both in one, and the caution
    for (model::FanEntry& f : car.fans) f.drive.kind = airflow::DriveKind::belt;
    CHECK(study::wiring(car, units::System::si).empty());
}

TEST_CASE("copper is named by its area or by the next thicker gauge", "[study]") {
    CHECK(study::copper_size(6e-6, units::System::si) == "6 mm²");
    CHECK(study::copper_size(2.5e-6, units::System::us) == "12 AWG");  // 3.31 mm²
    CHECK(study::copper_size(5.26e-6, units::System::us) == "10 AWG");
    CHECK(study::copper_size(5.27e-6, units::System::us) == "8 AWG");
    CHECK(study::copper_size(70e-6, units::System::us) == "70 mm²");
}
