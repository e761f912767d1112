// Placements side by side.
#include "lapheat/study/compare.hpp"
#include "lapheat/study/gauges.hpp"

#include <fmt/core.h>

#include <algorithm>
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

using study::Comparison, study::CycleOutcome, study::Ranked, study::Certainty;

units::System system_of(const std::string& name) {
    if (name == "si") return units::System::si;
    if (name == "us") return units::System::us;
    throw Error("unknown system of units \"" + name + "\"", "\"si\" or \"us\"", {}, "units");
}

/// 500, or "enough" for until the shares stand.
std::size_t number_of_draws(const py::object& draws) {
    if (py::isinstance<py::str>(draws) && draws.cast<std::string>() == "enough") return 0;
    if (py::isinstance<py::int_>(draws) && draws.cast<long>() >= 20)
        return draws.cast<std::size_t>();
    throw Error("no number of draws", "20 or more, \"enough\" or None", {}, "draws");
}

std::shared_ptr<Comparison> compare(const std::vector<std::shared_ptr<Scenario>>& placements,
                                    double tolerance, double sample_interval, bool keep_series,
                                    int threads, bool hottest_ambient, const py::object& draws,
                                    int series, const std::string& units,
                                    const py::object& progress) {
    for (std::size_t i = 0; i < placements.size(); ++i)
        if (!placements[i])
            throw Error("item " + std::to_string(i) + " of the scenarios is None", "a Scenario", {},
                        "scenarios");
    study::CompareOptions options;
    options.threads = threads;
    options.run = run_options(tolerance, sample_interval, keep_series);
    options.hottest_ambient = hottest_ambient;
    if (!draws.is_none()) options.draws = number_of_draws(draws);
    options.series = static_cast<std::uint64_t>(series);
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
}

/// Columns of a table of draws as a dict of arrays.
py::dict values_of(const Certainty& c) {
    py::dict out;
    for (std::size_t k = 0; k < c.table.numbers.size(); ++k) {
        py::array_t<double> column(static_cast<py::ssize_t>(c.table.draws));
        for (std::size_t n = 0; n < c.table.draws; ++n)
            column.mutable_at(static_cast<py::ssize_t>(n)) = c.table.value(k, n);
        out[py::str(c.table.numbers[k].words())] = column;
    }
    return out;
}

py::dict margins_of(const Comparison& c) {
    py::dict out;
    if (!c.certainty) return out;
    const auto margins = study::margins(c.certainty->table, c.served.size());
    for (std::size_t p = 0; p < margins.size(); ++p)
        out[py::str(c.placements[p])] =
            py::array_t<double>(static_cast<py::ssize_t>(margins[p].size()), margins[p].data());
    return out;
}

/// loop -> (low, high), arrays in K over `time`: as lapheat.plot.temperatures() takes them.
py::dict bands_of(const Certainty& c, const std::string& placement, const std::string& cycle,
                  const std::vector<double>& time) {
    py::dict out;
    for (const study::Band& b : c.bands) {
        if (b.placement != placement || b.cycle != cycle) continue;
        const auto over = [&](const std::vector<double>& edge) {
            py::array_t<double> values(static_cast<py::ssize_t>(time.size()));
            const double step = b.time[1] - b.time[0];
            for (std::size_t i = 0; i < time.size(); ++i) {
                const double at = std::clamp((time[i] - time[0]) / step, 0.0,
                                             static_cast<double>(edge.size() - 1));
                const auto below = static_cast<std::size_t>(at);
                const std::size_t above = std::min(below + 1, edge.size() - 1);
                values.mutable_at(static_cast<py::ssize_t>(i)) =
                    std::lerp(edge[below], edge[above], at - static_cast<double>(below));
            }
            return values;
        };
        out[py::str(b.loop)] = py::make_tuple(over(b.low), over(b.high));
    }
    return out;
}

void bind_certainty(py::module_& m) {
    using namespace py::literals;
    bind_row<study::CycleCertainty>(m, "CycleCertainty", "One placement in one cycle, by draws.");
    bind_row<study::PlacementCertainty>(m, "PlacementCertainty", "One placement, by draws.");
    bind_row<study::FluidCertainty>(m, "FluidCertainty", "One fluid of a placement, by draws.");
    bind_row<study::Driver>(m, "Driver", "A number in doubt, and its part of the doubt.");
    bind_row<study::Measurement>(m, "Measurement", "What can be measured before the choice.");
    py::class_<Certainty>(m, "Certainty", "How sure a comparison is, from draws of all doubts.")
        .def_readonly("draws", &Certainty::draws, "how many")
        .def_readonly("runs", &Certainty::runs, "of a placement through a cycle")
        .def_readonly("failed", &Certainty::failed, "runs that could not be finished")
        .def_readonly("interrupted", &Certainty::cancelled, "ended before it was asked to")
        .def_readonly("placements", &Certainty::placements, "as given")
        .def_readonly("cycles", &Certainty::cycles, "placement by placement")
        .def_readonly("fluids", &Certainty::fluids, "placement by placement, loops in order")
        .def_readonly("better", &Certainty::better,
                      "[p][q]: share in which p has more margin than q")
        .def_readonly("about", &Certainty::about, "the placement that the next two are about")
        .def_readonly("drivers", &Certainty::drivers, "most of the doubt first")
        .def_readonly("measure", &Certainty::measure, "what is worth most first")
        .def_readonly("regret", &Certainty::regret, "of the choice with the least, K")
        .def(
            "bands",
            [](const Certainty& c, const model::Result& result) {
                return bands_of(c, result.placement, result.cycle, result.time);
            },
            "result"_a,
            "loop -> (5 %, 95 %) of the drawn temperatures, K over the result's time: for "
            "plot.temperatures(); empty for a run that was not drawn")
        .def_property_readonly("values", &values_of,
                               "what was drawn: number -> array over the draws, SI")
        .def("__repr__", [](const Certainty& c) {
            return fmt::format("<{} draws of {} numbers>", c.draws, c.table.numbers.size());
        });
}

}  // namespace

void bind_compare(py::module_& m) {
    using namespace py::literals;
    bind_rows(m);
    bind_certainty(m);
    bind_row<study::GaugeReading>(m, "GaugeReading", "What a gauge should show in a cycle.");
    py::class_<Comparison, std::shared_ptr<Comparison>>(
        m, "Comparison",
        "Placements through cycles, ranked. comparison[placement, cycle] is an CycleOutcome.")
        .def_readonly("placements", &Comparison::placements)
        .def_readonly("cycles", &Comparison::cycles)
        .def_readonly("outcomes", &Comparison::outcomes,
                      "placement by placement, its cycles in order")
        .def_readonly("ranking", &Comparison::ranking, "best first")
        .def_readonly("verdict", &Comparison::verdict, "why the winner wins")
        .def_property_readonly(
            "certainty", [](const Comparison& c) { return c.certainty ? &*c.certainty : nullptr; },
            py::return_value_policy::reference_internal, "None without draws")
        .def_property_readonly("drawn_margins", &margins_of,
                               "placement -> least margin in each complete draw, K")
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
            "gauges",
            [](const Comparison& c, const std::string& placement) {
                const std::size_t p = c.index_of(placement);
                if (p == c.placements.size())
                    throw py::key_error("no placement '" + placement + "' was compared");
                return study::gauge_readings(c, p);
            },
            "placement"_a,
            "What gauges should show there: list of GaugeReading, cycle by cycle; empty for runs "
            "without series. Raises KeyError for a placement that is not there.")
        .def(
            "page",
            [](const Comparison& c, const std::string& units) {
                return study::comparison_page(c, system_of(units));
            },
            "units"_a = "si", "The comparison as one HTML page that needs nothing else.");
    m.def("compare", &compare, "scenarios"_a, py::kw_only(), "tolerance"_a = 2e-3,
          "sample_interval"_a = 1.0, "keep_series"_a = true, "threads"_a = 0,
          "hottest_ambient"_a = false, "draws"_a = py::none(), "series"_a = 1, "units"_a = "si",
          "progress"_a = py::none(),
          R"(Runs every scenario through every one of its cycles, ranks and explains.

scenarios: sequence of Scenario with the same cycles. threads: 0 for all of the machine; the bits
are the same for any number. hottest_ambient: four to six more runs for each outcome. draws: how
often all that is in doubt is drawn anew, 20 or more, or "enough" for until the shares stand; series:
other draws. units: "si" or "us", of the sentences. progress as in run(), like Ctrl-C.
Raises Error for cycles that differ.)");
}

}  // namespace lapheat::python
