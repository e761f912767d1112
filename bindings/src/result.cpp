// Results: arrays are views into the C++ result, nothing is copied.
#include "lapheat/model/result.hpp"

#include <memory>

#include "lapheat/units/error.hpp"
#include "module.hpp"

namespace lapheat::python {
namespace {

using model::Result;
using model::Series;

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
    using model::RunCost, model::Event, model::Verdict, model::Ledger, model::LedgerEntry,
        model::LineState, model::PumpState;
    py::class_<Event>(m, "Event", "Something that happened at a moment, located by the integrator.")
        .def_readonly("time", &Event::time, "s")
        .def_readonly("kind", &Event::kind)
        .def_readonly("subject", &Event::subject)
        .def_readonly("value", &Event::value, "K of the temperature concerned")
        .def("__repr__", [](const Event& e) {
            if (e.value == 0)
                return py::str("<{:.1f} s: {}, {}>").format(e.time, e.kind, e.subject);
            return py::str("<{:.1f} s: {}, {}, {:.1f} °C>")
                .format(e.time, e.kind, e.subject, e.value - 273.15);
        });
    py::class_<LedgerEntry>(m, "LedgerEntry", "One path of energy over the whole run.")
        .def_readonly("name", &LedgerEntry::name)
        .def_property_readonly(
            "direction",
            [](const LedgerEntry& e) {
                return lapheat::model::direction_name(e.direction);
            },
            "'in', 'out', 'stored' or 'within'")
        .def_readonly("joules", &LedgerEntry::joules, "J, positive as the direction says")
        .def("__repr__", [](const LedgerEntry& e) {
            return py::str("<{}: {:.0f} kJ>").format(e.name, e.joules / 1e3);
        });
    py::class_<Ledger>(m, "Ledger",
                       "Where the energy came from and went to. Iterates over its entries.")
        .def_readonly("entries", &Ledger::entries)
        .def_readonly("moved", &Ledger::moved, "J, all that came in or was given from store")
        .def_readonly("closure", &Ledger::closure, "|in − out − stored| / moved")
        .def_property_readonly(
            "total_in", [](const Ledger& l) { return l.total(LedgerEntry::Direction::in); }, "J")
        .def_property_readonly(
            "total_out", [](const Ledger& l) { return l.total(LedgerEntry::Direction::out); }, "J")
        .def_property_readonly(
            "total_stored", [](const Ledger& l) { return l.total(LedgerEntry::Direction::stored); },
            "J, negative when the car ended colder")
        .def(
            "__iter__",
            [](const Ledger& l) { return py::make_iterator(l.entries.begin(), l.entries.end()); },
            py::keep_alive<0, 1>())
        .def("__len__", [](const Ledger& l) { return l.entries.size(); })
        .def("__repr__", [](const Ledger& l) {
            return py::str("<lapheat.Ledger: {:.2f} MJ moved, closes to {:.1e}>")
                .format(l.moved / 1e6, l.closure);
        });
    using model::HeatSource;
    py::class_<HeatSource>(m, "HeatSource", "Where heat was made, by the drive alone.")
        .def_readonly("source", &HeatSource::source, "engine, transmission, steering …")
        .def_readonly("path", &HeatSource::path, "relief dwell, throttling, converter …")
        .def_readonly("joules", &HeatSource::joules, "J over the run")
        .def("__repr__", [](const HeatSource& s) {
            return py::str("<{}, {}: {:.0f} kJ>").format(s.source, s.path, s.joules / 1e3);
        });
    py::class_<RunCost>(m, "RunCost", "What the run cost.")
        .def_readonly("rhs_calls", &RunCost::rhs_calls)
        .def_readonly("steps", &RunCost::steps)
        .def_readonly("rejected", &RunCost::rejected)
        .def_readonly("events", &RunCost::events)
        .def_readonly("wall_seconds", &RunCost::wall_seconds)
        .def_readonly("simulated_seconds", &RunCost::simulated_seconds)
        .def_readonly("network_failures", &RunCost::network_failures)
        .def_readonly("network_residual", &RunCost::network_residual);
    py::class_<LineState>(m, "LineState", R"(A part that costs pressure, at its loop's least margin.
SI units; *_peak are the highest of the run.)")
        .def_readonly("loop", &LineState::loop)
        .def_readonly("run", &LineState::run)
        .def_readonly("part", &LineState::part)
        .def_readonly("kind", &LineState::kind)
        .def_readonly("inner_diameter", &LineState::inner_diameter, "m; 0: none of its own")
        .def_readonly("length", &LineState::length, "m")
        .def_readonly("bends", &LineState::bends)
        .def_readonly("flow", &LineState::flow, "m³/s")
        .def_readonly("velocity", &LineState::velocity, "m/s")
        .def_readonly("reynolds", &LineState::reynolds)
        .def_readonly("pressure_loss", &LineState::pressure_loss, "Pa, with its bends")
        .def_readonly("share", &LineState::share, "of what the loop's strongest pump gives")
        .def_readonly("velocity_peak", &LineState::velocity_peak, "m/s")
        .def_readonly("pressure_loss_peak", &LineState::pressure_loss_peak, "Pa")
        .def_readonly("pressure_peak", &LineState::pressure_peak, "Pa above ambient")
        .def_readonly("temperature_peak", &LineState::temperature_peak, "K")
        .def("__repr__", [](const LineState& l) {
            return py::str("<{}, {}: {:.2f} m/s, {:.2f} kPa>")
                .format(l.loop, l.part, l.velocity, l.pressure_loss / 1e3);
        });
    py::class_<PumpState>(m, "PumpState", "How a pump was fed; heads in m of the liquid.")
        .def_readonly("loop", &PumpState::loop)
        .def_readonly("pump", &PumpState::pump)
        .def_readonly("suction_margin", &PumpState::suction_margin,
                      "m, least of available − required; negative: it cavitates")
        .def_readonly("suction_available", &PumpState::suction_available, "m, then")
        .def_readonly("suction_required", &PumpState::suction_required, "m, then")
        .def_readonly("time", &PumpState::time, "s, when")
        .def_readonly("inlet_pressure", &PumpState::inlet_pressure, "Pa, absolute, lowest")
        .def_readonly("pressure_rise_peak", &PumpState::pressure_rise_peak, "Pa")
        .def_readonly("time_cavitating", &PumpState::time_cavitating, "s")
        .def_readonly("time_relieving", &PumpState::time_relieving, "s")
        .def("__repr__", [](const PumpState& p) {
            return py::str("<{}, {}: {:.1f} m to spare>").format(p.loop, p.pump, p.suction_margin);
        });
    py::class_<Verdict>(m, "Verdict",
                        "How one fluid came through the cycle. Temperatures in K, times in s.")
        .def_readonly("loop", &Verdict::loop)
        .def_readonly("part", &Verdict::part, "where the margin was least")
        .def_readonly("peak", &Verdict::peak, "K")
        .def_readonly("peak_time", &Verdict::peak_time, "s")
        .def_readonly("start", &Verdict::start, "K")
        .def_readonly("end", &Verdict::end, "K")
        .def_readonly("mean", &Verdict::mean, "K")
        .def_readonly("limit", &Verdict::limit, "K, at the moment of least margin")
        .def_readonly("margin", &Verdict::margin, "K, least of limit − temperature; negative: over")
        .def_readonly("margin_time", &Verdict::margin_time, "s")
        .def_readonly("time_over", &Verdict::time_over, "s above the limit")
        .def_readonly("first_over", &Verdict::first_over,
                      "s, moment the limit is first passed; negative: never")
        .def_readonly("boils", &Verdict::boils,
                      "s, moment it first boils under its cap; negative: never")
        .def_readonly("liquid_lost", &Verdict::liquid_lost, "kg boiled away by the end")
        .def_readonly("lost_share", &Verdict::lost_share, "share of the loop's liquid boiled away")
        .def_readonly("ruined", &Verdict::ruined,
                      "s, moment a transmission's fluid passes 200 degC; negative: never")
        .def_readonly("time_over_caution", &Verdict::time_over_caution,
                      "s above the caution temperature")
        .def_readonly("end_rate", &Verdict::end_rate,
                      "K/s at which it still rises at the end; 0: it does not")
        .def_readonly("heading", &Verdict::heading,
                      "K it would reach if the end went on; 0: none can be told")
        .def_property_readonly("peak_is_start", &Verdict::peak_is_start,
                               "True: the highest temperature is the one it began with")
        .def_readonly("flow", &Verdict::flow,
                      "m³/s through the cooling run, mean while the engine runs")
        .def_readonly("line_loss", &Verdict::line_loss,
                      "Pa over the lines at the moment of least margin")
        .def_readonly("line_loss_peak", &Verdict::line_loss_peak, "Pa")
        .def_readonly("return_pressure", &Verdict::return_pressure,
                      "Pa above ambient, highest where the fluid leaves its heat source")
        .def_readonly("core", &Verdict::core, "the core that cools it, '' if none")
        .def_readonly("core_heat", &Verdict::core_heat, "W at the moment of least margin")
        .def_readonly("air_flow", &Verdict::air_flow, "kg/s through that core then")
        .def_readonly("air_inlet", &Verdict::air_inlet, "K then")
        .def_readonly("share_air", &Verdict::share_air, "of the core's resistance then")
        .def_readonly("share_wall", &Verdict::share_wall)
        .def_readonly("share_liquid", &Verdict::share_liquid)
        .def_readonly("effectiveness", &Verdict::effectiveness)
        .def_readonly("fluid_life_used", &Verdict::fluid_life_used,
                      "share of the fluid's life; 0: not rated")
        .def_readonly("note", &Verdict::note, "the note of the limit")
        .def("__repr__", [](const Verdict& v) {
            return py::str("<{}: peak {:.1f} °C, margin {:.1f} K>")
                .format(v.loop, v.peak - 273.15, v.margin);
        });
}

}  // namespace

void bind_result(py::module_& m) {
    using namespace py::literals;
    bind_small(m);
    py::class_<Series>(m, "Series",
                       "One quantity against time. numpy.asarray(series) does not copy.")
        .def_property_readonly("path", &path_of)
        .def_readonly("group", &Series::group)
        .def_readonly("name", &Series::name)
        .def_readonly("units", &Series::units)
        .def_readonly("long_name", &Series::long_name)
        .def_property_readonly("values", viewer(&Series::values), "(n,)")
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
    py::class_<Result, std::shared_ptr<Result>>(m, "Result", R"(A car taken through one cycle.

result["loops/coolant/jacket/temperature"] is a read-only NumPy view of shape (n,), without a copy,
in SI units; it keeps the result alive. Temperatures are in K.)",
                                                py::dynamic_attr())
        .def_readonly("car", &Result::car)
        .def_readonly("placement", &Result::placement)
        .def_readonly("summary", &Result::summary)
        .def_readonly("cycle", &Result::cycle)
        .def_property_readonly("time", viewer(&Result::time), "(n,) s")
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
        .def_readonly("ledger", &Result::ledger)
        .def_readonly("sources", &Result::sources, "list of HeatSource")
        .def_readonly("verdicts", &Result::verdicts, "list of Verdict, one for each loop")
        .def_readonly("lines", &Result::lines, "list of LineState, every part that costs pressure")
        .def_readonly("pumps", &Result::pumps, "list of PumpState")
        .def_readonly("fan_energy", &Result::fan_energy, "J, electrical")
        .def_readonly("peak_fan_current", &Result::peak_fan_current, "A")
        .def_readonly("peak_current", &Result::peak_current, "A, fans and other loads")
        .def_readonly("idle_capacity", &Result::idle_capacity, "A of the alternator at idle")
        .def_readonly("current_shortfall", &Result::current_shortfall,
                      "A, most by which the loads outran the alternator")
        .def_readonly("battery_charge", &Result::battery_charge, "A s the battery gave for that")
        .def_readonly("distance", &Result::distance, "m")
        .def_readonly("cost", &Result::cost)
        .def_readonly("warnings", &Result::warnings)
        .def_readonly("assumptions", &Result::assumptions)
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
        .def("keys", &names, "the paths of all series");
}

}  // namespace lapheat::python
