// The hydrodynamic torque converter by speed ratio: two capacities and what follows from them.
//
// With pump (engine side) speed w_p and turbine (gearbox side) speed w_t, speed ratio nu = w_t/w_p:
//   pump torque     T_p = c(nu) w_p^2      c = 1/K^2, K the capacity factor, rad/s per sqrt(N m)
//   turbine torque  T_t = d(nu) w_p^2      d = c times the torque ratio
// c and d are taken straight between the points of a table, so that T_t is a quadratic in w_p
// inside one piece and "which engine speed gives this turbine torque" has an exact answer.
// When the car drives the engine (nu > 1) both torques are -overrun_capacity (w_t - w_p) w_t.
// Source of the form: Kotwicki, SAE 820393 (1982); SAE J643 for the terms.
#pragma once

#include <lapheat/units/assumed.hpp>
#include <vector>

namespace lapheat::drive {

/// A converter's characteristic. Points from speed ratio 0 to 1, capacity zero at 1.
struct Converter {
    std::vector<double> speed_ratio;    ///< turbine over pump speed, ascending from 0 to 1
    std::vector<double> pump_capacity;  ///< c, N m s^2, positive, 0 at speed ratio 1
    std::vector<double> torque_ratio;   ///< turbine over pump torque, at least 1 and falling
    double overrun_capacity = 0;        ///< N m s^2, torque on overrun per w_t (w_t - w_p)
    /// On all capacities. A stall speed as sold is met within a tenth (common practice, no source);
    /// capacity goes as its inverse square. A maker's table: 5 %. See at_levels().
    Assumed capacity_level{1, 0.8, 1.2, "stall speed within a tenth; common practice, no source"};

    bool operator==(const Converter&) const = default;
};

/// What the converter does at one instant. Torques in N m, speeds in rad/s, loss in W.
struct ConverterPoint {
    double pump_speed = 0;
    double turbine_speed = 0;
    double pump_torque = 0;
    double turbine_torque = 0;
    [[nodiscard]] double speed_ratio() const {
        return pump_speed > 0 ? turbine_speed / pump_speed : 0;
    }
    [[nodiscard]] double loss() const {
        return pump_torque * pump_speed - turbine_torque * turbine_speed;
    }
};

/// A converter of the usual kind. Capacity against speed ratio has the shape of Kotwicki (1982) as
/// fitted by Cho & Hedrick, J. Dyn. Sys. Meas. Control 111 (1989) 568, scaled so that
/// `stall_torque` holds it at `stall_speed` (rad/s); torque ratio falls straight from
/// `stall_torque_ratio` (1.5 to 3) to 1 at the coupling point. Throws Error outside those ranges.
Converter generic_converter(double stall_speed, double stall_torque,
                            double stall_torque_ratio = 2.0, double coupling_point = 0.88);

/// From the table a maker prints: speed ratio, torque ratio, capacity factor K in
/// rad/s per sqrt(N m). The point at speed ratio 1 is added where it is missing.
Converter converter_from_table(const std::vector<double>& speed_ratio,
                               const std::vector<double>& torque_ratio,
                               const std::vector<double>& capacity_factor);

/// The converter with its level's value applied; it is 1 then.
Converter at_levels(Converter converter);

/// Throws Error when a table is short, unordered, or its turbine torque would not rise with pump
/// speed (the inverse would not be unique).
void validate(const Converter& converter);

/// Both torques at given speeds (rad/s, not negative).
ConverterPoint converter_at(const Converter& converter, double pump_speed, double turbine_speed);

/// The pump speed at which the turbine carries `turbine_torque` (N m, either sign) at
/// `turbine_speed` (rad/s). With the turbine at rest a torque <= 0 gives pump speed 0; on overrun
/// the pump speed is never below 0.
ConverterPoint converter_for_torque(const Converter& converter, double turbine_torque,
                                    double turbine_speed);

}  // namespace lapheat::drive
