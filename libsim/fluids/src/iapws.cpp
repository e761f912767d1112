#include "lapheat/fluids/iapws.hpp"

#include <array>
#include <cmath>
#include "lapheat/solve/relation.hpp"

namespace lapheat::fluids {
namespace {

struct Term {
    int i, j;
    double n;
};

// clang-format off
// IAPWS R7-97 (2012), Table 2.
constexpr std::array<Term, 34> region_1 = {{
    {0, -2, 0.14632971213167}, {0, -1, -0.84548187169114}, {0, 0, -0.37563603672040e1},
    {0, 1, 0.33855169168385e1}, {0, 2, -0.95791963387872}, {0, 3, 0.15772038513228},
    {0, 4, -0.16616417199501e-1}, {0, 5, 0.81214629983568e-3}, {1, -9, 0.28319080123804e-3},
    {1, -7, -0.60706301565874e-3}, {1, -1, -0.18990068218419e-1}, {1, 0, -0.32529748770505e-1},
    {1, 1, -0.21841717175414e-1}, {1, 3, -0.52838357969930e-4}, {2, -3, -0.47184321073267e-3},
    {2, 0, -0.30001780793026e-3}, {2, 1, 0.47661393906987e-4}, {2, 3, -0.44141845330846e-5},
    {2, 17, -0.72694996297594e-15}, {3, -4, -0.31679644845054e-4}, {3, 0, -0.28270797985312e-5},
    {3, 6, -0.85205128120103e-9}, {4, -5, -0.22425281908000e-5}, {4, -2, -0.65171222895601e-6},
    {4, 10, -0.14341729937924e-12}, {5, -8, -0.40516996860117e-6}, {8, -11, -0.12734301741641e-8},
    {8, -6, -0.17424871230634e-9}, {21, -29, -0.68762131295531e-18},
    {23, -31, 0.14478307828521e-19}, {29, -38, 0.26335781662795e-22},
    {30, -39, -0.11947622640071e-22}, {31, -40, 0.18228094581404e-23},
    {32, -41, -0.93537087292458e-25}}};

// IAPWS R7-97 (2012), Table 34; n[0] unused.
constexpr std::array<double, 11> saturation = {
    0, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3};

// IAPWS R12-08, Table 2: i is the power of (1/T - 1), j of (density - 1).
constexpr std::array<Term, 21> viscosity_terms = {{
    {0, 0, 0.520094}, {1, 0, 0.850895e-1}, {2, 0, -0.108374e1}, {3, 0, -0.289555},
    {0, 1, 0.222531}, {1, 1, 0.999115}, {2, 1, 0.188797e1}, {3, 1, 0.126613e1},
    {5, 1, 0.120573}, {0, 2, -0.281378}, {1, 2, -0.906851}, {2, 2, -0.772479},
    {3, 2, -0.489837}, {4, 2, -0.257040}, {0, 3, 0.161913}, {1, 3, 0.257399},
    {0, 4, -0.325372e-1}, {3, 4, 0.698452e-1}, {4, 5, 0.872102e-2}, {3, 6, -0.435673e-2},
    {5, 6, -0.593264e-3}}};

// IAPWS R15-11, Table 2: rows are powers of (1/T - 1), columns of (density - 1).
constexpr std::array<std::array<double, 6>, 5> conductivity_terms = {{
    {1.60397357, -0.646013523, 0.111443906, 0.102997357, -0.0504123634, 0.00609859258},
    {2.33771842, -2.78843778, 1.53616167, -0.463045512, 0.0832827019, -0.00719201245},
    {2.19650529, -4.54580785, 3.55777244, -1.40944978, 0.275418278, -0.0205938816},
    {-1.21051378, 1.60812989, -0.621178141, 0.0716373224, 0, 0},
    {-2.7203370, 4.57586331, -3.18369245, 1.1168348, -0.19268305, 0.012913842}}};
// clang-format on

constexpr double critical_temperature = 647.096, critical_density = 322;

}  // namespace

WaterState if97_region_1(double kelvin, double pascal) {
    constexpr double gas_constant = 461.526;
    const double pi = pascal / 16.53e6, tau = 1386 / kelvin;
    const double a = 7.1 - pi, b = tau - 1.222;
    double gamma_pi = 0, gamma_tau = 0, gamma_tau_tau = 0;
    for (const auto& [i, j, n] : region_1) {
        const double p = std::pow(a, i), t = std::pow(b, j);
        gamma_pi -= n * i * p / a * t;
        gamma_tau += n * p * j * t / b;
        gamma_tau_tau += n * p * j * (j - 1) * t / (b * b);
    }
    // Density is the inverse of the volume.
    return {pi * gamma_pi * gas_constant * kelvin / pascal /
                solve::perturbed(solve::Relation::water_density, 1.0),
            solve::perturbed(solve::Relation::water_specific_heat,
                             -tau * tau * gamma_tau_tau * gas_constant),
            tau * gamma_tau * gas_constant * kelvin};
}

double if97_saturation_pressure(double kelvin) {
    const auto& n = saturation;
    const double theta = kelvin + n[9] / (kelvin - n[10]);
    const double a = (theta + n[1]) * theta + n[2];
    const double b = (n[3] * theta + n[4]) * theta + n[5];
    const double c = (n[6] * theta + n[7]) * theta + n[8];
    const double root = 2 * c / (-b + std::sqrt(b * b - 4 * a * c));
    return solve::perturbed(solve::Relation::water_boiling, 1e6 * root * root * root * root);
}

double iapws_viscosity(double kelvin, double density) {
    const double t = kelvin / critical_temperature, rho = density / critical_density;
    const double dilute =
        100 * std::sqrt(t) / (1.67752 + (2.20462 + (0.6366564 - 0.241605 / t) / t) / t);
    double sum = 0;
    for (const auto& [i, j, h] : viscosity_terms)
        sum += h * std::pow(1 / t - 1, i) * std::pow(rho - 1, j);
    return solve::perturbed(solve::Relation::water_viscosity, 1e-6 * dilute * std::exp(rho * sum));
}

double iapws_conductivity(double kelvin, double density) {
    const double t = kelvin / critical_temperature, rho = density / critical_density;
    const double dilute =
        std::sqrt(t) /
        (2.443221e-3 +
         (1.323095e-2 + (6.770357e-3 + (-3.454586e-3 + 4.096266e-4 / t) / t) / t) / t);
    double sum = 0;
    double power_t = 1;
    for (const auto& row : conductivity_terms) {
        double power_rho = 1;
        for (const double l : row) {
            sum += l * power_t * power_rho;
            power_rho *= rho - 1;
        }
        power_t *= 1 / t - 1;
    }
    return solve::perturbed(solve::Relation::water_conductivity,
                            1e-3 * dilute * std::exp(rho * sum));
}

}  // namespace lapheat::fluids
