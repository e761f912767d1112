// An invented older car for tests: 1500 kg, a 5.7 l engine of 300 kW, four-speed automatic.
#pragma once

#include <lapheat/drive/vehicle.hpp>

namespace lapheat::drive {

inline Vehicle invented_car() {
    Vehicle v;
    v.mass = 1500;
    v.frontal_area = 2.0;
    v.drag_coefficient = 0.42;
    v.engine = engine_from_peaks(560, 430, 300e3, 565, 640, 73, 5.7e-3);
    v.gearbox.ratio = {2.5, 1.5, 1.0, 0.7};
    v.gearbox.efficiency = {0.96, 0.97, 0.99, 0.96};
    v.gearbox.final_drive = 3.5;
    v.gearbox.reverse_ratio = 2.1;
    v.converter = generic_converter(250, 500, 2.0);
    v.shift.lockup = true;
    v.shift.lockup_gear = 3;
    return v;
}

/// The same car with a clutch and five gears.
inline Vehicle invented_manual_car() {
    Vehicle v = invented_car();
    v.coupling = Coupling::clutch;
    v.gearbox.ratio = {3.0, 1.95, 1.35, 1.0, 0.75};
    v.gearbox.efficiency = {0.96, 0.97, 0.97, 0.99, 0.97};
    v.gearbox.pump_torque = 0;
    v.gearbox.pump_torque_slope = 0;
    v.shift.lockup = false;
    return v;
}

}  // namespace lapheat::drive
