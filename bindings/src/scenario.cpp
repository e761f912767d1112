#include "scenario.hpp"

#include <fmt/core.h>

#include "module.hpp"
#include "rows.hpp"

namespace lapheat::python {
namespace {

using Path = std::filesystem::path;

/// `kept`: texts that an earlier reading took; no file of them is opened again.
std::shared_ptr<Scenario> build(scenario::Document document, Path folder, std::vector<Path> cycles,
                                std::vector<scenario::SourceFile> kept = {}) {
    auto made = std::make_shared<Scenario>();
    made->parsed = scenario::read(document, folder, cycles, std::move(kept));
    made->compiled = model::compile(made->parsed.car);
    for (const drive::Cycle& c : made->parsed.cycles)
        made->driven.push_back(std::make_shared<drive::Cycle>(c));
    made->document = std::move(document);
    made->folder = std::move(folder);
    made->cycles = std::move(cycles);
    return made;
}

std::shared_ptr<Scenario> begin(const std::string& origin, bool from_text, const Path& folder,
                                std::vector<Path> cycles,
                                std::vector<scenario::SourceFile> kept = {},
                                std::vector<std::pair<std::string, std::string>> changes = {}) {
    scenario::Problems problems;
    problems.keep(kept);
    scenario::Document document =
        from_text ? scenario::parse(origin, (folder / "text").string(), problems)
                  : scenario::load(origin, problems);
    problems.throw_if_any();
    for (const auto& [path, value] : changes) document = document.with(path, value);
    auto made = build(std::move(document), folder, std::move(cycles), std::move(kept));
    made->origin = origin;
    made->from_text = from_text;
    made->changes = std::move(changes);
    return made;
}

/// What was read and what was changed: enough to make it again without a file.
py::tuple recipe_of(const Scenario& s) {
    std::vector<std::pair<std::string, std::string>> files;
    for (const scenario::SourceFile& f : s.parsed.files) files.emplace_back(f.path, f.text);
    std::vector<std::string> cycles;
    for (const Path& path : s.cycles) cycles.push_back(path.string());
    return py::make_tuple(s.origin, s.from_text, s.folder.string(), cycles, files, s.changes);
}

std::shared_ptr<Scenario> made_of(const py::tuple& state) {
    using Pairs = std::vector<std::pair<std::string, std::string>>;
    std::vector<scenario::SourceFile> kept;
    for (auto& [path, text] : state[4].cast<Pairs>()) kept.push_back({path, text});
    std::vector<Path> cycles;
    for (const std::string& path : state[3].cast<std::vector<std::string>>())
        cycles.emplace_back(path);
    return begin(state[0].cast<std::string>(), state[1].cast<bool>(), state[2].cast<std::string>(),
                 std::move(cycles), std::move(kept), state[5].cast<Pairs>());
}

std::shared_ptr<Scenario> changed(const Scenario& s,
                                  const std::vector<std::pair<std::string, std::string>>& values) {
    scenario::Document document = s.document;
    for (const auto& [path, text] : values) document = document.with(path, text);
    auto made = build(std::move(document), s.folder, s.cycles, s.parsed.files);
    made->origin = s.origin;
    made->from_text = s.from_text;
    made->changes = s.changes;
    made->changes.insert(made->changes.end(), values.begin(), values.end());
    return made;
}

/// The number of that path, whose part may be called by its name: `parts."upper hose".length`.
const scenario::Number* number_of(const scenario::Scenario& s, std::string path) {
    std::erase(path, '"');
    for (const scenario::Number& n : s.numbers) {
        std::string by_name = scenario::path_by_name(n);
        std::erase(by_name, '"');
        if (n.path == path || by_name == path) return &n;
    }
    return nullptr;
}

/// Python's str() is what TOML reads, but for booleans; a number where the scenario has a quantity
/// is in SI.
std::string toml_text(const Scenario& s, const std::string& path, const py::handle& given) {
    py::object value = py::reinterpret_borrow<py::object>(given);
    // A scalar of NumPy is what it holds; a quantity of pint is its size and its unit.
    if (py::hasattr(value, "magnitude") && py::hasattr(value, "units"))
        return py::str("{:.17g} {}")
            .format(value.attr("magnitude"), py::str("{:C}").format(value.attr("units")));
    if (!py::isinstance<py::str>(value) && py::hasattr(value, "item") &&
        py::hasattr(value, "dtype") && value.attr("ndim").cast<int>() == 0)
        value = value.attr("item")();
    if (py::isinstance<py::bool_>(value)) return value.cast<bool>() ? "true" : "false";
    if (py::isinstance<py::float_>(value) || py::isinstance<py::int_>(value))
        if (const scenario::Number* number = number_of(s.parsed, path);
            number != nullptr && number->quantity != units::Quantity::ratio)
            return fmt::format("{:.17g} {}", value.cast<double>(),
                               units::si_unit(number->quantity));
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

/// loop → its runs in the order of the file.
py::dict loops(const Scenario& s) {
    using namespace py::literals;
    py::dict all;
    for (const model::Loop& loop : s.parsed.car.loops) {
        py::list runs;
        for (const model::Run& run : loop.runs) {
            py::list parts;
            for (const model::Part& part : run.parts) parts.append(part.name);
            runs.append(py::dict("run"_a = run.name, "begin"_a = run.from, "end"_a = run.to,
                                 "parts"_a = parts));
        }
        all[py::str(loop.name)] = runs;
    }
    return all;
}

py::list assumptions(const Scenario& s) {
    py::list all;
    for (const scenario::Assumption& a : s.parsed.assumptions)
        all.append(py::make_tuple(a.key, a.value, a.why));
    return all;
}

using ScenarioClass = py::class_<Scenario, std::shared_ptr<Scenario>>;

/// Copies, comparisons, pickles, and how it shows itself.
void add_protocols(ScenarioClass& made) {
    made.def(py::pickle(&recipe_of, &made_of))
        .def("__copy__", [](const std::shared_ptr<Scenario>& s) { return s; })
        .def("__deepcopy__", [](const std::shared_ptr<Scenario>& s, const py::dict&) { return s; })
        .def("__eq__",
             [](const Scenario& a, const py::object& b) {
                 return py::isinstance<Scenario>(b) &&
                        recipe_of(a).equal(recipe_of(b.cast<const Scenario&>()));
             })
        .def("__hash__", [](const Scenario& s) { return py::hash(py::repr(recipe_of(s))); })
        .def("__repr__", [](const Scenario& s) {
            const py::str format("<lapheat.Scenario '{}', {}: {} loops, {} cores, {} cycles>");
            const model::Car& c = s.parsed.car;
            return format.format(c.name,
                                 c.placement.empty() ? "as the car file has it" : c.placement,
                                 c.loops.size(), c.cores.size(), s.driven.size());
        });
}

void bind_scenario_class(py::module_& m) {
    using namespace py::literals;
    ScenarioClass made(m, "Scenario",
                       "One car with its placement, and the cycles to drive. Immutable; made by "
                       "read() or parse().");
    made.def_property_readonly(
            "car", [](const Scenario& s) { return s.parsed.car.name; }, "its name")
        .def_property_readonly(
            "placement", [](const Scenario& s) { return s.parsed.car.placement; },
            "where its cooler is; empty: the file does not say")
        .def_readonly("cycles", &Scenario::driven, "list of Cycle")
        .def_property_readonly("limits", &limits,
                               "loop → caution, limit (K), boiling_reserve (K), part, note")
        .def_property_readonly(
            "loops", &loops, "loop → its runs: run, the nodes where it begins and ends, its parts")
        .def_property_readonly("assumptions", &assumptions,
                               "list of (key, value, why): defaults that were used")
        .def_property_readonly(
            "warnings",
            [](const Scenario& s) {
                std::vector<std::string> all;
                for (const Diagnostic& d : model::warnings(*s.compiled))
                    all.push_back(words(d, units::System::si));
                for (const scenario::Problem& p : s.parsed.warnings) all.push_back(to_string(p));
                return all;
            },
            "list of sentences: what to be careful with")
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
                const std::string text = toml_text(s, path, value);
                const py::gil_scoped_release release;
                return changed(s, {{path, text}});
            },
            "path"_a, "value"_a,
            R"(A copy with one value changed: ``with_value("cores.radiator.width", "600 mm")``.

path: keys joined by dots; items of arrays count from 1, "stack[2].core". What was read stays as it
was read: files that have changed since, or moved, make no difference.
value: text with its unit, a number (SI where it is a quantity), a bool, or TOML text for arrays and tables.
Raises Error for a path that leads nowhere, ScenarioError for a value that does not fit.)")
        .def(
            "with_values",
            [](const Scenario& s, const py::dict& values) {
                std::vector<std::pair<std::string, std::string>> texts;
                for (const auto& [key, value] : values) {
                    const auto path = key.cast<std::string>();
                    texts.emplace_back(path, toml_text(s, path, value));
                }
                const py::gil_scoped_release release;
                return changed(s, texts);
            },
            "values"_a,
            R"(A copy with several values changed at once: ``with_values({path: value, …})``.

All or none: a car that only holds together with all of them is no error on the way. Values as in
with_value(); NumPy scalars and pint quantities as well.)");
    add_protocols(made);
}

void bind_scenario_makers(py::module_& m) {
    using namespace py::literals;
    m.def(
        "read",
        [](const Path& path, const py::object& cycles) {
            std::vector<Path> chosen = paths(cycles);
            const py::gil_scoped_release release;
            return begin(path.string(), false, path.parent_path(), std::move(chosen));
        },
        "path"_a, "cycles"_a = py::none(),
        R"(Reads a car or placement file with all it extends, checks it whole and compiles it.

path: of the file. cycles: paths of cycle files to drive instead of those the file lists.
Raises ScenarioError with every problem of every file.)");
    m.def(
        "parse",
        [](const std::string& text, const Path& folder, const py::object& cycles) {
            std::vector<Path> chosen = paths(cycles);
            const py::gil_scoped_release release;
            return begin(text, true, folder, std::move(chosen));
        },
        "text"_a, "folder"_a = ".", "cycles"_a = py::none(),
        R"(A car as read() gives it, from text that is in no file; paths in it are relative to `folder`.

cycles: as in read(). Raises ScenarioError.)");
}

}  // namespace

void bind_scenario(py::module_& m) {
    bind_scenario_class(m);
    bind_scenario_makers(m);
}

}  // namespace lapheat::python
