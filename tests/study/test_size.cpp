// The smallest that holds: closed form, what a builder names, and what has no answer.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "lapheat/drive/generate.hpp"
#include "lapheat/study/size.hpp"

using namespace lapheat;

namespace {

const std::filesystem::path scenarios_of_size =
    std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

scenario::Scenario first_cycle_of(const std::string& name) {
    auto s = scenario::read(scenarios_of_size / "placements" / (name + ".toml"));
    s.cycles.resize(1);
    return s;
}

/// The demo car without a cooler: a sump that one constant stream of heat warms and the air cools.
scenario::Scenario bare_sump() {
    scenario::Problems problems;
    const auto document = scenario::parse(R"(
extends = "car.toml"
placement = "without a cooler"
cores.cooler = false
[loops.transmission]
replace = true
fluid = "atf"
limits = { part = "sump", limit = "120 degC" }
[loops.transmission.runs.cooler]
from = "sump"
to = "sump"
parts = [
  { kind = "cooler_feed", name = "feed" },
  { kind = "volume", name = "sump", volume = "6 L", heat = ["gears"], ambient_conductance = "40 W/K", surroundings = "outside" },
]
)",
                                          (scenarios_of_size / "bare.toml").string(), problems);
    problems.throw_if_any();
    auto s = scenario::read(document, scenarios_of_size);
    // Long enough for what its start was off to be gone.
    s.cycles = {drive::steady(25, 7200, {.ambient = 308.15, .humidity = 0.3})};
    return s;
}

const char* const sump = "loops.transmission.runs.cooler.parts[2].ambient_conductance";

}  // namespace

TEST_CASE("the conductance that just holds is heat over the span to the limit") {
    const auto s = bare_sump();
    const auto h = scenario::handle(s, sump);
    study::SizeOptions o;
    o.fluids = {"transmission"};
    o.low = 24;
    o.high = 40;
    const study::Size found = study::size(s, h, o);
    REQUIRE(found.answer == study::Size::Answer::found);
    CHECK(found.least);
    CHECK(found.monotone);
    const auto run =
        model::simulate(*model::compile(scenario::car_with(s, h.at(found.value))), s.cycles[0]);
    const double heat = run.find("heat", "gears")->values[100];
    CHECK(heat > 100);
    CHECK(found.value == Approx(heat / (393.15 - 308.15)).epsilon(2e-3));
    // It is one that holds, and hardly more than that.
    CHECK(found.margin >= 0);
    CHECK(found.margin < 0.5);
    CHECK(found.value_low < found.value);
    CHECK(found.value < found.value_high);
    SECTION("a margin asked for is kept") {
        o.target = 10;
        CHECK(study::size(s, h, o).value == Approx(heat / (383.15 - 308.15)).epsilon(2e-3));
    }
    SECTION("where nothing reaches the target, it says what comes closest") {
        o.high = found.value - 1;
        const study::Size none = study::size(s, h, o);
        CHECK(none.answer == study::Size::Answer::none_holds);
        CHECK(none.value == *o.high);
        CHECK(none.margin < 0);
        CHECK_THAT(study::size_words(none, units::System::si).front(),
                   Catch::Contains("comes closest"));
    }
    SECTION("where all hold, it says so") {
        o.low = found.value + 1;
        const study::Size all = study::size(s, h, o);
        CHECK(all.answer == study::Size::Answer::all_hold);
        CHECK(all.value == *o.low);
    }
    SECTION("a number that only harms has a most, not a least") {
        const auto speed = scenario::handle(s, "gearbox.spin_torque");
        study::SizeOptions heats = o;
        heats.low = 0.5;
        heats.high = 60;
        const study::Size most = study::size(s, speed, heats);
        REQUIRE(most.answer == study::Size::Answer::found);
        CHECK(!most.least);
    }
}

TEST_CASE("draws that are all alike size as the car as it stands, and more of them hold for more") {
    auto s = bare_sump();
    s.cycles = {drive::steady(25, 300, {.ambient = 308.15, .humidity = 0.3})};
    const auto h = scenario::handle(s, sump);
    study::SizeOptions o;
    o.fluids = {"transmission"};
    o.low = 25;
    o.high = 100;
    o.draws = 40;
    o.share = 0.5;
    const study::Size half = study::size(s, h, o);
    o.share = 0.9;
    const study::Size most = study::size(s, h, o);
    REQUIRE(half.answer == study::Size::Answer::found);
    REQUIRE(most.answer == study::Size::Answer::found);
    CHECK(most.value > half.value);
    CHECK(most.value_low <= most.value);
    CHECK(most.value_high >= most.value);
    CHECK(std::count_if(most.tried.begin(), most.tried.end(),
                        [&](const study::SizeTried& t) { return t.value == most.value; }) == 1);
    for (const study::SizeTried& t : most.tried) {
        if (t.value == most.value) CHECK(t.holds >= 0.9);
        if (!t.failed.empty()) continue;
        CHECK(t.margin_low <= t.margin);
        CHECK(t.margin <= t.margin_high);
    }
    o.threads = 1;
    CHECK(study::size(s, h, o).value == most.value);
}

TEST_CASE("a builder's words mean the numbers of the cooler, or of what they name") {
    const auto s = first_cycle_of("under_floor");
    const auto paths = [&](const std::string& asked) {
        std::vector<std::string> out;
        for (const auto& n : scenario::handle(s, asked).numbers) out.push_back(n.path);
        return out;
    };
    using Paths = std::vector<std::string>;
    CHECK(paths("core width") == Paths{"cores.cooler.width"});
    CHECK(paths("radiator width") == Paths{"cores.radiator.width"});
    CHECK(paths("core height") == Paths{"cores.cooler.height", "cores.cooler.passages"});
    CHECK(paths("fan flow") == Paths{"fans.cooler_fan.free_flow"});
    CHECK(paths("radiator fan flow") ==
          Paths{"fans.radiator_left.free_flow", "fans.radiator_right.free_flow"});
    CHECK(paths("line bore").size() == 4);
    CHECK(paths("transmission line bore").size() == 2);
    CHECK(paths("upper hose bore") == Paths{"loops.coolant.runs.radiator.parts[2].inner_diameter"});
    CHECK(paths("switch temperature").size() == 4);
    CHECK(paths("cap") == Paths{"loops.coolant.cap_pressure"});
    const auto thermostat = scenario::handle(s, "thermostat");
    CHECK(thermostat.at(360)[1].second - thermostat.at(360)[0].second == Approx(12));
    // A bore that the file gives as a dash number can be any.
    const auto bore = scenario::handle(s, "line bore");
    CHECK(bore.value == Approx(0.009525));
    const auto car = scenario::car_with(s, bore.at(0.0127));
    CHECK(study::line_length(car) == study::line_length(s.car));
    CHECK(study::next_sold(bore, 0.0100, true, units::System::si) == Approx(0.0127));
    CHECK(study::next_sold(thermostat, 356, false, units::System::si) ==
          Approx(355.37).margin(0.01));
    CHECK_THROWS_WITH(scenario::handle(s, "vehicle.mas"), Catch::Contains("vehicle.mass"));
    CHECK_THROWS_WITH(scenario::handle(s, "engine oil line bore"), Catch::Contains("has no"));
    CHECK(scenario::handle(first_cycle_of("in_tank"), "radiator width").numbers.size() == 1);
}

TEST_CASE("a range that is empty, and a fluid that is not there, are errors") {
    const auto s = first_cycle_of("under_floor");
    const auto h = scenario::handle(s, "core width");
    study::SizeOptions o;
    o.low = 0.3;
    o.high = 0.2;
    CHECK_THROWS_WITH(study::size(s, h, o), Catch::Contains("empty"));
    o.high = 0.4;
    o.fluids = {"brine"};
    CHECK_THROWS_WITH(study::size(s, h, o), Catch::Contains("no fluid 'brine'"));
    const auto blocked = scenario::handle(s, "cores.cooler.blocked");
    o = {};
    o.high = 2;
    CHECK_THROWS_WITH(study::size(s, blocked, o), Catch::Contains("cannot be 2"));
}

TEST_CASE("an answer that brings harm of another kind says so") {
    const auto s = first_cycle_of("rear");
    study::SizeOptions o;
    o.fluids = {"transmission"};
    o.samples = 3;
    const auto warns = [](const study::Size& found, Code code, const std::string& loop) {
        return std::any_of(found.brings.begin(), found.brings.end(), [&](const Diagnostic& d) {
            return d.code == code && d.subject == loop;
        });
    };
    // Thin lines: the oil is cool enough, and what stands behind the steering gear bursts its
    // seals.
    o.low = 0.0035;
    o.high = 0.012;
    const auto thin = study::size(s, scenario::handle(s, "line bore"), o);
    CHECK(thin.answer == study::Size::Answer::all_hold);
    CHECK(thin.value == o.low);
    CHECK(warns(thin, Code::return_over_pressure, "steering"));
    const auto words = study::size_words(thin, units::System::si);
    CHECK(std::any_of(words.begin(), words.end(), [](const std::string& w) {
        return w.find("steering: the return stands under") != std::string::npos;
    }));
    // A bore as it is brings nothing new.
    o.low = 0.0085;
    const auto usual = study::size(s, scenario::handle(s, "line bore"), o);
    CHECK_FALSE(warns(usual, Code::return_over_pressure, "steering"));
}
