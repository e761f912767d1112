// Rows that travel: pickled, copied, compared and hashed by what they hold.
#pragma once

#include <type_traits>

#include "lapheat/model/result.hpp"
#include "lapheat/results/fields.hpp"
#include "module.hpp"

namespace lapheat::python {

// What a row holds beside the members of its table of fields.
template <class Row>
py::tuple beside(const Row&) {
    return py::tuple();
}
template <class Row>
void put_beside(Row&, const py::tuple&) {}
inline py::tuple beside(const model::Event& e) { return py::make_tuple(static_cast<int>(e.kind)); }
inline void put_beside(model::Event& e, const py::tuple& t) {
    e.kind = static_cast<model::EventKind>(t[0].cast<int>());
}
inline py::tuple beside(const model::LedgerEntry& e) {
    return py::make_tuple(static_cast<int>(e.direction));
}
inline void put_beside(model::LedgerEntry& e, const py::tuple& t) {
    e.direction = static_cast<model::LedgerEntry::Direction>(t[0].cast<int>());
}
inline py::tuple beside(const model::Verdict& v) {
    return py::make_tuple(static_cast<int>(v.role), v.in_coolant);
}
inline void put_beside(model::Verdict& v, const py::tuple& t) {
    v.role = static_cast<model::LoopRole>(t[0].cast<int>());
    v.in_coolant = t[1].cast<bool>();
}

/// ({member: value}, what is beside). What is worked out of members is not in it.
template <class Row>
py::tuple state_of(const Row& row) {
    py::dict members;
    for (const results::Field<Row>& field : results::fields<Row>())
        std::visit(
            [&](auto get) {
                if constexpr (std::is_member_pointer_v<decltype(get)>)
                    members[field.name] = py::cast(row.*get);
            },
            field.get);
    return py::make_tuple(members, beside(row));
}

/// A member that this version has not is left out, one that is missing keeps its default.
template <class Row>
Row row_of(const py::tuple& state) {
    Row row;
    const auto members = state[0].cast<py::dict>();
    for (const results::Field<Row>& field : results::fields<Row>())
        std::visit(
            [&](auto get) {
                if constexpr (std::is_member_pointer_v<decltype(get)>) {
                    using Value = std::decay_t<decltype(row.*get)>;
                    if (members.contains(field.name))
                        row.*get = members[field.name].template cast<Value>();
                }
            },
            field.get);
    put_beside(row, state[1].cast<py::tuple>());
    return row;
}

/// Gives a class of rows pickling, copying, == and a hash.
template <class Row, class... Options>
void keep_rows(py::class_<Row, Options...>& bound) {
    bound.def(py::pickle(&state_of<Row>, &row_of<Row>))
        .def("__eq__",
             [](const Row& a, const py::object& b) {
                 // By text, for a number that is none (nan) is still the same content.
                 return py::isinstance<Row>(b) &&
                        py::repr(state_of(a)).equal(py::repr(state_of(b.cast<const Row&>())));
             })
        .def("__hash__", [](const Row& row) { return py::hash(py::repr(state_of(row))); });
}

}  // namespace lapheat::python
