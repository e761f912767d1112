// Drives that runs share.
#include <catch2/catch.hpp>

#include "demo.hpp"
#include "lapheat/model/drive_cache.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

drive::Cycle short_traffic() { return drive::stop_and_go(240, 7, {}, hot_day); }

void check_same_bits(const Result& a, const Result& b) {
    REQUIRE(a.series.size() == b.series.size());
    for (std::size_t s = 0; s < a.series.size(); ++s)
        CHECK(a.series[s].values == b.series[s].values);
    CHECK(a.sources.size() == b.sources.size());
    CHECK(a.distance == b.distance);
}

}  // namespace

TEST_CASE("cars that differ only in where they are cooled share a drive, and run as without") {
    const auto cache = std::make_shared<DriveCache>();
    const drive::Cycle cycle = short_traffic();
    for (const char* placement : {"under_floor", "rear", "in_tank"}) {
        INFO(placement);
        const auto model = compile(demo_car(placement));
        Options alone, shared;
        shared.drives = cache;
        check_same_bits(simulate(*model, cycle, shared), simulate(*model, cycle, alone));
    }
    CHECK(cache->asked() == 3);
    CHECK(cache->made() == 1);
}

TEST_CASE("a heavier car, another cycle and another way of averaging are drives of their own") {
    const auto cache = std::make_shared<DriveCache>(8);
    Car car = demo_car("under_floor");
    const drive::Cycle cycle = short_traffic();
    Options options;
    options.drives = cache;
    const auto made_by = [&](const Car& driven, const drive::Cycle& through) {
        const std::size_t before = cache->made();
        Options alone = options;
        alone.drives = nullptr;
        const auto model = compile(driven);
        check_same_bits(simulate(*model, through, options), simulate(*model, through, alone));
        return cache->made() - before;
    };
    CHECK(made_by(car, cycle) == 1);
    CHECK(made_by(car, cycle) == 0);
    Car heavier = car;
    heavier.vehicle.mass += 1;
    CHECK(made_by(heavier, cycle) == 1);
    drive::Cycle hotter = cycle;
    hotter.ambient.back() += 1e-3;
    CHECK(made_by(car, hotter) == 1);
    drive::Cycle renamed = cycle;
    renamed.name += " again";  // its name stands in the result
    CHECK(made_by(car, renamed) == 1);
    options.averaged = 5;
    CHECK(made_by(car, cycle) == 1);
    Car thirsty = car;
    thirsty.engine.wall_heat_level.value *= 1.1;
    CHECK(made_by(thirsty, cycle) == 1);
    options.averaged = 0;
    CHECK(made_by(car, cycle) == 0);
}

TEST_CASE("a cache holds no more drives than it is told, the last ones") {
    DriveCache cache(2);
    const auto model = compile(demo_car("rear"));
    const auto drive = [&](double averaged) {
        const std::size_t before = cache.made();
        (void)cache.drive(*model, short_traffic(), 0, 240, averaged);
        return cache.made() - before;
    };
    CHECK(drive(0) == 1);
    CHECK(drive(2) == 1);
    CHECK(drive(0) == 0);
    CHECK(drive(5) == 1);  // the first one made goes
    CHECK(drive(2) == 0);
    CHECK(drive(0) == 1);
}
