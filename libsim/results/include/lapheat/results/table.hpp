// Tables of text for a terminal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace lapheat::results {

enum class Align { left, right };

/// What a cell says beyond its text. Shown by colour only where colour is allowed, so the text
/// must say it too. Code is text as a file has it: no letter of it changes.
enum class Tone { plain, strong, good, warning, bad, faint, code };

struct TableColumn {
    std::string heading;
    Align align = Align::left;
    bool wraps = false;  ///< gives way first when the table is too wide
};

struct TableCell {
    std::string text;
    Tone tone = Tone::plain;
};

struct TextTable {
    std::vector<TableColumn> columns;
    std::vector<std::vector<TableCell>> rows;  ///< an empty row is drawn as a line
    std::string title = {};
};

struct TableStyle {
    std::size_t width = 0;  ///< in characters; 0 for no limit
    bool colour = false;    ///< ANSI colours
    bool ascii = false;     ///< rules from '-' rather than box-drawing characters
};

/// The table as lines that end in '\n', none longer than style.width if words allow: columns that
/// wrap give way first, then the other left-aligned ones; numbers are never broken. Short rows are
/// filled with empty cells. Throws std::invalid_argument for a row with more cells than columns.
[[nodiscard]] std::string render(const TextTable& table, const TableStyle& style = {});

/// Columns that UTF-8 text takes on a terminal: one for each code point, none for combining marks,
/// two for wide East Asian characters (Unicode 15, UAX #11, blocks W and F).
[[nodiscard]] std::size_t display_width(std::string_view text);

/// `text` broken at spaces into lines of at most `width` columns; words longer than that stand
/// alone unbroken.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, std::size_t width);

}  // namespace lapheat::results
