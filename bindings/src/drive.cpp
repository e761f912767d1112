// Cycles, courses and laps.
#include "lapheat/drive/cycle.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <memory>
#include <optional>
#include <tuple>

#include "columns.hpp"
#include "lapheat/drive/columns.hpp"
#include "lapheat/drive/course.hpp"
#include "lapheat/drive/lap.hpp"
#include "lapheat/units/error.hpp"
#include "module.hpp"
#include "question.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

drive::Surroundings weather(double ambient, double humidity, double altitude, double sun = 0,
                            double wind = 0) {
    drive::Surroundings s;
    s.ambient = kelvin(ambient, "ambient");
    s.humidity = humidity;
    s.altitude = altitude;
    s.sun = sun;
    s.wind = wind;
    return s;
}

/// Beyond 360 km/h it was meant as km/h.
void question_speed(const std::vector<double>& speed) {
    const double most = *std::max_element(speed.begin(), speed.end());
    if (most > 100)
        throw Error(fmt::format("speed reaches {:g} m/s, that is {:.0f} km/h", most, most * 3.6),
                    fmt::format("m/s; {:g} km/h are {:.1f}", most, most / 3.6), {}, "speed");
}

using Columns = std::map<std::string, std::vector<double>>;

/// Columns of `rows` numbers; the selector may be told by its words.
void add_columns(Columns& all, const py::dict& given, std::size_t rows) {
    static const std::map<std::string, double> selectors{
        {"park", 0}, {"reverse", 1}, {"neutral", 2}, {"drive", 3}};
    for (const auto& [key, value] : given) {
        if (value.is_none()) continue;
        const auto name = key.cast<std::string>();
        if (name == "selector" && py::isinstance<py::str>(value)) {
            const auto word = selectors.find(value.cast<std::string>());
            if (word == selectors.end())
                throw Error("'" + value.cast<std::string>() + "' is no place of the selector",
                            "park, reverse, neutral or drive", {}, name);
            all[name].assign(rows, word->second);
            continue;
        }
        all[name] = column_of(py::reinterpret_borrow<py::object>(value), name, rows);
    }
}

/// (name, {column: bytes of doubles}, phases): all of a cycle.
py::tuple cycle_state(const drive::Cycle& c) {
    py::dict columns;
    for (const auto& [name, values] : drive::columns_of(c))
        columns[py::str(name)] =
            py::bytes(reinterpret_cast<const char*>(values.data()), values.size() * sizeof(double));
    py::list phases;
    for (const drive::Phase& p : c.phases)
        phases.append(py::make_tuple(p.name, p.begin, p.end, p.waiting));
    return py::make_tuple(c.name, columns, phases);
}

std::shared_ptr<drive::Cycle> cycle_of(const py::tuple& state) {
    Columns columns;
    for (const auto& [name, bytes] : state[1].cast<py::dict>()) {
        const auto data = bytes.cast<std::string>();
        std::vector<double>& values = columns[name.cast<std::string>()];
        values.resize(data.size() / sizeof(double));
        std::memcpy(values.data(), data.data(), values.size() * sizeof(double));
    }
    auto made =
        std::make_shared<drive::Cycle>(drive::from_columns(state[0].cast<std::string>(), columns));
    for (const auto& phase : state[2].cast<py::list>()) {
        const auto [name, begin, end, waiting] =
            phase.cast<std::tuple<std::string, double, double, bool>>();
        made->phases.push_back({name, begin, end, waiting});
    }
    return made;
}

void bind_cycle_class(py::module_& m) {
    using namespace py::literals;
    using drive::Cycle;
    py::class_<Cycle, std::shared_ptr<Cycle>>(
        m, "Cycle", "What is asked of car and driver against time. All columns have shape (n,).")
        .def_readonly("name", &Cycle::name, "by which run() finds it")
        .def_property_readonly("time", viewer(&Cycle::time), "s")
        .def_property_readonly("speed", viewer(&Cycle::speed), "m/s")
        .def_property_readonly("grade", viewer(&Cycle::grade), "rise over run, 1")
        .def_property_readonly("altitude", viewer(&Cycle::altitude), "m")
        .def_property_readonly("ambient", viewer(&Cycle::ambient), "K")
        .def_property_readonly("humidity", viewer(&Cycle::humidity), "relative, 0 to 1")
        .def_property_readonly("sun", viewer(&Cycle::sun), "W/m² on level ground")
        .def_property_readonly("wind", viewer(&Cycle::wind), "m/s, positive from ahead")
        .def_property_readonly("lateral_acceleration", viewer(&Cycle::lateral_acceleration),
                               "m/s², positive left")
        .def_property_readonly("steering_angle", viewer(&Cycle::steering_angle),
                               "rad of the steering wheel")
        .def_property_readonly("held_throttle", viewer(&Cycle::held_throttle),
                               "0 to 1, held against the brakes")
        .def_property_readonly("ac_demand", viewer(&Cycle::ac_demand),
                               "0 to 1, of the air conditioning")
        .def_property_readonly("trailer_mass", viewer(&Cycle::trailer_mass), "kg")
        .def_property_readonly("engine_on", viewer(&Cycle::engine_on), "0 or 1")
        .def_property_readonly(
            "selector",
            [](const Cycle& c) {
                return py::array_t<std::uint8_t>(
                    static_cast<py::ssize_t>(c.size()),
                    reinterpret_cast<const std::uint8_t*>(c.selector.data()));
            },
            "0 park, 1 reverse, 2 neutral, 3 drive; a copy")
        .def_property_readonly("gear", viewer(&Cycle::gear), "0: by the shift rule")
        .def(
            "replace",
            [](const Cycle& c, const std::optional<std::string>& name, const py::kwargs& columns) {
                Columns changed;
                add_columns(changed, columns, c.size());
                return std::make_shared<Cycle>(
                    drive::with_columns(c, name.value_or(c.name), changed));
            },
            "name"_a = py::none(),
            R"(A copy with columns changed: ``cycle.replace(ambient=311.15, sun=900)``.

Each is one number for the whole cycle or has shape (n,), in the units of the attribute of that
name; selector may be "park", "reverse", "neutral" or "drive". Phases stay.
Raises Error naming column and row.)")
        .def_property_readonly(
            "duration",
            [](const Cycle& c) { return c.time.empty() ? 0.0 : c.time.back() - c.time.front(); },
            "s")
        .def_property_readonly(
            "distance", [](const Cycle& c) { return drive::totals(c).distance; }, "m")
        .def_property_readonly(
            "phases",
            [](const Cycle& c) {
                py::list phases;
                for (const drive::Phase& p : c.phases)
                    phases.append(py::make_tuple(p.name, p.begin, p.end));
                return phases;
            },
            "list of (name, begin, end), times in s")
        .def("__len__", &Cycle::size)
        .def(py::pickle(&cycle_state, &cycle_of))
        .def("__eq__",
             [](const Cycle& a, const py::object& b) {
                 return py::isinstance<Cycle>(b) &&
                        cycle_state(a).equal(cycle_state(b.cast<const Cycle&>()));
             })
        .def("__hash__", [](const Cycle& c) { return py::hash(py::repr(cycle_state(c))); })
        .def("__repr__", [](const Cycle& c) {
            const drive::Totals t = drive::totals(c);
            return py::str("<lapheat.Cycle '{}': {:.0f} s, {:.2f} km>")
                .format(c.name, t.duration, t.distance / 1000);
        });
}

void bind_cycle_maker(py::module_& m) {
    using namespace py::literals;
    using drive::Cycle;
    m.def(
        "cycle",
        [](const std::string& name, const py::object& time, const py::object& speed,
           const py::object& ambient, const py::object& humidity, const py::object& altitude,
           double step, const py::kwargs& columns) {
            Columns all{{"time", column_of(time, "time")}};
            const std::size_t rows = all["time"].size();
            add_columns(all,
                        py::dict("speed"_a = speed, "ambient"_a = ambient, "humidity"_a = humidity,
                                 "altitude"_a = altitude),
                        rows);
            add_columns(all, columns, rows);
            Cycle cycle = drive::from_columns(name, all);
            drive::validate(cycle);
            question_speed(cycle.speed);
            if (step > 0) cycle = drive::resample(cycle, step);
            return std::make_shared<Cycle>(std::move(cycle));
        },
        "name"_a, "time"_a, "speed"_a, py::kw_only(), "ambient"_a = 298.15, "humidity"_a = 0.4,
        "altitude"_a = 0.0, "step"_a = 1.0,
        R"(A drive cycle from columns.

time: (n,) s, ascending. speed: (n,) m/s, not negative. Lists, arrays, pandas Series: whatever
numpy.asarray() takes, by order and never by index.
Other columns by name, (n,) or one number: ambient (K), humidity, altitude (m), grade, sun (W/m²),
wind (m/s from ahead), steering_angle (rad), lateral_acceleration (m/s²), held_throttle (0–1),
ac_demand (0–1), trailer_mass (kg), engine_on (0 or 1), selector (0 park, 1 reverse, 2 neutral,
3 drive, or the word), gear (0: by the shift rule).
step: s; knots are put that close, for between two knots the model takes the mean of their speeds.
0 leaves the knots as given.
Raises Error naming column and row.)");
}

void bind_course(py::module_& m) {
    using namespace py::literals;
    using drive::Course;
    py::class_<Course, std::shared_ptr<Course>>(
        m, "Course", "The line the car follows. Columns have shape (n,), in equal steps.")
        .def_readonly("name", &Course::name, "as it was given")
        .def_readonly("closed", &Course::closed, "it ends where it begins")
        .def_property_readonly("length", &Course::length, "m")
        .def_property_readonly("distance", viewer(&Course::distance), "m")
        .def_property_readonly("curvature", viewer(&Course::curvature), "1/m, positive left")
        .def_property_readonly("grade", viewer(&Course::grade), "rise over run, 1")
        .def("__repr__", [](const Course& c) {
            return py::str("<lapheat.Course '{}': {:.0f} m, {}>")
                .format(c.name, c.length(), c.closed ? "closed" : "open");
        });
    m.def(
        "cone_course", [] { return std::make_shared<Course>(drive::cone_course()); },
        "An invented open run between cones, about 45 to 60 s in a quick road car.");
    m.def(
        "road_circuit", [] { return std::make_shared<Course>(drive::road_circuit()); },
        "An invented closed road circuit of some 3 km.");
    m.def(
        "course",
        [](const std::string& name, const py::object& x, const py::object& y, bool closed,
           double step) {
            const std::vector<double> across = column_of(x, "x");
            return std::make_shared<Course>(drive::course_from_points(
                name, across, column_of(y, "y", across.size()), closed, step));
        },
        "name"_a, "x"_a, "y"_a, py::kw_only(), "closed"_a = true, "step"_a = 1.0,
        R"(A course through points: x, y of shape (n,), n >= 4, in m; no two the same. Cut every `step` m.

name: of the course. closed: the last point leads back to the first. Raises Error for too few points
and for two that are the same.)");
}

void bind_lap(py::module_& m) {
    using namespace py::literals;
    using drive::Course, drive::Cycle, drive::Lap;
    py::class_<Lap, std::shared_ptr<Lap>>(
        m, "Lap", "One lap at the limit of grip and engine. Columns have shape (n,).")
        .def_readonly("lap_time", &Lap::lap_time, "s")
        .def_readonly("settled", &Lap::settled, "a closed course: it ends as fast as it began")
        .def_property_readonly("distance", viewer(&Lap::distance), "m")
        .def_property_readonly("time", viewer(&Lap::time), "s")
        .def_property_readonly("speed", viewer(&Lap::speed), "m/s")
        .def_property_readonly("acceleration", viewer(&Lap::acceleration), "m/s² along the way")
        .def_property_readonly("lateral_acceleration", viewer(&Lap::lateral_acceleration),
                               "m/s², positive left")
        .def_property_readonly("throttle", viewer(&Lap::throttle), "0–1")
        .def_property_readonly("brake", viewer(&Lap::brake), "0–1")
        .def_property_readonly("engine_speed", viewer(&Lap::engine_speed), "rad/s")
        .def_property_readonly("gear", viewer(&Lap::gear), "(n,) from 1")
        .def_property_readonly("steering_angle", viewer(&Lap::steering_angle),
                               "rad of the steering wheel")
        .def("__repr__", [](const Lap& lap) {
            return py::str("<lapheat.Lap: {:.2f} s over {:.0f} m>")
                .format(lap.lap_time, lap.distance.back());
        });
    m.def(
        "lap",
        [](const Scenario& scenario, const Course& course, double effort, double ambient,
           double altitude) {
            const py::gil_scoped_release release;
            drive::LapStyle style;
            style.effort = effort;
            return std::make_shared<Lap>(solve_lap(scenario.parsed.car.vehicle, course, style,
                                                   weather(ambient, 0.4, altitude)));
        },
        "scenario"_a, "course"_a, py::kw_only(), "effort"_a = 1.0, "ambient"_a = 298.15,
        "altitude"_a = 0.0,
        R"(The quickest quasi-steady lap of the scenario's car: a point mass within its friction ellipse
(Milliken & Milliken, Race Car Vehicle Dynamics, 1995, chapter 9).

course: a Course. effort: share of grip and engine force used, 0.3 to 1. ambient: K. altitude: m.
Raises Error when the car cannot climb somewhere. The GIL is released.)");
    m.def(
        "lap_session",
        [](const Scenario& scenario, const Course& course, int runs, int laps, double wait,
           double effort, double ambient, double humidity, double altitude, double sun, double wind,
           double ac_demand) {
            const py::gil_scoped_release release;
            drive::SessionPlan plan;
            plan.runs = runs;
            plan.laps = laps;
            plan.wait = wait;
            drive::LapStyle style;
            style.effort = effort;
            Cycle cycle = drive::session(scenario.parsed.car.vehicle, course, plan,
                                         weather(ambient, humidity, altitude, sun, wind), style);
            cycle.ac_demand.assign(cycle.size(), ac_demand);
            drive::validate(cycle);
            return std::make_shared<Cycle>(std::move(cycle));
        },
        "scenario"_a, "course"_a, py::kw_only(), "runs"_a = 1, "laps"_a = 1, "wait"_a = 120.0,
        "effort"_a = 1.0, "ambient"_a = 298.15, "humidity"_a = 0.4, "altitude"_a = 0.0,
        "sun"_a = 0.0, "wind"_a = 0.0, "ac_demand"_a = 0.0,
        R"(A day at the course as a Cycle: `wait` s in park before each of `runs` runs of `laps` laps
(closed courses) on `course`. effort: share of grip and engine force used, 0.3 to 1. ambient: K.
humidity: relative, 0 to 1. altitude: m. sun: W/m². wind: m/s from ahead. ac_demand: 0–1. Other columns
by Cycle.replace(). The GIL is released. Raises Error as lap() does.)");
}

}  // namespace

void bind_drive(py::module_& m) {
    bind_cycle_class(m);
    bind_cycle_maker(m);
    bind_course(m);
}

void bind_laps(py::module_& m) { bind_lap(m); }

}  // namespace lapheat::python
