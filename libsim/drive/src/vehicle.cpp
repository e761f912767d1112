#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>
#include <string>

#include "driveline.hpp"

namespace lapheat::drive {

namespace {

void need(bool good, const std::string& key, double value, const std::string& expected) {
    if (!good)
        throw Error("the vehicle's " + key + " is " + fmt::format("{:.6g}", value), expected, {},
                    key);
}

}  // namespace

double full_torque(const Engine& e, double speed) {
    if (speed > e.redline) {
        const double end = e.redline * 1.03;
        return speed >= end ? 0.0 : full_torque(e, e.redline) * (end - speed) / (end - e.redline);
    }
    if (speed <= e.speed.front()) return e.full_torque.front();
    if (speed >= e.speed.back()) return e.full_torque.back();
    std::size_t k = 0;
    while (e.speed[k + 1] < speed) ++k;
    const double part = (speed - e.speed[k]) / (e.speed[k + 1] - e.speed[k]);
    return e.full_torque[k] + part * (e.full_torque[k + 1] - e.full_torque[k]);
}

double air_factor(const Engine& e, double temperature, double altitude) {
    if (e.boosted) return 1;
    // At one temperature density goes as pressure.
    const double pressure = air_density(298.15, altitude) / air_density(298.15, 0);
    return std::pow(pressure, 1.2) * std::pow(298.15 / temperature, 0.6);
}

double motoring_torque(const Engine& e, double speed) {
    return e.displacement / (4 * std::numbers::pi) *
           (e.motoring_pressure + e.motoring_pressure_slope * speed);
}

double peak_power(const Engine& e) {
    // Power is a parabola on each straight piece of torque: its ends and its top.
    double best = 0;
    for (std::size_t k = 0; k < e.speed.size(); ++k) {
        best = std::max(best, e.speed[k] * e.full_torque[k]);
        if (k + 1 == e.speed.size()) break;
        const double slope =
            (e.full_torque[k + 1] - e.full_torque[k]) / (e.speed[k + 1] - e.speed[k]);
        if (slope >= 0) continue;
        const double top = 0.5 * (e.speed[k] - e.full_torque[k] / slope);
        if (top > e.speed[k] && top < e.speed[k + 1])
            best = std::max(best, top * (e.full_torque[k] + slope * (top - e.speed[k])));
    }
    return best;
}

Engine engine_from_peaks(double peak_torque, double peak_torque_speed, double peak_power_value,
                         double peak_power_speed, double redline, double idle_speed,
                         double displacement) {
    if (!(idle_speed > 0 && idle_speed < peak_torque_speed &&
          peak_torque_speed < peak_power_speed && peak_power_speed <= redline))
        throw Error("the engine's speeds are out of order",
                    "0 < idle < torque peak < power peak <= redline", {}, "peak_power_speed");
    const double at_power = peak_power_value / peak_power_speed;
    if (!(peak_torque > 0 && at_power > 0 && at_power <= peak_torque))
        throw Error("peak power at its speed needs " + fmt::format("{:.6g}", at_power) +
                        " N m, which is not below the peak torque",
                    "peak power <= peak torque times its speed", {}, "peak_power");
    Engine e;
    e.idle_speed = idle_speed;
    e.redline = redline;
    e.displacement = displacement;
    // Above the torque peak a cubic that leaves it level and reaches the power peak with the slope
    // -T/w of constant power, or less steep where that would overshoot (Fritsch & Carlson 1980).
    const double span = peak_power_speed - peak_torque_speed, fall = peak_torque - at_power;
    const double slope = -std::min(at_power / peak_power_speed, 3 * fall / span);
    const double below = 0.25 * peak_torque / std::pow(peak_torque_speed - idle_speed, 2);
    auto point = [&](double w, double torque) {
        e.speed.push_back(w);
        e.full_torque.push_back(std::max(0.0, torque));
    };
    for (int k = 0; k < 5; ++k) {
        const double w = idle_speed + (peak_torque_speed - idle_speed) * k / 5;
        point(w, peak_torque - below * std::pow(peak_torque_speed - w, 2));
    }
    for (int k = 0; k < 6; ++k) {
        const double x = k / 6.0;
        point(peak_torque_speed + x * span,
              peak_torque - fall * x * x * (3 - 2 * x) + span * slope * x * x * (x - 1));
    }
    point(peak_power_speed, at_power);
    if (redline > peak_power_speed)
        point(redline, at_power * (1 - 2 * (redline / peak_power_speed - 1)));
    return e;
}

std::vector<NamedAssumption> assumptions(Vehicle& v) {
    using M = NamedAssumption::Meaning;
    std::vector<NamedAssumption> out = {{"rolling resistance", &v.rolling_level, M::level}};
    if (v.coupling == Coupling::converter)
        out.push_back({"converter capacity", &v.converter.capacity_level, M::level});
    return out;
}

Vehicle at_levels(Vehicle v) {
    v.rolling *= v.rolling_level.value;
    v.rolling_slope *= v.rolling_level.value;
    v.rolling_square *= v.rolling_level.value;
    v.rolling_level = exact_level;
    v.converter = at_levels(std::move(v.converter));
    return v;
}

void validate(const Vehicle& v) {
    need(v.mass > 0, "mass", v.mass, "kg above 0");
    need(v.rotating_factor >= 1 && v.rotating_factor < 2, "rotating_factor", v.rotating_factor,
         "1 to 2, about 1.04");
    need(v.frontal_area >= 0, "frontal_area", v.frontal_area, "m^2, not negative");
    need(v.drag_coefficient >= 0, "drag_coefficient", v.drag_coefficient, "not negative");
    need(v.rolling >= 0 && v.rolling < 0.2, "rolling_resistance", v.rolling,
         "0 to 0.2, about 0.012");
    need(v.tyre_radius > 0.1 && v.tyre_radius < 1, "tyre_radius", v.tyre_radius, "0.1 to 1 m");
    need(v.tyre_pressure > 0, "tyre_pressure", v.tyre_pressure, "Pa above 0");
    need(v.wheelbase > 0.5, "wheelbase", v.wheelbase, "m above 0.5");
    need(v.centre_height >= 0 && v.centre_height < v.wheelbase, "centre_height", v.centre_height,
         "m, not negative and below the wheelbase");
    need(v.front_share > 0 && v.front_share < 1, "front_weight_share", v.front_share, "0 to 1");
    need(v.grip_long > 0, "grip_long", v.grip_long, "above 0, about 0.9");
    need(v.grip_lat > 0, "grip_lateral", v.grip_lat, "above 0, about 0.9");
    need(v.cornering_stiffness >= 0, "cornering_stiffness", v.cornering_stiffness,
         "N/rad, 0 for no cornering drag");
    need(v.steering_ratio > 0, "steering_ratio", v.steering_ratio, "above 0, about 16");
    need(v.steering_lock > 0, "steering_lock", v.steering_lock, "rad above 0");
    need(v.accessory_power >= 0, "accessory_power", v.accessory_power, "W, not negative");
    const Engine& e = v.engine;
    if (e.speed.size() < 2 || e.speed.size() != e.full_torque.size())
        throw Error("the engine's full-load curve needs two columns of equal length",
                    "at least 2 rows of speed and torque", {}, "engine.full_load");
    for (std::size_t k = 0; k < e.speed.size(); ++k) {
        need(e.speed[k] > (k ? e.speed[k - 1] : 0), "engine.full_load", e.speed[k],
             fmt::format("engine speeds in rad/s, ascending, row {}", k + 1));
        need(e.full_torque[k] >= 0, "engine.full_load", e.full_torque[k],
             fmt::format("torques in N m, not negative, row {}", k + 1));
    }
    need(e.idle_speed > 0 && e.idle_speed < e.redline, "engine.idle_speed", e.idle_speed,
         "rad/s, above 0 and below the redline");
    need(e.inertia > 0, "engine.inertia", e.inertia, "kg m^2 above 0");
    need(e.displacement > 0, "engine.displacement", e.displacement, "m^3 above 0");
    const Gearbox& g = v.gearbox;
    if (g.ratio.empty() || g.ratio.size() > 12 || g.ratio.size() != g.efficiency.size())
        throw Error("the gearbox needs 1 to 12 forward gears, each with an efficiency",
                    "as many efficiencies as ratios", {}, "gearbox.ratios");
    for (std::size_t k = 0; k < g.ratio.size(); ++k) {
        need(g.ratio[k] > 0 && (k == 0 || g.ratio[k] < g.ratio[k - 1]), "gearbox.ratios",
             g.ratio[k], "positive, falling from first gear on");
        need(g.efficiency[k] > 0.5 && g.efficiency[k] <= 1, "gearbox.efficiency", g.efficiency[k],
             "0.5 to 1");
    }
    need(g.final_drive > 0, "gearbox.final_drive", g.final_drive, "above 0");
    need(g.final_drive_efficiency > 0.5 && g.final_drive_efficiency <= 1,
         "gearbox.final_drive_efficiency", g.final_drive_efficiency, "0.5 to 1");
    need(g.reverse_ratio > 0, "gearbox.reverse_ratio", g.reverse_ratio, "above 0");
    need(v.shift.full_speed >= v.shift.light_speed && v.shift.light_speed > 0,
         "shift.full_load_speed", v.shift.full_speed, "not below shift.light_load_speed");
    need(v.shift.hysteresis > 0 && v.shift.hysteresis < 1, "shift.hysteresis", v.shift.hysteresis,
         "0 to 1");
    if (v.coupling == Coupling::converter) {
        validate(v.converter);
        const Flat flat(v);
        const double idle_load =
            converter_at(v.converter, e.idle_speed, 0).pump_torque +
            flat.idle_losses(e.idle_speed, v.accessory_power + v.air_conditioning_power);
        if (idle_load > full_torque(e, e.idle_speed))
            throw Error("the engine cannot idle in gear against this converter",
                        "a looser converter (higher stall speed) or a higher idle speed", {},
                        "converter.stall_torque");
    }
}

double stall_speed(const Vehicle& v, double throttle) {
    const Engine& e = v.engine;
    const Flat flat(v);
    auto surplus = [&](double w) {
        const double drag = motoring_torque(e, w);
        return throttle * (full_torque(e, w) + drag) - drag -
               flat.idle_losses(w, v.accessory_power) - converter_at(v.converter, w, 0).pump_torque;
    };
    if (surplus(e.idle_speed) <= 0) return e.idle_speed;
    const double end = 1.03 * e.redline;
    if (surplus(end) >= 0) return end;
    return solve::bracketed_root(surplus, e.idle_speed, end, 1e-10 * end).x;
}

Traction best_traction(const Vehicle& v, double speed) {
    const Flat flat(v);
    return flat.best_traction(speed);
}

}  // namespace lapheat::drive
