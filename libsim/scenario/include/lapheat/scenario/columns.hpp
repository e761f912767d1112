// Tables of numbers: columns of quantities, from CSV files or from arrays in a scenario.
//
// The first row names the columns with their units: "time [s], speed [km/h], grade [%]". In CSV
// files, '#' begins a comment, fields may be quoted, blank lines are skipped, and the order of the
// columns is free.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/scenario/problems.hpp"
#include "lapheat/scenario/range.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::scenario {

/// A column that a table may have.
struct Column {
    std::string_view name;  ///< of static storage
    units::Quantity quantity = units::Quantity::ratio;
    Range range = any_value;
    bool required = true;
    bool increasing = false;  ///< every row above the row before it (strictly), as times are
    std::string_view help = {};
};

/// Columns of equal length, in SI units, in the order in which they were asked for; a column that
/// was not required and is not there is empty.
struct Columns {
    std::vector<Column> asked;
    std::vector<std::vector<double>> values;

    /// The values of a column that was asked for; throws std::out_of_range for another name.
    [[nodiscard]] const std::vector<double>& operator[](std::string_view name) const;
    [[nodiscard]] bool has(std::string_view name) const;
    [[nodiscard]] std::size_t rows() const noexcept;
};

/// Reads CSV text. Problems name the line and column of the field; `file` is the name in them.
/// Found are: an unknown, missing or repeated column, a missing, unknown or unfit unit, a row with
/// too few or too many fields, a field that is no number, a value out of range or not increasing,
/// an open quote, and fewer than `min_rows` rows. With any error the columns come back empty.
[[nodiscard]] Columns parse_csv(std::string_view text, const std::string& file,
                                const std::vector<Column>& columns, Problems& problems,
                                std::size_t min_rows = 1);

/// The name and unit of a header such as "speed [km/h]"; the unit is empty if there is none.
struct Heading {
    std::string name;
    std::string unit;
};
[[nodiscard]] Heading parse_heading(std::string_view text);

}  // namespace lapheat::scenario
