// Glycol mixes: against the handbook's tables, and against a second author's correlations.
#include "../check.hpp"

#include <array>
#include <cmath>

#include "lapheat/fluids/liquids.hpp"

using namespace lapheat::fluids;
using namespace lapheat::validation;

namespace {

constexpr double celsius = 273.15;

/// Melinder, Properties of Secondary Working Fluids (IIR 2010): 18 coefficients of each property in
/// (x - xm) and (t - tm), x in % by mass, t in degC: 4 of the zeroth power of x, 4 of the first, 4,
/// 3, 2 and 1. Range 0 to 60 % and freezing point to 100 degC.
struct Melinder {
    double x_mean, t_mean;
    std::array<std::array<double, 4>, 18> c;  // density, cp, k, ln(viscosity in mPa s)

    [[nodiscard]] double operator()(int property, double percent, double t) const {
        constexpr std::array<int, 6> powers = {4, 4, 4, 3, 2, 1};
        double sum = 0;
        std::size_t row = 0;
        for (std::size_t i = 0; i < powers.size(); ++i)
            for (int j = 0; j < powers[i]; ++j)
                sum += c[row++][static_cast<std::size_t>(property)] *
                       std::pow(percent - x_mean, static_cast<double>(i)) * std::pow(t - t_mean, j);
        return sum;
    }
};

// clang-format off
const Melinder ethylene = {30.8462, 31.728, {{
    {1034, 3737, 0.472, 0.4705}, {-0.4781, 2.93, 0.0008903, -0.0255},
    {-0.002692, -0.004675, -0.000001058, 0.0001782},
    {0.000004725, -0.00001389, -0.000000002789, -0.0000007669},
    {1.311, -17.99, -0.004286, 0.02471}, {-0.006876, 0.1046, -0.00001473, -0.0001171},
    {0.00004805, -0.0004147, 0.0000001059, 0.000001052},
    {0.0000000169, 0.0000001847, -0.0000000001142, -0.00000001634},
    {0.0000749, -0.09933, 0.00001747, 0.000003328},
    {0.00007855, 0.0003516, 0.00000006814, 0.000001086},
    {-0.0000003995, 0.000005109, -0.000000003612, 0.00000001051},
    {0.000000004982, -0.00000007138, 0.000000000002365, -0.0000000006475},
    {-0.0001062, 0.00261, 0.00000003017, 0.000001659},
    {0.000001229, -0.000001189, -0.000000002412, 0.000000003157},
    {-0.00000001153, -0.0000001643, 0.00000000004004, 0.0000000004063},
    {-0.0000009623, 0.00001537, -0.000000001322, 0.00000003089},
    {-0.00000007211, -0.0000004272, 0.00000000002555, 0.0000000001831},
    {0.00000004891, -0.000001618, 0.00000000002678, -0.000000001865}}}};

const Melinder propylene = {30.7031, 32.7083, {{
    {1018, 3882, 0.4513, 0.6837}, {-0.5406, 2.699, 0.0007955, -0.03045},
    {-0.002666, -0.001659, 0.00000003482, 0.0002525},
    {0.00001347, -0.00001032, -0.000000005966, -0.000001399},
    {0.7604, -13.04, -0.004795, 0.03328}, {-0.00945, 0.0507, -0.00001678, -0.0003984},
    {0.00005541, -0.00004752, 0.00000008941, 0.000004332},
    {-0.0000001343, 0.000001522, 0.0000000001493, -0.0000000186},
    {-0.002498, -0.1598, 0.00002076, 0.00005453},
    {0.000027, 0.00009534, 0.0000001563, -0.000000086},
    {-0.0000004018, 0.00001167, -0.000000004615, -0.00000001593},
    {0.000000003376, -0.0000000487, 0.000000000009897, -0.00000000004465},
    {-0.000155, 0.0003539, -0.00000009083, -0.0000039},
    {0.000002829, 0.00003102, -0.000000002518, 0.0000001054},
    {-0.000000007175, -0.000000295, 0.00000000006543, -0.000000001589},
    {-0.000001131, 0.00005, -0.0000000005952, -0.00000001587},
    {-0.00000002221, -0.0000007135, -0.00000000003605, 0.0000000004475},
    {0.00000002342, -0.0000004959, 0.00000000002104, 0.000000003564}}}};

struct Row4 { int percent; double t, density, specific_heat, conductivity, viscosity; };

// ASHRAE Handbook Fundamentals (2001), by volume: kg/m3, J/(kg K), W/(m K), mPa s.
constexpr std::array<Row4, 12> ethylene_rows = {{
    {50, -35, 1089.94, 3068, 0.328, 66.93}, {50, -10, 1084.22, 3165, 0.354, 12.74},
    {50, 20, 1073.35, 3281, 0.380, 3.94}, {50, 60, 1052.04, 3435, 0.404, 1.43},
    {50, 90, 1030.95, 3551, 0.414, 0.82}, {50, 100, 1022.95, 3590, 0.416, 0.70},
    {30, 0, 1051.78, 3589, 0.429, 4.15}, {30, 90, 1007.09, 3844, 0.501, 0.56},
    {60, -35, 1104.60, 2844, 0.307, 93.44}, {60, 90, 1041.65, 3389, 0.377, 0.92},
    {10, 40, 1006.01, 4007, 0.572, 0.80}, {20, 80, 1000.21, 3953, 0.549, 0.55}}};
constexpr std::array<Row4, 8> propylene_rows = {{
    {50, -25, 1062.11, 3358, 0.329, 110.59}, {50, 20, 1042.87, 3532, 0.362, 6.65},
    {50, 90, 992.28, 3802, 0.382, 0.93}, {50, 100, 983.00, 3841, 0.382, 0.79},
    {30, 90, 984.65, 4040, 0.484, 0.61}, {60, -35, 1072.92, 3096, 0.296, 524.01},
    {60, 100, 984.94, 3692, 0.336, 0.92}, {10, 40, 1000.46, 4107, 0.569, 0.89}}};
// clang-format on

/// A row for each of the four properties of a mix.
struct Properties4 {
    Row density, heat, conductivity, viscosity;

    Properties4(const Row& row, const std::string& where, const std::array<double, 4>& fractions,
                const char* from)
        : density(row), heat(row), conductivity(row), viscosity(row) {
        density.quantity = "density, " + where;
        density.unit = "kg/m3";
        density.relation = Relation::glycol_density;
        heat.quantity = "specific heat, " + where;
        heat.unit = "J/(kg K)";
        heat.relation = Relation::glycol_specific_heat;
        conductivity.quantity = "conductivity, " + where;
        conductivity.unit = "W/(m K)";
        conductivity.relation = Relation::glycol_conductivity;
        viscosity.quantity = "viscosity, " + where;
        viscosity.unit = "mPa s";
        viscosity.relation = Relation::glycol_viscosity;
        Row* const rows[] = {&density, &heat, &conductivity, &viscosity};
        for (std::size_t i = 0; i < 4; ++i) rows[i]->band = {fractions[i], 0, from};
    }
    void add(const std::string& at, const std::array<double, 4>& outside, const Properties& ours) {
        density.points.push_back({at, outside[0], ours.density});
        heat.points.push_back({at, outside[1], ours.specific_heat});
        conductivity.points.push_back({at, outside[2], ours.conductivity});
        viscosity.points.push_back({at, outside[3], 1e3 * ours.viscosity});
    }
    void record() const {
        for (const Row* row : {&density, &heat, &conductivity, &viscosity}) published(*row);
    }
};

template <class Rows>
void against_table(const char* topic, Liquid (*make)(double), const Rows& rows) {
    Row row{
        .topic = topic,
        .source = "ASHRAE Handbook Fundamentals (2001), Physical Properties of Secondary Coolants",
        .own_data = true};
    Properties4 four(row, "10 to 60 % by volume, -35 to 100 degC", {3e-4, 3e-4, 2e-3, 0.017},
                     "what the fit and the 2 K table lose of it");
    for (const Row4& r : rows)
        four.add(number(r.percent) + " %, " + number(r.t) + " degC",
                 {r.density, r.specific_heat, r.conductivity, r.viscosity},
                 make(r.percent / 100.0).at(r.t + celsius));
    four.record();
}

/// Mass percent of a volume fraction, both at 20 °C, by densities of the pure liquids.
double mass_percent(double fraction, double glycol_density) {
    return 100 * fraction * glycol_density / (fraction * glycol_density + (1 - fraction) * 998.2);
}

void against_melinder(const char* topic, Liquid (*make)(double), const Melinder& m, double rho) {
    Row row{.topic = topic,
            .source = "Melinder, Properties of Secondary Working Fluids (IIR 2010), coefficients",
            .read = "the coefficient tables of the property library CoolProp (MIT licence)"};
    row.note = "pure glycol there, inhibited glycol in ours";
    Properties4 four(row, "20 to 50 % by volume, 0 to 90 degC", {0.01, 0.04, 0.06, 0.15},
                     "neither states a scatter: what two handbooks may differ by");
    for (const double fraction : {0.2, 0.4, 0.5})
        for (const double t : {0.0, 40.0, 90.0}) {
            const double x = mass_percent(fraction, rho);
            four.add(number(100 * fraction) + " %, " + number(t) + " degC",
                     {m(0, x, t), m(1, x, t), m(2, x, t), std::exp(m(3, x, t))},
                     make(fraction).at(t + celsius));
        }
    four.record();
}

}  // namespace

TEST_CASE("glycol mixes follow the handbook's tables") {
    against_table("Ethylene glycol mixes", ethylene_glycol, ethylene_rows);
    against_table("Propylene glycol mixes", propylene_glycol, propylene_rows);
}

TEST_CASE("glycol mixes agree with a second author within what sources differ") {
    against_melinder("Ethylene glycol mixes", ethylene_glycol, ethylene, 1113);
    against_melinder("Propylene glycol mixes", propylene_glycol, propylene, 1036);
}

TEST_CASE("above 100 degC the continued density meets the handbook's table in degF") {
    Row row{.topic = "Ethylene glycol mixes",
            .quantity = "density, 30 to 60 % by volume, 200 to 250 degF",
            .source = "ASHRAE Handbook Fundamentals, density of ethylene glycol mixes in lb/ft3",
            .relation = Relation::glycol_density,
            .unit = "kg/m3"};
    row.band = {2e-3, 0, "that table lies 0.1 % above the one in SI units at every temperature"};
    row.note = "not used for the fit, which ends at 100 degC";
    struct Fahrenheit {
        double fraction, fahrenheit, density;
    };
    for (const Fahrenheit& p : {Fahrenheit{0.3, 200, 62.79},
                                {0.3, 250, 61.40},
                                {0.5, 200, 64.27},
                                {0.5, 230, 63.40},
                                {0.5, 250, 62.78},
                                {0.6, 250, 63.39}})
        row.points.push_back({number(100 * p.fraction) + " %, " + number(p.fahrenheit) + " degF",
                              16.018463 * p.density,
                              ethylene_glycol(p.fraction).density((p.fahrenheit + 459.67) / 1.8)});
    published(row);
}

TEST_CASE("mixes boil and freeze where tables say") {
    Row row{.topic = "Boiling",
            .quantity = "boiling point of ethylene glycol mixes, 18 to 58 % by volume",
            .source = "ASHRAE Handbook Fundamentals, freezing and boiling points, at 100.7 kPa",
            .from_memory = true,
            .relation = Relation::glycol_boiling,
            .unit = "degC"};
    row.band = {0, 1.5, "the table's steps are 1.1 and 2.8 K"};
    row.note = "Raoult's law";
    for (const auto& [x, t] :
         {std::pair{0.181, 102.2}, {0.375, 105.6}, {0.476, 107.2}, {0.578, 110.0}})
        row.points.push_back(
            {number(100 * x) + " %", t, ethylene_glycol(x).boiling_temperature(100700) - celsius});
    published(row);
    row.quantity = "boiling point of propylene glycol mixes, 29 to 60 % by volume";
    row.points.clear();
    for (const auto& [x, t] : {std::pair{0.294, 102.2}, {0.499, 105.6}, {0.6, 107.2}})
        row.points.push_back(
            {number(100 * x) + " %", t, propylene_glycol(x).boiling_temperature(100700) - celsius});
    published(row);
    // y in % by mass, t in degC; the abstract's plus sign before the last term cannot be: with
    // minus, y = 0 gives water.
    const auto fujita = [](double y, double t) {
        return 101325 *
               std::pow(10, 5.351 - 6.4e-4 * y - (1817 + 0.008 * y * (y + 10)) / (t + 240));
    };
    Row vapour{.topic = "Boiling",
               .quantity =
                   "vapour pressure of ethylene glycol mixes, 30 and 50 % by mass, 20 and 60 "
                   "degC",
               .source = "Fujita & Kikuchi, Trans. JSRAE 6 (1989) 183, measured -10 to 60 degC",
               .read = "its abstract, which prints + before the last term; - is meant",
               .unit = "Pa"};
    vapour.band = {0.05, 0, "5 % is 1.5 K of boiling point"};
    for (const auto& [x, y] : {std::pair{0.277, 30.0}, {0.476, 50.0}})
        for (const double t : {20.0, 60.0})
            vapour.points.push_back({number(y) + " %, " + number(t) + " degC", fujita(y, t),
                                     ethylene_glycol(x).vapour_pressure(t + celsius)});
    published(vapour);
    // Freezing points by the same coefficients' first column, x in % by mass.
    const auto freeze = [](double x) {
        const double d = x - 30.8462;
        return -15.25 +
               d * (-0.808 + d * (-0.01334 + d * (-0.00007293 + d * (1.006e-6 + d * 1.14e-9))));
    };
    Row cold{.topic = "Freezing",
             .quantity = "freezing point of ethylene glycol mixes, 20 to 50 % by mass",
             .source = "Melinder, Properties of Secondary Working Fluids (IIR 2010), coefficients",
             .read = "the coefficient tables of the property library CoolProp (MIT licence)",
             .relation = Relation::glycol_freezing,
             .unit = "degC"};
    cold.band = {0, 2.5, "sources differ by 2 K at 50 %"};
    for (const auto& [x, y] : {std::pair{0.181, 20.0}, {0.277, 30.0}, {0.375, 40.0}, {0.476, 50.0}})
        cold.points.push_back(
            {number(y) + " %", freeze(y), ethylene_glycol(x).freezing_temperature() - celsius});
    published(cold);
}
