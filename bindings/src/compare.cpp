// Placements side by side.
#include "lapheat/study/compare.hpp"

#include <fmt/core.h>

#include <cmath>
#include <memory>

#include "lapheat/study/fields.hpp"
#include "lapheat/study/page.hpp"
#include "listener.hpp"
#include "module.hpp"
#include "rows.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

using study::Comparison, study::CycleOutcome, study::Ranked, study::Sensitivity;

units::System system_of(const std::string& name) {
    if (name == "si") return units::System::si;
    if (name == "us") return units::System::us;
    throw Error("unknown system of units \"" + name + "\"", "\"si\" or \"us\"", {}, "units");
}

std::shared_ptr<Comparison> compare(const std::vector<std::shared_ptr<Scenario>>& placements,
                                    double tolerance, double sample_interval, bool keep_series,
                                    int threads, bool hottest_ambient, bool sensitivity,
                                    const std::string& units, const py::object& progress) {
    study::CompareOptions options;
    options.threads = threads;
    options.run = run_options(tolerance, sample_interval, keep_series);
    options.hottest_ambient = hottest_ambient;
    options.sensitivity = sensitivity;
    options.system = system_of(units);
    return listening(progress, [&](Listener& listener) {
        options.progress = [&listener](double fraction) { listener(fraction); };
        options.cancel = &listener.cancel;
        std::vector<scenario::Scenario> parsed;
        for (const std::shared_ptr<Scenario>& s : placements) parsed.push_back(s->parsed);
        return std::make_shared<Comparison>(study::compare(parsed, options));
    });
}

const CycleOutcome& outcome(const Comparison& c, const std::string& placement,
                            const std::string& cycle) {
    for (const CycleOutcome& o : c.outcomes)
        if (o.placement == placement && o.cycle == cycle) return o;
    throw py::key_error(placement + ", " + cycle);
}

void bind_rows(py::module_& m) {
    bind_row<CycleOutcome>(m, "Outcome", "One placement in one cycle.")
        .def_readonly("result", &CycleOutcome::result)
        .def_property_readonly(
            "hottest_ambient",
            [](const CycleOutcome& o) -> py::object {
                return std::isnan(o.hottest_ambient) ? py::object(py::none())
                                                     : py::cast(o.hottest_ambient);
            },
            "K that the cycle could be at; None if not asked")
        .def("__repr__", [](const CycleOutcome& o) {
            return fmt::format("<{}, {}: {:+.1f} K ({})>", o.placement, o.cycle, o.worst_margin,
                               o.worst_loop);
        });
    bind_row<Ranked>(m, "Ranked", "A placement's rank, by its worst moment.")
        .def_property_readonly(
            "lines",
            [](const Ranked& r) {
                py::dict metres;
                for (const auto& [loop, length] : r.lines) metres[py::str(loop)] = length;
                return metres;
            },
            "loop → m of hose and tube")
        .def("__repr__", [](const Ranked& r) {
            return fmt::format("<{}: {:+.1f} K>", r.placement, r.worst_margin);
        });
    bind_row<Sensitivity>(m, "Sensitivity",
                          "One assumption about a place at both ends of its range.");
}

}  // namespace

void bind_compare(py::module_& m) {
    using namespace py::literals;
    bind_rows(m);
    py::class_<Comparison, std::shared_ptr<Comparison>>(
        m, "Comparison",
        "Placements through cycles, ranked. comparison[placement, cycle] is an CycleOutcome.")
        .def_readonly("placements", &Comparison::placements)
        .def_readonly("cycles", &Comparison::cycles)
        .def_readonly("outcomes", &Comparison::outcomes,
                      "placement by placement, its cycles in order")
        .def_readonly("ranking", &Comparison::ranking, "best first")
        .def_readonly("verdict", &Comparison::verdict, "why the winner wins")
        .def_readonly("sensitivity", &Comparison::sensitivity)
        .def_property_readonly(
            "cautions",
            [](const Comparison& c) {
                std::vector<std::string> texts;
                for (const study::Caution& caution : c.cautions)
                    texts.push_back(caution.about + ": " + caution.text);
                return texts;
            },
            "list of sentences, each led by what it is about")
        .def_readonly("left_out", &Comparison::left_out,
                      "loops that the placements do not serve: shown as a change")
        .def_readonly("served", &Comparison::served, "loops that the placements are judged by")
        .def_readonly("doubt", &Comparison::doubt, "K within which margins tie")
        .def_property_readonly(
            "rule", [](const Comparison& c) { return study::ranking_rule(c, units::System::si); },
            "the rule of the ranking in one sentence")
        .def(
            "__getitem__",
            [](const Comparison& c, const std::pair<std::string, std::string>& key)
                -> const CycleOutcome& { return outcome(c, key.first, key.second); },
            "key"_a, py::return_value_policy::reference_internal)
        .def(
            "page",
            [](const Comparison& c, const std::string& units) {
                return study::comparison_page(c, system_of(units));
            },
            "units"_a = "si", "The comparison as one HTML page that needs nothing else.");
    m.def("compare", &compare, "scenarios"_a, py::kw_only(), "tolerance"_a = 2e-3,
          "sample_interval"_a = 1.0, "keep_series"_a = true, "threads"_a = 0,
          "hottest_ambient"_a = false, "sensitivity"_a = false, "units"_a = "si",
          "progress"_a = py::none(),
          R"(Runs every scenario through every one of its cycles, ranks and explains.

scenarios: sequence of Scenario with the same cycles. threads: 0 for all of the machine; the bits
are the same for any number. hottest_ambient: four to six more runs for each outcome. sensitivity:
some 100 more runs. units: "si" or "us", of the sentences. progress as in run(), like Ctrl-C.
Raises Error for cycles that differ.)");
}

}  // namespace lapheat::python
