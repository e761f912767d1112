// Running a scenario without the GIL, with Ctrl-C heard some times a second.
#include <atomic>
#include <exception>
#include <memory>
#include <optional>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/problems.hpp"
#include "module.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

std::shared_ptr<const drive::Cycle> choose(const Scenario& s, const py::object& wanted) {
    if (py::isinstance<drive::Cycle>(wanted)) return wanted.cast<std::shared_ptr<drive::Cycle>>();
    std::vector<std::string> names;
    for (const auto& c : s.driven) names.push_back(c->name);
    if (wanted.is_none()) {
        if (s.driven.size() == 1) return s.driven.front();
        std::string all;
        for (const std::string& n : names) all += (all.empty() ? "\"" : ", \"") + n + "\"";
        throw Error("which cycle is not said", s.driven.empty() ? "a Cycle" : "one of " + all, {},
                    "cycle");
    }
    if (py::isinstance<py::int_>(wanted)) {
        const auto count = static_cast<py::ssize_t>(s.driven.size());
        const auto index = wanted.cast<py::ssize_t>();
        if (index < -count || index >= count)
            throw py::index_error("the scenario has " + std::to_string(count) + " cycles");
        return s.driven[static_cast<std::size_t>(index < 0 ? index + count : index)];
    }
    const std::string name = wanted.cast<std::string>();
    for (const auto& c : s.driven)
        if (c->name == name) return c;
    throw Error("no cycle is named \"" + name + "\"; " + scenario::suggest(name, names), {}, {},
                "cycle");
}

/// Between integration steps: hears Ctrl-C (main thread only) and tells Python how far it is.
/// An exception of either is kept, the run cancelled, and the exception raised at the end.
struct Listener {
    py::object progress;
    std::atomic<bool> cancel{false};
    std::optional<py::error_already_set> raised;

    void operator()(double fraction) {
        const py::gil_scoped_acquire acquire;
        if (cancel) return;
        try {
            if (PyErr_CheckSignals() != 0) throw py::error_already_set();
            if (!progress.is_none()) progress(fraction);
        } catch (py::error_already_set& error) {
            raised.emplace(error);
            cancel = true;
        }
    }
};

std::shared_ptr<model::Result> run(const Scenario& s, const py::object& cycle, double tolerance,
                                   double sample_interval, bool keep_series,
                                   const py::object& progress) {
    if (!(tolerance > 0))
        throw Error("the tolerance must be positive", "kelvin, such as 2e-3", {}, "tolerance");
    if (!(sample_interval > 0))
        throw Error("the sample interval must be positive", "seconds, such as 1", {},
                    "sample_interval");
    const std::shared_ptr<const drive::Cycle> driven = choose(s, cycle);
    Listener listener{.progress = progress, .raised = {}};
    model::Options options;
    options.tolerance = tolerance;
    options.sample_interval = sample_interval;
    options.keep_series = keep_series;
    options.progress = [&listener](double fraction) { listener(fraction); };
    options.cancel = &listener.cancel;
    std::shared_ptr<model::Result> result;
    try {
        const py::gil_scoped_release release;
        result = std::make_shared<model::Result>(model::simulate(*s.compiled, *driven, options));
    } catch (const Error&) {
        if (!listener.raised) throw;
    }
    if (listener.raised) throw py::error_already_set(*listener.raised);
    return result;
}

}  // namespace

void bind_run(py::module_& m) {
    using namespace py::literals;
    m.def("run", &run, "scenario"_a, "cycle"_a = py::none(), py::kw_only(), "tolerance"_a = 2e-3,
          "sample_interval"_a = 1.0, "keep_series"_a = true, "progress"_a = py::none(),
          R"(Takes the car through a cycle.

cycle: a Cycle, or the name or number of one of scenario.cycles; may be left out if there is one.
tolerance: K, local error of any temperature in one step. sample_interval: s between records.
keep_series: False keeps verdicts, events and ledger only. progress: called with the fraction done,
some times a second. Other threads run meanwhile (the GIL is released); Ctrl-C stops the run.
Raises Error for a cycle the car cannot drive. Equal arguments give equal bits.)");
}

}  // namespace lapheat::python
