// Running scenarios without the GIL.
#include <fmt/core.h>

#include <memory>

#include "lapheat/model/simulate.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/scenario/problems.hpp"
#include "lapheat/study/fields.hpp"
#include "listener.hpp"
#include "module.hpp"
#include "rows.hpp"
#include "scenario.hpp"

namespace lapheat::python {

model::Options run_options(double tolerance, double sample_interval, bool keep_series) {
    if (!(tolerance >= 1e-12 && tolerance <= 100))
        throw Error("the tolerance is out of range", "1e-12 to 100 kelvin, such as 2e-3", {},
                    "tolerance");
    if (!(sample_interval >= 1e-3 && sample_interval <= 1e9))
        throw Error("the sample interval is out of range", "0.001 to 1e9 seconds, such as 1", {},
                    "sample_interval");
    model::Options o;
    o.tolerance = tolerance;
    o.sample_interval = sample_interval;
    o.keep_series = keep_series;
    return o;
}

namespace {

std::shared_ptr<const drive::Cycle> by_name(const Scenario& s, const std::string& name) {
    std::vector<std::string> names;
    for (const auto& c : s.driven) {
        if (c->name == name) return c;
        names.push_back(c->name);
    }
    throw Error("no cycle is named \"" + name + "\"; " + scenario::suggest(name, names), {}, {},
                "cycle");
}

std::shared_ptr<const drive::Cycle> by_number(const Scenario& s, py::ssize_t index) {
    const auto count = static_cast<py::ssize_t>(s.driven.size());
    if (index < -count || index >= count)
        throw py::index_error(fmt::format("the scenario has {} cycles", count));
    return s.driven[static_cast<std::size_t>(index < 0 ? index + count : index)];
}

std::shared_ptr<const drive::Cycle> choose(const Scenario& s, const py::object& wanted) {
    if (py::isinstance<drive::Cycle>(wanted)) return wanted.cast<std::shared_ptr<drive::Cycle>>();
    if (py::isinstance<py::int_>(wanted)) return by_number(s, wanted.cast<py::ssize_t>());
    if (!wanted.is_none()) return by_name(s, wanted.cast<std::string>());
    if (s.driven.size() == 1) return s.driven.front();
    std::string all;
    for (const auto& c : s.driven) all += (all.empty() ? "\"" : ", \"") + c->name + "\"";
    throw Error("which cycle is not said", s.driven.empty() ? "a Cycle" : "one of " + all, {},
                "cycle");
}

std::shared_ptr<model::Result> run(const Scenario& s, const py::object& cycle, double tolerance,
                                   double sample_interval, bool keep_series,
                                   const py::object& progress) {
    model::Options o = run_options(tolerance, sample_interval, keep_series);
    const std::shared_ptr<const drive::Cycle> driven = choose(s, cycle);
    return listening(progress, [&](Listener& listener) {
        o.progress = [&listener](double fraction) { listener(fraction); };
        o.cancel = &listener.cancel;
        return std::make_shared<model::Result>(model::simulate(*s.compiled, *driven, o));
    });
}

py::dict hottest(const Scenario& s, const py::object& cycle, double tolerance,
                 const std::vector<std::string>& left_out) {
    using namespace py::literals;
    model::Options o = run_options(tolerance, 1.0, false);
    const std::shared_ptr<const drive::Cycle> driven = choose(s, cycle);
    const study::HottestAmbient h = listening(py::none(), [&](Listener& listener) {
        o.progress = [&listener](double fraction) { listener(fraction); };
        o.cancel = &listener.cancel;
        return study::hottest_ambient(*s.compiled, *driven, o, left_out);
    });
    return dict_of(h);
}

py::list line_costs(const Scenario& s, const py::object& cycle, double metres, double bends,
                    int threads, const py::object& progress) {
    using namespace py::literals;
    if (!(metres > 0 && bends > 0))
        throw Error("a line must be made longer and gain bends", "metres and bends above zero");
    study::LineCostOptions o;
    o.metres = metres;
    o.bends = bends;
    o.threads = threads;
    const std::shared_ptr<const drive::Cycle> driven = choose(s, cycle);
    const auto costs = listening(progress, [&](Listener& listener) {
        o.progress = [&listener](double fraction) { listener(fraction); };
        o.cancel = &listener.cancel;
        return study::line_costs(s.parsed.car, *driven, o);
    });
    return dicts_of(costs);
}

py::list plumbing(const Scenario& s, double allowance) {
    return dicts_of(study::plumbing(s.parsed.car, allowance));
}

void write(const model::Result& result, const std::filesystem::path& path,
           const Scenario* scenario) {
    const py::gil_scoped_release release;
    results::Provenance origin;
    if (scenario) {
        for (const scenario::SourceFile& f : scenario->parsed.files)
            origin.files.push_back({f.path, f.text});
        origin.limits = results::limits_of(scenario->parsed.car);
    }
    results::write_result(path, result, origin);
}

std::vector<std::shared_ptr<model::Result>> load(const std::filesystem::path& path) {
    const py::gil_scoped_release release;
    const results::Hdf5Reader reader(path);
    std::vector<std::shared_ptr<model::Result>> all;
    for (const std::string& root : results::run_roots(reader))
        all.push_back(std::make_shared<model::Result>(results::get_result(reader, root)));
    return all;
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
    m.def(
        "line_costs", &line_costs, "scenario"_a, "cycle"_a = py::none(), py::kw_only(),
        "metres"_a = 0.5, "bends"_a = 2.0, "threads"_a = 0, "progress"_a = py::none(),
        R"(What each metre more of every hose and tube costs, and each bend more: a list of dicts with
loop, part, cycle, length, inner_diameter (m), peak_per_metre and margin_per_metre (K/m, of the
line's own loop), flow_per_metre (m³/s lost for each metre), and the same per_bend. Two runs for
each line, longer by `metres` and with `bends` more; threads: 0 for all of the machine; cycle, progress
as in run().)");
    m.def(
        "plumbing", &plumbing, "scenario"_a, py::kw_only(), "allowance"_a = 0.05,
        R"(The list to shop from: dicts with what, loop, part, size, length (m to cut, `allowance` of it
for trimming; 0 for what is counted), count, note.)");
    m.def(
        "hottest_ambient", &hottest, "scenario"_a, "cycle"_a = py::none(), py::kw_only(),
        "tolerance"_a = 2e-3, "left_out"_a = std::vector<std::string>{},
        R"(The hottest day the car still comes through: the cycle's air temperatures are moved until the
least margin is zero; four to six runs.

cycle, tolerance: as in run(). left_out: loops whose margin does not count. Gives a dict: ambient (K, the cycle's highest), shift
(K), loop (which reaches its limit), runs, beyond_range (the end of the searched range is given).)");
    m.def(
        "write", &write, "result"_a, "path"_a, "scenario"_a = nullptr,
        R"(Writes a result as HDF5 to `path`, whole or not at all. With its scenario, texts and limits are kept too.
Raises Error when the file cannot be written.)");
    m.def(
        "load", &load, "path"_a,
        R"(The results in the HDF5 file at `path` that lapheat wrote, a list. Raises Error for any other file.)");
}

}  // namespace lapheat::python
