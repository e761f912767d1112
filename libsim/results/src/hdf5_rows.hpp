// Rows as datasets of HDF5, by their fields.
#pragma once

#include <algorithm>
#include <cstdint>
#include <numeric>
#include <string>
#include <type_traits>
#include <vector>

#include "lapheat/results/fields.hpp"
#include "lapheat/results/hdf5_file.hpp"

namespace lapheat::results {

/// 1, 2, … n.
inline std::vector<std::int64_t> counted(std::size_t n) {
    std::vector<std::int64_t> out(n);
    std::iota(out.begin(), out.end(), std::int64_t{1});
    return out;
}

/// get(row) of every row.
template <class T, class F>
auto column(const std::vector<T>& rows, F&& get) {
    std::vector<std::decay_t<decltype(get(rows.front()))>> out;
    out.reserve(rows.size());
    for (const T& row : rows) out.push_back(get(row));
    return out;
}

/// What it is and, if it has one, its unit.
template <class Row>
Attributes attributes_of(const Field<Row>& field) {
    return described(field.unit, std::string(field.help));
}

/// A column for each field of the rows along `axis`; the field that has the axis's name is the
/// axis. `but`: a field that is left out.
template <class Row>
void put_columns(Hdf5Writer& w, const std::string& at, const std::string& axis,
                 const std::vector<Row>& rows, const std::string& but = {}) {
    const std::vector<std::string> along = {at + "/" + axis};
    for (const Field<Row>& field : fields<Row>()) {
        if (field.name == axis || field.name == but) continue;
        const std::string path = at + "/" + field.name;
        const Attributes about = attributes_of(field);
        std::visit(
            [&](auto get) {
                using Value = std::decay_t<std::invoke_result_t<decltype(get), const Row&>>;
                const auto value = [&](const Row& row) { return std::invoke(get, row); };
                if constexpr (std::is_same_v<Value, std::string>)
                    w.strings(path, column(rows, value), along, about);
                else if constexpr (std::is_same_v<Value, double>)
                    w.numbers(path, column(rows, value), along, about);
                else
                    w.integers(path,
                               column(rows,
                                      [&](const Row& row) {
                                          return static_cast<std::int64_t>(std::invoke(get, row));
                                      }),
                               along, about);
            },
            field.get);
    }
}

/// The same, with the axis: the text field of that name, or numbers from 1.
template <class Row>
void put_rows(Hdf5Writer& w, const std::string& at, const std::string& axis,
              const std::vector<Row>& rows, const std::string& but = {}) {
    const auto names = fields<Row>();
    const auto named = std::find_if(names.begin(), names.end(),
                                    [&](const Field<Row>& f) { return f.name == axis; });
    if (named == names.end())
        w.scale(at + "/" + axis, counted(rows.size()));
    else
        w.scale(at + "/" + axis, column(rows, [&](const Row& row) {
                    return row.*std::get<std::string Row::*>(named->get);
                }));
    put_columns(w, at, axis, rows, but);
}

}  // namespace lapheat::results
