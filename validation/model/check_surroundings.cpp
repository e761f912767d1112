// The invented car's engine bay and exhaust in whole drives, against logged cars.
#include <algorithm>
#include <catch2/catch.hpp>

#include "check.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;
using namespace lapheat::model;
using validation::check;

namespace {

const drive::Surroundings mild{
    .ambient = 301.15, .humidity = 0.4, .sun = 500, .wind = 0, .altitude = 100};

Result driven(const drive::Cycle& cycle) {
    const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";
    return simulate(*compile(scenario::read(scenarios / "placements" / "rear.toml").car), cycle);
}

double last(const Result& r, const std::string& group, const std::string& name) {
    return r.find(group, name)->values.back();
}

}  // namespace

TEST_CASE("the invented car's engine bay against logged cars", "[bay]") {
    const Result idle = driven(drive::idle(2204, drive::Selector::park, mild));
    const Result cruise = driven(drive::steady(27.8, 1800, mild));
    check({.topic = "Engine bay",
           .quantity = "invented car, air over ambient after 2204 s of idle at 28 degC",
           .source = "open logs of one car's intake air: +28 K; another owner's, standing: +39 K",
           .from_memory = false,
           .published = 33.5,
           .ours = last(idle, "air", "engine_bay_temperature") - mild.ambient,
           .unit = "K",
           .absolute = 15,
           .note =
               "band: half the spread of the two and 10 K, for intake air is bay air mixed with "
               "fresh"});
    check({.topic = "Engine bay",
           .quantity = "invented car, air over ambient at 100 km/h",
           .source = "open logs of one car's intake air: +13 K; another owner's at 60 km/h: +27 K",
           .from_memory = false,
           .published = 20,
           .ours = last(cruise, "air", "engine_bay_temperature") - mild.ambient,
           .unit = "K",
           .absolute = 12,
           .note = {}});
    check({.topic = "Exhaust",
           .quantity = "invented car, manifold skin at idle",
           .source = "one owner's log of header tubes, 149 to 277 degC",
           .from_memory = false,
           .published = 213,
           .ours = last(idle, "exhaust/manifold", "skin_temperature") - 273.15,
           .unit = "degC",
           .absolute = 100,
           .note = "follows the engine's exhaust heat at idle"});
    check({.topic = "Exhaust",
           .quantity = "invented car, gas behind the converter at idle",
           .source = "idle at 2800 m, an abstract: 310 degC; open logs of a small car: 252 degC",
           .from_memory = false,
           .published = 281,
           .ours = last(idle, "exhaust/catalyst", "gas_temperature") - 273.15,
           .unit = "degC",
           .absolute = 130,
           .note = "their converters stand nearer to the ports"});
}
