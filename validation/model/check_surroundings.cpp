// The invented car's engine bay and exhaust in whole drives, against logged cars.
#include <algorithm>
#include <catch2/catch.hpp>

#include "check.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;
using namespace lapheat::model;
using namespace lapheat::validation;

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
    const auto row = [](const char* topic, const char* quantity, const char* source, double low,
                        double high, double slack, double ours, const char* unit) {
        Row r{.topic = topic,
              .quantity = quantity,
              .source = source,
              .common_practice = std::string(source).find("owner") != std::string::npos,
              .outside = (low + high) / 2,
              .ours = ours,
              .unit = unit};
        r.band = {0, (high - low) / 2 + slack, "half the spread of the two, and what differs"};
        return r;
    };
    Row r = row("Engine bay", "invented car, air over ambient after 2204 s of idle at 28 degC",
                "open logs of one car's intake air: +28 K; another owner's, standing: +39 K", 28,
                39, 9.5, last(idle, "air", "engine_bay_temperature") - mild.ambient, "K");
    r.band.from = "half the spread of the two and 10 K: intake air is bay air mixed with fresh";
    measured(r);
    r = row("Engine bay", "invented car, air over ambient at 100 km/h",
            "open logs of one car's intake air: +13 K; another owner's at 60 km/h: +27 K", 13, 27,
            5, last(cruise, "air", "engine_bay_temperature") - mild.ambient, "K");
    r.band.from = "half the spread of the two and 5 K: intake air is bay air mixed with fresh";
    measured(r);
    r = row("Exhaust", "invented car, manifold skin at idle",
            "one owner's log of header tubes, 149 to 277 degC", 149, 277, 36,
            last(idle, "exhaust/manifold", "skin_temperature") - 273.15, "degC");
    r.band.from = "the log's range and 36 K for a port gas that the log does not give";
    r.note = "follows the engine's exhaust heat at idle";
    measured(r);
    r = row("Exhaust", "invented car, gas behind the converter at idle",
            "idle at 2800 m, an abstract: 310 degC; open logs of a small car: 252 degC", 252, 310,
            101, last(idle, "exhaust/catalyst", "gas_temperature") - 273.15, "degC");
    r.band.from =
        "half the spread of the two and 100 K: their converters stand nearer to the ports";
    measured(r);
}
