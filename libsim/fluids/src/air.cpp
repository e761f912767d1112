#include "lapheat/fluids/air.hpp"

#include <algorithm>
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/constants.hpp"

namespace lapheat::fluids {
namespace {

constexpr double vapour_to_air = 0.621945;  // ratio of molar masses, ASHRAE Fundamentals, ch. 1

}  // namespace

AirState standard_atmosphere(double altitude, double warmer) {
    // Troposphere of ISO 2533: 288.15 K and 101 325 Pa at sea level, 6.5 K/km.
    constexpr double lapse = 0.0065, t0 = 288.15, p0 = constants::standard_pressure, r = 287.05287;
    const double h = std::clamp(altitude, -2000.0, 11000.0);
    const double t = t0 - lapse * h;
    return {t + warmer,
            solve::perturbed(solve::Relation::standard_atmosphere,
                             p0 * std::pow(t / t0, constants::gravity / (r * lapse))),
            0};
}

double saturation_pressure(double kelvin) noexcept {
    const double t = std::clamp(kelvin, 173.15, 473.15);
    if (t < 273.15)
        return solve::perturbed(solve::Relation::humid_saturation,
                                std::exp(-5.6745359e3 / t + 6.3925247 - 9.677843e-3 * t +
                                         6.2215701e-7 * t * t + 2.0747825e-9 * t * t * t -
                                         9.484024e-13 * t * t * t * t + 4.1635019 * std::log(t)));
    return solve::perturbed(
        solve::Relation::humid_saturation,
        std::exp(-5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t -
                 1.4452093e-8 * t * t * t + 6.5459673 * std::log(t)));
}

double humidity_ratio(double kelvin, double pressure, double relative_humidity) noexcept {
    const double share = std::clamp(relative_humidity, 0.0, 1.0) * saturation_pressure(kelvin);
    const double vapour = std::min(share, 0.5 * pressure);
    return vapour_to_air * vapour / (pressure - vapour);
}

double relative_humidity(const AirState& a) noexcept {
    const double vapour = a.pressure * a.humidity_ratio / (vapour_to_air + a.humidity_ratio);
    return vapour / saturation_pressure(a.temperature);
}

AirState ambient_air(double kelvin, double altitude, double relative_humidity) {
    const double pressure = standard_atmosphere(altitude).pressure;
    return {kelvin, pressure, humidity_ratio(kelvin, pressure, relative_humidity)};
}

bool in_range(const AirState& a) noexcept {
    return a.temperature >= 223.15 && a.temperature <= 473.15 && a.pressure >= 3e4 &&
           a.pressure <= 1.1e5 && a.humidity_ratio >= 0 && a.humidity_ratio <= 0.1;
}

}  // namespace lapheat::fluids
