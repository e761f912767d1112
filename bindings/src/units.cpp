#include "lapheat/units/units.hpp"

#include <algorithm>

#include "module.hpp"

namespace lapheat::python {
namespace {

units::Quantity quantity(const std::string& name) {
    const auto plain = [](std::string text) {
        std::replace(text.begin(), text.end(), '_', ' ');
        return text;
    };
    std::string known;
    for (const units::Quantity q : units::all_quantities()) {
        if (plain(name) == plain(units::name(q))) return q;
        known += (known.empty() ? "" : ", ") + std::string(units::name(q));
    }
    throw Error("unknown quantity \"" + name + "\"", "one of: " + known, {}, "quantity");
}

}  // namespace

void bind_units(py::module_& m) {
    using namespace py::literals;
    m.def(
        "si",
        [](const std::string& text, const std::string& what) {
            return units::parse(text, quantity(what));
        },
        "text"_a, "quantity"_a,
        R"(The SI value of text with its unit: ``si("195 degF", "temperature")`` is 363.7 (K).

quantity: its name, such as "length", "volume_flow", "temperature_difference".
Raises Error for text without a number or unit, an unknown unit, or one of another dimension.)");
    m.def(
        "text",
        [](double value, const std::string& what, const std::string& system) {
            const auto shown_in = units::system_named(system);
            if (!shown_in)
                throw Error("unknown system of units \"" + system + "\"", "\"si\" or \"us\"", {},
                            "system");
            return units::format(value, quantity(what), *shown_in);
        },
        "value"_a, "quantity"_a, "system"_a = "si",
        R"(An SI value as a person reads it: ``text(363.7, "temperature", "us")`` is "195.0 degF".

quantity: as in si(). system: "si" or "us". Raises Error for another.)");
}

}  // namespace lapheat::python
