// Liquids from data sheets: oils by two viscosities, coolants by points.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "build.hpp"
#include "interpolate.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/fluids/walther.hpp"
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

struct Bounds {
    const char* what;
    const char* unit;
    double minimum, maximum;
};

void check(const std::string& name, const SheetPoint& p, const Bounds& b) {
    if (!(p.kelvin > 150 && p.kelvin < 700))
        throw Error("the " + std::string(b.what) + " of '" + name + "' is given at " +
                        fmt::format("{:.6g}", p.kelvin - 273.15) + " degC",
                    "a temperature between -120 degC and 420 degC");
    if (!(p.value >= b.minimum && p.value <= b.maximum))
        throw Error("the " + std::string(b.what) + " of '" + name + "' is " +
                        fmt::format("{:.6g}", p.value) + ' ' + b.unit,
                    fmt::format("{:.6g}", b.minimum) + " to " + fmt::format("{:.6g}", b.maximum) +
                        ' ' + b.unit);
}

constexpr Bounds density_bounds{"density", "kg/m3", 500, 2000};
constexpr Bounds heat_bounds{"specific heat", "J/(kg K)", 800, 6000};
constexpr Bounds conductivity_bounds{"conductivity", "W/(m K)", 0.03, 2};
constexpr Bounds viscosity_bounds{"dynamic viscosity", "Pa s", 1e-5, 1e3};

std::vector<SheetPoint> sorted(const std::string& name, std::vector<SheetPoint> points,
                               const Bounds& bounds) {
    for (const SheetPoint& p : points) check(name, p, bounds);
    std::sort(points.begin(), points.end(),
              [](const SheetPoint& a, const SheetPoint& b) { return a.kelvin < b.kelvin; });
    for (std::size_t i = 1; i < points.size(); ++i)
        if (points[i].kelvin - points[i - 1].kelvin < 0.5)
            throw Error("two points of the " + std::string(bounds.what) + " of '" + name +
                            "' are at the same temperature",
                        "temperatures at least half a kelvin apart");
    return points;
}

/// A constant, or the line through two points.
Function line(const std::vector<SheetPoint>& p) {
    const double slope = p.size() < 2 ? 0 : (p[1].value - p[0].value) / (p[1].kelvin - p[0].kelvin);
    return [first = p[0], slope](double t) { return first.value + slope * (t - first.kelvin); };
}

/// Through all points, monotone between them, continued by a straight line.
Function through(const std::vector<SheetPoint>& points) {
    std::vector<double> x, y;
    for (const SheetPoint& p : points) {
        x.push_back(p.kelvin);
        y.push_back(p.value);
    }
    return monotone(std::move(x), std::move(y));
}

Function bounded(Function f, const Bounds& b) {
    return [f = std::move(f), b](double t) { return std::clamp(f(t), b.minimum, b.maximum); };
}

}  // namespace

Liquid from_sheet(const OilSheet& s) {
    const WaltherLine walther = walther_line(s.viscosity_1.kelvin, s.viscosity_1.value,
                                             s.viscosity_2.kelvin, s.viscosity_2.value);
    std::vector<SheetPoint> densities{s.density_1};
    // Mineral oils near 0.86 kg/L lose 0.65 kg/m³ with each kelvin (common practice, close to
    // the volume correction tables of ASTM D1250).
    densities.push_back(s.density_2 ? *s.density_2
                                    : SheetPoint{s.density_1.kelvin + 10, s.density_1.value - 6.5});
    const auto rho = line(sorted(s.name, densities, density_bounds));
    if (!(rho(300) > rho(400)))
        throw Error("the density of '" + s.name + "' rises with temperature",
                    "the larger density at the lower temperature");
    const double relative = rho(288.71) / 999.0;
    const auto limited = [&](const std::vector<SheetPoint>& p, const Bounds& b) {
        if (p.size() > 2)
            throw Error(fmt::format("the {} of '{}' has {} points", b.what, s.name, p.size()),
                        "one point (a constant) or two (a line)");
        return sorted(s.name, p, b);
    };
    const auto heats = limited(s.specific_heat, heat_bounds);
    const auto conductivities = limited(s.conductivity, conductivity_bounds);

    Function cp = [relative](double t) {
        return solve::perturbed(solve::Relation::oil_specific_heat,
                                1000 * (1.685 + 0.00339 * (t - 273.15)) / std::sqrt(relative));
    };
    Function k = [relative](double t) {
        return solve::perturbed(solve::Relation::oil_conductivity,
                                0.1172 / relative * (1 - 0.00054 * (t - 273.15)));
    };
    const std::string cragoe =
        "Cragoe, Thermal Properties of Petroleum Products, Bureau of Standards "
        "Misc. Publ. 97 (1929)";
    const std::string sheet = "data sheet of '" + s.name + "'";
    Info info;
    info.name = s.name;
    const double low = std::max(s.pour_point, 233.15), high = s.maximum_temperature;
    info.density = {sheet, low, high, 0.005,
                    s.density_2 ? "" : "falls by 0.65 kg/m3 with each kelvin"};
    info.specific_heat = {cragoe, low, high, 0.05, ""};
    info.conductivity = {cragoe, low, high, 0.12, ""};
    info.viscosity = {"ASTM D341 through two points of the " + sheet, low, high, 0.05,
                      "0.3 below -10 degC, where real oils leave the line"};
    info.freezing = {sheet, low, low, 0.01, "pour point"};
    if (!heats.empty()) {
        cp = line(heats);
        info.specific_heat = {sheet, low, high, 0.03, ""};
    }
    if (!conductivities.empty()) {
        k = line(conductivities);
        info.conductivity = {sheet, low, high, 0.05, ""};
    }
    const auto density = [limits = bounded(rho, density_bounds)](double t) {
        return solve::perturbed(solve::Relation::oil_density, limits(t));
    };
    return build({[density, cp = bounded(cp, heat_bounds), k = bounded(k, conductivity_bounds),
                   walther](double t) {
                      return Properties{density(t), cp(t), k(t), walther(t) * density(t)};
                  },
                  {},
                  s.pour_point,
                  low,
                  high},
                 std::move(info));
}

Liquid from_sheet(const CoolantSheet& s) {
    struct Entry {
        const std::vector<SheetPoint>* points;
        Bounds bounds;
    };
    double low = 0, high = 1e9;
    for (const auto& [points, bounds] :
         {Entry{&s.density, density_bounds}, Entry{&s.specific_heat, heat_bounds},
          Entry{&s.conductivity, conductivity_bounds}, Entry{&s.viscosity, viscosity_bounds}}) {
        if (points->size() < 2)
            throw Error(
                fmt::format("the {} of '{}' has {} points", bounds.what, s.name, points->size()),
                "at least two");
        const auto p = sorted(s.name, *points, bounds);
        low = std::max(low, p.front().kelvin);
        high = std::min(high, p.back().kelvin);
    }
    if (!(low < high))
        throw Error("the properties of '" + s.name + "' share no range of temperature",
                    "points of each property over the same range");
    auto viscosities = sorted(s.name, s.viscosity, viscosity_bounds);
    for (std::size_t i = 1; i < viscosities.size(); ++i)
        if (!(viscosities[i].value < viscosities[i - 1].value))
            throw Error("the dynamic viscosity of '" + s.name + "' does not fall at " +
                            fmt::format("{:.6g}", viscosities[i].kelvin - 273.15) + " degC",
                        "the larger viscosity at the lower temperature");
    if (!(s.freezing > 150 && s.freezing < 300))
        throw Error(
            "the freezing point of '" + s.name + "' is " + fmt::format("{:.6g}", s.freezing) + " K",
            "150 K to 300 K");
    if (!(s.boiling.kelvin > 300 && s.boiling.kelvin < 500 && s.boiling.value > 1e4 &&
          s.boiling.value < 2e6))
        throw Error("the boiling point of '" + s.name + "' cannot be used",
                    "300 K to 500 K at 10 kPa to 2 MPa");

    // ln viscosity against -1/T: close to straight for any liquid, and rising in x.
    for (SheetPoint& p : viscosities) p = {-1000 / p.kelvin, std::log(p.value)};
    const auto log_viscosity = through(viscosities);
    const double activity = std::log(s.boiling.value) - log_water_vapour_pressure(s.boiling.kelvin);
    // Water's curve, moved through the point, ends short of its critical point.
    if (!(activity + log_water_vapour_pressure(640) > std::log(2e6)))
        throw Error("the boiling point of '" + s.name + "' cannot be used",
                    "at most 454 K at 101 kPa; more at more pressure");

    Info info;
    info.name = s.name;
    const std::string sheet = "data sheet of '" + s.name + "'";
    low = std::max(low, s.freezing);
    info.density = {sheet, low, high, 0.005, ""};
    info.specific_heat = {sheet, low, high, 0.03, ""};
    info.conductivity = {sheet, low, high, 0.05, ""};
    info.viscosity = {sheet, low, high, 0.05, ""};
    info.boiling = {sheet, 323.15, 473.15, 0.004, "water's curve moved through the sheet's point"};
    info.freezing = {sheet, s.freezing, s.freezing, 0, ""};
    const auto curve = [&](const std::vector<SheetPoint>& points, const Bounds& bounds) {
        return bounded(through(sorted(s.name, points, bounds)), bounds);
    };
    return build(
        {[density = curve(s.density, density_bounds), cp = curve(s.specific_heat, heat_bounds),
          k = curve(s.conductivity, conductivity_bounds), log_viscosity](double t) {
             return Properties{density(t), cp(t), k(t), std::exp(log_viscosity(-1000 / t))};
         },
         [activity](double t) { return activity + log_water_vapour_pressure(t); }, s.freezing, low,
         high},
        std::move(info));
}

}  // namespace lapheat::fluids
