#include "lapheat/results/table.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>
#include <utility>

namespace lapheat::results {
namespace {

constexpr std::string_view gap = "  ";
constexpr std::size_t narrowest = 8;  // a wrapped column keeps at least this

/// The next code point of UTF-8 text; a byte that begins none counts as one character.
char32_t next(std::string_view text, std::size_t& at) {
    const auto lead = static_cast<unsigned char>(text[at++]);
    const int more = lead >= 0xF0U ? 3 : lead >= 0xE0U ? 2 : lead >= 0xC0U ? 1 : 0;
    char32_t code = more == 0 ? lead : lead & (0x3FU >> static_cast<unsigned>(more));
    for (int i = 0; i < more && at < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[at]);
        if ((byte & 0xC0U) != 0x80U) break;
        code = (code << 6U) | (byte & 0x3FU);
        ++at;
    }
    return code;
}

bool within(char32_t code, std::initializer_list<std::pair<char32_t, char32_t>> blocks) {
    return std::any_of(blocks.begin(), blocks.end(), [&](const auto& block) {
        return code >= block.first && code <= block.second;
    });
}

std::string_view colour_of(Tone tone) {
    // Blue and orange rather than green and red are what colour-blind readers tell apart.
    switch (tone) {
        case Tone::plain:
        case Tone::code:
            return "";
        case Tone::strong:
            return "\x1b[1m";
        case Tone::good:
            return "\x1b[34m";
        case Tone::warning:
            return "\x1b[33m";
        case Tone::bad:
            return "\x1b[1;31m";
        case Tone::faint:
            return "\x1b[2m";
    }
    return "";
}

std::string repeated(std::string_view piece, std::size_t times) {
    std::string out;
    for (std::size_t i = 0; i < times; ++i) out += piece;
    return out;
}

constexpr std::size_t readable = 20;  // what a wrapped column keeps before a table is folded

std::size_t longest_word(std::string_view text) {
    std::size_t longest = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(' '), text.size());
        longest = std::max(longest, display_width(text.substr(0, end)));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return longest;
}

/// A table of a file, over the whole width: the rows below it are its keys.
bool spans(const std::vector<TableCell>& row, std::size_t columns) {
    return row.size() == 1 && columns > 1 && row.front().tone == Tone::code;
}

class TableLayout {
  public:
    TableLayout(const TextTable& table, const TableStyle& style) : table_(table), style_(style) {
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            widths_.push_back(display_width(table.columns[i].heading));
            std::size_t cells = 0;
            for (const auto& row : table.rows)
                if (i < row.size() && !spans(row, table.columns.size()))
                    cells = std::max(cells, display_width(row[i].text));
            widths_.back() = std::max(widths_.back(), cells);
            least_.push_back(std::max(cells, longest_word(table.columns[i].heading)));
        }
        if (style.width == 0) return;
        // Headings over several lines first, then the columns of words.
        shrink([&](std::size_t i) { return least_[i]; });
        shrink([&](std::size_t i) {
            return table.columns[i].wraps ? std::min(readable, least_[i]) : least_[i];
        });
    }

    [[nodiscard]] bool fits() const { return style_.width == 0 || total() <= style_.width; }

    /// When nothing else helps: columns of words down to their narrowest.
    void squeeze() {
        shrink([&](std::size_t i) { return table_.columns[i].wraps ? narrowest : least_[i]; });
        shrink([&](std::size_t i) {
            return table_.columns[i].align == Align::left ? narrowest : least_[i];
        });
    }

    [[nodiscard]] std::string text() const {
        std::string out;
        if (!table_.title.empty()) {
            for (const std::string& line :
                 wrapped(table_.title, style_.width > 0 ? style_.width : std::string::npos)) {
                out += toned(line, Tone::strong) + "\n";
            }
        }
        std::vector<TableCell> headings;
        for (const TableColumn& column : table_.columns)
            headings.push_back({column.heading, Tone::strong});
        row(headings, out, true);
        out += rule();
        for (const auto& cells : table_.rows) {
            if (cells.empty()) {
                out += rule();
            } else if (spans(cells, widths_.size())) {
                const std::size_t width = style_.width > 0 ? style_.width : std::string::npos;
                for (const std::string& line : wrapped(cells.front().text, width))
                    out += toned(line, Tone::code) + "\n";
            } else {
                row(cells, out);
            }
        }
        return out;
    }

  private:
    [[nodiscard]] std::size_t total() const {
        std::size_t out = widths_.empty() ? 0 : gap.size() * (widths_.size() - 1);
        for (const std::size_t width : widths_) out += width;
        return out;
    }

    /// Takes from the widest column that is above its floor, until the table fits.
    template <class Floor>
    void shrink(Floor&& floor) {
        while (total() > style_.width) {
            std::size_t widest = widths_.size();
            for (std::size_t i = 0; i < widths_.size(); ++i)
                if (widths_[i] > floor(i) &&
                    (widest == widths_.size() || widths_[i] > widths_[widest]))
                    widest = i;
            if (widest == widths_.size()) return;
            --widths_[widest];
        }
    }

    [[nodiscard]] std::string toned(const std::string& text, Tone tone) const {
        const std::string_view colour = colour_of(tone);
        if (!style_.colour || colour.empty() || text.empty()) return text;
        return std::string(colour) + text + "\x1b[0m";
    }

    [[nodiscard]] std::string rule() const {
        return repeated(style_.ascii ? "-" : "─", total()) + "\n";
    }

    void row(const std::vector<TableCell>& cells, std::string& out, bool heading = false) const {
        std::vector<std::vector<std::string>> lines(widths_.size());
        std::size_t height = 1;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            lines[i] = heading || table_.columns[i].align == Align::left
                           ? wrapped(cells[i].text, widths_[i])
                           : std::vector<std::string>{cells[i].text};
            height = std::max(height, lines[i].size());
        }
        for (std::size_t k = 0; k < height; ++k) {
            std::string line;
            std::size_t owed = 0;  // blanks at the end of a line are left away
            for (std::size_t i = 0; i < widths_.size(); ++i) {
                if (i > 0) owed += gap.size();
                const std::string cell = k < lines[i].size() ? lines[i][k] : "";
                const std::size_t used = display_width(cell);
                const std::size_t rest = widths_[i] > used ? widths_[i] - used : 0;
                const bool right = table_.columns[i].align == Align::right;
                if (right) owed += rest;
                if (!cell.empty()) {
                    line.append(owed, ' ');
                    line += toned(cell, cells[i].tone);
                    owed = 0;
                }
                if (!right || cell.empty()) owed += right ? used : rest;
            }
            out += line + "\n";
        }
    }

    const TextTable& table_;
    const TableStyle& style_;
    std::vector<std::size_t> widths_;
    std::vector<std::size_t> least_;  ///< that a column is readable with, unwrapped
};

/// Columns that name a row: the first ones of words, at most two, or the first.
std::size_t naming_columns(const TextTable& table) {
    std::size_t n = 0;
    while (n < 2 && n + 1 < table.columns.size() && table.columns[n].align == Align::left) ++n;
    return std::max<std::size_t>(n, 1);
}

TextTable with_columns(const TextTable& table, const std::vector<std::size_t>& chosen) {
    TextTable out;
    for (const std::size_t i : chosen) out.columns.push_back(table.columns[i]);
    for (const auto& row : table.rows) {
        std::vector<TableCell>& cells = out.rows.emplace_back();
        if (row.empty()) continue;
        if (spans(row, table.columns.size())) {
            cells = row;
            continue;
        }
        for (const std::size_t i : chosen) cells.push_back(i < row.size() ? row[i] : TableCell{});
    }
    return out;
}

/// The table in blocks below one another, each with the columns that name its rows.
std::string folded(const TextTable& table, const TableStyle& style) {
    const std::size_t names = naming_columns(table);
    std::string out;
    std::vector<std::size_t> chosen;
    for (std::size_t i = 0; i < names; ++i) chosen.push_back(i);
    const auto write = [&] {
        TextTable block = with_columns(table, chosen);
        if (out.empty()) block.title = table.title;
        TableLayout layout(block, style);
        if (!layout.fits()) layout.squeeze();
        out += (out.empty() ? "" : "\n") + layout.text();
        chosen.resize(names);
    };
    for (std::size_t i = names; i < table.columns.size(); ++i) {
        chosen.push_back(i);
        if (chosen.size() == names + 1 || TableLayout(with_columns(table, chosen), style).fits())
            continue;
        chosen.pop_back();
        write();
        chosen.push_back(i);
    }
    if (chosen.size() > names) write();
    return out;
}

}  // namespace

std::size_t display_width(std::string_view text) {
    std::size_t width = 0;
    for (std::size_t at = 0; at < text.size();) {
        const char32_t code = next(text, at);
        const bool nothing = within(code, {{0x0300, 0x036F}, {0x200B, 0x200F}, {0xFE00, 0xFE0F}});
        const bool wide = within(code, {{0x1100, 0x115F},
                                        {0x2E80, 0x303E},
                                        {0x3041, 0xA4CF},
                                        {0xAC00, 0xD7A3},
                                        {0xF900, 0xFAFF},
                                        {0xFE30, 0xFE6F},
                                        {0xFF00, 0xFF60},
                                        {0xFFE0, 0xFFE6},
                                        {0x1F300, 0x1F64F},
                                        {0x1F900, 0x1F9FF},
                                        {0x20000, 0x3FFFD}});
        width += nothing ? 0 : wide ? 2 : 1;
    }
    return width;
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
    std::vector<std::string> lines;
    std::string line;
    std::size_t used = 0;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        std::string_view word = text.substr(at, end - at);
        // A path of keys breaks behind its points.
        while (width > 1 && display_width(word) > width) {
            const std::size_t point = word.substr(0, width).find_last_of("./_");
            if (point == std::string_view::npos || point == 0) break;
            if (!line.empty()) lines.push_back(std::move(line));
            line.clear();
            used = 0;
            lines.emplace_back(word.substr(0, point + 1));
            word.remove_prefix(point + 1);
        }
        const std::size_t length = display_width(word);
        if (!line.empty() && used + 1 + length > width) {
            lines.push_back(std::move(line));
            line.clear();
            used = 0;
        }
        if (!line.empty()) {
            line += ' ';
            ++used;
        }
        line += word;
        used += length;
        at = end + 1;
    }
    if (!line.empty() || lines.empty()) lines.push_back(std::move(line));
    return lines;
}

std::string render(const TextTable& table, const TableStyle& style) {
    for (const auto& row : table.rows) {
        if (row.size() > table.columns.size()) {
            throw std::invalid_argument("a row has more cells than the table has columns");
        }
    }
    TableLayout layout(table, style);
    if (layout.fits()) return layout.text();
    if (table.columns.size() > naming_columns(table) + 1) return folded(table, style);
    layout.squeeze();
    return layout.text();
}

}  // namespace lapheat::results
