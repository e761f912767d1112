// What a logger wrote while the car drove: a text table of any of the dialects that loggers write,
// read as it comes. Encoding, separator, decimal mark, header, layout and stamps are found from the
// file's beginning; columns are matched to signals by name, unit and plausibility. What was guessed
// and what was left out is told, never dropped in silence.
//
// Read as they come: UTF-8, UTF-16 with a byte-order mark, Latin-1; commas, semicolons, tabs, bars;
// decimal points or commas; titles before the header, a second and third row of header (units,
// sources); units in the header or glued to the values; one column a signal, one value a row (long
// form), or a column of stamps for each signal; seconds, milliseconds, epochs, times of day over
// midnight, dates. The file is streamed: memory is the matched samples', not the file's.
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/scenario/range.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::scenario {

/// What a column may measure.
enum class Signal : std::uint8_t {
    speed,
    engine_speed,
    coolant,
    radiator_outlet,
    transmission,
    steering,
    engine_oil,
    ambient,
    intake_air,
    air_flow,
    fuel_flow,
    fuel_mass_flow,
    manifold_pressure,
    throttle,
    pedal,
    load,
    altitude,
    latitude,
    longitude,
    gear,
    fan,
    voltage,
};

/// A signal as the registry has it; `lapheat help signals` lists them.
struct SignalEntry {
    Signal signal;
    std::string_view name;  ///< as `--map` spells it: "engine_speed"
    std::string_view help;
    units::Quantity quantity = units::Quantity::ratio;
    Range possible = any_value;   ///< SI; a sample outside is impossible, counted and left out
    std::string_view units = {};  ///< tried in this order when the file states none: "degC degF K"
    /// Alternatives parted by '|'; each is words that must all begin a word of the column's name,
    /// "-word" one that must not.
    std::string_view words = {};
};
[[nodiscard]] std::span<const SignalEntry> signals();
[[nodiscard]] const SignalEntry& entry(Signal signal);

/// One matched column. Times are s from the log's first stamp, values SI, equally long, times
/// strictly ascending. A value that a logger merely repeats within half a second is held once.
struct Channel {
    Signal signal = Signal::speed;
    std::string column;         ///< as the file names it
    std::string unit;           ///< as it was read
    bool unit_guessed = false;  ///< the file states none
    bool mapped = false;        ///< the user said so
    std::vector<double> time, value;
    std::size_t samples = 0;     ///< read, repeated ones too
    std::size_t empty = 0;       ///< fields without a value
    std::size_t unreadable = 0;  ///< fields that are no number
    std::size_t impossible = 0;  ///< outside what the signal can be
    double step = 0;             ///< SI, least difference between two values that follow each other
    double interval = 0;         ///< s, mean time between changes of value
    double longest_still = 0;    ///< s, longest time without any change
};

struct LogGap {
    double begin = 0, end = 0;  ///< s
};

/// A column that is not used, and why.
struct LeftOut {
    std::string column, why;
};

struct Log {
    std::string file;
    // How it was read.
    std::string encoding, separator, layout, stamps;  ///< words
    bool decimal_comma = false;
    std::size_t title_lines = 0, header_line = 0;  ///< line of the header; 0: none
    // What it holds.
    std::size_t rows = 0;            ///< rows of data
    std::size_t rows_unstamped = 0;  ///< rows whose stamp could not be read
    std::size_t rows_backwards = 0;  ///< rows stamped before the one above, left out
    std::size_t rows_odd = 0;        ///< rows with other than the usual number of fields
    double duration = 0;             ///< s
    std::vector<Channel> channels;
    std::vector<LeftOut> left_out;
    std::vector<LogGap> gaps;        ///< no row for over ten times the usual, and over 5 s
    std::vector<std::string> notes;  ///< what was guessed, in sentences

    /// nullptr if the log has none.
    [[nodiscard]] const Channel* find(Signal signal) const;
    [[nodiscard]] const Channel& at(Signal signal) const;  ///< throws Error
};

struct LogOptions {
    /// Signal by name → column as the file names it, "" to leave the signal out; over any guess.
    std::map<std::string, std::string> map;
    const std::atomic<bool>* cancel = nullptr;
};

/// Throws Error with file and, where there is one, line: a file that cannot be opened, is
/// compressed or binary, has no table or no stamps; a map to an unknown signal or column.
[[nodiscard]] Log read_log(const std::filesystem::path& file, const LogOptions& options = {});

/// The value of a channel at each of `times` (s): straight between samples, its ends beyond them;
/// NaN inside a gap of over `longest` s.
[[nodiscard]] std::vector<double> sampled(const Channel& channel, const std::vector<double>& times,
                                          double longest = std::numeric_limits<double>::infinity());

struct LogCycleOptions {
    double step = 1;        ///< s between knots
    double ambient = 0;     ///< K, in place of what the log says; 0: as the log says
    double humidity = 0.5;  ///< relative; no log has it
    double sun = 0;         ///< W/m²
    double stopped = 0.3;   ///< m/s, below it the car stands
    double smooth = 20;     ///< s over which altitude is averaged before it makes a grade
};

/// A drive as it was: speed, engine running or not, altitude with grade, ambient. `notes` receives
/// what was assumed. Ambient: the log's own; else the lowest tenth of the intake air's temperature
/// while moving; else Error. Needs speed. Throws Error naming the file.
[[nodiscard]] drive::Cycle cycle_of(const Log& log, const LogCycleOptions& options,
                                    std::vector<std::string>& notes);

}  // namespace lapheat::scenario
