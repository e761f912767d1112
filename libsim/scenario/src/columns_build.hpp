// Cells to checked columns: what CSV files and tables in scenarios share.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "lapheat/scenario/columns.hpp"

namespace lapheat::scenario {

/// One field of a table.
struct TextCell {
    FilePlace place;
    std::string text;
    bool quoted = false;
};

Columns empty_columns(const std::vector<Column>& asked);

/// "time [s], speed [m/s]" for messages.
std::string header_example(const std::vector<Column>& asked);

/// What a range allows, in a unit a person reads: "more than 0", "between 0 degC and 90 degC".
std::string words(const Range& range, units::Quantity quantity, units::System system);

class ColumnsBuild {
  public:
    /// `key` and, where no cell is to blame, `place` are put into the problems found.
    ColumnsBuild(const std::vector<Column>& asked, std::string key, FilePlace place,
                 Problems& problems);

    /// The first row, with names and units; false if the columns cannot be read with it.
    bool headings(const std::vector<TextCell>& row);
    /// As headings(), of names alone: each cell carries its own unit.
    bool names(const std::vector<TextCell>& row);
    /// Rows in the order asked for, each cell with its own unit.
    void headings_as_asked();
    /// A row of numbers in the units of the headings, or of text with units without them.
    void row(const std::vector<TextCell>& row);
    /// Checks what needs the whole table. Empty columns if anything was wrong.
    Columns finish(std::size_t min_rows);

  private:
    struct Source {
        std::size_t asked;
        std::string unit;
        bool has_unit;  ///< else each cell carries its own
    };
    void error(const FilePlace& place, std::string found, std::string expected,
               std::string hint = {});
    bool heading(const TextCell& cell, bool with_unit);
    bool complete(const std::vector<TextCell>& row);
    void cell(const TextCell& cell, const Source& source);

    Columns columns_;
    std::string key_;
    FilePlace place_;
    Problems& problems_;
    std::size_t errors_before_;
    std::vector<Source> sources_;  ///< for each field of a row
};

}  // namespace lapheat::scenario
