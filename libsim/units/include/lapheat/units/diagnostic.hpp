// What can be said of an input or of a result: a code, what it is about, and numbers with what they
// measure. It travels as such through every room; words are made of it once, where a person reads
// them, in the units of that person.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/units/units.hpp"

namespace lapheat {

/// What is said. name() and the words of each stand in one table, units/src/diagnostic.cpp; a new
/// one is a line here and a row there. In brackets: names, then values, that go with it.
enum class Code : std::uint16_t {
    bad_input,     ///< of an Error: one value is wrong; its key() says which
    as_written,    ///< a sentence read back from a file [the sentence]
    cancelled,     ///< of an Error: stopped because it was asked to
    run_failed,    ///< of an Error: the input was right, a run on the way was not [why]
    out_of_range,  ///< of an Error: beyond what a model takes [what; value, least, most]

    // Of a liquid network that cannot work; the subject is the loop.
    rises_unequal,       ///< [run; length]
    nodes_apart,         ///< [node, other node]
    loose_end,           ///< [run, node]
    no_pump,             ///< [run]
    deadhead_loose_end,  ///< [run, node]
    deadhead_capped,     ///< [run]
    deadhead_no_way,     ///< [run]
    deadhead_behind,     ///< by a valve that is shut [valves, run]
    cap_above_rating,    ///< [part; pressure of cap, of part]

    // Of a car as described: possible but unwise.
    valve_may_deadhead,   ///< by thermostats that shut tight; loop [valves, run]
    no_relief,            ///< loop [pump, valve]
    no_cap,               ///< loop
    no_expansion_volume,  ///< loop
    pump_curve_misses,    ///< loop [pump; ratio]
    core_without_fluid,   ///< core
    fan_without_path,     ///< fan
    heat_without_part,    ///< stream of heat
    fault_too_late,       ///< [the fault]

    // Of the drive: shares of the cycle's intervals [; ratio].
    engine_too_weak,
    engine_map_left,
    steering_flow_short,

    // Of a run. Air paths and fans [; time].
    air_backwards,
    air_beyond_fit,
    air_two_points,
    air_shares_scaled,
    fan_stalled,
    fan_reversed,
    loads_beyond_alternator,  ///< [; current, charge]
    air_conditioning_short,   ///< [; ratio less than asked]
    solves_failed,            ///< [; how many, as a ratio]
    core_first_beyond,        ///< core: liquid side outside its correlation
    core_second_beyond,
    core_beyond_rating,
    core_stands_still,
    core_not_described,
    core_not_finite,
    fluid_too_cold,  ///< loop: outside the sources of its properties
    fluid_too_hot,
    fluid_frozen,
    fluid_not_finite,
    fluid_boils,  ///< loop [; mass boiled away]
    liquid_spilt,
    suction_line_fast,  ///< loop [line, size as sold; speed, usual speed, bore that would do]
    cooler_line_fast,   ///< likewise
    coolant_hose_fast,  ///< likewise
    coolant_hose_at_its_widest,  ///< likewise; no neck takes a hose wide enough
    pressure_line_fast,          ///< likewise
    part_over_pressure,          ///< loop [part; pressure, rating]
    part_too_hot,                ///< loop [part; temperature, rating]
    pump_cavitates,              ///< loop [pump; time, head there is, head needed]
    return_over_pressure,        ///< loop [; pressure, limit]
};

/// Number of codes.
inline constexpr int code_count = static_cast<int>(Code::return_over_pressure) + 1;

/// A number in SI and what it measures.
struct Measured {
    double si = 0;
    units::Quantity quantity = units::Quantity::ratio;
};

struct Diagnostic {
    Code code = Code::bad_input;
    std::string subject{};             ///< the loop, core, fan, path it is about
    std::vector<std::string> names{};  ///< others that it names, in the order above
    std::vector<Measured> values{};    ///< in the order above

    friend bool operator==(const Diagnostic& a, const Diagnostic& b);
};

/// What kind of thing a code's subject is.
enum class About : std::uint8_t { whole, loop, core, fan, air_path };
[[nodiscard]] About about(Code code) noexcept;

/// Stable, snake_case: "deadhead_no_way".
[[nodiscard]] const char* name(Code code) noexcept;
/// The code of that name, or none.
[[nodiscard]] std::optional<Code> code_named(std::string_view name) noexcept;

/// The subject as it is spoken of: "coolant", "fan left", "air path nose"; empty for the whole.
[[nodiscard]] std::string who(const Diagnostic& d);
/// What is said of the subject, without naming it first.
[[nodiscard]] std::string sentence(const Diagnostic& d, units::System system);
/// who() and sentence(): "coolant: water pump cavitates for 12 s …".
[[nodiscard]] std::string words(const Diagnostic& d, units::System system);
/// What was expected instead; empty for what is only unwise.
[[nodiscard]] std::string expected(Code code);

}  // namespace lapheat
