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

class Layout {
  public:
    Layout(const TextTable& table, const TableStyle& style) : table_(table), style_(style) {
        for (std::size_t i = 0; i < table.columns.size(); ++i) {
            widths_.push_back(display_width(table.columns[i].heading));
            for (const auto& row : table.rows) {
                if (i < row.size()) widths_[i] = std::max(widths_[i], display_width(row[i].text));
            }
        }
        if (style.width > 0) {
            shrink([&](std::size_t i) { return table.columns[i].wraps; });
            shrink([&](std::size_t i) { return table.columns[i].align == Align::left; });
        }
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
        for (const TableColumn& column : table_.columns) {
            headings.push_back({column.heading, Tone::strong});
        }
        row(headings, out);
        out += rule();
        for (const auto& cells : table_.rows) {
            if (cells.empty()) {
                out += rule();
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

    /// Takes from the widest column that may give, until the table fits.
    template <class May>
    void shrink(May&& may) {
        while (total() > style_.width) {
            std::size_t widest = widths_.size();
            for (std::size_t i = 0; i < widths_.size(); ++i) {
                if (may(i) && widths_[i] > narrowest &&
                    (widest == widths_.size() || widths_[i] > widths_[widest])) {
                    widest = i;
                }
            }
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

    void row(const std::vector<TableCell>& cells, std::string& out) const {
        std::vector<std::vector<std::string>> lines(widths_.size());
        std::size_t height = 1;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            lines[i] = table_.columns[i].align == Align::left
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
};

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
        const std::string_view word = text.substr(at, end - at);
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
    return Layout(table, style).text();
}

}  // namespace lapheat::results
