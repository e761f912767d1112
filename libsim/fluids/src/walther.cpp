#include "lapheat/fluids/walther.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

double z_of(double v) { return v + 0.7 + std::exp(-1.47 - 1.84 * v - 0.51 * v * v); }

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

}  // namespace lapheat::fluids
