// Results: arrays are views into the C++ result, nothing is copied.
#include "lapheat/model/result.hpp"

#include <fmt/core.h>
#include <nlohmann/json.hpp>

#include <memory>

#include "keep.hpp"
#include "lapheat/results/json.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/units/error.hpp"
#include "module.hpp"
#include "rows.hpp"
#include "scratch.hpp"

namespace lapheat::python {
namespace {

using model::Result;
using model::Series;

/// The exact content of a result as its HDF5 file.
py::bytes bytes_of(const Result& result) {
    const Scratch scratch("result.h5");
    results::write_result(scratch.file(), result, {.files = {}, .limits = {}, .exact = true});
    return scratch.bytes();
}

std::shared_ptr<Result> result_of(const py::bytes& bytes) {
    const Scratch scratch("result.h5", bytes);
    return std::make_shared<Result>(results::read_result(scratch.file()));
}

/// By content; in what order the series stand says nothing.
bool same(const Result& a, const Result& b) {
    if (&a == &b) return true;
    if (a.time != b.time || a.series.size() != b.series.size()) return false;
    for (const Series& s : a.series) {
        const Series* other = b.find(s.group, s.name);
        if (other == nullptr || other->values != s.values || other->units != s.units) return false;
    }
    return results::to_text(results::to_json(a)) == results::to_text(results::to_json(b));
}

std::string path_of(const Series& s) { return s.group + "/" + s.name; }

const Series& find(const Result& result, const std::string& path) {
    const std::size_t slash = path.rfind('/');
    if (slash != std::string::npos)
        if (const Series* s = result.find(path.substr(0, slash), path.substr(slash + 1))) return *s;
    throw py::key_error(path + " (the names are in result.series)");
}

py::array_t<double> item(const py::object& self, const std::string& path) {
    const Result& result = self.cast<const Result&>();
    if (path == "time") return view(result.time, self);
    return view(find(result, path).values, self);
}

py::list names(const Result& result) {
    py::list all;
    for (const Series& s : result.series) all.append(path_of(s));
    return all;
}

void bind_small(py::module_& m) {
    using model::RunCost, model::Event, model::HeatSource, model::Ledger, model::LedgerEntry,
        model::FanState, model::LineState, model::PumpState, model::Verdict;
    bind_kept_row<Event>(m, "Event",
                         "Something that happened at a moment, located by the integrator.")
        .def("__repr__", [](const Event& e) {
            return e.value == 0 ? fmt::format("<{:.1f} s: {}, {}>", e.time, name(e.kind), e.subject)
                                : fmt::format("<{:.1f} s: {}, {}, {:.1f} °C>", e.time, name(e.kind),
                                              e.subject, e.value - 273.15);
        });
    bind_kept_row<LedgerEntry>(m, "LedgerEntry", "One path of energy over the whole run.")
        .def("__repr__", [](const LedgerEntry& e) {
            return fmt::format("<{}: {:.0f} kJ>", e.name, e.joules / 1e3);
        });
    const auto total = [](LedgerEntry::Direction direction) {
        return [direction](const Ledger& l) { return l.total(direction); };
    };
    py::class_<Ledger>(m, "Ledger",
                       "Where the energy came from and went to. Iterates over its entries.")
        .def_readonly("entries", &Ledger::entries, "list of LedgerEntry")
        .def_readonly("moved", &Ledger::moved, "J, all that came in or was given from store")
        .def_readonly("closure", &Ledger::closure, "share: |in − out − stored| / moved")
        .def_property_readonly("total_in", total(LedgerEntry::Direction::in), "J")
        .def_property_readonly("total_out", total(LedgerEntry::Direction::out), "J")
        .def_property_readonly("total_stored", total(LedgerEntry::Direction::stored),
                               "J, negative when the car ended colder")
        .def(
            "__iter__",
            [](const Ledger& l) { return py::make_iterator(l.entries.begin(), l.entries.end()); },
            py::keep_alive<0, 1>())
        .def("__len__", [](const Ledger& l) { return l.entries.size(); })
        .def("__repr__", [](const Ledger& l) {
            return fmt::format("<lapheat.Ledger: {:.2f} MJ moved, closes to {:.1e}>", l.moved / 1e6,
                               l.closure);
        });
    bind_kept_row<HeatSource>(m, "HeatSource", "Where heat was made, by the drive alone.")
        .def("__repr__", [](const HeatSource& s) {
            return fmt::format("<{}, {}: {:.0f} kJ>", s.source, s.path, s.joules / 1e3);
        });
    bind_kept_row<RunCost>(m, "RunCost", "What the run cost.");
    bind_kept_row<LineState>(
        m, "LineState",
        "A part that costs pressure, at its loop's least margin. SI units; *_peak "
        "are the highest of the run.")
        .def("__repr__", [](const LineState& l) {
            return fmt::format("<{}, {}: {:.2f} m/s, {:.2f} kPa>", l.loop, l.part, l.velocity,
                               l.pressure_loss / 1e3);
        });
    bind_kept_row<PumpState>(m, "PumpState", "How a pump was fed; heads in m of the liquid.")
        .def("__repr__", [](const PumpState& p) {
            return fmt::format("<{}, {}: {:.1f} m to spare>", p.loop, p.pump, p.suction_margin);
        });
    bind_kept_row<FanState>(m, "FanState", "What a fan did beside what is claimed of it.")
        .def("__repr__", [](const FanState& f) {
            return fmt::format("<{}: on {:.0f} % of the time, {:.0f} m³/h of {:.0f} claimed>",
                               f.fan, 100 * f.duty, 3600 * f.flow, 3600 * f.claim);
        });
    bind_row<model::AssumedNumber>(m, "AssumedNumber", "A number that the files leave out, in SI.")
        .def("__repr__", [](const model::AssumedNumber& a) {
            return fmt::format("<{} = {}>", a.key,
                               units::format(a.value, a.quantity, units::System::si));
        });
    bind_kept_row<Verdict>(m, "Verdict", "How one fluid came through the cycle.")
        .def_property_readonly("peak_is_start", &Verdict::peak_is_start,
                               "True: the highest temperature is the one it began with")
        .def("__repr__", [](const Verdict& v) {
            return fmt::format("<{}: peak {:.1f} °C, margin {:.1f} K>", v.loop, v.peak - 273.15,
                               v.margin);
        });
}

void bind_series(py::module_& m) {
    using namespace py::literals;
    py::class_<Series>(m, "Series",
                       "One quantity against time. numpy.asarray(series) does not copy.")
        .def_property_readonly("path", &path_of, "group/name: the key in Result")
        .def_readonly("group", &Series::group, "the part it is of")
        .def_readonly("name", &Series::name, "what it is")
        .def_readonly("units", &Series::units, "UDUNITS text of an SI unit")
        .def_readonly("long_name", &Series::long_name, "in words")
        .def_property_readonly("values", viewer(&Series::values),
                               "(n,) over Result.time, in SI: see units")
        .def(
            "__array__",
            [](const py::object& self, const py::object& dtype) -> py::object {
                const py::array values = view(self.cast<const Series&>().values, self);
                return dtype.is_none() ? py::object(values)
                                       : values.attr("astype")(dtype, "copy"_a = false);
            },
            "dtype"_a = py::none())
        .def("__len__", [](const Series& s) { return s.values.size(); })
        .def("__repr__", [](const Series& s) {
            return py::str("<{} [{}], {} values>").format(path_of(s), s.units, s.values.size());
        });
}

}  // namespace

void bind_result(py::module_& m) {
    using namespace py::literals;
    bind_small(m);
    bind_series(m);
    py::class_<Result, std::shared_ptr<Result>> result(m, "Result",
                                                       R"(A car taken through one cycle.

result["loops/coolant/jacket/temperature"] is a read-only NumPy view of shape (n,), without a copy,
in SI units; it keeps the result alive. Temperatures are in K.)",
                                                       py::dynamic_attr());
    add_fields(result);
    result.def_property_readonly("time", viewer(&Result::time), "(n,) s")
        .def_property_readonly(
            "series",
            [](const py::object& self) {
                const Result& r = self.cast<const Result&>();
                py::dict all;
                for (const Series& s : r.series)
                    all[py::str(path_of(s))] =
                        py::cast(&s, py::return_value_policy::reference_internal, self);
                return all;
            },
            "dict of path → Series, with units and long_name")
        .def_readonly("events", &Result::events, "list of Event")
        .def_readonly("ledger", &Result::ledger, "Ledger: where the energy came from and went")
        .def_readonly("sources", &Result::sources, "list of HeatSource")
        .def_readonly("verdicts", &Result::verdicts, "list of Verdict, one for each loop")
        .def_readonly("lines", &Result::lines, "list of LineState, every part that costs pressure")
        .def_readonly("pumps", &Result::pumps, "list of PumpState")
        .def_readonly("fans", &Result::fans, "list of FanState, each fan's duty beside its claim")
        .def_readonly("assumed", &Result::assumed,
                      "list of AssumedNumber, every number that the files leave out")
        .def_readonly("cost", &Result::cost, "RunCost: how dear the run was")
        .def_property_readonly(
            "warnings",
            [](const Result& r) {
                std::vector<std::string> all;
                for (const Diagnostic& d : r.warnings) all.push_back(words(d, units::System::si));
                return all;
            },
            "list of sentences: what to be careful with")
        .def_property_readonly(
            "assumptions",
            [](const Result& r) {
                std::vector<std::string> out;
                for (const model::AssumedText& a : r.assumptions) out.push_back(a.words());
                return out;
            },
            "list of sentences: what was assumed")
        .def_readonly("phases", &Result::phases, "list of (start in s, name)")
        .def("__getitem__", &item, "path"_a)
        .def("__contains__",
             [](const Result& r, const std::string& path) {
                 const std::size_t slash = path.rfind('/');
                 return path == "time" || (slash != std::string::npos &&
                                           r.find(path.substr(0, slash), path.substr(slash + 1)));
             })
        .def("__iter__", [](const Result& r) { return py::iter(names(r)); })
        .def("__len__", [](const Result& r) { return r.series.size(); })
        .def("keys", &names, "the paths of all series")
        .def("_ipython_key_completions_", &names)
        .def(py::pickle(&bytes_of, &result_of))
        .def("__eq__",
             [](const Result& a, const py::object& b) {
                 return py::isinstance<Result>(b) && same(a, b.cast<const Result&>());
             })
        .def("__hash__", [](const Result& r) {
            return std::hash<std::string>{}(results::to_text(results::to_json(r)));
        });
}

}  // namespace lapheat::python
