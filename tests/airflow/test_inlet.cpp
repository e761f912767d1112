#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/airflow/place.hpp>
#include <lapheat/units/error.hpp>
#include <random>
#include <regex>

using namespace lapheat::airflow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

PlaceConditions hot_car() {
    return {.ambient_temperature = 303.15,
            .road_temperature = road_temperature(303.15, 800, 0),
            .exhaust_temperature = 650,
            .bay_temperature = 355,
            .gearbox_temperature = 375,
            .core_outlet_temperature = 335,
            .core_temperature = 370};
}

}  // namespace

TEST_CASE("with nothing hotter around, every place breathes ambient air") {
    for (const Place place : all_places()) {
        const InletAir air = inlet(parameters(defaults(place)), PlaceConditions{});
        CHECK_THAT(air.temperature, WithinAbs(293.15, 1e-9));
        CHECK_THAT(air.radiation, WithinAbs(0, 1e-9));
    }
}

TEST_CASE("no place ever breathes air colder than ambient or hotter than its hottest neighbour") {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> any(0, 1);
    for (int i = 0; i < 2000; ++i) {
        PlaceConditions now = hot_car();
        now.vehicle_speed = 40 * any(random);
        now.headwind = 20 * (any(random) - 0.5);
        now.bay_backflow = 0.3 * any(random);
        for (const Place place : all_places()) {
            const double t = inlet(parameters(defaults(place)), now).temperature;
            CHECK(t >= now.ambient_temperature);
            CHECK(t < now.exhaust_temperature);
        }
    }
}

TEST_CASE("a heat shield never raises the inlet temperature nor the radiation") {
    for (const Place place : all_places())
        for (double speed = 0; speed < 40; speed += 5) {
            PlaceParameters p = parameters(defaults(place));
            p.exhaust_radiation.area = 0.05;
            PlaceConditions now = hot_car();
            now.vehicle_speed = speed;
            InletAir before = inlet(p, now);
            for (int shields = 1; shields < 4; ++shields) {
                p.exhaust_radiation.shields = shields;
                const InletAir after = inlet(p, now);
                CHECK(after.temperature <= before.temperature);
                CHECK(after.radiation <= before.radiation);
                before = after;
            }
        }
}

namespace {

/// K of the inlet air above ambient on a sunny day of 30 degC: exhaust parts at 350 degC at rest
/// and 450 at 25 m/s, engine bay 80 and 55, gearbox 100, core outlet 30 K over ambient.
struct Rise {
    double at_rest = 0, at_speed = 0;
};
Rise rise_of_hot_car(Place place) {
    constexpr double celsius = 273.15;
    const PlaceParameters p = parameters(defaults(place));
    PlaceConditions rest{.ambient_temperature = 30 + celsius,
                         .road_temperature = road_temperature(30 + celsius, 800, 0),
                         .exhaust_temperature = 350 + celsius,
                         .bay_temperature = 80 + celsius,
                         .gearbox_temperature = 100 + celsius,
                         .core_outlet_temperature = 60 + celsius};
    PlaceConditions moving = rest;
    moving.vehicle_speed = 25;
    moving.exhaust_temperature = 450 + celsius;
    moving.bay_temperature = 55 + celsius;
    return {.at_rest = inlet(p, rest).temperature - rest.ambient_temperature,
            .at_speed = inlet(p, moving).temperature - moving.ambient_temperature};
}

}  // namespace

TEST_CASE("a car that moves breathes no hotter air than one that stands") {
    for (const Place place : all_places()) {
        if (place == Place::in_tank) continue;
        const Rise rise = rise_of_hot_car(place);
        INFO(defaults(place).name);
        CHECK(rise.at_speed < rise.at_rest);
        CHECK(rise.at_rest < 60);
    }
}

TEST_CASE("under the floor it is hotter than at the front, at rest and at speed") {
    const Rise front = rise_of_hot_car(Place::front);
    const Rise floor = rise_of_hot_car(Place::under_floor);
    CHECK(floor.at_rest > front.at_rest);
    CHECK(floor.at_speed > front.at_speed);
}

TEST_CASE("wind from behind clears nothing away") {
    const PlaceParameters p = parameters(defaults(Place::front));
    PlaceConditions now = hot_car();
    const double rest = inlet(p, now).recirculation;
    now.headwind = -10;
    CHECK_THAT(inlet(p, now).recirculation, WithinRel(rest, 1e-12));
    now.headwind = 10;
    CHECK(inlet(p, now).recirculation < 0.2 * rest);
}

TEST_CASE("the rise of the inlet air is the sum of what it says it is made of") {
    PlaceParameters p = parameters(defaults(Place::under_floor));
    p.condenser_cover = 0.5;
    PlaceConditions now = hot_car();
    now.condenser_heat = 6000;
    now.air_flow = 0.8;
    const InletAir air = inlet(p, now);
    CHECK_THAT(air.temperature - now.ambient_temperature,
               WithinAbs(air.recirculation + air.bay + air.exhaust + air.gearbox + air.road +
                             air.condenser,
                         1e-9));
    CHECK_THAT(air.condenser, WithinRel(0.5 * 6000 / (0.8 * 1007), 1e-12));
    now.air_flow = 0;
    CHECK(inlet(p, now).condenser == 30);  // still air: the compressor trips, nothing burns
    p.bay = {.at_rest = 0.9, .at_speed = 0.9};
    CHECK(inlet(p, now).shares_limited);
    CHECK_FALSE(air.shares_limited);
}

TEST_CASE("every assumption of a place lies in its range and names its source") {
    for (const Place place : all_places()) {
        PlaceDefaults d = defaults(place);
        CHECK(d.place == place);
        CHECK_FALSE(d.warnings.empty());
        for (const NamedAssumption& a : assumptions(d)) {
            INFO(d.name << ": " << a.name);
            CHECK(a.number->low <= a.number->value);
            CHECK(a.number->value <= a.number->high);
            // Judged, and said so, or a work with its year or editor; what is nothing needs
            // neither.
            if (a.number->high > a.number->low)
                CHECK(std::regex_search(
                    a.number->source, std::regex("^judgement|\\((19|20)[0-9]{2}\\)|\\(ed\\.\\)")));
        }
        *assumptions(d).front().number = {.value = 0.33, .low = 0, .high = 1};
        CHECK(d.ram_recovery.value == 0.33);
        PathDescription path;
        apply(d, path);
        CHECK(path.inlet.coefficient == 0.33);
    }
}

TEST_CASE("rectangles that touch see all of each other, far ones almost nothing") {
    CHECK_THAT(view_factor_parallel(1, 1, 1e-3), WithinAbs(1, 0.01));
    CHECK(view_factor_parallel(1, 1, 100) < 1e-3);
    CHECK_THAT(view_factor_parallel(0.3, 0.7, 0.2),
               WithinRel(view_factor_parallel(0.7, 0.3, 0.2), 1e-12));
    CHECK_THROWS_AS(view_factor_parallel(0, 1, 1), lapheat::Error);
}

TEST_CASE("the road is heated by the sun, cooled by the wind, and does not know the car's speed") {
    CHECK(road_temperature(305, 0, 0) == 305);
    double before = 305;
    for (double sun = 50; sun <= 1100; sun += 50) {
        const double now = road_temperature(305, sun, 0);
        CHECK(now >= before);
        before = now;
    }
    CHECK(before < 305 + 35);
    // On a clear noon of summer, about 1000 W/m^2 in these latitudes, pavement stands over its air
    // by 24.4 + 0.2289 L - 0.00618 L^2 K, 23.7 to 26.6 from the equator to 40 degrees (Superpave,
    // Solaimanian & Kennedy, Transp. Res. Rec. 1417 (1993); from memory).
    CHECK_THAT(road_temperature(305, 1000, 0) - 305, WithinAbs(25, 3));
    CHECK(road_temperature(305, 900, 10) < road_temperature(305, 900, 0));
    CHECK(road_temperature(305, 900, -10) == road_temperature(305, 900, 10));
    const double road = road_temperature(305, 900, 0);
    CHECK_THAT(under_floor_air(305, 900, 0, 0), WithinAbs(305 + (road - 305) / 3, 1e-9));
    CHECK_THAT(under_floor_air(305, 900, 0, 40), WithinAbs(305 + 0.1 * (road - 305), 1e-6));
}

TEST_CASE("the road's balance closes at the temperature that it finds") {
    for (const double sun : {300.0, 600.0, 1000.0})
        for (const double wind : {0.0, 8.0}) {
            const double air = 303, t = road_temperature(air, sun, wind);
            REQUIRE(t > air);
            const double sigma = 5.670374419e-8, u = wind > 4.5 ? wind : 4.5;
            const double film =
                698.24 * (0.00144 * std::pow((t + air) / 2, 0.3) * std::pow(u, 0.7) +
                          0.00097 * std::pow(t - air, 0.3));
            CHECK_THAT(film * (t - air) + 0.90 * sigma * std::pow(t, 4) + 0.18 * 0.9 * sun,
                       WithinRel(0.9 * sun + 0.70 * sigma * std::pow(air, 4), 1e-9));
        }
}
