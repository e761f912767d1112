#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/drive/course.hpp>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/lap.hpp>
#include <lapheat/heat/steering.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>

#include "../drive/invented_car.hpp"

using namespace lapheat;
using namespace lapheat::heat;

namespace {

constexpr double rev_per_minute = 2 * std::numbers::pi / 60;

double paths(const SteeringPoint& p) {
    return p.work + p.rack_friction + p.throttling + p.relief + p.flow_control + p.leakage +
           p.line + p.pump_friction;
}

SteeringHeat over(const drive::Vehicle& car, const drive::Cycle& cycle, double* duration) {
    const drive::Trace t = drive::backward(car, cycle);
    *duration = t.time.back() - t.time.front();
    return steering_heat(SteeringModel{}, car, t);
}

}  // namespace

TEST_CASE("all shaft power of the steering pump ends on a named path") {
    const SteeringModel m;
    for (double n = 100; n < 7000; n += 331) {
        for (double torque = 0; torque < 2000; torque += 173) {
            for (double rate = 0; rate < 2; rate += 0.31) {
                for (const double held : {0.0, 0.4, 1.0}) {
                    const SteeringPoint p =
                        steering_point(m, {n * rev_per_minute, torque, rate, held});
                    CHECK(paths(p) == Approx(p.shaft).epsilon(1e-12));
                    CHECK(p.heat() ==
                          Approx(p.pump_heat() + p.rack_heat() + p.line).epsilon(1e-12));
                    for (const double part : {p.work, p.rack_friction, p.throttling, p.relief,
                                              p.flow_control, p.leakage, p.line, p.pump_friction}) {
                        CHECK(part >= 0);
                    }
                    CHECK(p.flow <= m.controlled_flow * (1 + 1e-12));
                    CHECK(p.pressure <=
                          m.relief_pressure + m.control_pressure + m.back_pressure + 1e-6);
                }
            }
        }
    }
}

TEST_CASE("steering heat grows with engine speed and with load, and never falls") {
    const SteeringModel m;
    double last = 0;
    for (double n = 300; n < 7000; n += 100) {
        const double heat = steering_point(m, {n * rev_per_minute, 200, 0, 0}).heat();
        CHECK(heat > last);
        last = heat;
    }
    last = 0;
    for (double torque = 0; torque < 1500; torque += 50) {
        const double heat = steering_point(m, {3000 * rev_per_minute, torque, 0, 0}).heat();
        CHECK(heat >= last);
        last = heat;
    }
}

TEST_CASE("holding a corner costs heat and does no work; turning moves part of it to work") {
    const SteeringModel m;
    const SteeringPoint hold = steering_point(m, {3000 * rev_per_minute, 250, 0, 0});
    const SteeringPoint turn = steering_point(m, {3000 * rev_per_minute, 250, 0.5, 0});
    CHECK(hold.work == 0);
    CHECK(hold.throttling > 100);
    CHECK(turn.work > 0);
    CHECK(turn.throttling < hold.throttling);
    CHECK(turn.shaft == Approx(hold.shaft));
    // The oil's work is the assisted part of torque times rate.
    CHECK(turn.work == Approx(m.assist * 250 * 0.5).epsilon(1e-12));
}

TEST_CASE("at the lock pressure stands at relief and all controlled flow turns to heat there") {
    const SteeringModel m;
    const SteeringPoint p = steering_point(m, {1500 * rev_per_minute, 0, 0, 1});
    CHECK(p.load_pressure == m.relief_pressure);
    CHECK(p.relief == Approx(m.relief_pressure * m.controlled_flow));
    CHECK((p.flags & at_relief) != 0);
    CHECK(p.work == 0);
    // Scrub too heavy for the setting ends at the same pressure.
    CHECK((steering_point(m, {1500 * rev_per_minute, 4000, 0, 0}).flags & at_relief) != 0);
}

TEST_CASE("a wheel turned faster than the pump can follow is flagged") {
    const SteeringModel m;
    CHECK((steering_point(m, {700 * rev_per_minute, 300, 0.3, 0}).flags & pump_catch) == 0);
    CHECK((steering_point(m, {700 * rev_per_minute, 300, 2.0, 0}).flags & pump_catch) != 0);
}

TEST_CASE("without a running engine or without hydraulics there is no heat") {
    SteeringModel m;
    CHECK(steering_point(m, {0, 500, 0.5, 0.5}).shaft == 0);
    m.hydraulic = false;
    CHECK(steering_point(m, {300, 500, 0.5, 0.5}).shaft == 0);
    CHECK_NOTHROW(validate(m));
}

TEST_CASE("a cone course heats the steering more than twice as much as the highway does") {
    const drive::Vehicle car = drive::invented_car();
    double cruise_time = 0;
    const SteeringHeat cruise = over(car, drive::steady(28, 120), &cruise_time);
    const auto on_cones = [&](drive::LapGears gears) {
        const drive::Lap lap = drive::solve_lap(car, drive::cone_course(), {.gears = gears});
        const drive::Cycle cycle = drive::lap_cycle(lap, "cones");
        const drive::Trace t = drive::backward(car, cycle);
        // By hand: all that the pump displaces at its outlet's pressure (orifice, circuit and
        // load), and its friction, from the lap's engine speed and load alone.
        double turning = 0, load_and_turning = 0;
        for (std::size_t k = 0; k + 1 < t.size(); ++k) {
            const double step = t.time[k + 1] - t.time[k];
            const double shaft = 1.2 * t.engine_speed[k];
            turning += step * shaft;
            load_and_turning +=
                step * shaft * 0.85 * std::abs(t.kingpin_torque[k]) / (0.14 * 9e-4 * 0.85);
        }
        double time = 0;
        const SteeringHeat heat = over(car, cycle, &time);
        const double by_hand =
            (1.53e-6 * (7e5 * turning + load_and_turning) + 0.35 * turning) / time;
        INFO(turning / time / 1.2 / rev_per_minute << " rev/min");
        CHECK((heat.energy.heat() + heat.energy.work) / time == Approx(by_hand).epsilon(0.02));
        // Flow control at high engine speed under load is the largest part, work the least.
        CHECK(heat.energy.flow_control > 0.4 * heat.energy.heat());
        CHECK(heat.energy.work < 0.2 * heat.energy.shaft);
        return heat.energy.heat() / time;
    };
    const double on_road = cruise.energy.heat() / cruise_time;
    const double driven = on_cones(drive::LapGears::driver);
    const double strongest = on_cones(drive::LapGears::strongest);
    INFO("highway " << on_road << " W, cones " << driven << " W, in the strongest gear "
                    << strongest << " W");
    // Engine speed makes it: in second a driver spares the pump what first gear would cost.
    CHECK(driven > 2 * on_road);
    CHECK(strongest > 1.3 * driven);
}

TEST_CASE("parking at the lock spends part of its heat at the relief valve") {
    const drive::Vehicle car = drive::invented_car();
    double time = 0;
    const SteeringHeat parking = over(car, drive::parking(car.steering_lock), &time);
    CHECK(parking.energy.relief > 0.05 * parking.energy.heat());
    CHECK(parking.energy.work > 0);
    const auto& e = parking.energy;
    CHECK(e.shaft == Approx(e.work + e.rack_friction + e.throttling + e.relief + e.flow_control +
                            e.leakage + e.line + e.pump_friction));
}

TEST_CASE("a steering that makes no sense is refused by name") {
    SteeringModel m;
    m.relief_pressure = 85;
    try {
        validate(m);
        FAIL("accepted");
    } catch (const Error& e) {
        CHECK(e.key() == "relief_pressure");
    }
}
