// C++ errors become the exceptions of lapheat._errors, with file, line, column, key and expected.
#include "lapheat/units/error.hpp"

#include <filesystem>

#include "lapheat/scenario/problems.hpp"
#include "module.hpp"

namespace lapheat::python {
namespace {

py::object position(std::size_t number) { return number > 0 ? py::cast(number) : py::none(); }

/// Of a file in another encoding, or cut within a character: what is no UTF-8 stands as U+FFFD.
py::object text_of(const std::string& text) {
    return py::reinterpret_steal<py::object>(
        PyUnicode_DecodeUTF8(text.data(), static_cast<py::ssize_t>(text.size()), "replace"));
}

py::object word(const std::string& text) {
    return text.empty() ? py::object(py::none()) : text_of(text);
}

py::object problem(const py::module_& errors, const scenario::Problem& p) {
    using namespace py::literals;
    return errors.attr("Problem")(
        "file"_a = word(p.place.file), "line"_a = position(p.place.line),
        "column"_a = position(p.place.column), "key"_a = word(p.key), "found"_a = text_of(p.found),
        "expected"_a = word(p.expected), "hint"_a = word(p.hint),
        "severity"_a = p.severity == scenario::Severity::error ? "error" : "warning",
        "text"_a = text_of(to_string(p)));
}

void raise(const char* type, const Error& e, const py::object& problems) {
    using namespace py::literals;
    const py::module_ errors = py::module_::import("lapheat._errors");
    const py::object cls = errors.attr(type);
    py::dict where("file"_a = word(e.place().file), "line"_a = position(e.place().line),
                   "column"_a = position(e.place().column), "key"_a = word(e.key()),
                   "expected"_a = word(e.expected()));
    if (!problems.is_none()) where["problems"] = problems;
    const py::object exception = cls(text_of(e.what()), **where);
    PyErr_SetObject(cls.ptr(), exception.ptr());
}

// NOLINTNEXTLINE(performance-unnecessary-value-param): pybind11 says what a translator takes
void translate(std::exception_ptr caught) {
    try {
        if (caught) std::rethrow_exception(caught);
    } catch (const scenario::Errors& e) {
        const py::module_ errors = py::module_::import("lapheat._errors");
        py::list problems;
        for (const scenario::Problem& p : e.problems()) problems.append(problem(errors, p));
        raise("ScenarioError", e, problems);
    } catch (const Error& e) {
        raise("Error", e, py::none());
    } catch (const std::filesystem::filesystem_error& e) {
        raise("Error", Error(e.what(), "a path that can be used", {e.path1().string(), 0, 0}),
              py::none());
    }
}

}  // namespace

void bind_errors(py::module_&) { py::register_exception_translator(translate); }

}  // namespace lapheat::python
