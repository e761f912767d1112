// Fluids and cores by themselves.
#include <array>
#include <cmath>
#include <memory>

#include "lapheat/exchangers/rate.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/scenario/problems.hpp"
#include "module.hpp"
#include "question.hpp"
#include "rated_core.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

using fluids::Liquid;

/// The liquids of a core are those of the loops it stands in.
std::shared_ptr<RatedCore> find_core(const std::shared_ptr<Scenario>& s, const std::string& name) {
    const model::Car& car = s->parsed.car;
    auto found = std::make_shared<RatedCore>();
    found->from = s;
    std::vector<std::string> names;
    bool there = false, flows = false;
    for (const model::CoreEntry& entry : car.cores) {
        names.push_back(entry.name);
        if (entry.name != name) continue;
        found->core = entry.core;
        there = true;
    }
    if (!there)
        throw Error("no core is named \"" + name + "\"; " + scenario::suggest(name, names), {}, {},
                    "name");
    for (const model::Loop& loop : car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts) {
                const auto* pass = std::get_if<model::CorePass>(&part.body);
                if (!pass || pass->core != name) continue;
                (pass->second_side ? found->second : found->first) = loop.fluid;
                if (pass->second_side)
                    found->second_is_air = false;
                else
                    flows = true;
            }
    if (!flows)
        throw Error("the core \"" + name + "\" stands in no loop", "a core with a fluid", {},
                    "name");
    return found;
}

using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

/// Point by point over flat arrays of one length, made so by lapheat.rate().
py::dict rate(const RatedCore& core, const Numbers& first_flow, const Numbers& first_inlet,
              const Numbers& second_flow, const Numbers& second_inlet, double pressure) {
    const py::ssize_t n = first_flow.size();
    const char* names[] = {"heat",
                           "effectiveness",
                           "ntu",
                           "ua",
                           "first_outlet",
                           "second_outlet",
                           "first_pressure_drop",
                           "second_pressure_drop",
                           "first_share",
                           "wall_share",
                           "second_share",
                           "wall_temperature"};
    constexpr std::size_t count = std::size(names);
    std::vector<py::array_t<double>> columns;
    for (std::size_t i = 0; i < count; ++i) columns.emplace_back(n);
    py::array_t<unsigned> flags(n);
    std::array<double*, count> out{};
    for (std::size_t i = 0; i < count; ++i) out[i] = columns[i].mutable_data();
    unsigned* flag = flags.mutable_data();
    const double *mf = first_flow.data(), *tf = first_inlet.data(), *ms = second_flow.data(),
                 *ts = second_inlet.data();
    {
        const py::gil_scoped_release release;
        const exchangers::Medium first = core.first_medium();
        const exchangers::Medium second = core.second_medium(pressure);
        for (py::ssize_t i = 0; i < n; ++i) {
            if (i % 1000 == 999) {  // Ctrl-C is heard
                const py::gil_scoped_acquire acquire;
                if (PyErr_CheckSignals() != 0) throw py::error_already_set();
            }
            const exchangers::CoreOperation o =
                exchangers::rate(core.core, first, second, {mf[i], tf[i], ms[i], ts[i]}).operation;
            const double whole = o.resistance_first + o.resistance_wall + o.resistance_second;
            const std::array<double, count> row = {o.heat,
                                                   o.effectiveness,
                                                   o.ntu,
                                                   o.ua,
                                                   o.first_outlet,
                                                   o.second_outlet,
                                                   o.first_pressure_drop,
                                                   o.second_pressure_drop,
                                                   o.resistance_first / whole,
                                                   o.resistance_wall / whole,
                                                   o.resistance_second / whole,
                                                   o.wall_temperature};
            for (std::size_t c = 0; c < count; ++c) out[c][i] = row[c];
            flag[i] = o.flags;
        }
    }
    py::dict all;
    for (std::size_t i = 0; i < count; ++i) all[names[i]] = columns[i];
    all["flags"] = flags;
    return all;
}

/// A missing reading, or one without end, has no property: an error, not a number that goes on in
/// silence.
double stated(double asked, const char* key) {
    if (!std::isfinite(asked))
        throw Error(
            std::string("the ") + key + (std::isnan(asked) ? " is not a number" : " is infinite"),
            "no missing values", {}, key);
    return asked;
}

template <class Answer>
double known(double asked, Answer answer) {
    return answer(kelvin(stated(asked, "temperature"), "temperature"));
}

void bind_fluid(py::module_& m) {
    using namespace py::literals;
    py::class_<Liquid>(m, "Fluid", R"(A liquid: properties against temperature.

Every property function takes K, a number or an array of any shape, and gives the same shape.
Outside the table (−60 to 220 °C) the value at its edge; see in_range(). Raises Error for a
temperature that looks like degrees, and for one that is not a finite number.)")
        .def_property_readonly("name", &Liquid::name, "with its share of glycol")
        .def_property_readonly(
            "minimum_temperature", [](const Liquid& l) { return l.minimum_temperature(); },
            "K, from where its sources cover it")
        .def_property_readonly(
            "maximum_temperature", [](const Liquid& l) { return l.maximum_temperature(); },
            "K, up to where its sources cover it")
        .def_property_readonly(
            "freezing_temperature", [](const Liquid& l) { return l.freezing_temperature(); },
            "K; first ice, or the pour point")
        .def_property_readonly(
            "sources",
            [](const Liquid& l) {
                const fluids::Info& i = l.info();
                return py::dict(
                    "density"_a = i.density.source, "specific_heat"_a = i.specific_heat.source,
                    "conductivity"_a = i.conductivity.source, "viscosity"_a = i.viscosity.source,
                    "boiling"_a = i.boiling.source, "freezing"_a = i.freezing.source);
            },
            "where each property comes from")
        .def("density", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.density(k); });
             }),
             "temperature"_a, "kg/m³ at a temperature in K")
        .def("specific_heat", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.specific_heat(k); });
             }),
             "temperature"_a, "J/(kg K) at a temperature in K")
        .def("conductivity", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.conductivity(k); });
             }),
             "temperature"_a, "W/(m K) at a temperature in K")
        .def("viscosity", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.viscosity(k); });
             }),
             "temperature"_a, "Pa s, dynamic, at a temperature in K")
        .def("kinematic_viscosity", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.viscosity(k) / l.density(k); });
             }),
             "temperature"_a, "m²/s at a temperature in K")
        .def("prandtl", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.at(k).prandtl(); });
             }),
             "temperature"_a, "Prandtl number (1) at a temperature in K")
        .def("specific_enthalpy", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.specific_enthalpy(k); });
             }),
             "temperature"_a, "J/kg from 273.15 K to a temperature in K")
        .def("vapour_pressure", py::vectorize([](Liquid& l, double t) {
                 return known(t, [&](double k) { return l.vapour_pressure(k); });
             }),
             "temperature"_a, "Pa at a temperature in K; 0 for oils")
        .def("boiling_temperature", py::vectorize([](Liquid& l, double p) {
                 return l.boiling_temperature(pascal(stated(p, "pressure"), "pressure", 200));
             }),
             "pressure"_a, "K at an absolute pressure in Pa; inf for oils")
        .def("in_range", py::vectorize([](Liquid& l, double t) { return l.in_range(t); }),
             "temperature"_a, "whether the sources cover a temperature in K")
        .def("__repr__", [](const Liquid& l) {
            return py::str("<lapheat.Fluid {}, {:.0f} to {:.0f} °C>")
                .format(l.name(), l.minimum_temperature() - 273.15,
                        l.maximum_temperature() - 273.15);
        });
    m.def(
        "fluid",
        [](const std::string& name, double fraction) { return fluids::by_name(name, fraction); },
        "name"_a, "fraction"_a = 0.5,
        R"(A liquid by name: water, ethylene_glycol, propylene_glycol, transmission_fluid,
steering_fluid, engine_oil. fraction: glycol by volume, 0 to 0.6. Raises Error with the nearest name.)");
}

void bind_core(py::module_& m) {
    py::class_<RatedCore, std::shared_ptr<RatedCore>>(m, "Core",
                                                      "A core of a scenario, for rating.")
        .def_property_readonly(
            "name", [](const RatedCore& c) { return c.core.name; }, "as its scenario has it")
        .def_readonly("first", &RatedCore::first, "Fluid that is cooled")
        .def_property_readonly(
            "second",
            [](const RatedCore& c) -> py::object {
                return c.second_is_air ? py::object(py::none()) : py::cast(c.second);
            },
            "Fluid that takes the heat; None: air")
        .def_property_readonly(
            "width", [](const RatedCore& c) { return c.core.width; }, "m")
        .def_property_readonly(
            "height", [](const RatedCore& c) { return c.core.height; }, "m")
        .def_property_readonly(
            "depth", [](const RatedCore& c) { return c.core.depth; }, "m")
        .def_property_readonly(
            "face_area", [](const RatedCore& c) { return c.core.face_area; }, "m²")
        .def_property_readonly(
            "heat_capacity", [](const RatedCore& c) { return c.core.heat_capacity; }, "J/K, dry")
        .def_property_readonly(
            "uncertainty", [](const RatedCore& c) { return c.core.uncertainty; },
            "of the heat, fraction, about two standard deviations")
        .def_property_readonly(
            "assumptions", [](const RatedCore& c) { return c.core.assumptions; },
            "what was assumed of it, in sentences")
        .def(py::pickle(
            [](const RatedCore& c) {
                if (!c.from)
                    throw py::type_error("only a core of a scenario, by lapheat.core(), pickles");
                return py::make_tuple(c.from, c.core.name);
            },
            [](const py::tuple& state) {
                return find_core(state[0].cast<std::shared_ptr<Scenario>>(),
                                 state[1].cast<std::string>());
            }))
        .def("__copy__", [](const std::shared_ptr<RatedCore>& c) { return c; })
        .def("__deepcopy__", [](const std::shared_ptr<RatedCore>& c, const py::dict&) { return c; })
        // Of the same name in an equal scenario; one of no scenario equals itself alone.
        .def("__eq__",
             [](const RatedCore& a, const py::object& other) {
                 if (!py::isinstance<RatedCore>(other)) return false;
                 const auto& b = other.cast<const RatedCore&>();
                 if (!a.from || !b.from) return &a == &b;
                 return a.core.name == b.core.name && py::cast(a.from).equal(py::cast(b.from));
             })
        .def("__hash__",
             [](const RatedCore& c) {
                 return c.from ? py::hash(py::make_tuple(c.from, c.core.name))
                               : static_cast<py::ssize_t>(std::hash<const void*>()(&c));
             })
        .def("__repr__", [](const RatedCore& c) {
            return py::str("<lapheat.Core '{}': {:.0f} x {:.0f} x {:.0f} mm, {}>")
                .format(c.core.name, c.core.width * 1e3, c.core.height * 1e3, c.core.depth * 1e3,
                        c.first.name());
        });
}

}  // namespace

void bind_parts(py::module_& m) {
    using namespace py::literals;
    bind_fluid(m);
    bind_core(m);
    m.def(
        "core", &find_core, "scenario"_a.none(false), "name"_a,
        R"(A core of the scenario by name, with the fluids of its loops. Raises Error with the nearest name.)");
    m.def(
        "core_names",
        [](const Scenario& s) {
            std::vector<std::string> names;
            for (const model::CoreEntry& entry : s.parsed.car.cores) names.push_back(entry.name);
            return names;
        },
        "scenario"_a, "The names of the scenario's cores.");
    m.def(
        "read_cores",
        [](const std::filesystem::path& file) {
            py::dict cores;
            for (const scenario::RatingSheet& s : scenario::read_cores(file)) {
                auto core = std::make_shared<RatedCore>(
                    RatedCore{s.entry.core, s.first, s.second_is_air, s.second});
                cores[py::str(s.entry.name)] = core;
            }
            return cores;
        },
        "file"_a,
        R"(The cores of a file by name. It needs no car: [fluids] and [cores] are enough.
Raises ScenarioError with everything that is wrong in them.)");
    m.def("_rate", &rate, "core"_a, "first_flow"_a, "first_inlet"_a, "second_flow"_a,
          "second_inlet"_a, "pressure"_a);
    m.def("describe_flags", &exchangers::describe_core_flags, "flags"_a,
          "A sentence for each of the flags of a Rating; empty for 0.");
}

}  // namespace lapheat::python
