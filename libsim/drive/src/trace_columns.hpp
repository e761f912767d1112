// Inside of the room: the columns of a trace by how they are averaged.
#pragma once

#include <array>
#include <lapheat/drive/trace.hpp>

namespace lapheat::drive {

using TraceColumn = std::vector<double> Trace::*;

/// The columns of numbers.
inline constexpr std::array trace_columns{&Trace::speed,
                                          &Trace::acceleration,
                                          &Trace::grade,
                                          &Trace::altitude,
                                          &Trace::ambient,
                                          &Trace::humidity,
                                          &Trace::sun,
                                          &Trace::wind,
                                          &Trace::ac_demand,
                                          &Trace::trailer_mass,
                                          &Trace::engine_speed,
                                          &Trace::engine_torque,
                                          &Trace::engine_power,
                                          &Trace::throttle,
                                          &Trace::turbine_speed,
                                          &Trace::converter_speed_ratio,
                                          &Trace::accessory_power,
                                          &Trace::pump_drag,
                                          &Trace::engine_inertia_power,
                                          &Trace::shift_loss,
                                          &Trace::converter_loss,
                                          &Trace::gear_loss,
                                          &Trace::axle_loss,
                                          &Trace::wheel_power,
                                          &Trace::rolling_power,
                                          &Trace::drag_power,
                                          &Trace::cornering_power,
                                          &Trace::grade_power,
                                          &Trace::inertia_power,
                                          &Trace::brake_power,
                                          &Trace::shortfall,
                                          &Trace::steering_angle,
                                          &Trace::lateral_acceleration,
                                          &Trace::front_axle_load,
                                          &Trace::steering_rate,
                                          &Trace::kingpin_torque};

/// Gives every column the length n.
void resize(Trace& trace, std::size_t n);
/// The last entry repeats the one before.
void repeat_last(Trace& trace);
/// Copies what a trace passes on from its cycle, steering included, as means over intervals.
void pass_through(const Vehicle& vehicle, const Cycle& cycle, Trace& trace);

struct DrivelineState;
/// Writes the driveline's solution into entry k.
void store(Trace& trace, std::size_t k, const DrivelineState& link, int gear);

}  // namespace lapheat::drive
