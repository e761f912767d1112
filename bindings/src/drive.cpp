// Cycles, courses and laps.
#include "lapheat/drive/cycle.hpp"

#include <map>
#include <memory>

#include "lapheat/drive/course.hpp"
#include "lapheat/drive/lap.hpp"
#include "module.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

drive::Surroundings weather(double ambient, double humidity, double altitude) {
    drive::Surroundings s;
    s.ambient = ambient;
    s.humidity = humidity;
    s.altitude = altitude;
    return s;
}

void bind_cycle(py::module_& m) {
    using namespace py::literals;
    using drive::Cycle;
    py::class_<Cycle, std::shared_ptr<Cycle>>(
        m, "Cycle", "What is asked of car and driver against time. All columns have shape (n,).")
        .def_readonly("name", &Cycle::name)
        .def_property_readonly("time", viewer(&Cycle::time), "s")
        .def_property_readonly("speed", viewer(&Cycle::speed), "m/s")
        .def_property_readonly("grade", viewer(&Cycle::grade), "rise over run")
        .def_property_readonly("altitude", viewer(&Cycle::altitude), "m")
        .def_property_readonly("ambient", viewer(&Cycle::ambient), "K")
        .def_property_readonly("lateral_acceleration", viewer(&Cycle::lateral_acceleration),
                               "m/s², positive left")
        .def_property_readonly("steering_angle", viewer(&Cycle::steering_angle),
                               "rad of the steering wheel")
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
        .def("__repr__", [](const Cycle& c) {
            const drive::Totals t = drive::totals(c);
            return py::str("<lapheat.Cycle '{}': {:.0f} s, {:.2f} km>")
                .format(c.name, t.duration, t.distance / 1000);
        });
    m.def(
        "cycle",
        [](const std::string& name, const std::vector<double>& time,
           const std::vector<double>& speed, double ambient, double humidity, double altitude,
           double step, const py::kwargs& columns) {
            std::map<std::string, std::vector<double>> all{{"time", time}, {"speed", speed}};
            for (const auto& [key, value] : columns) {
                const py::array_t<double> values(py::reinterpret_borrow<py::object>(value));
                std::vector<double>& column = all[key.cast<std::string>()];
                if (values.ndim() == 0)
                    column.assign(time.size(), *values.data());
                else
                    column = value.cast<std::vector<double>>();
            }
            Cycle cycle = drive::from_columns(name, all, weather(ambient, humidity, altitude));
            drive::validate(cycle);
            if (step > 0) cycle = drive::resample(cycle, step);
            return std::make_shared<Cycle>(std::move(cycle));
        },
        "name"_a, "time"_a, "speed"_a, py::kw_only(), "ambient"_a = 298.15, "humidity"_a = 0.4,
        "altitude"_a = 0.0, "step"_a = 1.0,
        R"(A drive cycle from columns.

time: (n,) s, ascending. speed: (n,) m/s, not negative. ambient: K. altitude: m.
Other columns by name, (n,) or one number: grade, sun (W/m²), wind (m/s from ahead), steering_angle (rad),
lateral_acceleration (m/s²), ac_demand (0–1), trailer_mass (kg), engine_on (0 or 1),
selector (0 park, 1 reverse, 2 neutral, 3 drive), gear (0: by the shift rule).
step: s; knots are put that close, for between two knots the model takes the mean of their speeds.
0 leaves the knots as given.
Raises Error naming column and row.)");
}

void bind_course(py::module_& m) {
    using namespace py::literals;
    using drive::Course;
    py::class_<Course, std::shared_ptr<Course>>(
        m, "Course", "The line the car follows. Columns have shape (n,), in equal steps.")
        .def_readonly("name", &Course::name)
        .def_readonly("closed", &Course::closed)
        .def_property_readonly("length", &Course::length, "m")
        .def_property_readonly("distance", viewer(&Course::distance), "m")
        .def_property_readonly("curvature", viewer(&Course::curvature), "1/m, positive left")
        .def_property_readonly("grade", viewer(&Course::grade), "rise over run")
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
        [](const std::string& name, const std::vector<double>& x, const std::vector<double>& y,
           bool closed, double step) {
            return std::make_shared<Course>(drive::course_from_points(name, x, y, closed, step));
        },
        "name"_a, "x"_a, "y"_a, py::kw_only(), "closed"_a = true, "step"_a = 1.0,
        R"(A course through points: x, y of shape (n,), n >= 4, in m; no two the same. Cut every `step` m.)");
}

void bind_lap(py::module_& m) {
    using namespace py::literals;
    using drive::Course, drive::Cycle, drive::Lap;
    py::class_<Lap, std::shared_ptr<Lap>>(
        m, "Lap", "One lap at the limit of grip and engine. Columns have shape (n,).")
        .def_readonly("lap_time", &Lap::lap_time, "s")
        .def_readonly("settled", &Lap::settled)
        .def_property_readonly("distance", viewer(&Lap::distance), "m")
        .def_property_readonly("time", viewer(&Lap::time), "s")
        .def_property_readonly("speed", viewer(&Lap::speed), "m/s")
        .def_property_readonly("acceleration", viewer(&Lap::acceleration), "m/s² along the way")
        .def_property_readonly("lateral_acceleration", viewer(&Lap::lateral_acceleration),
                               "m/s², positive left")
        .def_property_readonly("throttle", viewer(&Lap::throttle), "0–1")
        .def_property_readonly("brake", viewer(&Lap::brake), "0–1")
        .def_property_readonly("engine_speed", viewer(&Lap::engine_speed), "rad/s")
        .def_property_readonly("gear", viewer(&Lap::gear))
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

effort: share of grip and engine force used, 0.3 to 1. ambient: K. altitude: m.
Raises Error when the car cannot climb somewhere. The GIL is released.)");
    m.def(
        "lap_session",
        [](const Scenario& scenario, const Course& course, int runs, int laps, double wait,
           double effort, double ambient) {
            const py::gil_scoped_release release;
            drive::SessionPlan plan;
            plan.runs = runs;
            plan.laps = laps;
            plan.wait = wait;
            drive::LapStyle style;
            style.effort = effort;
            return std::make_shared<Cycle>(drive::session(scenario.parsed.car.vehicle, course, plan,
                                                          weather(ambient, 0.4, 0), style));
        },
        "scenario"_a, "course"_a, py::kw_only(), "runs"_a = 1, "laps"_a = 1, "wait"_a = 120.0,
        "effort"_a = 1.0, "ambient"_a = 298.15,
        R"(A day at the course as a Cycle: `wait` s in park before each of `runs` runs of `laps` laps
(closed courses). ambient: K. The GIL is released.)");
}

}  // namespace

void bind_drive(py::module_& m) {
    bind_cycle(m);
    bind_course(m);
}

void bind_laps(py::module_& m) { bind_lap(m); }

}  // namespace lapheat::python
