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
    {"time_over_caution", &model::Verdict::time_over_caution, "s",
     "time above the caution temperature"},
    {"flow", &model::Verdict::flow, "m3 s-1",
     "mean flow through the cooling run with the engine running"},
    {"line_loss", &model::Verdict::line_loss, "Pa",
     "pressure loss of the lines at the moment of least margin"},
    {"line_loss_peak", &model::Verdict::line_loss_peak, "Pa", "highest pressure loss of the lines"},
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

struct CostCount {
    const char* name;
    std::size_t model::Cost::*member;
};
inline constexpr CostCount cost_counts[] = {{"rhs_calls", &model::Cost::rhs_calls},
                                            {"steps", &model::Cost::steps},
                                            {"rejected", &model::Cost::rejected},
                                            {"events", &model::Cost::events},
                                            {"network_failures", &model::Cost::network_failures}};
struct CostNumber {
    const char* name;
    double model::Cost::*member;
    const char* units;
};
inline constexpr CostNumber cost_numbers[] = {
    {"wall_seconds", &model::Cost::wall_seconds, "s"},
    {"simulated_seconds", &model::Cost::simulated_seconds, "s"},
    {"network_residual", &model::Cost::network_residual, "1"},
    {"smallest_step", &model::Cost::smallest_step, "s"},
    {"largest_step", &model::Cost::largest_step, "s"}};

/// Groups of a run that hold no series.
inline constexpr const char* tables_of_a_run[] = {"events",   "ledger", "verdicts", "limits",
                                                  "phases",   "totals", "cost",     "notes",
                                                  "scenario", "runs"};

}  // namespace lapheat::results
