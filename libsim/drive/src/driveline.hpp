// Inside of the room: one vehicle made ready for many instants, and the solution of its driveline
// at one instant. Used by the backward and forward trace and by the lap solver.
#pragma once

#include <array>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/drive/vehicle.hpp>

namespace lapheat::drive {

/// What is asked of the driveline over one interval.
struct Ask {
    double speed = 0;            ///< m/s
    double wheel_torque = 0;     ///< N m, negative when slowing
    double accessory_power = 0;  ///< W, air conditioning included
    double step = 1;             ///< s
    double held_throttle = 0;
    double air_factor = 1;         ///< on full torque, see vehicle.hpp
    double last_engine_speed = 0;  ///< rad/s in the interval before; 0: was off
    bool shifted = false;          ///< gear or lock-up changed since
};

/// What the driveline does: torques in N m, speeds in rad/s, powers in W.
struct DrivelineState {
    double engine_speed = 0, engine_torque = 0, throttle = 0;
    double turbine_speed = 0;
    double accessory_power = 0, pump_drag = 0, engine_inertia_power = 0, shift_loss = 0;
    double converter_loss = 0, gear_loss = 0, axle_loss = 0, wheel_power = 0;
    double brake_power = 0, shortfall = 0;
    bool closed = false;  ///< locked converter or closed clutch
    bool met = true;      ///< the wheel torque asked was reached or braked down to
};

/// Torques from gearbox input to wheels at one instant.
struct GearTorques {
    double turbine = 0;  ///< gearbox input
    double shaft = 0;    ///< gearbox output
    double wheel = 0;
};

struct Flat {
    explicit Flat(const Vehicle& vehicle);

    const Vehicle& v;
    int gears;
    double peak;                            ///< W, of the engine
    double wheel_rate;                      ///< wheel rad/s per m/s
    std::array<double, 14> ratio{};         ///< [0] reverse, [g] forward gear g
    std::array<double, 14> efficiency{};    ///< likewise
    std::array<double, 14> turbine_rate{};  ///< turbine rad/s per m/s

    [[nodiscard]] static std::size_t index(int gear) {
        return gear < 0 ? 0 : static_cast<std::size_t>(gear);
    }
    [[nodiscard]] double turbine_speed(int gear, double speed) const {
        return turbine_rate[index(gear)] * speed;
    }
    [[nodiscard]] double pump_torque(double w) const {
        return v.gearbox.pump_torque + v.gearbox.pump_torque_slope * w;
    }
    /// Torque the engine gives away before the coupling: oil pump and accessories.
    [[nodiscard]] double idle_losses(double w, double accessory_power) const {
        return pump_torque(w) + v.accessory_torque + accessory_power / w;
    }
    [[nodiscard]] double spin_torque(double turbine) const {
        return turbine > 0 ? v.gearbox.spin_torque + v.gearbox.spin_torque_slope * turbine : 0.0;
    }
    [[nodiscard]] GearTorques from_wheel(int gear, double wheel_torque, double turbine) const;
    [[nodiscard]] GearTorques from_turbine(int gear, double turbine_torque, double turbine) const;

    [[nodiscard]] Traction traction(int gear, double speed, double factor = 1) const;
    [[nodiscard]] Traction best_traction(double speed) const;

    /// Solves one interval in a given gear (forward or -1), coupling closed or not.
    [[nodiscard]] DrivelineState solve(int gear, bool closed, const Ask& ask) const;
    /// Park or neutral, engine running.
    [[nodiscard]] DrivelineState running_free(const Ask& ask) const;
};

/// The state of an automatic (or a driver's hand) between intervals.
struct ShiftState {
    int gear = 1;
    double since = 1e9;  ///< s since the last shift
    bool locked = false;
};

/// Applies the shift rule for one interval; returns true when gear changed. `load` is 0 to 1.
bool choose_gear(const Flat& flat, double speed, double load, double step, ShiftState& state);
/// Whether the lock-up clutch is closed in this interval (or the clutch of a manual gearbox).
bool choose_lockup(const Flat& flat, double speed, double load, const ShiftState& state);

}  // namespace lapheat::drive
