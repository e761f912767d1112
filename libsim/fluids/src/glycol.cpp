// Mixes of water and glycol: fits to the handbook's tables by column, joined over concentration.
#include <fmt/core.h>

#include <array>
#include <cmath>

#include "build.hpp"
#include "interpolate.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {
namespace {

/// One column of the tables: 10, 20 … 60 % by volume. With t in °C and u = 100 / (t + 150):
/// density and conductivity are quadratics in t/100, specific heat a line in t/100, the logarithm
/// of viscosity a cubic in u.
struct MixColumn {
    std::array<double, 3> density;        // kg/m³
    std::array<double, 2> specific_heat;  // J/(kg K)
    std::array<double, 3> conductivity;   // W/(m K)
    std::array<double, 4> log_viscosity;  // ln(Pa s)
};

struct AtFraction {
    double x, y;
};

struct Glycol {
    const char* name;
    double molar_mass;              // g/mol
    std::array<double, 3> antoine;  // log10(bar) = a - b / (T + c)
    std::array<MixColumn, 6> columns;
    std::array<AtFraction, 8> mass_fraction;  // against volume fraction
    std::array<AtFraction, 8> freezing;       // K against volume fraction
};

// Least-squares fits to the tables of ASHRAE Handbook Fundamentals (2001), chapter Physical
// Properties of Secondary Coolants, inhibited glycols by volume, -35 to 100 °C. Largest
// deviations from the tables: density 0.03 %, specific heat 0.02 %, conductivity 0.16 %,
// viscosity 1.6 %. Above 100 °C viscosity follows a Vogel line through the table from 30 °C up.
// Mass fractions and freezing points: same chapter, tables of freezing and boiling points;
// the last pair of each is continued from the ones before. Antoine constants: NIST Chemistry
// WebBook (ethylene glycol 323–473 K, propylene glycol 318–461 K, Stull 1947), from memory.
constexpr Glycol ethylene = {"ethylene glycol",
                             62.068,
                             {4.97012, 1914.951, -84.996},
                             {{{{1018.719, -22.15778, -24.21962},
                                {3936.887, 174.7013},
                                {0.510882, 0.1857529, -0.08375286},
                                {-10.31972, 5.446572, 1.160364, -0.007560946}},
                               {{1035.667, -24.8599, -24.32496},
                                {3768.72, 230.0621},
                                {0.4680758, 0.1578275, -0.07021457},
                                {-11.34042, 12.10874, -10.93897, 7.85413}},
                               {{1051.78, -27.77481, -24.31587},
                                {3588.598, 283.6957},
                                {0.4290756, 0.1337922, -0.05919819},
                                {-11.47811, 11.94865, -7.782957, 5.019212}},
                               {{1066.804, -30.73358, -24.3288},
                                {3401.006, 335.3846},
                                {0.3947405, 0.1109208, -0.04865106},
                                {-12.46917, 18.35765, -19.09609, 12.06644}},
                               {{1081.082, -33.81546, -24.31868},
                                {3203.374, 386.2124},
                                {0.3637789, 0.0902162, -0.0382426},
                                {-12.19545, 16.5204, -13.84713, 8.503628}},
                               {{1094.637, -36.98251, -24.32508},
                                {2996.611, 436.0317},
                                {0.3362022, 0.07207991, -0.02944718},
                                {-11.14177, 9.398767, 1.807551, -1.167225}}}},
                             {{{0, 0},
                               {0.089, 0.1},
                               {0.181, 0.2},
                               {0.277, 0.3},
                               {0.375, 0.4},
                               {0.476, 0.5},
                               {0.578, 0.6},
                               {0.681, 0.7}}},
                             {{{0, 273.15},
                               {0.089, 269.95},
                               {0.181, 265.35},
                               {0.277, 259.05},
                               {0.375, 250.85},
                               {0.476, 239.35},
                               {0.578, 224.85},
                               {0.6, 222.0}}}};

constexpr Glycol propylene = {"propylene glycol",
                              76.095,
                              {6.07936, 2692.187, -17.94},
                              {{{{1013.854, -23.70859, -24.46492},
                                 {4042.506, 160.7013},
                                 {0.5095471, 0.1831595, -0.08469197},
                                 {-11.45732, 11.50021, -9.738615, 7.399768}},
                                {{1025.843, -29.13992, -25.14286},
                                 {3928.911, 218.4641},
                                 {0.4641938, 0.1511364, -0.07100508},
                                 {-10.11295, 3.702236, 6.436629, -2.447458}},
                                {{1036.239, -34.33383, -25.5441},
                                 {3792.832, 275.0593},
                                 {0.4226909, 0.1227115, -0.06023715},
                                 {-8.71458, -3.460931, 19.40787, -8.628697}},
                                {{1045.12, -39.2631, -25.71809},
                                 {3635.728, 330.0522},
                                 {0.3847768, 0.0954069, -0.04837641},
                                 {-8.146483, -5.6103, 22.40703, -8.33751}},
                                {{1052.704, -44.04042, -25.66435},
                                 {3454.708, 385.9077},
                                 {0.349441, 0.07107118, -0.03862027},
                                 {-9.138779, -1.127689, 18.25133, -7.492078}},
                                {{1058.998, -48.67025, -25.39038},
                                 {3250.353, 441.2206},
                                 {0.3167764, 0.0482786, -0.02897983},
                                 {-8.105495, -7.93644, 33.3111, -16.45141}}}},
                              {{{0, 0},
                                {0.096, 0.1},
                                {0.194, 0.2},
                                {0.294, 0.3},
                                {0.396, 0.4},
                                {0.499, 0.5},
                                {0.6, 0.6},
                                {0.7, 0.7}}},
                              {{{0, 273.15},
                                {0.096, 269.85},
                                {0.194, 266.05},
                                {0.294, 260.45},
                                {0.396, 252.05},
                                {0.499, 239.65},
                                {0.6, 222.05},
                                {0.7, 202.0}}}};

double interpolate(const std::array<AtFraction, 8>& pairs, double at) {
    std::vector<double> x, y;
    for (const AtFraction& p : pairs) {
        x.push_back(p.x);
        y.push_back(p.y);
    }
    return monotone(std::move(x), std::move(y))(at);
}

Properties column_properties(const MixColumn& c, double celsius) {
    const double t = celsius / 100, u = 100 / (celsius + 150);
    const auto& [r, h, k, v] = c;
    return {solve::perturbed(solve::Relation::glycol_density, r[0] + t * (r[1] + t * r[2])),
            solve::perturbed(solve::Relation::glycol_specific_heat, h[0] + t * h[1]),
            solve::perturbed(solve::Relation::glycol_conductivity, k[0] + t * (k[1] + t * k[2])),
            solve::perturbed(solve::Relation::glycol_viscosity,
                             std::exp(v[0] + u * (v[1] + u * (v[2] + u * v[3]))))};
}

Properties mix_properties(const Glycol& glycol, double fraction, double kelvin) {
    std::vector<double> x{0};
    std::vector<Properties> columns{water_properties(kelvin)};
    for (std::size_t i = 0; i < glycol.columns.size(); ++i) {
        x.push_back(static_cast<double>(i + 1) / 10);
        columns.push_back(column_properties(glycol.columns[i], kelvin - 273.15));
    }
    const auto across = [&](auto&& value) {
        std::vector<double> y;
        y.reserve(columns.size());
        for (const Properties& p : columns) y.push_back(value(p));
        return monotone(x, std::move(y))(fraction);
    };
    return {across([](const Properties& p) { return p.density; }),
            across([](const Properties& p) { return p.specific_heat; }),
            across([](const Properties& p) { return p.conductivity; }),
            std::exp(across([](const Properties& p) { return std::log(p.viscosity); }))};
}

Liquid mix(const Glycol& glycol, double fraction) {
    if (!(fraction >= 0 && fraction <= 0.6))
        throw Error("a mix of " + fmt::format("{:.6g}", 100 * fraction) + " % " + glycol.name +
                        " by volume is outside the tables",
                    "0 % to 60 %; more glycol carries less heat and freezes earlier again");
    const double mass = interpolate(glycol.mass_fraction, fraction);
    const double freezing =
        solve::perturbed(solve::Relation::glycol_freezing, interpolate(glycol.freezing, fraction));
    const double water_moles = (1 - mass) / 18.01528, glycol_moles = mass / glycol.molar_mass;
    const double share = water_moles / (water_moles + glycol_moles);
    const auto log_vapour = [glycol, share](double t) {
        const auto& [a, b, c] = glycol.antoine;
        // Antoine's pole lies at -c; far above it everywhere that matters.
        const double own = 1e5 * std::pow(10, a - b / (std::max(t, 220.0) + c));
        return std::log(
            solve::perturbed(solve::Relation::glycol_boiling,
                             share * std::exp(log_water_vapour_pressure(t)) + (1 - share) * own));
    };
    Info info;
    info.name = fmt::format("{} {} % by volume in water", glycol.name, std::lround(100 * fraction));
    info.glycol_fraction = fraction;
    const double low = std::max(238.15, freezing), high = 403.15;
    const std::string source =
        "ASHRAE Handbook Fundamentals (2001), Physical Properties of Secondary "
        "Coolants, tables of inhibited glycols";
    const std::string note = "fitted from -35 to 100 degC, continued to 130 degC";
    info.density = {source, low, high, 0.003, note};
    info.specific_heat = {source, low, high, 0.02, note};
    info.conductivity = {source, low, high, 0.04, note};
    info.viscosity = {source, low, high, 0.08, note + "; 0.15 above 100 degC and below -20 degC"};
    info.boiling = {
        "Raoult's law; water by IAPWS R7-97, glycol by Antoine's equation (NIST Chemistry "
        "WebBook)",
        323.15, 473.15, 0.004, "about 1.5 K"};
    info.freezing = {source, 222, 273.15, 0.01, "sources differ by 2.5 K near 50 %"};
    return build({[glycol, fraction](double t) { return mix_properties(glycol, fraction, t); },
                  log_vapour, freezing, low, high},
                 std::move(info));
}

}  // namespace

Liquid ethylene_glycol(double volume_fraction) { return mix(ethylene, volume_fraction); }

Liquid propylene_glycol(double volume_fraction) { return mix(propylene, volume_fraction); }

}  // namespace lapheat::fluids
