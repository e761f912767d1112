#include <lapheat/airflow/fan_drive.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <lapheat/solve/relation.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

constexpr double rpm = 3.14159265358979323846 / 30;

/// n from u = e n + r n^2, with r the resistive share at this density.
double motor_speed(double voltage_share, double back_emf, double resistive) {
    if (voltage_share <= 0) return 0;
    return 2 * voltage_share /
           (back_emf + std::sqrt(back_emf * back_emf + 4 * resistive * voltage_share));
}

double engine_driven(const FanDrive& drive, double engine_speed, double air_temperature) {
    const double hub = engine_speed * drive.pulley_ratio / drive.full_speed;
    if (drive.kind == DriveKind::belt) return hub;
    const double closed = std::clamp((air_temperature - drive.clutch_begins) /
                                         std::max(1e-6, drive.clutch_closed - drive.clutch_begins),
                                     0.0, 1.0);
    return hub * (drive.idling + closed * (drive.engaged - drive.idling));
}

}  // namespace

DriveState drive_state(const FanDrive& drive, double command, double supply_voltage,
                       double density_ratio, double engine_speed, double air_temperature) {
    if (drive.kind == DriveKind::viscous_clutch || drive.kind == DriveKind::belt)
        return {.speed = engine_driven(drive, engine_speed, air_temperature)};
    const double wiring =
        drive.wiring_resistance * drive.rated_current / drive.rated_voltage * density_ratio;
    const double winding = (1 - drive.back_emf) * density_ratio;
    double resistive = winding + wiring;
    double share = supply_voltage / drive.rated_voltage;
    bool low = false;
    switch (drive.kind) {
        case DriveKind::on_off:
            if (command < 0.5) return {};
            break;
        case DriveKind::two_stage:
        case DriveKind::two_stage_resistor:
            if (command < 0.25) return {};
            low = command < 0.75;
            break;
        case DriveKind::pulse_width:
            if (command < 0.1) return {};
            share *= std::min(command, 1.0);
            break;
        case DriveKind::viscous_clutch:
        case DriveKind::belt:
            break;  // above
    }
    DriveState state;
    state.speed = motor_speed(share, drive.back_emf, resistive);
    if (low) state.speed *= drive.low_stage;
    const double current = drive.rated_current * density_ratio * state.speed * state.speed;
    state.voltage =
        drive.rated_voltage * (drive.back_emf * state.speed + winding * state.speed * state.speed);
    state.current = current;
    // A resistor passes the motor's own current and burns the rest of the voltage; the other
    // controllers draw from the supply what the motor takes, as power.
    if (drive.kind == DriveKind::pulse_width && command < 1 && supply_voltage > 0)
        state.current = current * std::min(1.0, command) / drive.controller_efficiency;
    else if (drive.kind == DriveKind::two_stage && low && supply_voltage > 0)
        state.current = current * state.voltage / supply_voltage;
    return state;
}

double spin(const FanDrive& drive, double speed, double target, double time) {
    const double constant = target > speed ? drive.spin_up : drive.run_down;
    return target + (speed - target) * (constant > 0 ? std::exp(-time / constant) : 0.0);
}

bool switched(const ThermalSwitch& thermal_switch, bool was_on, double temperature) {
    if (!(thermal_switch.off < thermal_switch.on))
        throw Error("a thermal switch must go off below the temperature at which it goes on",
                    "off < on");
    return was_on ? temperature > thermal_switch.off : temperature >= thermal_switch.on;
}

WireGuide wire_guide(double current, double length, double allowed_drop) {
    if (!(current > 0) || current > 75 || !(length > 0) || length > 15 || !(allowed_drop > 0))
        throw Error("a wire guide needs a current, a length and an allowed drop in range",
                    "0 < current <= 75 A, 0 < length <= 15 m, allowed drop > 0 V");
    // Nominal ratings: ISO 8820-3 (blade) to 40 A, ISO 8820-5 (bolt-in) above; from memory.
    constexpr std::array fuses{5.0,  7.5,  10.0, 15.0, 20.0, 25.0, 30.0,
                               40.0, 50.0, 60.0, 70.0, 80.0, 100.0};
    // Nominal areas: ISO 6722-1; from memory.
    constexpr std::array areas{0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0};
    WireGuide guide;
    guide.fuse = *std::lower_bound(fuses.begin(), fuses.end(), current / 0.75 * (1 - 1e-12));
    // Copper, IEC 60028: 1/58 ohm mm^2/m at 20 C and 0.00393 1/K; here at 60 C.
    constexpr double resistivity = 1.0 / 58 * (1 + 0.00393 * 40);
    for (const double area : areas) {
        guide.area = area;
        guide.resistance =
            solve::perturbed(solve::Relation::wire_resistance, 2 * length * resistivity / area);
        guide.drop = current * guide.resistance;
        // Continuous current in a loom in a hot engine bay: 11 A at 1 mm^2, growing as area^0.75
        // (surface grows slower than section); common practice, no source.
        if (11 * std::pow(area, 0.75) >= guide.fuse && guide.drop <= allowed_drop) break;
    }
    guide.caution =
        "Guidance only. The fuse protects the wire, so fit it at the battery end; a fan draws "
        "three "
        "to five times its running current at start; heat, looms and poor crimps lower what a wire "
        "carries. Follow the fan's and the car's own data where they ask for more.";
    if (guide.drop > allowed_drop) guide.caution += " No listed wire keeps the allowed drop.";
    return guide;
}

AlternatorCurve alternator_curve(const Alternator& a) {
    if (!(a.rated_current > 0) || !(a.idle_share > 0) || a.idle_share >= 1 || !(a.cut_in > 0) ||
        a.cut_in >= 1500 * rpm || !(a.pulley_ratio > 0))
        throw Error(
            "an alternator needs a rated current, an idle share and a cut-in speed in range",
            "rated > 0 A, 0 < idle share < 1, 0 < cut-in < 157 rad/s");
    // One unknown, the speed constant, a root: the share at 1500 rpm falls with it, down to
    // the straight line's.
    const double low_end = 1500 * rpm - a.cut_in, high_end = 6000 * rpm - a.cut_in;
    const auto part = [](double speed, double constant) { return -std::expm1(-speed / constant); };
    const auto too_much = [&](double log_constant) {
        const double constant = std::exp(log_constant);
        return part(low_end, constant) / part(high_end, constant) - a.idle_share;
    };
    const double least = std::log(1e-3 * high_end), most = std::log(100 * high_end);
    AlternatorCurve curve;
    curve.constant = std::exp(
        too_much(most) >= 0 ? most : solve::bracketed_root(too_much, least, most, 1e-14).x);
    curve.end = a.rated_current / part(high_end, curve.constant);
    curve.cut_in = a.cut_in;
    curve.pulley_ratio = a.pulley_ratio;
    return curve;
}

double AlternatorCurve::at(double engine_speed) const {
    const double above = engine_speed * pulley_ratio - cut_in;
    return above > 0 ? -end * std::expm1(-above / constant) : 0;
}

}  // namespace lapheat::airflow
