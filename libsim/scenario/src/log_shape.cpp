#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "lapheat/units/error.hpp"
#include "log_fields.hpp"
#include "log_names.hpp"
#include "log_text.hpp"

namespace lapheat::scenario {
namespace {

struct LogRow {
    std::vector<std::string> fields;
    std::size_t line = 0;
};

constexpr std::size_t looked_at = 600;  ///< rows

std::vector<LogRow> split(std::string_view text, char separator) {
    std::vector<LogRow> rows;
    LogRows splitter(separator, [&rows](std::vector<std::string>& fields, std::size_t line) {
        if (rows.size() < looked_at) rows.push_back({fields, line});
    });
    splitter.feed(text);
    return rows;  // what is cut off at the end is not handed over
}

std::size_t usual_fields(const std::vector<LogRow>& rows) {
    std::map<std::size_t, std::size_t> count;
    for (const LogRow& row : rows) ++count[row.fields.size()];
    std::size_t best = 0, most = 0;
    for (const auto& [fields, times] : count)
        if (times >= most) best = fields, most = times;
    return best;
}

bool reads(const std::string& field) {
    return is_nothing(field) || log_number(field, false) || log_number(field, true) ||
           log_stamp(field, false);
}

/// How well a separator explains the rows, 0 to about 1.
double fitness(const std::vector<LogRow>& rows) {
    const std::size_t usual = usual_fields(rows);
    if (usual < 2) return 0;
    double alike = 0, fields = 0, read = 0;
    for (const LogRow& row : rows) {
        if (row.fields.size() != usual) continue;
        ++alike;
        for (const std::string& field : row.fields) {
            ++fields;
            read += reads(field) ? 1 : 0;
        }
    }
    return alike / static_cast<double>(rows.size()) * (0.2 + read / fields);
}

/// A row of data: two in five of its fields that hold anything are numbers or stamps.
bool is_data(const LogRow& row, std::size_t usual) {
    if (row.fields.size() + 1 < usual || row.fields.size() < 2) return false;
    std::size_t held = 0, read = 0;
    for (const std::string& field : row.fields) {
        if (is_nothing(field)) continue;
        ++held;
        if (log_number(field, false) || log_number(field, true) || log_stamp(field, false)) ++read;
    }
    return read > 0 && read * 5 >= held * 2;
}

std::size_t find_data(const std::vector<LogRow>& rows, std::size_t usual) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (!is_data(rows[i], usual)) continue;
        const std::size_t end = std::min(rows.size(), i + 20);
        std::size_t data = 0;
        for (std::size_t j = i; j < end; ++j) data += is_data(rows[j], usual) ? 1 : 0;
        if (data * 5 >= (end - i) * 4) return i;
    }
    return rows.size();
}

bool commas_are_decimal(const std::vector<LogRow>& rows, std::size_t from, char separator) {
    std::size_t decimal = 0, groups = 0;
    for (std::size_t r = from; r < rows.size(); ++r)
        for (const std::string& field : rows[r].fields) {
            const std::size_t at = field.find(',');
            if (at == std::string::npos || at == 0 ||
                field.find(',', at + 1) != std::string::npos || !log_number(field, true))
                continue;
            std::size_t digits = 0;
            while (at + 1 + digits < field.size() && field[at + 1 + digits] >= '0' &&
                   field[at + 1 + digits] <= '9')
                ++digits;
            (digits == 3 && at <= 3 ? groups : decimal) += 1;
        }
    return decimal > 0 || (groups > 0 && separator != ',');
}

double names_in(const LogRow& row) {
    double known = 0;
    for (const std::string& field : row.fields) {
        const std::string name = parted(field).name;
        if (tells_time(name) || !matches(name).empty()) ++known;
    }
    return known;
}

bool are_units(const LogRow& row) {
    std::size_t held = 0, units = 0;
    for (const std::string& field : row.fields) {
        if (field.empty()) continue;
        ++held;
        units += is_unit(field) ? 1 : 0;
    }
    return held > 0 && units * 5 >= held * 3;
}

void read_header(LogShape& shape, const std::vector<LogRow>& rows) {
    shape.columns.assign(shape.fields, {});
    shape.units.assign(shape.fields, {});
    // Up to three rows above the data, as wide as it or nearly.
    std::size_t top = shape.first_data;
    while (top > 0 && shape.first_data - top < 3 &&
           rows[top - 1].fields.size() >= std::max<std::size_t>(2, shape.fields / 2))
        --top;
    if (top < shape.first_data) {
        shape.has_names = true;
        shape.names = top;
        double best = -1;
        for (std::size_t i = top; i < shape.first_data; ++i) {
            const double known = names_in(rows[i]);
            if (known > best && !(are_units(rows[i]) && known == 0)) best = known, shape.names = i;
        }
        shape.names_line = rows[shape.names].line;
        const std::vector<std::string>& header = rows[shape.names].fields;
        for (std::size_t c = 0; c < shape.fields && c < header.size(); ++c) {
            NameAndUnit both = parted(header[c]);
            shape.columns[c] = std::move(both.name);
            shape.units[c] = std::move(both.unit);
        }
        for (std::size_t i = shape.names + 1; i < shape.first_data; ++i) {
            if (!are_units(rows[i])) continue;
            for (std::size_t c = 0; c < shape.fields && c < rows[i].fields.size(); ++c)
                if (shape.units[c].empty()) shape.units[c] = rows[i].fields[c];
            break;
        }
    }
    for (std::size_t c = 0; c < shape.fields; ++c) {
        if (shape.columns[c].empty()) shape.columns[c] = fmt::format("column {}", c + 1);
        std::string& unit = shape.units[c];
        if (unit.size() >= 2 && (unit.front() == '[' || unit.front() == '('))
            unit = unit.substr(1, unit.size() - 2);
    }
}

}  // namespace

LogShape shape_of(std::string_view beginning, const std::string& file) {
    LogShape shape;
    std::vector<LogRow> rows;
    double best = 0;
    for (const char separator : {',', ';', '\t', '|'}) {
        std::vector<LogRow> tried = split(beginning, separator);
        const double fit = tried.empty() ? 0 : fitness(tried);
        if (fit > best + 1e-9) {
            best = fit;
            shape.separator = separator;
            rows = std::move(tried);
        }
    }
    const std::string wanted = "rows of values parted by commas, semicolons, tabs or bars";
    if (rows.empty()) throw Error("holds no table", wanted, {file, 1});
    shape.fields = usual_fields(rows);
    shape.first_data = find_data(rows, shape.fields);
    if (shape.first_data == rows.size())
        throw Error("holds no rows of numbers", wanted, {file, rows.front().line});
    // The fields of data alone count: a long preamble may have been the usual.
    shape.fields =
        usual_fields({rows.begin() + static_cast<std::ptrdiff_t>(shape.first_data), rows.end()});
    shape.decimal_comma = commas_are_decimal(rows, shape.first_data, shape.separator);
    read_header(shape, rows);
    for (std::size_t i = shape.first_data; i < rows.size(); ++i)
        shape.sample.push_back(std::move(rows[i].fields));
    return shape;
}

}  // namespace lapheat::scenario
