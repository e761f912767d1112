// The numbers of a verdict and of the cost by name, once for writing and reading.
#pragma once

#include <cstddef>

#include "lapheat/model/result.hpp"

namespace lapheat::results {

struct VerdictNumber {
    const char* name;
    double model::Verdict::*member;
    const char* units;
    const char* long_name;
};

inline constexpr VerdictNumber verdict_numbers[] = {
    {"peak", &model::Verdict::peak, "K", "highest temperature"},
    {"peak_time", &model::Verdict::peak_time, "s", "time of the peak"},
    {"start", &model::Verdict::start, "K", "temperature at the start"},
    {"end", &model::Verdict::end, "K", "temperature at the end"},
    {"mean", &model::Verdict::mean, "K", "time mean of the temperature"},
    {"limit", &model::Verdict::limit, "K", "limit at the moment of least margin"},
    {"margin", &model::Verdict::margin, "K", "least of limit less temperature; negative: over"},
    {"margin_time", &model::Verdict::margin_time, "s", "moment of least margin"},
    {"time_over", &model::Verdict::time_over, "s", "time above the limit"},
    {"first_over", &model::Verdict::first_over, "s",
     "moment the limit is first passed; negative: never"},
    {"time_over_caution", &model::Verdict::time_over_caution, "s",
     "time above the caution temperature"},
    {"boils", &model::Verdict::boils, "s", "moment it first boils under its cap; negative: never"},
    {"liquid_lost", &model::Verdict::liquid_lost, "kg", "liquid boiled away by the end"},
    {"lost_share", &model::Verdict::lost_share, "1", "share of the loop's liquid boiled away"},
    {"ruined", &model::Verdict::ruined, "s",
     "moment a transmission's fluid passes 200 degC; negative: never"},
    {"end_rate", &model::Verdict::end_rate, "K s-1",
     "rate at which it still rises at the end; 0: it does not"},
    {"heading", &model::Verdict::heading, "K",
     "temperature it would reach if the end went on; 0: none can be told"},
    {"flow", &model::Verdict::flow, "m3 s-1",
     "mean flow through the cooling run with the engine running"},
    {"line_loss", &model::Verdict::line_loss, "Pa",
     "pressure loss of the lines at the moment of least margin"},
    {"line_loss_peak", &model::Verdict::line_loss_peak, "Pa", "highest pressure loss of the lines"},
    {"return_pressure", &model::Verdict::return_pressure, "Pa",
     "highest pressure above ambient where the fluid leaves its heat source"},
    {"core_heat", &model::Verdict::core_heat, "W",
     "heat given off by the core at the moment of least margin"},
    {"air_flow", &model::Verdict::air_flow, "kg s-1",
     "air through the core at the moment of least margin"},
    {"air_inlet", &model::Verdict::air_inlet, "K", "air temperature at the core then"},
    {"share_air", &model::Verdict::share_air, "1",
     "share of the air side in the core's resistance then"},
    {"share_wall", &model::Verdict::share_wall, "1",
     "share of the wall in the core's resistance then"},
    {"share_liquid", &model::Verdict::share_liquid, "1",
     "share of the liquid side in the core's resistance then"},
    {"effectiveness", &model::Verdict::effectiveness, "1", "effectiveness of the core then"},
    {"fluid_life_used", &model::Verdict::fluid_life_used, "1",
     "share of the fluid's life spent; 0: not rated"},
};

template <class T>
struct NumberOf {
    const char* name;
    double T::*member;
    const char* units;
    const char* long_name;
};
inline constexpr NumberOf<model::LineState> line_numbers[] = {
    {"inner_diameter", &model::LineState::inner_diameter, "m",
     "inner diameter; 0: none of its own"},
    {"length", &model::LineState::length, "m", "length of a line"},
    {"bends", &model::LineState::bends, "1", "bends of a line"},
    {"flow", &model::LineState::flow, "m3 s-1", "flow at the loop's least margin"},
    {"velocity", &model::LineState::velocity, "m s-1", "velocity then"},
    {"reynolds", &model::LineState::reynolds, "1", "Reynolds number then"},
    {"pressure_loss", &model::LineState::pressure_loss, "Pa", "pressure loss then, with its bends"},
    {"share", &model::LineState::share, "1", "share of what the loop's strongest pump gives then"},
    {"velocity_peak", &model::LineState::velocity_peak, "m s-1", "highest velocity"},
    {"pressure_loss_peak", &model::LineState::pressure_loss_peak, "Pa", "highest pressure loss"},
    {"pressure_peak", &model::LineState::pressure_peak, "Pa", "highest pressure above ambient"},
    {"temperature_peak", &model::LineState::temperature_peak, "K", "hottest fluid in it"}};
inline constexpr NumberOf<model::PumpState> pump_numbers[] = {
    {"suction_margin", &model::PumpState::suction_margin, "m",
     "least suction head available less required; negative: it cavitates"},
    {"suction_available", &model::PumpState::suction_available, "m", "suction head then"},
    {"suction_required", &model::PumpState::suction_required, "m", "suction head required then"},
    {"time", &model::PumpState::time, "s", "when"},
    {"inlet_pressure", &model::PumpState::inlet_pressure, "Pa", "lowest absolute inlet pressure"},
    {"pressure_rise_peak", &model::PumpState::pressure_rise_peak, "Pa", "highest pressure rise"},
    {"time_cavitating", &model::PumpState::time_cavitating, "s", "time cavitating"},
    {"time_relieving", &model::PumpState::time_relieving, "s", "time with the relief valve open"}};
/// What the wiring carries; beside peak_fan_current in the totals.
struct CurrentNumber {
    const char* name;
    double model::Result::*member;
    const char* units;
    const char* long_name;
};
inline constexpr CurrentNumber current_numbers[] = {
    {"peak_current", &model::Result::peak_current, "A", "most of fans and other loads together"},
    {"idle_capacity", &model::Result::idle_capacity, "A", "what the alternator gives at idle"},
    {"current_shortfall", &model::Result::current_shortfall, "A",
     "most by which the loads outran the alternator"},
    {"battery_charge", &model::Result::battery_charge, "A s", "what the battery gave for that"},
};

struct CostCount {
    const char* name;
    std::size_t model::RunCost::*member;
};
inline constexpr CostCount cost_counts[] = {
    {"rhs_calls", &model::RunCost::rhs_calls},
    {"steps", &model::RunCost::steps},
    {"rejected", &model::RunCost::rejected},
    {"events", &model::RunCost::events},
    {"network_failures", &model::RunCost::network_failures}};
struct CostNumber {
    const char* name;
    double model::RunCost::*member;
    const char* units;
};
inline constexpr CostNumber cost_numbers[] = {
    {"wall_seconds", &model::RunCost::wall_seconds, "s"},
    {"simulated_seconds", &model::RunCost::simulated_seconds, "s"},
    {"network_residual", &model::RunCost::network_residual, "1"},
    {"smallest_step", &model::RunCost::smallest_step, "s"},
    {"largest_step", &model::RunCost::largest_step, "s"}};

/// Groups of a run that hold no series.
inline constexpr const char* tables_of_a_run[] = {
    "events", "ledger", "verdicts", "limits",   "phases", "totals", "cost",
    "notes",  "lines",  "pumps",    "scenario", "runs",   "sources"};

}  // namespace lapheat::results
