// Whole drives against the world: regulatory schedules, and how long an engine takes to warm up.
#include <lapheat/drive/generate.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>

#include "check.hpp"

using namespace lapheat;
using namespace lapheat::validation;

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
    };
    const Published all[] = {
        {"udds.toml", "UDDS", 1369, 7.45, 19.59, 56.7},
        {"hwfet.toml", "HWFET", 765, 10.26, 48.3, 59.9},
        {"us06.toml", "US06", 596, 8.01, 48.37, 80.3},
        {"wltc_class3b.toml", "WLTC class 3b", 1800, 23.266 / 1.609344, 0, 131.3 / 1.609344}};
    const drive::Vehicle car = cold_car(293.15).vehicle;
    Row duration{.topic = "Regulatory schedules",
                 .source =
                     "US EPA, dynamometer drive schedules, text beside the tables (40 CFR 86 "
                     "and 600, appendix I); UN GTR 15 for WLTC",
                 .from_memory = true};
    Row distance = duration, mean = duration, top = duration;
    duration.quantity = "duration of four schedules from their tables";
    duration.unit = "s";
    duration.band = {0, 0.5, "whole seconds"};
    duration.note = "the US06 table runs to 600 s, its last seconds at rest; the text says 596 s";
    duration.story = "US06: the table of law itself has 600 s, the text beside it 596.";
    distance.quantity = "distance of four schedules";
    distance.unit = "mile";
    distance.band = {0, 0.006, "half of the last digit and the table's rounding"};
    mean.quantity = "mean speed of three schedules";
    mean.unit = "mile/h";
    mean.band = {0, 0.06, "half of the last digit of the coarsest, 48.3"};
    mean.story = "US06: the mean in the text is over 596 s, ours over the table's 600.";
    top.quantity = "highest speed of four schedules";
    top.unit = "mile/h";
    top.band = {0, 0.06, "half of the last digit"};
    for (const Published& p : all) {
        const drive::Totals t = drive::totals(schedule(p.file, car));
        duration.points.push_back({p.name, p.duration, t.duration});
        distance.points.push_back({p.name, p.miles, t.distance / 1609.344});
        if (p.mean_mph > 0) mean.points.push_back({p.name, p.mean_mph, t.mean_speed / 0.44704});
        top.points.push_back({p.name, p.top_mph, t.maximum_speed / 0.44704});
    }
    for (const Row& row : {duration, distance, mean, top}) published(row);
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
    const char* const review =
        "Roberts, Brooks & Shipway, Energy Conversion and Management 82 (2014) 327: review of cold "
        "starts";
    const auto row = [](const char* quantity, const char* source, double low, double high,
                        double ours) {
        Row r{.topic = "Warm-up",
              .quantity = quantity,
              .source = source,
              .outside = (low + high) / 2,
              .ours = ours,
              .unit = "min"};
        r.band = {0, (high - low) / 2, "the range told: engines differ by size and metal"};
        return r;
    };
    Row r = row("coolant to 75 degC, cold start at 20 degC, urban schedule (3 to 10 min)", review,
                3, 10, minutes_to(result, "coolant", 75));
    r.from_memory = true;
    published(r);
    r = row("engine oil to 90 degC, cold start at 20 degC, urban schedule (8 to 20 min)", review, 8,
            20, minutes_to(result, "engine_oil", 90));
    r.from_memory = true;
    published(r);
    r = row("engine oil to 93 degC, cold start at 20 degC, 105 km/h (6 to 15 min)",
            "owners of large engines", 6, 15, minutes_to(highway, "engine_oil", 93));
    r.common_practice = true;
    published(r);
    r = row("coolant to 75 degC idling in park from 20 degC (8 to 20 min)", "rule of thumb", 8, 20,
            minutes_to(idle, "coolant", 75));
    r.common_practice = true;
    published(r);
    CHECK(minutes_to(result, "engine_oil", 75) > minutes_to(result, "coolant", 75));
}
