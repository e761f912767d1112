// What a simulation gives: series against time, events, the energy ledger, and a verdict for
// each fluid. Plain data; files and tables are made of it in the room `results`.
#pragma once

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include "lapheat/model/assumed_number.hpp"
#include "lapheat/model/energy.hpp"
#include "lapheat/model/event.hpp"
#include "lapheat/model/loop_role.hpp"
#include "lapheat/units/diagnostic.hpp"

namespace lapheat::model {

/// One quantity against Result::time.
struct Series {
    std::string group;      ///< path of the part, e.g. "loops/coolant/radiator"
    std::string name;       ///< snake_case, e.g. "temperature"
    std::string units;      ///< UDUNITS text of the SI unit, e.g. "K", "kg s-1"
    std::string long_name;  ///< words for a plot's axis
    std::vector<double> values;
};

/// How one fluid came through the cycle.
struct Verdict {
    std::string loop;
    LoopRole role = LoopRole::other;
    std::string part;           ///< where the margin was least
    double peak = 0;            ///< K, highest temperature of the watched part
    double peak_time = 0;       ///< s
    double start = 0, end = 0;  ///< K
    double mean = 0;            ///< K, time mean
    double limit = 0;           ///< K, the limit at the moment of least margin
    /// K, least of (limit − temperature); negative: over. Never larger for being hotter, see
    /// limit_temperature().
    double margin = 0;
    double margin_time = 0;        ///< s
    double time_over = 0;          ///< s above the limit
    double first_over = -1;        ///< s, moment the limit is first passed; negative: never
    double time_over_caution = 0;  ///< s above the caution temperature
    double boils = -1;             ///< s, moment it first boils under its cap; negative: never
    double liquid_lost = 0;        ///< kg boiled away by the end
    double lost_share = 0;         ///< of the loop's liquid
    /// s, moment its seals are used up, or it passes 200 degC, beyond which no temperature of a
    /// transmission means anything; negative: never.
    double ruined = -1;
    double end_rate = 0;  ///< K/s at which it still rises at the end; 0: it does not
    double heading = 0;   ///< K it would reach if the end went on; 0: none can be told
    /// The highest temperature is the one it began with: a start, not a peak.
    [[nodiscard]] bool peak_is_start() const noexcept { return peak <= start; }
    double flow = 0;       ///< m³/s through the cooling run, time mean while the engine runs
    double line_loss = 0;  ///< Pa over the lines of the cooling run, at the moment of least margin
    double line_loss_peak = 0;  ///< Pa, highest of the run (cold oil)
    std::string core;           ///< the core that cools it, empty if none
    double core_heat = 0;       ///< W at the moment of least margin
    double air_flow = 0;        ///< kg/s through that core then
    double air_inlet = 0;       ///< K then
    bool in_coolant = false;    ///< that core stands in coolant: air_… are then of the coolant
    /// K of the ambient air then; not a number where a file of before does not tell.
    double ambient = std::numeric_limits<double>::quiet_NaN();
    double share_air = 0, share_wall = 0, share_liquid = 0;  ///< of the core's resistance then
    double effectiveness = 0;
    double core_inlet = 0;       ///< K of the fluid at that core then
    double core_flow = 0;        ///< m³/s of it through that core then
    double core_capacity = 0;    ///< W/K, capacity rate of that flow
    double core_resistance = 0;  ///< K/W from the fluid to what cools it, films and wall, then
    double return_pressure =
        0;  ///< Pa above ambient, highest where the fluid leaves its heat source
    double fluid_life_used = 0;  ///< share of the fluid's life spent in this run; 0: not rated
    /// Share of what its seals stand that this run took (heat::wear_life); 0: not rated.
    double seal_life_used = 0;
    double stands_peak = 0;  ///< s for which they stand the peak; 0: not rated
    std::string note;        ///< the note of the limit

    /// Stays below its limit, and does not boil.
    [[nodiscard]] bool holds() const noexcept { return margin >= 0 && !(boils >= 0); }
    /// K at the moment of least margin. The peak, unless the limit moved (altitude, a leaking cap).
    [[nodiscard]] double hottest() const noexcept { return limit - margin; }
};

/// One part that costs pressure, at the moment of its loop's least margin.
struct LineState {
    std::string loop, run, part;
    std::string kind;           ///< "hose", "tube", "core", or what the fitting is
    double inner_diameter = 0;  ///< m; 0: none of its own
    double length = 0;          ///< m, of a line
    double bends = 0;           ///< of a line
    double flow = 0;            ///< m³/s, positive along the run
    double velocity = 0;        ///< m/s at inner_diameter
    double reynolds = 0;        ///< −
    double pressure_loss = 0;   ///< Pa, with its bends and ends
    double share = 0;           ///< of the pressure that the loop's strongest pump gives
    // Highest of the whole run, as recorded.
    double velocity_peak = 0;       ///< m/s
    double pressure_loss_peak = 0;  ///< Pa
    double pressure_peak = 0;       ///< Pa above ambient, at either end
    double temperature_peak = 0;    ///< K of the fluid in it
};

/// How a pump was fed. Head in metres of the liquid, net positive suction head.
struct PumpState {
    std::string loop, pump;
    double suction_margin = 0;      ///< m, least of available − required; negative: it cavitates
    double suction_available = 0;   ///< m, then
    double suction_required = 0;    ///< m, then
    double time = 0;                ///< s, when
    double inlet_pressure = 0;      ///< Pa absolute, lowest of the run
    double pressure_rise_peak = 0;  ///< Pa
    double time_cavitating = 0;     ///< s
    double time_relieving = 0;      ///< s with the relief valve open
};

/// What a fan did over the run, beside what is claimed of it.
struct FanState {
    std::string fan;
    double claim = 0;      ///< m³/s, its free flow as stated
    double duty = 0;       ///< share of the time that it ran (over a tenth of its speed)
    double flow = 0;       ///< m³/s, mean while it ran
    double flow_peak = 0;  ///< m³/s, most at any time
    double power = 0;      ///< W electrical, mean while it ran
};

struct RunCost {
    std::size_t rhs_calls = 0, steps = 0, rejected = 0, events = 0;
    double wall_seconds = 0;  ///< of simulate(), from the cycle to the verdicts
    double simulated_seconds = 0;
    double network_residual = 0;  ///< worst relative residual of any network solve
    std::size_t network_failures = 0;
    double smallest_step = 0, largest_step = 0;
};

struct Result {
    std::string car, placement, summary, cycle;
    std::vector<double> time;  ///< s
    std::vector<Series> series;
    std::vector<Event> events;
    Ledger ledger;
    std::vector<HeatSource> sources;
    std::vector<Verdict> verdicts;
    std::vector<LineState> lines;
    std::vector<PumpState> pumps;
    std::vector<FanState> fans;
    double fan_energy = 0;         ///< J, electrical, all fans
    double distance = 0;           ///< m
    double peak_fan_current = 0;   ///< A, all fans together
    double peak_current = 0;       ///< A, fans and the other loads
    double idle_capacity = 0;      ///< A that the alternator gives at idle
    double current_shortfall = 0;  ///< A, most by which the loads outran it, engine running
    double battery_charge = 0;     ///< A s that the battery gave for that
    RunCost cost;
    std::vector<Diagnostic> warnings;      ///< physically possible but unwise; out of range
    std::vector<AssumedText> assumptions;  ///< defaults that carried weight
    std::vector<AssumedNumber> assumed;    ///< every number that nobody stated, see there
    std::vector<std::pair<double, std::string>> phases;  ///< start time and name of each phase

    /// The series with this group and name, or nullptr.
    [[nodiscard]] const Series* find(const std::string& group,
                                     const std::string& name) const noexcept {
        for (const Series& s : series)
            if (s.group == group && s.name == name) return &s;
        return nullptr;
    }
};

}  // namespace lapheat::model
