#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

void refuses(const Car& car, const std::string& words) {
    CHECK_THROWS_WITH(compile(car), Catch::Contains(words));
    CHECK_THROWS_AS(compile(car), Error);
}

}  // namespace

TEST_CASE("a stack that names no core is refused with the name") {
    Car car = demo_car("under_floor");
    for (StackItem& item : car.air.front().stack)
        if (!item.core.empty()) item.core = "radiatr";
    refuses(car, "radiatr");
}

TEST_CASE("a core pass that names no core is refused with the name") {
    Car car = demo_car("under_floor");
    std::get<CorePass>(part(car, "coolant", "radiator").body).core = "radiatr";
    refuses(car, "radiatr");
}

TEST_CASE("a core that stands in two air paths is refused with the name") {
    Car car = demo_car("under_floor");
    AirPath second = car.air.front();
    second.name = "second";
    second.shrouds.clear();
    car.air.push_back(second);
    refuses(car, "'radiator' stands in two air paths");
}

TEST_CASE("a run that holds no fluid is refused with its name") {
    Car car = demo_car("under_floor");
    Run dry;
    dry.name = "dry run";
    dry.from = "engine_outlet";
    dry.to = "pump_inlet";
    dry.parts = {
        {.name = "elbow", .body = Fitting{.loss_coefficient = 1, .diameter = 0.02}, .place = {}}};
    for (Loop& loop : car.loops)
        if (loop.name == "coolant") loop.runs.push_back(dry);
    refuses(car, "'dry run' holds no fluid");
}

TEST_CASE("a limit of a part that holds no fluid, or of none, is refused with those that do") {
    for (const char* name : {"nope", "upper hoze", ""}) {
        Car car = demo_car("under_floor");
        for (Loop& loop : car.loops)
            if (loop.name == "transmission") loop.limits.part = name;
        if (*name == '\0') {
            CHECK_NOTHROW(compile(car));  // the hottest
            continue;
        }
        refuses(car, std::string("no part '") + name + "' that holds fluid");
        try {
            (void)compile(car);
        } catch (const Error& e) {
            CHECK_THAT(e.expected(), Catch::Contains("sump"));
            CHECK(e.key() == "limits.part");
        }
    }
}

TEST_CASE("a link of a part to itself is refused") {
    Car car = demo_car("under_floor");
    REQUIRE(!car.links.empty());
    car.links.front().second_loop = car.links.front().first_loop;
    car.links.front().second_part = car.links.front().first_part;
    refuses(car, "to itself");
}

TEST_CASE("a heat, a sensor or a fan that does not exist is refused with its name") {
    Car car = demo_car("under_floor");
    SECTION("heat") {
        std::get<Volume>(part(car, "transmission", "sump").body).heat = {"geers"};
        refuses(car, "geers");
    }
    SECTION("sensor") {
        std::get<Thermostat>(part(car, "coolant", "thermostat").body).sensor = "jaket";
        refuses(car, "jaket");
    }
    SECTION("fan") {
        car.air.front().shrouds.front().fans = {"nobody"};
        refuses(car, "nobody");
    }
}

TEST_CASE("a fan switch that goes off above where it goes on is refused") {
    Car car = demo_car("under_floor");
    std::swap(car.fans.front().switches.front().on, car.fans.front().switches.front().off);
    refuses(car, car.fans.front().name);
}
