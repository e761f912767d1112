// Whole drives against the world: regulatory schedules, and how long an engine takes to warm up.
#include <lapheat/drive/generate.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>

#include "check.hpp"

using namespace lapheat;
using validation::check;

namespace {

const std::filesystem::path root = LAPHEAT_SOURCE_DIR;

drive::Cycle schedule(const char* file, const drive::Vehicle& car) {
    return scenario::read_cycle(root / "validation" / "drive" / file, car);
}

model::Car cold_car(double temperature) {
    model::Car car = scenario::read(root / "scenarios" / "placements" / "under_floor.toml").car;
    car.start_warm = false;
    car.start_temperature = temperature;
    return car;
}

/// Minutes until a loop's watched temperature passes `celsius` for the first time.
double minutes_to(const model::Result& result, const std::string& loop, double celsius) {
    const model::Series* s = result.find("loops/" + loop, "watched_temperature");
    REQUIRE(s != nullptr);
    for (std::size_t i = 0; i < s->values.size(); ++i)
        if (s->values[i] > celsius + 273.15) return result.time[i] / 60;
    return 1e3;
}

}  // namespace

TEST_CASE("regulatory schedules read from their tables have the published totals") {
    struct Published {
        const char* file;
        const char* name;
        double duration, miles, mean_mph, top_mph;
        const char* note;
    };
    const Published all[] = {
        {"udds.toml", "UDDS", 1369, 7.45, 19.59, 56.7, ""},
        {"hwfet.toml", "HWFET", 765, 10.26, 48.3, 59.9, ""},
        {"us06.toml", "US06", 596, 8.01, 48.37, 80.3,
         "the table runs to 600 s, its last seven seconds at rest; the text beside it says 596 s"}};
    const drive::Vehicle car = cold_car(293.15).vehicle;
    for (const Published& p : all) {
        const drive::Totals t = drive::totals(schedule(p.file, car));
        const std::string source =
            "US EPA, dynamometer drive schedules, text beside the table (from memory); table: 40 "
            "CFR 86 and 600, appendix I";
        const auto one = [&](const char* what, double published, double ours, const char* unit,
                             double tolerance) {
            check({.topic = "Regulatory schedules",
                   .quantity = std::string(p.name) + ", " + what,
                   .source = source,
                   .from_memory = true,
                   .published = published,
                   .ours = ours,
                   .unit = unit,
                   .tolerance = tolerance,
                   .note = p.note});
        };
        one("duration", p.duration, t.duration, "s", 0.007);
        one("distance", p.miles, t.distance / 1609.344, "mile", 0.001);
        one("mean speed", p.mean_mph, t.mean_speed / 0.44704, "mile/h", 0.007);
        one("highest speed", p.top_mph, t.maximum_speed / 0.44704, "mile/h", 1e-6);
    }
}

TEST_CASE("an engine warms up in the time that is published for road cars") {
    const model::Car car = cold_car(293.15);
    drive::Cycle town = schedule("udds.toml", car.vehicle);
    drive::Surroundings mild;
    mild.ambient = 293.15;
    drive::surround(town, mild);
    const auto compiled = model::compile(car);
    const model::Result result = model::simulate(*compiled, town);
    const model::Result highway = model::simulate(*compiled, drive::steady(105 / 3.6, 2400, mild));
    const model::Result idle =
        model::simulate(*compiled, drive::idle(2400, drive::Selector::park, mild));
    struct Band {
        const char* quantity;
        const char* source;
        bool from_memory;
        double low, high, ours;  // min
        const char* note;
    };
    const char* const review =
        "Roberts, Brooks & Shipway, Energy Conversion and Management 82 (2014) 327: review of cold "
        "starts";
    for (const Band& b :
         {Band{"coolant to 75 degC, cold start at 20 degC, urban schedule (3 to 10 min)", review,
               true, 3, 10, minutes_to(result, "coolant", 75),
               "a band; engines differ by their size and metal"},
          Band{"engine oil to 90 degC, cold start at 20 degC, urban schedule (8 to 20 min)", review,
               true, 8, 20, minutes_to(result, "engine_oil", 90),
               "the review is of smaller engines on gentler schedules; a large engine turns slowly "
               "there, with much friction for its oil"},
          Band{"engine oil to 93 degC, cold start at 20 degC, 105 km/h (6 to 15 min)",
               "common practice, no source: owners of large V8 cars tell some 10 min", false, 6, 15,
               minutes_to(highway, "engine_oil", 93), ""},
          Band{"coolant to 75 degC idling in park from 20 degC (8 to 20 min)",
               "common practice, no source", false, 8, 20, minutes_to(idle, "coolant", 75), ""}}) {
        check({.topic = "Warm-up",
               .quantity = b.quantity,
               .source = b.source,
               .from_memory = b.from_memory,
               .published = (b.low + b.high) / 2,
               .ours = b.ours,
               .unit = "min",
               .absolute = (b.high - b.low) / 2,
               .note = b.note});
    }
    CHECK(minutes_to(result, "engine_oil", 75) > minutes_to(result, "coolant", 75));
}
