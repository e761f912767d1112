// Placements side by side.
#include "lapheat/study/compare.hpp"
#include "lapheat/study/gauges.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "lapheat/results/result_file.hpp"
#include "lapheat/study/draw_file.hpp"
#include "lapheat/study/fields.hpp"
#include "lapheat/study/page.hpp"
#include "listener.hpp"
#include "module.hpp"
#include "rows.hpp"
#include "scenario.hpp"
#include "scratch.hpp"

namespace lapheat::python {
namespace {

using study::CycleOutcome, study::Ranked, study::Certainty;

units::System system_of(const std::string& name) {
    if (const auto system = units::system_named(name)) return *system;
    throw Error("unknown system of units \"" + name + "\"", "\"si\" or \"us\"", {}, "units");
}

/// 500, or "enough" for until the shares stand.
std::size_t number_of_draws(const py::object& draws) {
    if (py::isinstance<py::str>(draws) && draws.cast<std::string>() == "enough") return 0;
    if (py::isinstance<py::int_>(draws) && draws.cast<long>() >= 20)
        return draws.cast<std::size_t>();
    throw Error("no number of draws", "20 or more, \"enough\" or None", {}, "draws");
}

/// What was asked, enough to ask it again.
struct Asked {
    std::vector<std::shared_ptr<Scenario>> placements;
    std::vector<std::string> labels;
    double tolerance = 2e-3, sample_interval = 1;
    bool keep_series = true, hottest_ambient = false, levers = false;
    std::optional<std::size_t> draws;  ///< 0: until the shares stand
    int series = 1;
    std::string units = "si";
};

/// A comparison that knows where it comes from.
struct Comparison : study::Comparison {
    Asked asked;
    explicit Comparison(study::Comparison&& made, Asked from)
        : study::Comparison(std::move(made)), asked(std::move(from)) {}
};

/// Placements that share a name are told apart by what was changed in them.
std::vector<std::string> own_labels(const std::vector<std::shared_ptr<Scenario>>& placements) {
    std::vector<std::string> out;
    for (const auto& s : placements) {
        std::string label = s->parsed.car.placement;
        const auto alike = [&](const auto& other) {
            return other != s && other->parsed.car.placement == label;
        };
        if (std::any_of(placements.begin(), placements.end(), alike))
            for (const auto& [path, value] : s->changes)
                label += (label.empty() ? "" : ", ") + path + " = " + value;
        out.push_back(label);
    }
    return out;
}

std::shared_ptr<Comparison> compare(Asked asked, std::shared_ptr<const study::DrawTable> earlier,
                                    int threads, const py::object& progress) {
    if (asked.labels.empty()) asked.labels = own_labels(asked.placements);
    if (asked.labels.size() != asked.placements.size())
        throw Error(
            fmt::format("{} labels for {} scenarios", asked.labels.size(), asked.placements.size()),
            "one for each", {}, "labels");
    study::CompareOptions options;
    options.threads = threads;
    options.run = run_options(asked.tolerance, asked.sample_interval, asked.keep_series);
    options.hottest_ambient = asked.hottest_ambient;
    options.levers = asked.levers;
    options.draws = asked.draws;
    options.earlier = std::move(earlier);
    options.series = static_cast<std::uint64_t>(asked.series);
    options.system = system_of(asked.units);
    return listening(progress, [&](Listener& listener) {
        options.progress = [&listener](double fraction) { listener(fraction); };
        options.cancel = &listener.cancel;
        std::vector<scenario::Scenario> parsed;
        for (std::size_t i = 0; i < asked.placements.size(); ++i) {
            parsed.push_back(asked.placements[i]->parsed);
            parsed.back().car.placement = asked.labels[i];
        }
        return std::make_shared<Comparison>(study::compare(parsed, options), std::move(asked));
    });
}

std::shared_ptr<Comparison> compare_all(std::vector<std::shared_ptr<Scenario>> placements,
                                        std::vector<std::string> labels, double tolerance,
                                        double sample_interval, bool keep_series, int threads,
                                        bool hottest_ambient, bool levers, const py::object& draws,
                                        int series, std::string units, const py::object& progress) {
    for (std::size_t i = 0; i < placements.size(); ++i)
        if (!placements[i])
            throw Error(fmt::format("item {} of the scenarios is None", i), "a Scenario", {},
                        "scenarios");
    Asked asked{std::move(placements),
                std::move(labels),
                tolerance,
                sample_interval,
                keep_series,
                hottest_ambient,
                levers,
                std::nullopt,
                series,
                std::move(units)};
    if (!draws.is_none()) asked.draws = number_of_draws(draws);
    return compare(std::move(asked), nullptr, threads, progress);
}

/// All of its runs in one file, as `lapheat compare --one-file` writes it.
void write(const Comparison& c, const std::filesystem::path& path) {
    const py::gil_scoped_release release;
    std::vector<results::TextFile> texts;
    for (const auto& s : c.asked.placements)
        for (const scenario::SourceFile& f : s->parsed.files) texts.push_back({f.path, f.text});
    std::vector<model::Result> runs;
    std::vector<std::vector<results::LoopLimits>> limits;
    for (std::size_t i = 0; i < c.outcomes.size(); ++i) {
        runs.push_back(c.outcomes[i].result);
        runs.back().placement = c.outcomes[i].placement;
        limits.push_back(results::limits_of(c.cars[i / c.cycles.size()]));
    }
    results::write_results(path, runs, limits, texts);
}

/// What it was made from, and the draws: to run it again gives the same bits.
py::tuple recipe_of(const Comparison& c) {
    const Asked& a = c.asked;
    py::object draws = py::none(), table = py::none();
    if (c.certainty) {
        const Scratch scratch("draws.h5");
        study::write_draws(scratch.file(), c.certainty->table);
        draws = py::cast(c.certainty->table.draws);
        table = scratch.bytes();
    }
    return py::make_tuple(py::tuple(py::cast(a.placements)), py::tuple(py::cast(a.labels)),
                          a.tolerance, a.sample_interval, a.keep_series, a.hottest_ambient, draws,
                          a.series, a.units, table, a.levers);
}

std::shared_ptr<Comparison> made_of(const py::tuple& t) {
    Asked asked{t[0].cast<std::vector<std::shared_ptr<Scenario>>>(),
                t[1].cast<std::vector<std::string>>(),
                t[2].cast<double>(),
                t[3].cast<double>(),
                t[4].cast<bool>(),
                t[5].cast<bool>(),
                t[10].cast<bool>(),
                t[6].cast<std::optional<std::size_t>>(),
                t[7].cast<int>(),
                t[8].cast<std::string>()};
    std::shared_ptr<const study::DrawTable> table;
    if (!t[9].is_none()) {
        const Scratch scratch("draws.h5", t[9].cast<py::bytes>());
        table = std::make_shared<study::DrawTable>(study::read_draws(scratch.file()));
    }
    return compare(std::move(asked), table, 0, py::none());
}

const CycleOutcome& outcome(const Comparison& c, const std::string& placement,
                            const std::string& cycle) {
    for (const CycleOutcome& o : c.outcomes)
        if (o.placement == placement && o.cycle == cycle) return o;
    throw py::key_error(placement + ", " + cycle);
}

void bind_rows(py::module_& m) {
    bind_row<CycleOutcome>(m, "Outcome", "One placement in one cycle.")
        .def_readonly("result", &CycleOutcome::result, "Result of the run")
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

namespace {

void bind_comparison_class(py::module_& m) {
    using namespace py::literals;
    py::class_<Comparison, std::shared_ptr<Comparison>>(
        m, "Comparison",
        R"(Placements through cycles, ranked. ``comparison[placement, cycle]`` is an Outcome.

It pickles as what it was made from and its draws, and is run again where it arrives: the same bits,
for the time of its runs without draws.)")
        .def_readonly("placements", &Comparison::placements, "their names, as given")
        .def_readonly("cycles", &Comparison::cycles, "their names, as driven")
        .def(
            "write", &write, "path"_a,
            R"(Writes all of its runs into one HDF5 file, whole or not at all: /runs/PLACEMENT/CYCLE, and the
texts they were made from. load() gives them back. Raises Error when it cannot be written.)")
        .def(py::pickle(&recipe_of, &made_of))
        .def("__copy__", [](const std::shared_ptr<Comparison>& c) { return c; })
        .def("__deepcopy__",
             [](const std::shared_ptr<Comparison>& c, const py::dict&) { return c; })
        .def("__eq__",
             [](const Comparison& a, const py::object& b) {
                 return py::isinstance<Comparison>(b) &&
                        recipe_of(a).equal(recipe_of(b.cast<const Comparison&>()));
             })
        .def("__hash__", [](const Comparison& c) { return py::hash(recipe_of(c)); })
        .def_readonly("outcomes", &Comparison::outcomes,
                      "placement by placement, its cycles in order")
        .def_readonly("ranking", &Comparison::ranking, "best first")
        .def_readonly(
            "levers", &Comparison::levers,
            "what would make those hold that do not, of the best three of them: list of Lever; "
            "empty unless asked for, or where all hold")
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
}

}  // namespace

void bind_compare(py::module_& m) {
    using namespace py::literals;
    bind_rows(m);
    bind_certainty(m);
    bind_row<study::GaugeReading>(m, "GaugeReading", "What a gauge should show in a cycle.");
    bind_row<study::Lever>(m, "Lever", "One number moved towards what would make a placement hold.")
        .def(
            "words",
            [](const study::Lever& l, const std::string& units) {
                return study::lever_words(l, system_of(units));
            },
            "units"_a = "si", "It in one sentence; units: \"si\" or \"us\".")
        .def("__repr__", [](const study::Lever& l) {
            return '<' + l.placement + ": " + study::lever_words(l, units::System::si) + '>';
        });
    bind_comparison_class(m);
    m.def("compare", &compare_all, "scenarios"_a, py::kw_only(),
          "labels"_a = std::vector<std::string>{}, "tolerance"_a = 2e-3, "sample_interval"_a = 1.0,
          "keep_series"_a = true, "threads"_a = 0, "hottest_ambient"_a = false, "levers"_a = false,
          "draws"_a = py::none(), "series"_a = 1, "units"_a = "si", "progress"_a = py::none(),
          R"(Runs every scenario through every one of its cycles, ranks and explains.

scenarios: sequence of Scenario with the same cycles. labels: a name for each; left out, its
placement, and where two share one what was changed in it by with_values(). threads: 0 for all of the machine; the bits
are the same for any number. tolerance, sample_interval, keep_series: as in run(). hottest_ambient: four to six more runs for each outcome. levers: what
would make those hold that do not, some hundred runs for each of at most three. draws: how
often all that is in doubt is drawn anew, 20 or more, or "enough" for until the shares stand; series:
other draws. units: "si" or "us", of the sentences. progress as in run(), like Ctrl-C.
Raises Error for cycles that differ.)");
}

}  // namespace lapheat::python
