// Oils: the viscosity line, the viscosity index, and the lines for heat against a handbook's oil.
#include "../check.hpp"

#include "lapheat/fluids/liquids.hpp"
#include "lapheat/fluids/walther.hpp"

using namespace lapheat::fluids;
using lapheat::validation::check;

TEST_CASE("viscosity index: the worked examples of ASTM D2270") {
    const char* source = "ASTM D2270, worked examples of procedures A and B";
    check({"Oil", "viscosity index, 73.30 and 8.86 mm2/s", source, false, 92.43,
           viscosity_index(73.30e-6, 8.86e-6), "-", 0, 0.1, "quadratics in place of the table"});
    check({"Oil", "viscosity index, 22.83 and 5.05 mm2/s", source, false, 156.37,
           viscosity_index(22.83e-6, 5.05e-6), "-", 0, 0.2, "quadratics in place of the table"});
}

TEST_CASE("the ASTM D341 line through 300 and 400 K meets a handbook's oil between") {
    const char* source =
        "Incropera et al., Fundamentals of Heat and Mass Transfer, Table A.5, engine oil";
    const WaltherLine line = walther_line(300, 550e-6, 400, 10.6e-6);
    check({"Oil", "kinematic viscosity, 350 K", source, true, 41.7, 1e6 * line(350), "mm2/s", 0.05,
           0, "line through the table's 300 K and 400 K"});
    OilSheet s;
    s.name = "handbook's engine oil";
    s.viscosity_1 = {300, 550e-6};
    s.viscosity_2 = {400, 10.6e-6};
    s.density_1 = {300, 884.1};
    const Liquid oil = from_sheet(s);
    const char* note = "Cragoe's line from the density alone";
    for (const auto& [t, cp, k] :
         {std::tuple{300.0, 1909.0, 0.145}, {350.0, 2118.0, 0.138}, {400.0, 2337.0, 0.134}}) {
        const std::string at = ", " + std::to_string(static_cast<int>(t)) + " K";
        check({"Oil", "specific heat" + at, source, true, cp, oil.specific_heat(t), "J/(kg K)",
               0.05, 0, note});
        check({"Oil", "conductivity" + at, source, true, k, oil.conductivity(t), "W/(m K)", 0.12, 0,
               note});
    }
    check({"Oil", "density, 400 K", source, true, 825.1, oil.density(400), "kg/m3", 0.01, 0,
           "0.65 kg/m3 for each kelvin from 884.1 at 300 K"});
}
