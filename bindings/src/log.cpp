// Logs of a car that runs: read, retraced, fitted.
#include "lapheat/scenario/log.hpp"

#include <fmt/core.h>

#include <map>
#include <memory>

#include "lapheat/study/car_fit.hpp"
#include "lapheat/study/fit_report.hpp"
#include "listener.hpp"
#include "module.hpp"
#include "question.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

using scenario::Channel, scenario::Log;
using study::CarFit, study::FitScore, study::FittedNumber, study::FittedSignal, study::Retrace,
    study::TracedFluid;

std::string name_of(scenario::Signal signal) { return std::string(scenario::entry(signal).name); }

std::shared_ptr<Log> read_log(const std::filesystem::path& file,
                              const std::map<std::string, std::string>& map) {
    scenario::LogOptions options;
    options.map = map;
    const py::gil_scoped_release release;
    return std::make_shared<Log>(scenario::read_log(file, options));
}

study::RetraceOptions retrace_options(double ambient, double sensor_lag) {
    study::RetraceOptions out;
    out.cycle.ambient = ambient == 0 ? 0 : kelvin(ambient, "ambient");
    out.sensor_lag = sensor_lag;
    return out;
}

std::shared_ptr<Retrace> retrace(const Scenario& car, const Log& log, double ambient,
                                 double sensor_lag, std::size_t draws, int threads,
                                 const py::object& progress) {
    study::RetraceOptions options = retrace_options(ambient, sensor_lag);
    study::TraceBandOptions bands;
    bands.draws = draws, bands.threads = threads;
    return listening(progress, [&](Listener& listener) {
        const auto report = [&listener](double fraction) { listener(fraction); };
        (draws > 0 ? bands.progress : options.run.progress) = report;
        options.run.cancel = &listener.cancel;
        return std::make_shared<Retrace>(
            study::retrace(car.parsed, log, options, units::System::si, bands));
    });
}

std::shared_ptr<CarFit> fit(const Scenario& car, const std::vector<std::shared_ptr<Log>>& logs,
                            const std::vector<std::shared_ptr<Log>>& held,
                            const std::vector<std::string>& free,
                            const std::vector<std::string>& each_log, double ambient,
                            double sensor_lag, int draws, int threads, const py::object& progress) {
    study::CarFitOptions options;
    const double grid = options.retrace.grid;
    options.retrace = retrace_options(ambient, sensor_lag);
    options.retrace.grid = grid;
    options.free = free, options.each_log = each_log;
    options.hold_back = held.empty() ? -1 : static_cast<int>(held.size());
    if (draws < 8) throw Error("too few draws for a band", "8 or more", {}, "draws");
    options.band_draws = static_cast<std::size_t>(draws);
    options.threads = threads;
    std::vector<Log> all;
    for (const auto* some : {&logs, &held})
        for (const std::shared_ptr<Log>& log : *some) all.push_back(*log);
    return listening(progress, [&](Listener& listener) {
        options.progress = [&listener](double fraction, const char*) { listener(fraction); };
        options.cancel = &listener.cancel;
        return std::make_shared<CarFit>(study::fit_car(car.parsed, all, options));
    });
}

py::dict channels_of(const py::object& self) {
    py::dict out;
    for (const Channel& c : self.cast<const Log&>().channels)
        out[py::str(name_of(c.signal))] =
            py::cast(&c, py::return_value_policy::reference_internal, self);
    return out;
}

py::array_t<double> sampled(const Channel& c, const std::vector<double>& times, double longest) {
    const std::vector<double> values = scenario::sampled(c, times, longest);
    return py::array_t<double>(static_cast<py::ssize_t>(values.size()), values.data());
}

py::array_t<double> correlation_of(const CarFit& fit) {
    const auto n = static_cast<py::ssize_t>(fit.correlation.rows());
    // By columns, and alike by rows.
    return py::array_t<double>(py::array::ShapeContainer{n, n}, fit.correlation.values().data());
}

py::array_t<double> draws_of(const CarFit& fit) {
    const auto n = static_cast<py::ssize_t>(fit.correlation.rows());
    py::array_t<double> out(
        py::array::ShapeContainer{static_cast<py::ssize_t>(fit.draws.size()), n});
    double* to = out.mutable_data();
    for (const std::vector<double>& row : fit.draws) to = std::copy(row.begin(), row.end(), to);
    return out;
}

void bind_logs(py::module_& m) {
    py::class_<Channel>(m, "Channel", "One column of a log, matched to a signal; SI.")
        .def_property_readonly(
            "signal", [](const Channel& c) { return name_of(c.signal); },
            "what it is, a name of `lapheat help signals`")
        .def_readonly("column", &Channel::column, "as the file names it")
        .def_readonly("unit", &Channel::unit, "as it was read")
        .def_readonly("unit_guessed", &Channel::unit_guessed, "the file states none")
        .def_property_readonly("time", viewer(&Channel::time), "(n,) s from the log's first stamp")
        .def_property_readonly("value", viewer(&Channel::value), "(n,) SI, at those times")
        .def_readonly("impossible", &Channel::impossible, "values left out as impossible")
        .def_readonly("step", &Channel::step, "SI, least step of the values; 0: none is seen")
        .def("at", &sampled, py::arg("times"), py::arg("longest") = 1e300,
             "Values straight between samples at `times` (s); NaN in gaps over `longest` s.")
        .def("__repr__", [](const Channel& c) {
            return fmt::format("<{}: {} samples of \"{}\">", name_of(c.signal), c.time.size(),
                               c.column);
        });
    py::class_<Log, std::shared_ptr<Log>>(m, "Log",
                                          "What a logger wrote while the car drove: read_log().")
        .def_readonly("file", &Log::file, "as it was given")
        .def_readonly("duration", &Log::duration, "s")
        .def_readonly("rows", &Log::rows, "rows of data")
        .def_property_readonly("channels", &channels_of, "signal → Channel")
        .def_property_readonly(
            "left_out",
            [](const Log& l) {
                py::dict out;
                for (const scenario::LeftOut& one : l.left_out) out[py::str(one.column)] = one.why;
                return out;
            },
            "column → why it is not used")
        .def_readonly("notes", &Log::notes, "what was guessed, in sentences")
        .def("__repr__", [](const Log& l) {
            return fmt::format("<Log {}: {:.0f} s, {} signals>", l.file, l.duration,
                               l.channels.size());
        });
}

void bind_retrace(py::module_& m) {
    py::class_<TracedFluid>(m, "TracedFluid",
                            "One fluid of a log and the model's own, on common times; K and s.")
        .def_property_readonly(
            "signal", [](const TracedFluid& f) { return name_of(f.signal); }, "of the log")
        .def_readonly("loop", &TracedFluid::loop, "of the car")
        .def_property_readonly("time", viewer(&TracedFluid::time), "(n,) s since the log began")
        .def_property_readonly("logged", viewer(&TracedFluid::logged), "(n,) K; NaN where silent")
        .def_property_readonly("model", viewer(&TracedFluid::model),
                               "(n,) K, behind the sensor's lag")
        .def_property_readonly("low", viewer(&TracedFluid::low),
                               "(n,) K, above which 19 of 20 cars of the file's doubts read; (0,) "
                               "without draws")
        .def_property_readonly("high", viewer(&TracedFluid::high), "(n,) K, below which they do")
        .def_readonly("inside", &TracedFluid::inside, "share of the compared points between these")
        .def_readonly("samples", &TracedFluid::samples, "points that are compared")
        .def_readonly("bias", &TracedFluid::bias, "K, mean of model less logged")
        .def_readonly("rms", &TracedFluid::rms, "K, root of the mean square of the differences")
        .def_readonly("worst", &TracedFluid::worst, "K, the largest difference")
        .def_readonly("worst_time", &TracedFluid::worst_time, "s, when that was")
        .def_readonly("regulated_logged", &TracedFluid::regulated_logged,
                      "K, median once warm; NaN if never")
        .def_readonly("regulated_model", &TracedFluid::regulated_model, "K, the same")
        .def_readonly("warm_logged", &TracedFluid::warm_logged,
                      "s until 5 K below the logged regulated temperature; NaN if never")
        .def_readonly("warm_model", &TracedFluid::warm_model, "s, the same")
        .def("__repr__", [](const TracedFluid& f) {
            return fmt::format("<{}: {:+.1f} K mean, {:.1f} K rms>", f.loop, f.bias, f.rms);
        });
    py::class_<Retrace, std::shared_ptr<Retrace>>(
        m, "Retrace", "A car driven as it was logged, beside what was measured: retrace().")
        .def_readonly("log", &Retrace::log, "its file")
        .def_property_readonly(
            "cycle", [](const Retrace& r) { return std::make_shared<drive::Cycle>(r.cycle); },
            "the drive that was made of the log")
        .def_readonly("fluids", &Retrace::fluids, "list of TracedFluid")
        .def_readonly("looks", &Retrace::looks, "where the model is off, and by what it looks")
        .def_readonly("drawn", &Retrace::drawn, "cars that the bands are made of")
        .def_readonly("notes", &Retrace::notes, "what was assumed of the drive")
        .def_readonly("result", &Retrace::result, "of the run");
}

void bind_fit_rows(py::module_& m) {
    py::class_<FittedNumber>(m, "FittedNumber", "A doubtful number before and after the logs, SI.")
        .def_property_readonly(
            "name", [](const FittedNumber& f) { return f.number.words(); },
            "as `free` and `each_log` take it")
        .def_property_readonly(
            "before",
            [](const FittedNumber& f) { return std::tuple(f.before_5, f.before, f.before_95); },
            "5, 50 and 95 % of its draws, SI")
        .def_property_readonly(
            "after",
            [](const FittedNumber& f) { return std::tuple(f.after_5, f.after, f.after_95); },
            "5, 50 and 95 % with what the logs say, SI")
        .def_readonly("told", &FittedNumber::told, "share of its variance that the logs took away")
        .def_readonly("fitted", &FittedNumber::fitted, "the logs move it at all")
        .def_readonly("log", &FittedNumber::log, "the one log that it is of; empty: of the car")
        .def("__repr__", [](const FittedNumber& f) {
            return fmt::format("<{}: {:.4g} .. {:.4g} .. {:.4g}, told {:.0f} %>", f.number.words(),
                               f.after_5, f.after, f.after_95, 100 * f.told);
        });
    py::class_<FittedSignal>(m, "FittedSignal", "A thermometer, and how far the model is from it.")
        .def_property_readonly(
            "signal", [](const FittedSignal& s) { return name_of(s.signal); }, "whose it is")
        .def_readonly("offset", &FittedSignal::offset, "K, of the thermometer over the model")
        .def_readonly("offset_deviation", &FittedSignal::offset_deviation,
                      "K, one standard deviation of that")
        .def_readonly("deviation", &FittedSignal::deviation,
                      "K, one standard deviation of the model's own error")
        .def_readonly("memory", &FittedSignal::memory, "s over which that error is alike");
    py::class_<FitScore>(m, "FitScore", "One fluid of one log before and after a fit; K and s.")
        .def_readonly("log", &FitScore::log, "its file")
        .def_property_readonly(
            "signal", [](const FitScore& s) { return name_of(s.signal); }, "the fluid's in the log")
        .def_readonly("held_back", &FitScore::held_back, "not fitted: a test")
        .def_readonly("samples", &FitScore::samples, "points that are compared")
        .def_readonly("rms_before", &FitScore::rms_before, "K, of the car as it stood")
        .def_readonly("rms_after", &FitScore::rms_after, "K, of the car as fitted")
        .def_readonly("bias_before", &FitScore::bias_before, "K, mean of model less logged")
        .def_readonly("bias_after", &FitScore::bias_after, "K, the same as fitted")
        .def_readonly("inside_before", &FitScore::inside_before, "share of readings in the band")
        .def_readonly("inside_after", &FitScore::inside_after, "share of readings in the band")
        .def_readonly("before", &FitScore::before, "TracedFluid of the car as it stood")
        .def_readonly("after", &FitScore::after, "TracedFluid of the car as fitted")
        .def_property_readonly("low", viewer(&FitScore::low),
                               "(n,) K, 5 % of the band, at after.time")
        .def_property_readonly("high", viewer(&FitScore::high),
                               "(n,) K, 95 % of the band, at after.time")
        .def("__repr__", [](const FitScore& s) {
            return fmt::format("<{}, {}{}: {:.1f} K rms, was {:.1f}>", s.log, name_of(s.signal),
                               s.held_back ? ", held back" : "", s.rms_after, s.rms_before);
        });
}

void bind_car_fit(py::module_& m) {
    bind_fit_rows(m);
    py::class_<CarFit, std::shared_ptr<CarFit>>(
        m, "CarFit", "A car's doubtful numbers fitted to logs: fit(). An estimate.")
        .def_readonly("numbers", &CarFit::numbers, "list of FittedNumber, told best first")
        .def_property_readonly("correlation", &correlation_of,
                               "(n, n) share: of the fitted numbers, in that order")
        .def_readonly("signals", &CarFit::signals, "list of FittedSignal")
        .def_readonly("scores", &CarFit::scores, "list of FitScore, log by log as given")
        .def_readonly("converged", &CarFit::converged, "False: it ended before it settled")
        .def_readonly("near_normal", &CarFit::near_normal,
                      "effective share of draws from the posterior, 0 to 1")
        .def_readonly("tail", &CarFit::tail,
                      "shape of their weights' tail, a ratio; beyond 0.7 they are no guide")
        .def_property_readonly("draws", &draws_of,
                               "(draws, n) SI: the joint posterior of the fitted numbers")
        .def_readonly("runs", &CarFit::runs, "runs of the model that it took")
        .def_readonly("notes", &CarFit::notes, "what was assumed, and what failed")
        .def("overlay", &study::overlay_of, py::arg("base"),
             "TOML of a car that extends the file `base` with the fitted numbers, their doubt and "
             "how they go together.")
        .def(
            "write",
            [](const CarFit& fit, const std::filesystem::path& path) {
                study::write_fit(path, fit);
            },
            py::arg("path"),
            "Write values, joint draws, residuals and bands as HDF5, whole or not at all.")
        .def(
            "page",
            [](const CarFit& fit, const std::string& car, const std::string& units) {
                const auto system = lapheat::units::system_named(units);
                if (!system)
                    throw Error("units \"" + units + "\"", "\"si\" or \"us\"", {}, "units");
                return study::fit_page(fit, car, *system);
            },
            py::arg("car") = "", py::arg("units") = "si",
            "The fit as one HTML page that needs nothing else.");
}

}  // namespace

void bind_log(py::module_& m) {
    using namespace py::literals;
    bind_logs(m);
    bind_retrace(m);
    bind_car_fit(m);
    m.def("read_log", &read_log, "file"_a, "map"_a = std::map<std::string, std::string>{},
          R"(Read what a logger wrote, in any of the dialects that loggers write.

file: its path. map: signal by name → column, "" to leave it out, over any guess. Returns a Log;
raises Error.)");
    m.def("retrace", &retrace, "scenario"_a, "log"_a, py::kw_only(), "ambient"_a = 0.0,
          "sensor_lag"_a = 6.0, "draws"_a = 32, "threads"_a = 0, "progress"_a = py::none(),
          R"(Drive a car as it was logged and lay the model beside the log.

ambient: K, where the log has none (0: as logged). sensor_lag: s, time constant of the gauges.
draws: cars of the file's doubts that the bands are made of; 0: none. threads: 0 for all of the
machine. progress: called with the share that is done. Returns a Retrace; raises Error.)");
    m.def("fit", &fit, "scenario"_a, "logs"_a, "held"_a = std::vector<std::shared_ptr<Log>>{},
          py::kw_only(), "free"_a = std::vector<std::string>{},
          "each_log"_a = std::vector<std::string>{}, "ambient"_a = 0.0, "sensor_lag"_a = 6.0,
          "draws"_a = 32, "threads"_a = 0, "progress"_a = py::none(),
          R"(Fit a car's doubtful numbers to logs.

held: logs held back as a test; none: the last two in five of `logs`. free: only these numbers, all
others known. each_log: numbers that each drive has for itself, as a heater's. ambient: K, where a
log has none. sensor_lag: s, time constant of the gauges. draws: for the bands. threads: 0 for all of
the machine. progress: called with the share that is done. Returns a CarFit; raises Error.)");
}

}  // namespace lapheat::python
