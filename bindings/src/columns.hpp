// Columns of numbers as Python gives them.
#pragma once

#include <string>
#include <vector>

#include "module.hpp"

namespace lapheat::python {

/// The numbers of a list, an array, a pandas Series or whatever numpy.asarray() takes, in their
/// order, shape (n,). Throws Error with `name` as key for another shape, for what is no number
/// (text, dates) and for a missing value, a masked one among them.
[[nodiscard]] std::vector<double> column_of(const py::object& values, const std::string& name);
/// The same; a single number stands for `rows` of it. Throws Error for another number of rows.
[[nodiscard]] std::vector<double> column_of(const py::object& values, const std::string& name,
                                            std::size_t rows);

}  // namespace lapheat::python
