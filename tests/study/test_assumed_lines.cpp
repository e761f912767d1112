// What is assumed, as lines of a file: read back they are the same numbers, and the same answer.
#include <unistd.h>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include <fstream>
#include <map>

#include "lapheat/model/model.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;
using scenario::Origin, scenario::Scenario;

namespace {

const std::filesystem::path scenarios_of_lines =
    std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

/// The car of a file that extends `file` and says all that it assumes.
Scenario stated(const std::filesystem::path& file, const Scenario& s, units::System system) {
    const std::string text = "extends = \"" + file.generic_string() + "\"\n\n" +
                             results::assumed_lines(s.car.assumed, system);
    const auto target = std::filesystem::temp_directory_path() /
                        ("lapheat-assumed-" + std::to_string(::getpid()) + ".toml");
    std::ofstream(target) << text;
    try {
        Scenario out = scenario::read(target);
        std::filesystem::remove(target);
        return out;
    } catch (const scenario::Errors& e) {
        std::filesystem::remove(target);
        for (const scenario::Problem& p : e.problems()) UNSCOPED_INFO(scenario::to_string(p));
        throw;
    }
}

model::Result driven(const Scenario& s) {
    model::Options options;
    options.keep_series = false;
    return model::simulate(*model::compile(s.car), s.cycles.back(), options);
}

}  // namespace

TEST_CASE("All that is assumed, pasted into a file, is the same car", "[study][assumed]") {
    for (const char* name : {"short/placements/pickup_front.toml", "short/car.toml",
                             "placements/under_floor.toml", "placements/tank_only.toml"})
        for (const units::System system : {units::System::si, units::System::us}) {
            const auto file = scenarios_of_lines / name;
            INFO(file);
            const Scenario before = scenario::read(file), after = stated(file, before, system);
            std::map<std::string, const scenario::Number*> numbers;
            for (const scenario::Number& n : after.numbers) numbers[n.path] = &n;
            std::size_t pasted = 0;
            for (const scenario::Number& n : before.numbers) {
                INFO(n.path);
                REQUIRE(numbers.count(n.path) == 1);
                CHECK(std::abs(numbers[n.path]->value - n.value) <= 1e-12 * std::abs(n.value));
                if (n.origin != Origin::assumed) continue;
                ++pasted;
                CHECK(numbers[n.path]->origin == Origin::yours);
            }
            CHECK(pasted > 100);
            CHECK(after.car.assumed.empty());
            const model::Result a = driven(before), b = driven(after);
            REQUIRE(a.verdicts.size() == b.verdicts.size());
            for (std::size_t i = 0; i < a.verdicts.size(); ++i) {
                CHECK(a.verdicts[i].margin == Approx(b.verdicts[i].margin).margin(1e-4));
                CHECK(a.verdicts[i].peak == Approx(b.verdicts[i].peak).margin(1e-4));
            }
        }
}

TEST_CASE("A line of what is assumed says the value as sold units do, and in SI where they cannot",
          "[study][assumed]") {
    const std::vector<model::AssumedNumber> numbers = {
        {"vehicle.tyre_pressure", units::Quantity::pressure, 220000, 140000, 400000, "front"},
        {"loops.a.runs.b.parts.\"upper hose\".wall_thickness", units::Quantity::length, 0.004,
         0.0005, 0.008, ""},
        {"fans.left.switches[1].lag", units::Quantity::time, 6, 1, 30, "of the sensor"},
        {"shift.hysteresis", units::Quantity::ratio, 0.72, 0.72, 0.72, ""},
        {"shift.lockup_speed", units::Quantity::angular_speed, 150, 150, 150, ""}};
    CHECK(results::assumed_lines(numbers, units::System::si) ==
          "[vehicle]\n"
          "tyre_pressure = \"220 kPa\"  # 140 to 400 kPa: front\n"
          "\n[loops.a.runs.b.parts.\"upper hose\"]\n"
          "wall_thickness = \"4 mm\"  # 0.5 to 8 mm\n"
          "\n[fans.left.switches.1]\n"
          "lag = \"6 s\"  # 1 to 30 s: of the sensor\n"
          "\n[shift]\n"
          "hysteresis = 0.72\n"
          "lockup_speed = \"150 rad s-1\"\n");
}
