#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

TEST_CASE("energy in less energy out is energy stored, for every placement, driving and standing") {
    for (const std::string& placement : placements) {
        const Car car = demo_car(placement);
        const drive::Cycle cycle = drive::chain(
            {drive::steady(30, 300, hot_day), drive::stop_and_go(300, 3, {}, hot_day)}, "both");
        const Result result = run(car, cycle);
        INFO(placement);
        CHECK(result.ledger.moved > 1e6);
        CHECK(result.ledger.closure < 1e-10);
        CHECK(result.cost.network_failures == 0);
    }
}

TEST_CASE(
    "the ledger of a cold car that stands with nothing to move is closed, not open by its "
    "rounding") {
    Car car = demo_car("under_floor");
    car.settled_speed = 0;
    const Result result =
        run(car, drive::soak(18.39, {.ambient = 292.007, .humidity = 0.4, .sun = 0, .wind = 0}));
    CHECK(result.ledger.moved < 1e-3);
    CHECK(result.ledger.closure < 1e-10);
}

TEST_CASE("a run whose heat drowns in the rounding of what is stored is refused") {
    Car car = demo_car("under_floor");
    std::get<Line>(part(car, "transmission", "supply hose").body).wall_heat_capacity = 1e26;
    CHECK_THROWS_WITH(run(car, drive::steady(30, 20, hot_day)),
                      Catch::Contains("the heat does not add up"));
}

TEST_CASE("what the cores give to the air is what the ledger says left through them") {
    const Result result = run(demo_car("under_floor"), drive::steady(30, 600, hot_day));
    const std::vector<double>& heat = series(result, "cores/radiator", "heat");
    double sum = 0;
    for (std::size_t i = 1; i < heat.size(); ++i)
        sum += 0.5 * (heat[i] + heat[i - 1]) * (result.time[i] - result.time[i - 1]);
    double ledger = 0;
    for (const LedgerEntry& e : result.ledger.entries)
        if (e.name.find("radiator") != std::string::npos) ledger += e.joules;
    CHECK(ledger > 1e5);
    CHECK(sum == Approx(ledger).epsilon(2e-3));
}

TEST_CASE("the same car on the same cycle gives the same bits") {
    const Car car = demo_car("under_floor");
    const drive::Cycle cycle = drive::stop_and_go(600, 5, {}, hot_day);
    const Result first = run(car, cycle), second = run(car, cycle);
    REQUIRE(first.series.size() == second.series.size());
    for (std::size_t s = 0; s < first.series.size(); ++s)
        CHECK(first.series[s].values == second.series[s].values);
    REQUIRE(first.events.size() == second.events.size());
    for (std::size_t i = 0; i < first.events.size(); ++i)
        CHECK(first.events[i].time == second.events[i].time);
    CHECK(first.ledger.moved == second.ledger.moved);
}
