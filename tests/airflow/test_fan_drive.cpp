#include <catch2/catch.hpp>
#include <lapheat/airflow/fan_drive.hpp>
#include <lapheat/units/error.hpp>

using namespace lapheat::airflow;
using Catch::Matchers::WithinRel;

namespace {
DriveState electric(const FanDrive& drive, double command, double volts = 13.0,
                    double density = 1.0) {
    return drive_state(drive, command, volts, density, 0, 300);
}
}  // namespace

TEST_CASE("a fan at its rated voltage and density runs at full speed and rated current") {
    const DriveState s = electric({}, 1);
    CHECK_THAT(s.speed, WithinRel(1.0, 1e-12));
    CHECK_THAT(s.current, WithinRel(15.0, 1e-12));
    CHECK_THAT(s.voltage, WithinRel(13.0, 1e-12));
    CHECK(electric({}, 0).speed == 0);
    CHECK(electric({}, 0).current == 0);
}

TEST_CASE("a thin wire costs fan speed, and the motor's voltage is the supply less the drop") {
    FanDrive drive;
    drive.wiring_resistance = 0.08;
    const DriveState s = electric(drive, 1);
    CHECK(s.speed < 0.95);
    CHECK(s.speed > 0.85);
    CHECK_THAT(s.voltage + s.current * 0.08, WithinRel(13.0, 1e-12));
}

TEST_CASE("thin air lets a fan run a little faster on less current") {
    const DriveState sea = electric({}, 1), high = electric({}, 1, 13, 0.8);
    CHECK(high.speed > sea.speed);
    CHECK(high.current < sea.current);
}

TEST_CASE("speed and current never fall with command or voltage") {
    for (const DriveKind kind : {DriveKind::on_off, DriveKind::two_stage,
                                 DriveKind::two_stage_resistor, DriveKind::pulse_width}) {
        FanDrive drive;
        drive.kind = kind;
        double speed = -1, current = -1;
        for (double command = 0; command <= 1.001; command += 0.05) {
            const DriveState s = electric(drive, command);
            CHECK(s.speed >= speed);
            CHECK(s.current >= current);
            speed = s.speed;
            current = s.current;
        }
        CHECK(electric(drive, 1, 14.5).speed > electric(drive, 1, 12).speed);
    }
}

TEST_CASE("a resistor's low stage draws more from the supply than a stage that burns nothing") {
    FanDrive drive;
    drive.kind = DriveKind::two_stage;
    const double clean = electric(drive, 0.5).current;
    drive.kind = DriveKind::two_stage_resistor;
    CHECK(electric(drive, 0.5).current > 1.2 * clean);
    CHECK_THAT(electric(drive, 0.5).speed, WithinRel(0.6, 1e-12));
}

TEST_CASE("a clutch fan follows the engine and the air behind the radiator") {
    FanDrive drive;
    drive.kind = DriveKind::viscous_clutch;
    const auto speed = [&](double engine, double air) {
        return drive_state(drive, 0, 13, 1, engine, air).speed;
    };
    CHECK_THAT(speed(230 / 1.2, 300), WithinRel(0.25, 1e-12));
    CHECK_THAT(speed(230 / 1.2, 360), WithinRel(0.85, 1e-12));
    CHECK(speed(80, 345) > speed(80, 340));
    CHECK(speed(160, 345) > speed(80, 345));
    drive.kind = DriveKind::belt;
    CHECK_THAT(speed(230 / 1.2, 300), WithinRel(1.0, 1e-12));
}

TEST_CASE("a soft start nears its speed by the same share in equal times") {
    FanDrive drive;
    drive.spin_up = 3;
    const double once = spin(drive, 0, 1, 2), twice = spin(drive, once, 1, 2);
    CHECK_THAT(twice, WithinRel(spin(drive, 0, 1, 4), 1e-12));
    CHECK(spin(drive, 1, 0, 2) < 1);
    CHECK_THAT(spin(drive, 0, 1, 1e3), WithinRel(1.0, 1e-12));
}

TEST_CASE("a thermal switch keeps its state between off and on") {
    const ThermalSwitch s;
    CHECK_FALSE(switched(s, false, 365));
    CHECK(switched(s, true, 365));
    CHECK(switched(s, false, 368));
    CHECK_FALSE(switched(s, true, 363));
    CHECK_THROWS_AS(switched({.on = 360, .off = 361}, false, 350), lapheat::Error);
}

TEST_CASE("more current or a longer run never asks for a thinner wire or a smaller fuse") {
    double area = 0, fuse = 0;
    for (double current = 1; current <= 75; current += 1) {
        const WireGuide g = wire_guide(current, 3);
        CHECK(g.area >= area);
        CHECK(g.fuse >= fuse);
        CHECK(g.fuse >= current / 0.75 * 0.999);
        CHECK(g.fuse <= 1.7 * current / 0.75 + 5);  // the next as sold, not any
        CHECK_THAT(g.caution, Catch::Contains("battery end") && Catch::Contains("three to five"));
        area = g.area;
        fuse = g.fuse;
    }
    // By hand, 20 A over 3 m: 26.7 A ask for a fuse of 30. 10 AWG, 5.261 mm^2, has 3.277 mohm a
    // metre at 20 degC (ASTM B258) and 15.7 % more at 60: there and back through 6 mm^2 19.9 mohm
    // and 0.40 V; through 4 mm^2 it were 0.60.
    const WireGuide hand = wire_guide(20, 3);
    CHECK(hand.fuse == 30);
    CHECK(hand.area == 6);
    CHECK_THAT(hand.resistance, WithinRel(6 * 3.277e-3 * 5.261 / 6 * 1.157, 0.01));
    CHECK_THAT(hand.drop, WithinRel(0.40, 0.01));
    CHECK_THAT(hand.caution, !Catch::Contains("No listed wire"));
    CHECK_THAT(wire_guide(75, 15).caution, Catch::Contains("No listed wire keeps"));
    CHECK(wire_guide(20, 12).area > wire_guide(20, 1).area);
    CHECK_THROWS_AS(wire_guide(0, 3), lapheat::Error);
    CHECK_THROWS_AS(wire_guide(100, 3), lapheat::Error);
}

TEST_CASE("an alternator gives its idle share at 1500 rpm, its rating at 6000, nothing at rest") {
    const Alternator a;
    const AlternatorCurve curve = alternator_curve(a);
    constexpr double rpm = 3.14159265358979323846 / 30;
    CHECK_THAT(curve.at(6000 * rpm / a.pulley_ratio), WithinRel(90.0, 1e-6));
    CHECK_THAT(curve.at(1500 * rpm / a.pulley_ratio),
               WithinRel(a.idle_share * a.rated_current, 1e-6));
    CHECK(curve.at(0) == 0);
    double before = -1;
    for (double w = 0; w < 700; w += 5) {
        const double now = curve.at(w);
        CHECK(now >= before);
        before = now;
    }
}

TEST_CASE("two big fans, lights and blower can outrun the alternator at idle") {
    const AlternatorCurve curve = alternator_curve({});
    const double demand = 28 + 28 + 25;  // A
    CHECK(curve.at(75) < demand - 10);
    CHECK(curve.at(250) > demand);
}
