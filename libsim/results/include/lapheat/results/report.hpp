// What a person reads of a run on a terminal, and what a machine reads as JSON.
//
// Texts are lines that end in '\n'. Numbers are shown in the display units of `Style::units`; the
// JSON is always SI: K, s, Pa, W, J, m, kg/s, m3/s, A. Its keys are stable: they may grow in
// number, not change. `lapheat help json` lists them.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "lapheat/exchangers/map.hpp"
#include "lapheat/model/result.hpp"
#include "lapheat/results/fields.hpp"
#include "lapheat/results/json.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/results/table.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::results {

struct Style {
    units::System units = units::System::si;
    TableStyle table;
};

/// "112.4 °C", rounded to `decimals`; the units are written for people ("°F", "L/min").
[[nodiscard]] std::string shown(double si, units::Quantity quantity, const Style& style,
                                int decimals);

// Parts of a report on one run.
[[nodiscard]] std::string heading(const model::Result& result, const Style& style);
/// A row for each fluid: peak, limit, margin, time over, flow, line loss; then what its core did at
/// the moment of least margin.
[[nodiscard]] std::string verdict_tables(const model::Result& result, const Style& style);
/// The faults of the run with their times, and when each fluid first passed its limit, counted from
/// the last fault before it. Empty without faults and without a limit passed.
[[nodiscard]] std::string fault_lines(const model::Result& result, const Style& style);
[[nodiscard]] std::string limit_table(std::span<const LoopLimits> limits, const Style& style);
/// At most `most` rows, with a count of those left out; 0 for all.
[[nodiscard]] std::string event_table(const model::Result& result, const Style& style,
                                      std::size_t most = 0);
/// A row for each source of heat: engine, transmission, steering and so on, and its ways by share.
[[nodiscard]] std::string source_table(const model::Result& result, const Style& style);
[[nodiscard]] std::string ledger_table(const model::Result& result, const Style& style);
/// One line: wall time, by the simulated hour, right-hand sides, closure of the ledger.
[[nodiscard]] std::string cost_line(const model::Result& result, const Style& style);
[[nodiscard]] std::string warning_lines(const model::Result& result, const Style& style);
[[nodiscard]] std::string assumption_lines(const model::Result& result, const Style& style);
/// A row for each number that the files leave out, under its table: its line as a file would have
/// it, what is usual, why; those of like parts that say the same stand once.
[[nodiscard]] TextTable assumed_table(std::span<const model::AssumedNumber> assumed,
                                      units::System system);
/// The same, each one, as lines of a file that extends the car's: tables, lines, and in comments
/// what is usual and why. Read back they are these numbers to rounding (1e-13): units are those of
/// `system` unless SI says it in fewer digits.
[[nodiscard]] std::string assumed_lines(std::span<const model::AssumedNumber> assumed,
                                        units::System system);
/// What was assumed besides the numbers: words, choices.
[[nodiscard]] std::vector<std::string> other_assumptions(
    std::span<const model::AssumedText> assumptions, std::span<const model::AssumedNumber> numbers);

/// A row for each run: peak and margin of each fluid, time over limits, fan energy, the fluid with
/// the least margin; then a row for each run with what binds: the fluid with the least margin but
/// for the loops that are left out.
[[nodiscard]] std::string comparison_table(std::span<const model::Result> runs, const Style& style,
                                           std::span<const std::string> left_out = {});
/// A row for each run: mean flow and pressure loss of the lines of each fluid that a core cools.
[[nodiscard]] std::string line_table(std::span<const model::Result> runs, const Style& style);
/// A row for each part that costs pressure: bore, speed, Reynolds number, loss, its share.
[[nodiscard]] std::string line_state_table(const model::Result& result, const Style& style);
/// A row for each pump: suction head, its margin, cavitation, pressure of the loop's return.
[[nodiscard]] std::string pump_table(const model::Result& result, const Style& style);

/// A row for each run: when each fluid first passed its limit. Empty if none did.
[[nodiscard]] std::string time_to_limit_table(std::span<const model::Result> runs,
                                              const Style& style);

/// The law of the margin in one sentence, wherever margins stand. See model/limits.hpp.
[[nodiscard]] const char* limit_law() noexcept;

/// Ends every report.
[[nodiscard]] const char* estimate_notice() noexcept;

[[nodiscard]] Json to_json(const model::Result& result);

// A core's performance map.
struct CoreMap {
    std::string core;
    exchangers::PerformanceMap map;
    bool second_is_air = true;
    double face_area = 0;                ///< m², for the air's face speed; 0: none
    std::vector<double> first_density;   ///< kg/m³ at each first inlet temperature
    std::vector<double> second_density;  ///< kg/m³ at each second inlet temperature
    double uncertainty = 0;              ///< of the heat, fraction, about two standard deviations
    double heat_capacity = 0;            ///< J/K, dry
    double liquid_volume = 0;            ///< m³, of the fluid that is cooled
    std::vector<std::string> assumptions;
};
/// One point of a map, SI.
struct MapPoint {
    double first_flow = 0, second_flow = 0;    ///< kg/s
    double first_inlet = 0, second_inlet = 0;  ///< K
    double heat = 0;                           ///< W
    double effectiveness = 0, ntu = 0;
    double conductance = 0;                                    ///< W/K
    double first_drop = 0, second_drop = 0;                    ///< Pa
    double first_outlet = 0, second_outlet = 0;                ///< K
    double first_share = 0, wall_share = 0, second_share = 0;  ///< of the resistance
    std::string limit;                                         ///< what binds, in words
    unsigned flags = 0;                                        ///< exchangers::CoreFlag
};
template <>
[[nodiscard]] std::span<const Field<MapPoint>> fields();
/// Every point, the first flow slowest, the second inlet fastest.
[[nodiscard]] std::vector<MapPoint> points_of(const CoreMap& map);

/// One table for each pair of inlet temperatures.
[[nodiscard]] std::string map_tables(const CoreMap& map, const Style& style);
/// Comma-separated, a heading line with SI units, one line for each point of each map.
[[nodiscard]] std::string map_csv(std::span<const CoreMap> maps);
[[nodiscard]] Json to_json(const CoreMap& map);
/// /cores/<core>/… over first_flow, one column for each number; written whole or not at all.
void write_maps(const std::filesystem::path& target, std::span<const CoreMap> maps);

}  // namespace lapheat::results
