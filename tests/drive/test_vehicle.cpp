#include <catch2/catch.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <lapheat/units/error.hpp>

#include "invented_car.hpp"

using namespace lapheat::drive;

TEST_CASE("an engine made from its peaks has its peaks where they were put") {
    const Engine e = engine_from_peaks(560, 430, 300e3, 565, 640, 73, 5.7e-3);
    CHECK(full_torque(e, 430) == Approx(560));
    CHECK(full_torque(e, 565) * 565 == Approx(300e3));
    CHECK(peak_power(e) == Approx(300e3).epsilon(1e-9));
    for (double w = 60; w < 700; w += 3) {
        CHECK(full_torque(e, w) <= 560 + 1e-9);
        CHECK(full_torque(e, w) * w <= 300e3 * (1 + 1e-9));
    }
    CHECK(full_torque(e, 640 * 1.03) == 0);
    CHECK_THROWS_AS(engine_from_peaks(300, 430, 300e3, 565, 640, 73, 5.7e-3), lapheat::Error);
    CHECK_THROWS_AS(engine_from_peaks(560, 600, 300e3, 565, 640, 73, 5.7e-3), lapheat::Error);
}

TEST_CASE("peak power is found between the points of a torque curve") {
    Engine e;
    e.speed = {100, 600};
    e.full_torque = {500, 0};  // power is w (600 - w): its top lies at 300
    CHECK(peak_power(e) == Approx(300.0 * 300.0));
}

TEST_CASE("at the stall speed the engine's torque is all in converter, pump and accessories") {
    const Vehicle v = invented_car();
    const double w = stall_speed(v);
    const double losses = v.gearbox.pump_torque + v.gearbox.pump_torque_slope * w +
                          v.accessory_torque + v.accessory_power / w;
    CHECK(converter_at(v.converter, w, 0).pump_torque + losses ==
          Approx(full_torque(v.engine, w)).epsilon(1e-8));
    CHECK(stall_speed(v, 0.5) < w);
    CHECK(stall_speed(v, 0.0) == v.engine.idle_speed);
}

TEST_CASE("a looser converter stalls faster") {
    Vehicle v = invented_car();
    const double tight = stall_speed(v);
    v.converter = generic_converter(320, 500);
    CHECK(stall_speed(v) > tight);
}

TEST_CASE("low gears launch, high gears run, and no gear gives more power than the engine") {
    const Vehicle v = invented_car();
    int gear = 1;
    for (double u = 0; u < 60; u += 1.5) {
        const Traction t = best_traction(v, u);
        CHECK(t.force * u < peak_power(v.engine));
        CHECK(t.gear >= gear);
        gear = t.gear;
    }
    CHECK(gear > 2);
    // At rest the converter doubles the torque of the stalled engine.
    const double turbine = 2 * converter_at(v.converter, stall_speed(v), 0).pump_torque;
    CHECK(best_traction(v, 0).force ==
          Approx(turbine * 2.5 * 0.96 * 3.5 * 0.97 / v.tyre_radius).epsilon(1e-6));
}

TEST_CASE("each resistance grows with what causes it") {
    const Vehicle v = invented_car();
    RoadPoint p;
    p.speed = 25;
    const RoadLoad base = road_load(v, p);
    CHECK(base.grade == 0);
    CHECK(base.inertia == 0);
    RoadPoint q = p;
    q.wind = 5;
    CHECK(road_load(v, q).drag == Approx(base.drag * 30 * 30 / (25.0 * 25)));
    q = p;
    q.wind = -30;  // a gale from behind pushes
    CHECK(road_load(v, q).drag < 0);
    q = p;
    q.trailer_mass = 800;
    CHECK(road_load(v, q).rolling > base.rolling);
    CHECK(road_load(v, q).drag > base.drag);
    q = p;
    q.grade = 0.06;
    CHECK(road_load(v, q).grade == Approx(1500 * gravity * 0.06 / std::sqrt(1 + 0.0036)));
    q = p;
    q.acceleration = 2;
    CHECK(road_load(v, q).inertia == Approx(1500 * 1.04 * 2));
    q = p;
    q.lateral_acceleration = 8;
    CHECK(road_load(v, q).cornering == Approx(std::pow(1500 * 8.0, 2) / v.cornering_stiffness));
    q = p;
    q.speed = 0;
    CHECK(road_load(v, q).total() == 0);
}

TEST_CASE("air is thinner in heat and on a mountain") {
    CHECK(air_density(288.15, 0) == Approx(1.225).epsilon(1e-3));
    CHECK(air_density(313, 0) < air_density(288, 0));
    CHECK(air_density(288, 2000) < air_density(288, 0));
}

TEST_CASE("braking loads the front axle and a climb unloads it") {
    const Vehicle v = invented_car();
    const double at_rest = front_axle_load(v, 0);
    CHECK(at_rest == Approx(v.mass * gravity * v.front_share));
    CHECK(front_axle_load(v, -8) > at_rest);
    CHECK(front_axle_load(v, 0, 0.1) < at_rest);
    CHECK(front_axle_load(v, 1000) == 0);
}

TEST_CASE("steering stays within the lock and follows curvature and understeer") {
    const Vehicle v = invented_car();
    CHECK(steering_for_curve(v, 0.02, 0) == Approx(v.steering_ratio * v.wheelbase * 0.02));
    CHECK(steering_for_curve(v, 0.02, 15) > steering_for_curve(v, 0.02, 0));
    CHECK(steering_for_curve(v, -0.02, 15) == -steering_for_curve(v, 0.02, 15));
    CHECK(steering_for_curve(v, 1, 2) == v.steering_lock);
}

TEST_CASE("turning the wheel is hardest at rest and fades within walking pace") {
    const Vehicle v = invented_car();
    const double load = front_axle_load(v, 0);
    const double at_rest = kingpin_torque(v, 0, 0.3, 0, load);
    CHECK(at_rest == Approx(parking_torque(v, load)));
    double last = at_rest;
    for (double u = 0.02; u < 5; u *= 1.5) {
        const double now = kingpin_torque(v, u, 0.3, 0, load);
        CHECK(now < last);
        last = now;
    }
    CHECK(last < 0.1 * at_rest);
    CHECK(kingpin_torque(v, 20, 0, 8, load) == Approx(load / gravity * 8 * v.steering_trail));
}

TEST_CASE("a car that cannot be driven is refused by the name of what is wrong") {
    auto key_of = [](const Vehicle& v) {
        try {
            validate(v);
        } catch (const lapheat::Error& e) {
            return e.key();
        }
        return std::string("nothing");
    };
    Vehicle v = invented_car();
    CHECK(key_of(v) == "nothing");
    v.mass = -1;
    CHECK(key_of(v) == "mass");
    v = invented_car();
    v.gearbox.ratio = {1.5, 2.5, 1.0, 0.7};
    CHECK(key_of(v) == "gearbox.ratios");
    v = invented_car();
    v.gearbox.efficiency.pop_back();
    CHECK(key_of(v) == "gearbox.ratios");
    v = invented_car();
    v.engine.full_torque.clear();
    CHECK(key_of(v) == "engine.full_load");
    v = invented_car();
    v.converter = generic_converter(60, 500);  // stalls the engine at idle
    CHECK(key_of(v) == "converter.stall_torque");
    v = invented_car();
    v.shift.hysteresis = 1.2;
    CHECK(key_of(v) == "shift.hysteresis");
    v = invented_car();
    v.tyre_radius = 0;
    CHECK(key_of(v) == "tyre_radius");
}
