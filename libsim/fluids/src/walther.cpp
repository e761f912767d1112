#include "lapheat/fluids/walther.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

double z_of(double v) { return v + 0.7 + std::exp(-1.47 - 1.84 * v - 0.51 * v * v); }

struct Segment {
    double from;                 // mm²/s at 100 °C
    std::array<double, 3> l, h;  // L and H = first · Y² + second · Y + third
};

// The quadratics that ASTM D2270 gives for its Table 1, from memory; the tests hold them against
// the standard's worked examples and against each other where they meet.
constexpr std::array<Segment, 16> segments = {{
    {2.0, {1.14673, 1.7576, -0.109}, {0.84155, 1.5521, -0.077}},
    {3.8, {3.38095, -15.4952, 33.196}, {0.78571, 1.7929, -0.183}},
    {4.4, {2.5, -7.2143, 13.812}, {0.82143, 1.5679, 0.119}},
    {5.0, {0.101, 16.635, -45.469}, {0.04985, 9.1613, -18.557}},
    {6.4, {3.35714, -23.5643, 78.466}, {0.22619, 7.7369, -16.656}},
    {7.0, {0.01191, 21.475, -72.870}, {0.79762, -0.7321, 14.610}},
    {7.7, {0.41858, 16.1558, -56.040}, {0.05794, 10.5156, -28.240}},
    {9.0, {0.88779, 7.5527, -16.600}, {0.26665, 6.7015, -10.810}},
    {12, {0.7672, 10.7972, -38.180}, {0.20073, 8.4658, -22.490}},
    {15, {0.97305, 5.3135, -2.200}, {0.28889, 5.9741, -4.930}},
    {18, {0.97256, 5.2500, -0.980}, {0.24504, 7.4160, -16.730}},
    {22, {0.91413, 7.4759, -21.820}, {0.20323, 9.1267, -34.230}},
    {28, {0.87031, 9.7157, -50.770}, {0.18411, 10.1015, -46.750}},
    {40, {0.84703, 12.6752, -133.310}, {0.17029, 11.4866, -80.620}},
    {55, {0.85921, 11.1009, -83.190}, {0.17130, 11.3680, -76.940}},
    {70, {0.83531, 14.6731, -216.246}, {0.16841, 11.8493, -96.947}},
}};

double quadratic(const std::array<double, 3>& c, double y) { return (c[0] * y + c[1]) * y + c[2]; }

}  // namespace

double WaltherLine::operator()(double kelvin) const {
    const double z = std::pow(10, std::pow(10, a - b * std::log10(kelvin)));
    const double y = z - 0.7;
    // The correction is for thin oils only and its polynomial leaves its range for thick ones.
    const double thin = y < 5 ? std::exp(-0.7487 + y * (-3.295 + y * (0.6119 - 0.3193 * y))) : 0.0;
    return solve::perturbed(solve::Relation::oil_viscosity, 1e-6 * std::max(y - thin, 0.05));
}

WaltherLine walther_line(double kelvin_1, double viscosity_1, double kelvin_2, double viscosity_2) {
    for (const double v : {viscosity_1, viscosity_2})
        if (!(v >= 0.21e-6 && v <= 20.0))
            throw Error("a kinematic viscosity of " + fmt::format("{:.6g}", v * 1e6) +
                            " mm2/s is outside the ASTM D341 equation",
                        "0.21 to 2e7 mm2/s");
    if (!(kelvin_1 > 0 && kelvin_2 > 0) || std::abs(kelvin_1 - kelvin_2) < 1)
        throw Error("the two viscosities are at the same temperature",
                    "two temperatures, usually 40 degC and 100 degC");
    if (!((viscosity_1 - viscosity_2) * (kelvin_1 - kelvin_2) < 0))
        throw Error("the viscosity does not fall with temperature",
                    "the larger viscosity at the lower temperature");
    const double w1 = std::log10(std::log10(z_of(viscosity_1 * 1e6)));
    const double w2 = std::log10(std::log10(z_of(viscosity_2 * 1e6)));
    const double b = (w1 - w2) / (std::log10(kelvin_2) - std::log10(kelvin_1));
    return {w1 + b * std::log10(kelvin_1), b};
}

double viscosity_index(double at_40_celsius, double at_100_celsius) {
    const double u = at_40_celsius * 1e6, y = at_100_celsius * 1e6;
    if (!(y >= 2) || !(u > y))
        throw Error("the viscosity index is not defined for these viscosities",
                    "at least 2 mm2/s at 100 degC and more at 40 degC");
    const Segment* s = segments.data();
    for (const Segment& next : segments)
        if (y >= next.from) s = &next;
    const double l = quadratic(s->l, y), h = quadratic(s->h, y);
    if (u >= h) return 100 * (l - u) / (l - h);
    const double n = (std::log10(h) - std::log10(u)) / std::log10(y);
    return 100 + (std::pow(10, n) - 1) / 0.00715;
}

}  // namespace lapheat::fluids
