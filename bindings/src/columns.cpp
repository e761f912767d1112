#include "columns.hpp"

#include <fmt/core.h>

#include <cmath>
#include <string_view>

#include "lapheat/units/error.hpp"

namespace lapheat::python {
namespace {

using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

[[noreturn]] void refuse(const std::string& name, const std::string& what) {
    throw Error(fmt::format("column {}: {}", name, what), "numbers in SI units, shape (n,)", {},
                name);
}

/// By order, never by label: an index that is not 0, 1, 2 … must not change the order of rows.
Numbers numbers_of(const py::object& values, const std::string& name) {
    const py::module_ numpy = py::module_::import("numpy");
    py::object array;
    try {
        array = numpy.attr("ma").attr("asanyarray")(values);
    } catch (const py::error_already_set&) {
        refuse(name, "not a row of numbers");
    }
    if (numpy.attr("ma").attr("is_masked")(array).cast<bool>()) refuse(name, "values are missing");
    array = array.attr("data");
    const auto kind = array.attr("dtype").attr("kind").cast<std::string>();
    if (std::string_view("biufO").find(kind) == std::string_view::npos)
        refuse(name, "holds " + py::str(array.attr("dtype")).cast<std::string>());
    auto numbers = Numbers::ensure(array);
    if (!numbers) {
        PyErr_Clear();
        refuse(name, "holds something that is no number, or values are missing");
    }
    if (numbers.ndim() > 1) refuse(name, fmt::format("has {} dimensions", numbers.ndim()));
    const double* all = numbers.data();
    for (py::ssize_t i = 0; i < numbers.size(); ++i)
        if (std::isnan(all[i])) refuse(name, fmt::format("row {} is missing", i + 1));
    return numbers;
}

}  // namespace

std::vector<double> column_of(const py::object& values, const std::string& name) {
    const Numbers numbers = numbers_of(values, name);
    if (numbers.ndim() == 0) refuse(name, "is a single number");
    return {numbers.data(), numbers.data() + numbers.size()};
}

std::vector<double> column_of(const py::object& values, const std::string& name, std::size_t rows) {
    const Numbers numbers = numbers_of(values, name);
    if (numbers.ndim() == 0) return std::vector<double>(rows, *numbers.data());
    if (static_cast<std::size_t>(numbers.size()) != rows)
        throw Error(fmt::format("column {} has {} rows, time has {}", name, numbers.size(), rows),
                    "columns of equal length, or one number", {}, name);
    return {numbers.data(), numbers.data() + numbers.size()};
}

}  // namespace lapheat::python
