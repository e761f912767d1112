#include "lapheat/fluids/liquid.hpp"

#include <cmath>
#include <limits>

#include "build.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

constexpr double table_start = 213.15, table_step = 2;
constexpr int table_cells = 140;
constexpr int enthalpy_reference_node = 30;  // 273.15 K
static_assert(table_start + table_step * enthalpy_reference_node == 273.15);

/// The cubic with the function's values and slopes at both ends of a cell.
Cubic hermite(const Function& f, double x, double step) {
    const double h = 1e-3 * step;
    const double f0 = f(x), f1 = f(x + step);
    const double d0 = (f(x + h) - f(x - h)) / (2 * h) * step;
    const double d1 = (f(x + step + h) - f(x + step - h)) / (2 * h) * step;
    return {f0, d0, 3 * (f1 - f0) - 2 * d0 - d1, 2 * (f0 - f1) + d0 + d1};
}

Curve curve(const Function& f, double start, double step, int cells) {
    Curve c{start, step, {}};
    for (int i = 0; i < cells; ++i) c.cells.push_back(hermite(f, start + i * step, step));
    return c;
}

/// K at which a rising ln p reaches `target`, by bisection: done once for each node of a table.
double boiling(const Function& log_pressure, double target) {
    double low = 200, high = 640;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (log_pressure(middle) < target ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

}  // namespace

Liquid build(const Correlations& c, Info info) {
    auto table = std::make_shared<PropertyTable>();
    table->start = table_start;
    table->per_step = 1 / table_step;
    table->last = table_cells;
    table->freezing = c.freezing;
    table->minimum = c.minimum;
    table->maximum = c.maximum;
    double enthalpy = 0;
    for (int i = 0; i < table_cells; ++i) {
        const double t = table_start + i * table_step;
        Cell cell{hermite(c.density, t, table_step), hermite(c.specific_heat, t, table_step),
                  hermite(c.conductivity, t, table_step), hermite(c.viscosity, t, table_step)};
        for (const Cubic* p :
             {&cell.density, &cell.specific_heat, &cell.conductivity, &cell.viscosity})
            for (const double x : *p)
                if (!std::isfinite(x))
                    throw Error("the properties of '" + info.name + "' cannot be continued to " +
                                    std::to_string(t) + " K",
                                "points that vary smoothly with temperature");
        table->cells.push_back(cell);
        table->enthalpy.push_back(enthalpy);
        const Cubic& p = cell.specific_heat;
        enthalpy += table_step * (p[0] + p[1] / 2 + p[2] / 3 + p[3] / 4);
    }
    const double reference = table->enthalpy[enthalpy_reference_node];
    for (double& h : table->enthalpy) h -= reference;
    if (c.log_vapour_pressure) {
        table->log_vapour_pressure =
            curve(c.log_vapour_pressure, table_start, table_step, table_cells);
        const double low = std::log(1e3), high = std::log(2e6);
        table->boiling = curve([&](double p) { return boiling(c.log_vapour_pressure, p); }, low,
                               (high - low) / 64, 64);
    }
    return {std::move(table), std::make_shared<const Info>(std::move(info))};
}

Liquid::Liquid() {
    static const Liquid shared = water();
    *this = shared;
}

double Liquid::specific_enthalpy(double kelvin) const noexcept {
    const PropertyTable& d = *data_;
    const std::size_t i = d.index(kelvin);
    const double s = d.position(kelvin) - static_cast<double>(i);
    const Cubic& c = d.cells[i].specific_heat;
    const double inside =
        d.enthalpy[i] + s * (c[0] + s * (c[1] / 2 + s * (c[2] / 3 + s * c[3] / 4))) / d.per_step;
    const double edge = d.start + d.position(kelvin) / d.per_step;
    return kelvin == kelvin ? inside + cubic(c, s) * (kelvin - edge) : inside;
}

double Liquid::boiling_temperature(double absolute_pressure) const noexcept {
    if (data_->boiling.cells.empty()) return std::numeric_limits<double>::infinity();
    return data_->boiling(std::log(absolute_pressure > 1 ? absolute_pressure : 1.0));
}

double Liquid::vapour_pressure(double kelvin) const noexcept {
    if (data_->log_vapour_pressure.cells.empty()) return 0;
    return std::exp(data_->log_vapour_pressure(kelvin));
}

unsigned Liquid::flags(double kelvin) const noexcept {
    if (kelvin != kelvin) return flag_not_a_number;
    return (kelvin < data_->minimum ? flag_below_range : 0u) |
           (kelvin > data_->maximum ? flag_above_range : 0u) |
           (kelvin < data_->freezing ? flag_frozen : 0u);
}

std::string describe_flags(unsigned flags) {
    std::string text;
    const auto add = [&](unsigned flag, const char* sentence) {
        if ((flags & flag) == 0) return;
        if (!text.empty()) text += ' ';
        text += sentence;
    };
    add(flag_below_range, "Colder than the sources of its properties: continued, not known.");
    add(flag_above_range, "Hotter than the sources of its properties: continued, not known.");
    add(flag_frozen, "Below its freezing or pour point.");
    add(flag_not_a_number, "Its temperature is not a number.");
    return text;
}

}  // namespace lapheat::fluids
