// Fitting a core to measured points.
#include "lapheat/exchangers/fit.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <functional>
#include <memory>

#include "lapheat/units/error.hpp"
#include "module.hpp"
#include "rated_core.hpp"

namespace lapheat::python {
namespace {

/// A fit and the core it leaves, which can be rated like any other.
struct Fit {
    exchangers::FitResult result;
    std::shared_ptr<RatedCore> core;
    double confidence = 0.95;
    std::vector<exchangers::FitPoint> points;
    bool as_a_file_fits = true;  ///< levels of the sides alone
};

using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

/// Flat arrays of one length, made so by lapheat.fit_core(); 0 stands for what was not measured.
Fit fit(const RatedCore& start, const Numbers& first_flow, const Numbers& first_inlet,
        const Numbers& second_flow, const Numbers& second_inlet, const Numbers& heat,
        const Numbers& heat_error, const Numbers& first_drop, const Numbers& second_drop, bool wall,
        bool first_power, bool second_power, double confidence, double pressure) {
    std::vector<exchangers::FitPoint> points;
    points.reserve(static_cast<std::size_t>(heat.size()));
    for (py::ssize_t i = 0; i < heat.size(); ++i)
        points.push_back(
            {{first_flow.at(i), first_inlet.at(i), second_flow.at(i), second_inlet.at(i)},
             heat.at(i),
             heat_error.at(i),
             first_drop.at(i),
             second_drop.at(i)});
    exchangers::FitOptions options;
    options.wall = wall;
    options.first_power = first_power;
    options.second_power = second_power;
    options.confidence = confidence;
    Fit out;
    out.confidence = confidence;
    out.points = points;
    out.as_a_file_fits = !wall && !first_power && !second_power;
    out.core = std::make_shared<RatedCore>(start);
    const py::gil_scoped_release release;
    const exchangers::Medium first = start.first_medium(), second = start.second_medium(pressure);
    out.result = exchangers::fit_core(start.core, first, second, points, options);
    out.core->core = exchangers::fitted_core(start.core, first, second, points, options);
    return out;
}

/// The points as a file states them, SI.
std::string table_of(const Fit& f) {
    using exchangers::FitPoint;
    const std::string second = f.core->second_is_air ? "air" : "second";
    struct Column {
        std::string heading;
        std::function<double(const FitPoint&)> value;
        bool always = true;
    };
    const Column columns[] = {
        {"liquid_mass_flow [kg/s]", [](const FitPoint& p) { return p.duty.first_flow; }},
        {"liquid_inlet [K]", [](const FitPoint& p) { return p.duty.first_inlet; }},
        {second + "_mass_flow [kg/s]", [](const FitPoint& p) { return p.duty.second_flow; }},
        {second + "_inlet [K]", [](const FitPoint& p) { return p.duty.second_inlet; }},
        {"heat [W]", [](const FitPoint& p) { return p.heat; }},
        {"heat_error [W]", [](const FitPoint& p) { return p.heat_error; }, false},
        {"liquid_drop [Pa]", [](const FitPoint& p) { return p.first_drop; }, false},
        {second + "_drop [Pa]", [](const FitPoint& p) { return p.second_drop; }, false}};
    std::vector<const Column*> told;
    for (const Column& c : columns)
        if (c.always || std::all_of(f.points.begin(), f.points.end(),
                                    [&](const FitPoint& p) { return c.value(p) > 0; }))
            told.push_back(&c);
    std::string out = "[[";
    for (const Column* c : told) out += (c == told.front() ? "\"" : ", \"") + c->heading + "\"";
    out += "]";
    for (const FitPoint& p : f.points) {
        out += ", [";
        for (const Column* c : told)
            out += (c == told.front() ? "" : ", ") + fmt::format("{:.17g}", c->value(p));
        out += "]";
    }
    return out + "]";
}

py::object put_into(const Fit& f, const std::shared_ptr<Scenario>& car) {
    if (!f.as_a_file_fits)
        throw Error("a file's core is fitted by the levels of its sides alone",
                    "a fit without wall, first_power and second_power", {}, "wall");
    const std::string path = "cores." + f.core->core.name + ".measured";
    return py::cast(car).attr("with_value")(path, table_of(f));
}

std::vector<std::string> sentences(const Fit& f) {
    return exchangers::describe_fit(f.result, f.confidence);
}

}  // namespace

void bind_fit(py::module_& m) {
    using namespace py::literals;
    using exchangers::FitParameter;
    py::class_<FitParameter>(m, "FitParameter", "One fitted number with its confidence interval.")
        .def_readonly("name", &FitParameter::name, "what it is")
        .def_readonly("unit", &FitParameter::unit, "of value, lower and upper")
        .def_readonly("value", &FitParameter::value,
                      "in its unit; conductances: at the first point's flows")
        .def_readonly("lower", &FitParameter::lower, "low end of the interval, in its unit")
        .def_readonly("upper", &FitParameter::upper, "high end of the interval, in its unit")
        .def_readonly("determined", &FitParameter::determined, "whether the points fix it")
        .def("__repr__", [](const FitParameter& p) {
            return py::str("<lapheat.FitParameter {}: {:.4g} {} ({:.4g} to {:.4g})>")
                .format(p.name, p.value, p.unit, p.lower, p.upper);
        });
    py::class_<Fit>(m, "Fit", "A core fitted to measured points; print() tells what was found.")
        .def_readonly("core", &Fit::core, "the fitted core, for rate()")
        .def_property_readonly(
            "parameters", [](const Fit& f) { return f.result.parameters; }, "list of FitParameter")
        .def("into", &put_into, "scenario"_a.none(false),
             R"(A copy of the scenario whose core of that name is fitted to these points: as
``with_value("cores.NAME.measured", …)``, so that it can be written down and compared.

The core must be described by its dimensions. Raises ScenarioError where it is not, and Error for a fit
with `wall` or a power, which a file has not.)")
        .def_property_readonly(
            "separable", [](const Fit& f) { return f.result.separable; },
            "False: the points do not tell the sides apart; one factor was fitted to both")
        .def_property_readonly(
            "residual", [](const Fit& f) { return py::array(py::cast(f.result.residual)); },
            "(n,) share: (model - measured) / measured heat of each point")
        .def_property_readonly(
            "rms", [](const Fit& f) { return f.result.rms; },
            "share: root of the mean square of the residuals")
        .def_property_readonly(
            "worst", [](const Fit& f) { return f.result.worst; },
            "share: the largest of the residuals")
        .def_property_readonly(
            "findings", [](const Fit& f) { return f.result.findings; },
            "what the points can and cannot tell, in sentences")
        .def("__str__",
             [](const Fit& f) {
                 std::string out;
                 for (const std::string& s : sentences(f)) out += (out.empty() ? "" : "\n") + s;
                 return out;
             })
        .def("__repr__", [](const Fit& f) {
            return py::str("<lapheat.Fit of {} points, rms {:.2g} %>")
                .format(f.result.residual.size(), 100 * f.result.rms);
        });
    m.def("_fit", &fit, "core"_a, "first_flow"_a, "first_inlet"_a, "second_flow"_a,
          "second_inlet"_a, "heat"_a, "heat_error"_a, "first_drop"_a, "second_drop"_a, "wall"_a,
          "first_power"_a, "second_power"_a, "confidence"_a, "pressure"_a);
}

}  // namespace lapheat::python
