// What the parts of the Python module share. Each bind_* adds one subject to the module.
#pragma once

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>

#include <string>
#include <vector>

namespace lapheat::python {

namespace py = pybind11;

void bind_errors(py::module_& m);
void bind_units(py::module_& m);
void bind_drive(py::module_& m);
void bind_scenario(py::module_& m);
void bind_result(py::module_& m);
void bind_run(py::module_& m);
void bind_compare(py::module_& m);
void bind_laps(py::module_& m);
void bind_parts(py::module_& m);
void bind_fit(py::module_& m);  ///< after bind_parts()
void bind_buy(py::module_& m);
void bind_log(py::module_& m);  ///< after bind_run()
/// Last: what is bound gets signatures that Python's inspect reads.
void give_signatures(const py::module_& m);

/// A read-only NumPy view of `values`, which live in `owner`; the array keeps the owner alive.
template <class T>
py::array_t<T> view(const std::vector<T>& values, const py::object& owner) {
    py::array_t<T> array(static_cast<py::ssize_t>(values.size()), values.data(), owner);
    array.attr("flags").attr("writeable") = false;
    return array;
}

/// A property that shows a vector member of a bound class as such a view.
template <class Class, class T>
auto viewer(std::vector<T> Class::*member) {
    return
        [member](const py::object& self) { return view(self.cast<const Class&>().*member, self); };
}

}  // namespace lapheat::python
