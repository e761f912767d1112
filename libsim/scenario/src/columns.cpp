#include "lapheat/scenario/columns.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "columns_build.hpp"
#include "files.hpp"
#include "lapheat/units/text.hpp"

namespace lapheat::scenario {
namespace {

using units::trimmed;

/// Splits CSV text into rows of fields. Quotes may hold commas, "" and ends of lines.
class Splitter {
  public:
    Splitter(std::string_view text, const std::string& file, Problems& problems)
        : text_(text), file_(file), problems_(problems) {
        constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
        if (text_.starts_with(byte_order_mark)) text_.remove_prefix(byte_order_mark.size());
    }

    /// The next row that is not blank; false at the end of the text.
    bool next(std::vector<TextCell>& row) {
        while (at_ < text_.size() && !open_) {
            row.clear();
            field(row);
            while (at_ < text_.size() && text_[at_] == ',') {
                step();
                field(row);
            }
            if (at_ < text_.size()) step();  // the end of the line
            const bool blank = row.size() == 1 && row[0].text.empty() && !row[0].quoted;
            if (!blank) return !open_;
        }
        return false;
    }

  private:
    void step() {
        if (text_[at_] == '\n') {
            ++line_;
            column_ = 0;
        }
        ++at_;
        // A byte that continues a character of UTF-8 takes no column.
        if (at_ >= text_.size() || (static_cast<unsigned char>(text_[at_]) & 0xC0U) != 0x80U) {
            ++column_;
        }
    }

    [[nodiscard]] bool line_ends() const { return at_ >= text_.size() || text_[at_] == '\n'; }

    void comment() {
        while (!line_ends()) step();
    }

    void field(std::vector<TextCell>& row) {
        while (!line_ends() && (text_[at_] == ' ' || text_[at_] == '\t')) step();
        TextCell cell;
        cell.place = {file_, line_, column_};
        if (!line_ends() && text_[at_] == '"') {
            cell.quoted = true;
            cell.text = quoted();
            while (!line_ends() && text_[at_] != ',' && text_[at_] != '#') {
                if (!trimmed(text_.substr(at_, 1)).empty()) cell.text += text_[at_];
                step();
            }
        } else {
            const std::size_t begin = at_;
            while (!line_ends() && text_[at_] != ',' && text_[at_] != '#') step();
            cell.text = trimmed(text_.substr(begin, at_ - begin));
        }
        if (!line_ends() && text_[at_] == '#') comment();
        row.push_back(std::move(cell));
    }

    std::string quoted() {
        const FilePlace opened{file_, line_, column_};
        std::string out;
        for (step(); at_ < text_.size(); step()) {
            if (text_[at_] != '"') {
                out += text_[at_];
            } else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
                out += '"';
                step();
            } else {
                step();
                return out;
            }
        }
        problems_.error(opened, {}, "a quote that is never closed", "\" at the end of the field",
                        {});
        open_ = true;
        return out;
    }

    std::string_view text_;
    const std::string& file_;
    Problems& problems_;
    std::size_t at_ = 0;
    std::size_t line_ = 1;
    std::size_t column_ = 1;
    bool open_ = false;  ///< a quote ran to the end of the text
};

}  // namespace

const std::vector<double>& Columns::operator[](std::string_view name) const {
    for (std::size_t i = 0; i < asked.size(); ++i) {
        if (asked[i].name == name) return values[i];
    }
    throw std::out_of_range("no column '" + std::string(name) + "' was asked for");
}

bool Columns::has(std::string_view name) const {
    for (std::size_t i = 0; i < asked.size(); ++i) {
        if (asked[i].name == name) return !values[i].empty();
    }
    return false;
}

std::size_t Columns::rows() const noexcept {
    std::size_t most = 0;
    for (const auto& column : values) most = std::max(most, column.size());
    return most;
}

Heading parse_heading(std::string_view text) {
    text = trimmed(text);
    const std::size_t open = text.find('[');
    if (open == std::string_view::npos || text.back() != ']') return {std::string(text), {}};
    return {std::string(trimmed(text.substr(0, open))),
            std::string(trimmed(text.substr(open + 1, text.size() - open - 2)))};
}

Columns parse_csv(std::string_view text, const std::string& file,
                  const std::vector<Column>& columns, Problems& problems, std::size_t min_rows) {
    const std::size_t before = problems.errors();
    Splitter splitter(text, file, problems);
    ColumnsBuild build(columns, {}, {file, 1, 1}, problems);
    std::vector<TextCell> row;
    if (!splitter.next(row)) {
        if (problems.errors() > before) return build.finish(0);
        problems.error({file, 1, 1}, {}, "an empty table",
                       "a header such as " + header_example(columns), {});
        return build.finish(0);
    }
    if (!build.headings(row)) return build.finish(0);
    constexpr std::size_t most_errors = 50;  // one slip in a long table should not fill the screen
    while (problems.errors() < before + most_errors && splitter.next(row)) build.row(row);
    return build.finish(min_rows);
}

}  // namespace lapheat::scenario
