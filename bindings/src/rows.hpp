// Rows of reports as Python sees them: classes and dicts made from the tables of fields, with
// docstrings that tell what each number is and its unit. What is no row of a report (lists of rows,
// the parts of a fit, names) is bound by hand, member by member.
#pragma once

#include <functional>
#include <string>
#include <type_traits>

#include "keep.hpp"
#include "lapheat/results/fields.hpp"
#include "module.hpp"

namespace lapheat::python {

/// A read-only attribute for each field of `Row`.
template <class Row, class... Options>
void add_fields(py::class_<Row, Options...>& bound) {
    py::dict meanings;  // name → attributes of such a variable, as the CF conventions call them
    for (const results::Field<Row>& field : results::fields<Row>()) {
        std::string help = results::described(field);
        const bool number = std::visit(
            [](auto get) {
                return std::is_same_v<std::decay_t<std::invoke_result_t<decltype(get), const Row&>>,
                                      double>;
            },
            field.get);
        if (number && (*field.unit.si() == '\0' || field.unit.si() == std::string("1")))
            help += " (1)";
        std::visit(
            [&](auto get) {
                if constexpr (std::is_member_pointer_v<decltype(get)>)
                    bound.def_readonly(field.name, get, help.c_str());
                else
                    bound.def_property_readonly(field.name, get, help.c_str());
            },
            field.get);
        py::dict meaning;
        if (*field.unit.si() != '\0') meaning["units"] = field.unit.si();
        if (*field.unit.metadata() != '\0') meaning["units_metadata"] = field.unit.metadata();
        meaning["long_name"] = field.help;
        meanings[field.name] = meaning;
    }
    bound.attr("_meanings") = meanings;
}

/// A class whose attributes are the fields of `Row`.
template <class Row>
py::class_<Row> bind_row(py::module_& m, const char* name, const char* help) {
    py::class_<Row> bound(m, name, help);
    add_fields(bound);
    return bound;
}

/// The same for rows that travel, see keep.hpp.
template <class Row>
py::class_<Row> bind_kept_row(py::module_& m, const char* name, const char* help) {
    py::class_<Row> bound = bind_row<Row>(m, name, help);
    keep_rows(bound);
    return bound;
}

/// The fields of a row as a dict.
template <class Row>
py::dict dict_of(const Row& row) {
    py::dict out;
    for (const results::Field<Row>& field : results::fields<Row>())
        results::with_value(field, row, [&](const auto& x) { out[field.name] = py::cast(x); });
    return out;
}

template <class Row>
py::list dicts_of(const std::vector<Row>& rows) {
    py::list out;
    for (const Row& row : rows) out.append(dict_of(row));
    return out;
}

}  // namespace lapheat::python
