#include "lapheat/exchangers/duct.hpp"

#include <algorithm>
#include <cmath>
#include "lapheat/solve/relation.hpp"

namespace lapheat::exchangers {
namespace {

constexpr double laminar_end = 2300;
constexpr double turbulent_start = 1e4;

double clamped_aspect(const Duct& d) noexcept { return std::clamp(d.aspect, 0.0, 1.0); }

double cube(double x) noexcept { return x * x * x; }

/// 1 when laminar, 0 when turbulent, linear in Re between.
double laminar_share(double re) noexcept {
    return std::clamp((turbulent_start - re) / (turbulent_start - laminar_end), 0.0, 1.0);
}

}  // namespace

double laminar_friction_constant(const Duct& d) noexcept {
    if (d.shape == DuctShape::round)
        return solve::perturbed(solve::Relation::duct_loss_laminar, 64.0);
    const double a = clamped_aspect(d);
    return solve::perturbed(
        solve::Relation::duct_loss_laminar,
        96 * (1 + a * (-1.3553 + a * (1.9467 + a * (-1.7012 + a * (0.9564 - a * 0.2537))))));
}

double laminar_nusselt_constant_temperature(const Duct& d) noexcept {
    if (d.shape == DuctShape::round)
        return solve::perturbed(solve::Relation::duct_film_laminar, 3.657);
    const double a = clamped_aspect(d);
    return solve::perturbed(
        solve::Relation::duct_film_laminar,
        7.541 * (1 + a * (-2.610 + a * (4.970 + a * (-5.119 + a * (2.702 - a * 0.548))))));
}

double laminar_nusselt(const Duct& d, double re, double pr) noexcept {
    const double developed = laminar_nusselt_constant_temperature(d);
    const double graetz = std::max(re, 0.0) * pr * d.hydraulic_diameter / d.length;
    // Lévêque: 0.40377 (xi Re · Re Pr d/l)^(1/3); 1.615 in a tube, 1.849 between plates.
    const double leveque =
        solve::perturbed(solve::Relation::duct_film_laminar,
                         0.40377 * std::cbrt(laminar_friction_constant(d) * graetz));
    const double hydrodynamic = std::pow(2 / (1 + 22 * pr), 1.0 / 6) * std::sqrt(graetz);
    if (d.shape == DuctShape::round)
        return std::cbrt(cube(developed) + cube(0.7) + cube(leveque - 0.7) + cube(hydrodynamic));
    return std::cbrt(cube(developed) + cube(leveque) + cube(hydrodynamic));
}

double apparent_friction_constant(const Duct& d, double re) noexcept {
    // Shah's K(infinity) and C at aspect ratios 0, 0.2, 0.5 and 1 (Table in Shah 1978); tube below.
    constexpr double aspects[] = {0, 0.2, 0.5, 1};
    constexpr double losses[] = {0.674, 0.931, 1.280, 1.430};
    constexpr double constants[] = {2.9e-5, 7.6e-5, 2.1e-4, 2.9e-4};
    double loss = 1.250;
    double c = 2.12e-4;
    if (d.shape == DuctShape::rectangle) {
        const double a = clamped_aspect(d);
        const int i = a < aspects[1] ? 0 : (a < aspects[2] ? 1 : 2);
        const double t = (a - aspects[i]) / (aspects[i + 1] - aspects[i]);
        loss = losses[i] + t * (losses[i + 1] - losses[i]);
        c = constants[i] * std::pow(constants[i + 1] / constants[i], t);
    }
    const double developed = laminar_friction_constant(d);
    if (!(re > 0)) return developed;
    const double x = d.length / (d.hydraulic_diameter * re);
    const double inlet = 3.44 / std::sqrt(x);
    return 4 * (inlet + (loss / (4 * x) + developed / 4 - inlet) / (1 + c / (x * x)));
}

double friction_konakov(double re) noexcept {
    const double s = 1.8 * std::log10(re) - 1.5;
    return 1 / (s * s);
}

double nusselt_turbulent(double re, double pr, double diameter_over_length) noexcept {
    const double f8 = friction_konakov(re) / 8;
    return solve::perturbed(solve::Relation::duct_film_turbulent,
                            f8 * re * pr / (1 + 12.7 * std::sqrt(f8) * (std::cbrt(pr * pr) - 1)) *
                                (1 + std::cbrt(diameter_over_length * diameter_over_length)));
}

Correlated nusselt(const Duct& d, double re, double pr) noexcept {
    const bool in_range = re >= 0 && re < 1e6 && pr > 0.6 && pr < 1e5;
    if (!(re > laminar_end)) return {laminar_nusselt(d, re, pr), in_range};
    const double ratio = std::min(d.hydraulic_diameter / d.length, 1.0);
    if (re >= turbulent_start) return {nusselt_turbulent(re, pr, ratio), in_range};
    const double share = laminar_share(re);
    return {share * laminar_nusselt(d, laminar_end, pr) +
                (1 - share) * nusselt_turbulent(turbulent_start, pr, ratio),
            in_range};
}

double friction_factor(const Duct& d, double re, double roughness) noexcept {
    // 8 [ (k/(8 Re))^12 + (A + B)^(-3/2) ]^(1/12); Churchill's k is 64. Below Re = 1 the turbulent
    // term is nil and the powers would overflow.
    const double r = std::max(re, 1e-12);
    const double laminar = apparent_friction_constant(d, r) / r;
    if (r < 100) return laminar;
    const double a = -2.457 * std::log(std::pow(7 / r, 0.9) + 0.27 * roughness);
    const double a8 = cube(a * a) * a * a;
    const double b8 = std::pow(37530 / r, 8);
    const double turbulent = std::pow(a8 * a8 + b8 * b8, -1.5);
    // The turbulent term is a power -12 of the friction factor.
    return 8 *
           std::pow(std::pow(laminar / 8, 12) +
                        std::pow(solve::perturbed(solve::Relation::duct_loss_turbulent, 1.0), 12) *
                            turbulent,
                    1.0 / 12);
}

double contraction_loss(double sigma) noexcept {
    const double s = std::clamp(sigma, 0.0, 1.0);
    // Jet contraction into tubes in a plate, von Mises' values as fitted by Kays; with a flat
    // profile Kays' momentum balance becomes a sudden expansion from the jet to the tube.
    const double jet = 4.374e-4 * std::exp(6.737 * std::sqrt(s)) + 0.621;
    const double k = 1 / jet - 1;
    return solve::perturbed(solve::Relation::core_entrance_exit, k * k);
}

double expansion_loss(const Duct& d, double sigma, double re) noexcept {
    const double s = std::clamp(sigma, 0.0, 1.0);
    // Momentum of the profile over that of the mean velocity: 4/3 in a tube, 6/5 between plates,
    // 1.378 in a square duct when laminar; Kays' formula when turbulent.
    const double laminar = d.shape == DuctShape::round ? 4.0 / 3 : 1.2 + 0.178 * clamped_aspect(d);
    const double f = friction_konakov(std::max(re, turbulent_start));
    const double turbulent = 1 + 1.09068 * f + 0.05884 * std::sqrt(f);
    const double share = laminar_share(re);
    const double momentum = share * laminar + (1 - share) * turbulent;
    return solve::perturbed(solve::Relation::core_entrance_exit, 1 - 2 * momentum * s + s * s);
}

}  // namespace lapheat::exchangers
