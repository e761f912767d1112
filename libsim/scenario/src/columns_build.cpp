#include "columns_build.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "lapheat/units/spellings.hpp"

namespace lapheat::scenario {
namespace {

/// The whole of `text` as a finite number.
bool number(std::string_view text, double& value) {
    if (!text.empty() && text.front() == '+') text.remove_prefix(1);
    const char* end = text.data() + text.size();
    const auto read = std::from_chars(text.data(), end, value);
    return read.ec == std::errc{} && read.ptr == end && !text.empty() && std::isfinite(value);
}

/// "60.00 degC" as "60 degC".
std::string without_zeros(const std::string& text) {
    const std::size_t end = std::min(text.find(' '), text.size());
    std::string digits = text.substr(0, end);
    if (digits.find('.') != std::string::npos && digits.find('e') == std::string::npos) {
        digits.erase(digits.find_last_not_of('0') + 1);
        if (digits.back() == '.') digits.pop_back();
    }
    return digits + text.substr(end);
}

std::string in_quotes(const std::string& text) { return "\"" + text + "\""; }

std::string named(const Column& column) { return "column '" + std::string(column.name) + "'"; }

}  // namespace

Columns empty_columns(const std::vector<Column>& asked) {
    return {asked, std::vector<std::vector<double>>(asked.size())};
}

std::string header_example(const std::vector<Column>& asked) {
    std::string out;
    for (const Column& column : asked) {
        if (!out.empty()) out += ", ";
        out += column.name;
        const std::string unit = units::display_unit(column.quantity, units::System::si);
        if (!unit.empty()) out += " [" + unit + "]";
    }
    return out;
}

std::string words(const Range& range, units::Quantity quantity, units::System system) {
    const auto value = [&](double si) {
        // Zero needs no unit, except where its zero depends on the unit.
        if (si == 0.0 && quantity != units::Quantity::temperature) return std::string("0");
        // A wheelbase is no number of millimetres, nor of inches.
        const bool us = system == units::System::us;
        if (quantity == units::Quantity::length && std::abs(si) >= (us ? 10 * 0.3048 : 2))
            return us ? fmt::format("{:.3g} ft", si / 0.3048) : fmt::format("{:.3g} m", si);
        return without_zeros(units::format(si, quantity, system));
    };
    // A bound is no number that would be refused: rounded the other way it is told further in.
    const auto bound = [&](double si, bool lowest) {
        std::string text = value(si);
        if (si == 0) return text;
        for (double in = 1e-4; in < 0.02; in *= 2) {
            const double read = units::parse(text, quantity);
            if (Range{range.low, range.high}.holds(read)) break;
            text = value(si + (lowest ? in : -in) * std::abs(si));
        }
        return text;
    };
    const bool low = std::isfinite(range.low);
    const bool high = std::isfinite(range.high);
    const std::string from =
        (range.low_allowed ? "at least " : "more than ") + (low ? bound(range.low, true) : "");
    const std::string to =
        (range.high_allowed ? "at most " : "less than ") + (high ? bound(range.high, false) : "");
    if (low && high) {
        if (range.low_allowed && range.high_allowed) {
            return "between " + bound(range.low, true) + " and " + bound(range.high, false);
        }
        return from + " and " + to;
    }
    return low ? from : high ? to : "a number";
}

ColumnsBuild::ColumnsBuild(const std::vector<Column>& asked, std::string key, FilePlace place,
                           Problems& problems)
    : columns_(empty_columns(asked)),
      key_(std::move(key)),
      place_(std::move(place)),
      problems_(problems),
      errors_before_(problems.errors()) {}

void ColumnsBuild::error(const FilePlace& place, std::string found, std::string expected,
                         std::string hint) {
    problems_.error(place, key_, std::move(found), std::move(expected), std::move(hint));
}

bool ColumnsBuild::heading(const TextCell& cell, bool with_unit) {
    const Heading heading = with_unit ? parse_heading(cell.text) : Heading{cell.text, {}};
    std::vector<std::string> free;
    for (std::size_t i = 0; i < columns_.asked.size(); ++i) {
        const Column& column = columns_.asked[i];
        const bool taken = std::any_of(sources_.begin(), sources_.end(),
                                       [&](const Source& s) { return s.asked == i; });
        if (column.name != heading.name) {
            if (!taken) free.emplace_back(column.name);
            continue;
        }
        if (taken) {
            error(cell.place, "column '" + heading.name + "' a second time", "one of each");
            return false;
        }
        sources_.push_back({i, heading.unit, !heading.unit.empty()});
        if (heading.unit.empty()) {
            if (!with_unit || column.quantity == units::Quantity::ratio) return true;
            error(cell.place, "column '" + heading.name + "' without a unit",
                  header_example({column}));
            return false;
        }
        try {
            (void)units::to_si(1.0, heading.unit, column.quantity);
        } catch (const Error& e) {
            error(cell.place, e.what(), header_example({column}));
            return false;
        }
        return true;
    }
    error(cell.place, "unknown column " + in_quotes(heading.name), "", suggest(heading.name, free));
    return false;
}

bool ColumnsBuild::headings(const std::vector<TextCell>& row) {
    bool good = true;
    for (const TextCell& cell : row) good = heading(cell, true) && good;
    return good && complete(row);  // what seems missing may be what is misspelt
}

bool ColumnsBuild::names(const std::vector<TextCell>& row) {
    bool good = true;
    for (const TextCell& cell : row) good = heading(cell, false) && good;
    return good && complete(row);
}

bool ColumnsBuild::complete(const std::vector<TextCell>& row) {
    bool good = true;
    for (std::size_t i = 0; i < columns_.asked.size(); ++i) {
        const bool there = std::any_of(sources_.begin(), sources_.end(),
                                       [&](const Source& s) { return s.asked == i; });
        if (columns_.asked[i].required && !there) {
            error(row.empty() ? place_ : row.front().place, "no " + named(columns_.asked[i]),
                  header_example({columns_.asked[i]}));
            good = false;
        }
    }
    return good;
}

void ColumnsBuild::headings_as_asked() {
    for (std::size_t i = 0; i < columns_.asked.size(); ++i) sources_.push_back({i, {}, false});
}

void ColumnsBuild::row(const std::vector<TextCell>& row) {
    if (row.size() != sources_.size()) {
        const bool many = row.size() > sources_.size();
        error(many ? row[sources_.size()].place : row.back().place,
              fmt::format("a row of {}", row.size()), fmt::format("{} values", sources_.size()));
        return;
    }
    for (std::size_t i = 0; i < row.size(); ++i) cell(row[i], sources_[i]);
}

void ColumnsBuild::cell(const TextCell& cell, const Source& source) {
    const Column& column = columns_.asked[source.asked];
    std::vector<double>& values = columns_.values[source.asked];
    double value = 0.0;
    try {
        if (source.has_unit) {
            if (!number(cell.text, value)) {
                const std::string what = cell.text.empty() ? "nothing" : in_quotes(cell.text);
                error(cell.place, what + " in " + named(column), "a number in " + source.unit);
                return;
            }
            value = units::to_si(value, source.unit, column.quantity);
        } else {
            value = units::parse(cell.text, column.quantity);
        }
    } catch (const Error& e) {
        error(cell.place, e.what(), e.expected());
        return;
    }
    if (!column.range.holds(value)) {
        error(cell.place, in_quotes(cell.text) + " in " + named(column),
              words(column.range, column.quantity,
                    units::written_in(source.has_unit ? "1 " + source.unit : cell.text,
                                      column.quantity)));
    } else if (column.increasing && !values.empty() && !(value > values.back())) {
        error(cell.place, in_quotes(cell.text) + " in " + named(column),
              "more than in the row before");
    }
    values.push_back(value);
}

Columns ColumnsBuild::finish(std::size_t min_rows) {
    if (problems_.errors() == errors_before_ && columns_.rows() < min_rows) {
        error(place_, fmt::format("a table of {} rows", columns_.rows()),
              fmt::format("at least {}", min_rows));
    }
    return problems_.errors() == errors_before_ ? columns_ : empty_columns(columns_.asked);
}

}  // namespace lapheat::scenario
