// Which column of a logger's table is what: stamps, signals, names and values of the long form.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lapheat/scenario/log.hpp"
#include "log_text.hpp"

namespace lapheat::scenario {

/// x of the file becomes offset + factor x, SI.
struct ToSi {
    double offset = 0, factor = 1;
};
/// None if the unit is unknown or measures something else.
[[nodiscard]] std::optional<ToSi> to_si_of(std::string_view unit, units::Quantity quantity);

struct StampColumn {
    std::size_t column = 0;
    double scale = 1;   ///< s for each unit of a plain number
    std::string words;  ///< "milliseconds, by their size"
};

struct SignalColumn {
    Signal signal = Signal::speed;
    std::string name = {};  ///< of the long form, or of the column
    std::size_t column = 0;
    std::size_t stamps = 0;  ///< index into LogLayout::stamps
    std::string unit;        ///< as read or guessed
    bool unit_guessed = false, mapped = false;
    ToSi to_si;
};

struct LogLayout {
    LogShape::Layout layout = LogShape::Layout::columns;
    std::vector<StampColumn> stamps;
    std::vector<SignalColumn> signals;  ///< of the long form: those of the beginning
    std::size_t name = 0, value = 0;    ///< columns of the long form
    std::optional<std::size_t> unit;
    std::vector<LeftOut> left_out;
    std::vector<std::string> notes;
};

/// Throws Error with file and line: no stamps, a map that names what is not there.
[[nodiscard]] LogLayout layout_of(const LogShape& shape, const LogOptions& options,
                                  const std::string& file);

/// One column (or one name of the long form) matched; what is not comes back with the reason.
/// `values` are samples as written, for the unit when the file states none.
struct Matched {
    std::optional<SignalColumn> as;
    std::string why;
    int score = 0;
};
[[nodiscard]] Matched match(const std::string& name, const std::string& unit,
                            const std::vector<std::string>& values, bool decimal_comma,
                            const LogOptions& options);

}  // namespace lapheat::scenario
