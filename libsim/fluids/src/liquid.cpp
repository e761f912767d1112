#include "lapheat/fluids/liquid.hpp"

#include <fmt/core.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <limits>

#include "build.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

constexpr double table_start = 213.15, table_step = 2;
constexpr int table_cells = 140;
constexpr int enthalpy_reference_node = 30;  // 273.15 K
static_assert(table_start + table_step * enthalpy_reference_node == 273.15);

/// The cubic with given values and slopes (per cell) at both ends of a cell.
Cubic hermite(double f0, double d0, double f1, double d1) {
    return {f0, d0, 3 * (f1 - f0) - 2 * d0 - d1, 2 * (f0 - f1) + d0 + d1};
}

/// A property at a node, with its slope per cell.
struct TableNode {
    Properties value, slope;
};

TableNode node(const std::function<Properties(double)>& f, double t) {
    const double h = 1e-3 * table_step;
    const Properties low = f(t - h), high = f(t + h);
    const auto slope = [&](double Properties::*p) {
        return (high.*p - low.*p) / (2 * h) * table_step;
    };
    return {f(t),
            {slope(&Properties::density), slope(&Properties::specific_heat),
             slope(&Properties::conductivity), slope(&Properties::viscosity)}};
}

Cubic between(const TableNode& a, const TableNode& b, double Properties::*p) {
    return hermite(a.value.*p, a.slope.*p, b.value.*p, b.slope.*p);
}

double slope_of(const Function& f, double x) { return (f(x + 0.01) - f(x - 0.01)) / 0.02; }

/// K at which a rising ln p reaches `target`.
double boiling(const Function& log_pressure, double target) {
    std::uintmax_t steps = 60;
    const auto [low, high] = boost::math::tools::toms748_solve(
        [&](double t) { return log_pressure(t) - target; }, 200.0, 640.0,
        boost::math::tools::eps_tolerance<double>(44), steps);
    return 0.5 * (low + high);
}

void add_boiling(PropertyTable& table, const Function& log_pressure) {
    table.log_vapour_pressure = {table_start, table_step, {}};
    for (int i = 0; i < table_cells; ++i) {
        const double t = table_start + i * table_step, next = t + table_step;
        table.log_vapour_pressure.cells.push_back(
            hermite(log_pressure(t), slope_of(log_pressure, t) * table_step, log_pressure(next),
                    slope_of(log_pressure, next) * table_step));
    }
    constexpr int cells = 64;
    const double low = std::log(1e3), step = (std::log(2e6) - low) / cells;
    table.boiling = {low, step, {}};
    double t = boiling(log_pressure, low);
    for (int i = 0; i < cells; ++i) {
        const double next = boiling(log_pressure, low + (i + 1) * step);
        table.boiling.cells.push_back(hermite(t, step / slope_of(log_pressure, t), next,
                                              step / slope_of(log_pressure, next)));
        t = next;
    }
}

bool is_finite(const Cell& c) {
    for (const Cubic* p : {&c.density, &c.specific_heat, &c.conductivity, &c.viscosity})
        for (const double x : *p)
            if (!std::isfinite(x)) return false;
    return true;
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
    TableNode left = node(c.properties, table_start);
    for (int i = 0; i < table_cells; ++i) {
        const double t = table_start + i * table_step;
        const TableNode right = node(c.properties, t + table_step);
        const Cell cell{between(left, right, &Properties::density),
                        between(left, right, &Properties::specific_heat),
                        between(left, right, &Properties::conductivity),
                        between(left, right, &Properties::viscosity)};
        if (!is_finite(cell))
            throw Error("the properties of '" + info.name + "' cannot be continued to " +
                            fmt::format("{:.6g}", t) + " K",
                        "points that vary smoothly with temperature");
        table->cells.push_back(cell);
        table->enthalpy.push_back(enthalpy);
        const Cubic& p = cell.specific_heat;
        enthalpy += table_step * (p[0] + p[1] / 2 + p[2] / 3 + p[3] / 4);
        left = right;
    }
    const double reference = table->enthalpy[enthalpy_reference_node];
    for (double& h : table->enthalpy) h -= reference;
    if (c.log_vapour_pressure) add_boiling(*table, c.log_vapour_pressure);
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

std::vector<Code> flag_codes(unsigned flags) {
    constexpr std::pair<Flag, Code> said[] = {{flag_below_range, Code::fluid_too_cold},
                                              {flag_above_range, Code::fluid_too_hot},
                                              {flag_frozen, Code::fluid_frozen},
                                              {flag_not_a_number, Code::fluid_not_finite}};
    std::vector<Code> out;
    for (const auto& [flag, code] : said)
        if ((flags & flag) != 0) out.push_back(code);
    return out;
}

std::string describe_flags(unsigned flags) {
    std::string text;
    for (const Code code : flag_codes(flags))
        text += (text.empty() ? "" : " ") + sentence({code}, units::System::si);
    return text;
}

}  // namespace lapheat::fluids
