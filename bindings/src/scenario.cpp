#include "scenario.hpp"

#include "module.hpp"
#include "rows.hpp"

namespace lapheat::python {
namespace {

using Path = std::filesystem::path;

std::shared_ptr<Scenario> build(scenario::Document document, Path folder,
                                std::vector<Path> cycles) {
    auto made = std::make_shared<Scenario>();
    made->parsed = scenario::read(document, folder, cycles);
    made->compiled = model::compile(made->parsed.car);
    for (const drive::Cycle& c : made->parsed.cycles)
        made->driven.push_back(std::make_shared<drive::Cycle>(c));
    made->document = std::move(document);
    made->folder = std::move(folder);
    made->cycles = std::move(cycles);
    return made;
}

/// Python's str() is what TOML reads, but for booleans.
std::string toml_text(const py::object& value) {
    if (py::isinstance<py::bool_>(value)) return value.cast<bool>() ? "true" : "false";
    return py::str(value);
}

std::vector<Path> paths(const py::object& cycles) {
    std::vector<Path> all;
    if (cycles.is_none()) return all;
    const py::object fspath = py::module_::import("os").attr("fspath");
    for (const py::handle item : cycles) all.emplace_back(fspath(item).cast<std::string>());
    return all;
}

py::dict limits(const Scenario& s) {
    py::dict all;
    for (const model::Loop& loop : s.parsed.car.loops)
        all[py::str(loop.name)] = dict_of(loop.limits);
    return all;
}

py::list assumptions(const Scenario& s) {
    py::list all;
    for (const scenario::Assumption& a : s.parsed.assumptions)
        all.append(py::make_tuple(a.key, a.value, a.why));
    return all;
}

}  // namespace

void bind_scenario(py::module_& m) {
    using namespace py::literals;
    py::class_<Scenario, std::shared_ptr<Scenario>>(m, "Scenario",
                                                    "One car with its placement, and the cycles to "
                                                    "drive. Immutable; made by read() or parse().")
        .def_property_readonly("car", [](const Scenario& s) { return s.parsed.car.name; })
        .def_property_readonly("placement",
                               [](const Scenario& s) { return s.parsed.car.placement; })
        .def_readonly("cycles", &Scenario::driven, "list of Cycle")
        .def_property_readonly("limits", &limits,
                               "loop → caution, limit (K), boiling_reserve (K), part, note")
        .def_property_readonly("assumptions", &assumptions,
                               "list of (key, value, why): defaults that were used")
        .def_property_readonly("warnings",
                               [](const Scenario& s) {
                                   std::vector<std::string> all;
                                   for (const Diagnostic& d : model::warnings(*s.compiled))
                                       all.push_back(words(d, units::System::si));
                                   for (const scenario::Problem& p : s.parsed.warnings)
                                       all.push_back(to_string(p));
                                   return all;
                               })
        .def_property_readonly(
            "files",
            [](const Scenario& s) {
                std::vector<std::pair<std::string, std::string>> all;
                for (const scenario::SourceFile& f : s.parsed.files)
                    all.emplace_back(f.path, f.text);
                return all;
            },
            "list of (path, text): everything that was read")
        .def(
            "with_value",
            [](const Scenario& s, const std::string& path, const py::object& value) {
                const std::string text = toml_text(value);
                const py::gil_scoped_release release;
                return build(s.document.with(path, text), s.folder, s.cycles);
            },
            "path"_a, "value"_a,
            R"(A copy with one value changed: ``with_value("cores.radiator.width", "600 mm")``.

path: keys joined by dots; items of arrays count from 1, "stack[2].core".
value: text with its unit, a number, a bool, or TOML text for arrays and tables.
Raises Error for a path that leads nowhere, ScenarioError for a value that does not fit.)")
        .def("__repr__", [](const Scenario& s) {
            const py::str format("<lapheat.Scenario '{}', {}: {} loops, {} cores, {} cycles>");
            const model::Car& c = s.parsed.car;
            return format.format(c.name,
                                 c.placement.empty() ? "as the car file has it" : c.placement,
                                 c.loops.size(), c.cores.size(), s.driven.size());
        });
    m.def(
        "read",
        [](const Path& path, const py::object& cycles) {
            std::vector<Path> chosen = paths(cycles);
            const py::gil_scoped_release release;
            return build(scenario::load(path), path.parent_path(), std::move(chosen));
        },
        "path"_a, "cycles"_a = py::none(),
        R"(Reads a car or placement file with all it extends, checks it whole and compiles it.

cycles: paths of cycle files to drive instead of those the file lists.
Raises ScenarioError with every problem of every file.)");
    m.def(
        "parse",
        [](const std::string& text, const Path& folder, const py::object& cycles) {
            std::vector<Path> chosen = paths(cycles);
            const py::gil_scoped_release release;
            return build(scenario::parse(text, (folder / "text").string()), folder,
                         std::move(chosen));
        },
        "text"_a, "folder"_a = Path("."), "cycles"_a = py::none(),
        R"(The same from text that is in no file; paths in it are relative to `folder`.)");
}

}  // namespace lapheat::python
