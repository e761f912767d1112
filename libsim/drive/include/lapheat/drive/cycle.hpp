// A drive cycle: what is asked of car and driver against time.
//
// Columns of equal length, one row for each knot of time. Speeds, angles and surroundings are
// straight between knots; engine_on, selector and gear hold from their knot to the next.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace lapheat::drive {

enum class Selector : std::uint8_t { park = 0, reverse = 1, neutral = 2, drive = 3 };

/// A named stretch of a cycle, e.g. "lap 1", "grid wait", "soak". Times in s.
struct Phase {
    std::string name;
    double begin = 0;
    double end = 0;
    bool waiting = false;  ///< for one's turn, in a way that the driver chooses: see Queue

    bool operator==(const Phase&) const = default;
};

struct Cycle {
    std::string name;
    std::vector<double> time;                  ///< s, ascending
    std::vector<double> speed;                 ///< m/s, not negative (in reverse: backwards)
    std::vector<double> grade;                 ///< rise over run along the way, |grade| <= 0.5
    std::vector<double> altitude;              ///< m, -500 to 6000
    std::vector<double> ambient;               ///< K
    std::vector<double> humidity;              ///< relative, 0 to 1
    std::vector<double> sun;                   ///< W/m^2 on level ground
    std::vector<double> wind;                  ///< m/s, positive from ahead
    std::vector<double> steering_angle;        ///< rad of the steering wheel, positive left
    std::vector<double> lateral_acceleration;  ///< m/s^2, positive left
    std::vector<double> held_throttle;         ///< 0 to 1, throttle held against the brakes
    std::vector<double> ac_demand;             ///< 0 to 1
    std::vector<double> trailer_mass;          ///< kg
    std::vector<std::uint8_t> engine_on;       ///< 0 or 1
    std::vector<Selector> selector;
    std::vector<std::int8_t> gear;  ///< 0: by the shift rule, else this forward gear
    std::vector<Phase> phases;

    [[nodiscard]] std::size_t size() const { return time.size(); }
    bool operator==(const Cycle&) const = default;
};

/// Where and in what weather; fills the columns of generated cycles.
struct Surroundings {
    double ambient = 298.15;  ///< K
    double humidity = 0.4;    ///< relative
    double sun = 0;           ///< W/m^2
    double wind = 0;          ///< m/s from ahead
    double altitude = 0;      ///< m
};

/// A cycle with all other columns at their defaults: level, surroundings as given, engine running,
/// in drive, gear by rule. Throws Error when time does not ascend or lengths differ.
Cycle make_cycle(std::string name, std::vector<double> time, std::vector<double> speed,
                 const Surroundings& surroundings = {});

/// From columns named like the members of Cycle ("time" and "speed" needed; engine_on 0 or 1;
/// selector 0 park, 1 reverse, 2 neutral, 3 drive), SI. Throws Error naming row (from 1) and
/// column.
Cycle from_columns(std::string name, const std::map<std::string, std::vector<double>>& columns,
                   const Surroundings& surroundings = {});

/// The numeric columns a table may have, in the order of the members.
std::vector<std::string> column_names();

/// Throws Error with row number (from 1) and column as key at the first value out of range.
void validate(const Cycle& cycle);

/// One after another. Where speeds differ at a join a ramp of `ramp` (m/s^2) is put in between.
/// Phases move along; a part without phases becomes a phase with its own name.
Cycle chain(const std::vector<Cycle>& parts, std::string name, double ramp = 1.5);

/// The same `times` in a row.
Cycle repeat(const Cycle& cycle, int times, double ramp = 1.5);

/// Knots every `step` seconds and at the original end; continuous columns interpolated.
Cycle resample(const Cycle& cycle, double step);

/// Sets surroundings over the whole cycle.
void surround(Cycle& cycle, const Surroundings& surroundings);

/// Fall of the air's temperature with height, K/m: ISO 2533 (1975), table 1, to 11 000 m.
inline constexpr double lapse_rate = 6.5e-3;

/// Moves the road of a part of a drive so that it begins at `altitude` (m); where its altitude is
/// level, it follows the grade: d(altitude) = speed grade / sqrt(1 + grade^2) dt.
void follow_road(Cycle& cycle, double altitude);
/// Ambient as stated, `ambient` (K) at `altitude` (m), cooler by lapse_rate above it.
void cool_with_height(Cycle& cycle, double ambient, double altitude);

struct Totals {
    double duration = 0;              ///< s
    double distance = 0;              ///< m
    double mean_speed = 0;            ///< m/s, stops included
    double maximum_speed = 0;         ///< m/s
    double stopped = 0;               ///< s at rest
    double climb = 0;                 ///< m, sum of rises
    double highest_acceleration = 0;  ///< m/s^2
    double hardest_braking = 0;       ///< m/s^2, positive
};
Totals totals(const Cycle& cycle);

/// What a schedule's own regulation says of it; zeros are not checked. Tolerance as a fraction.
struct ExpectedTotals {
    double duration = 0, distance = 0, mean_speed = 0, maximum_speed = 0;
    double tolerance = 0.005;
};
/// Published totals of a regulatory schedule by name ("UDDS", "HWFET", "US06", "WLTC class 3b");
/// durations and distances from memory: US EPA; UN GTR 15. Throws Error for another name.
ExpectedTotals regulatory_totals(const std::string& name);
/// One line for each total that does not agree; empty when all do.
std::vector<std::string> compare_totals(const Cycle& cycle, const ExpectedTotals& expected);

}  // namespace lapheat::drive
