// Every way a file may describe a core or a fluid, read, and the mistakes in it located.
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <lapheat/exchangers/rate.hpp>
#include <lapheat/fluids/liquids.hpp>
#include <lapheat/scenario/scenario.hpp>

using namespace lapheat;
using namespace lapheat::scenario;
using exchangers::CoreOperation;

namespace {

const std::string fluids_text = R"([fluids.coolant]
kind = "ethylene_glycol"
fraction = "50 %"
[fluids.atf]
kind = "transmission_fluid"
)";

struct File {
    std::filesystem::path path = std::filesystem::temp_directory_path() /
                                 ("lapheat_cores_" + std::to_string(::getpid()) + ".toml");
    explicit File(const std::string& text) { std::ofstream(path) << text; }
    ~File() { std::filesystem::remove(path); }
    File(const File&) = delete;
    File& operator=(const File&) = delete;
};

RatingSheet core_of(const std::string& text) {
    const File file(fluids_text + text);
    const std::vector<RatingSheet> sheets = read_cores(file.path);
    REQUIRE(sheets.size() == 1);
    return sheets.front();
}

fluids::Liquid fluid_of(const std::string& text) {
    const File file("[fluids.mine]\n" + text);
    return read_fluids(file.path).at("mine");
}

CoreOperation operation(const RatingSheet& s, double first_flow, double first_inlet,
                        double second_flow, double second_inlet) {
    return exchangers::rate(
               s.entry.core, exchangers::liquid_medium(s.first),
               s.second_is_air ? exchangers::air_medium() : exchangers::liquid_medium(s.second),
               {first_flow, first_inlet, second_flow, second_inlet})
        .operation;
}

/// "line:column key" of each problem, the file's name left out.
std::vector<std::string> core_places(const std::string& text) {
    const File file(text);
    std::vector<std::string> out;
    try {
        (void)read_cores(file.path);
    } catch (const Errors& e) {
        for (const Problem& p : e.problems())
            out.push_back(std::to_string(p.place.line) + ' ' + p.key);
    }
    return out;
}

bool mentions(const std::vector<std::string>& sentences, const std::string& words) {
    for (const std::string& s : sentences)
        if (s.find(words) != std::string::npos) return true;
    return false;
}

const std::string box = R"([cores.cooler]
fluid = "atf"
width = "280 mm"
height = "200 mm"
depth = "38 mm"
)";

const std::string rating = R"(kind = "rated"
heat = "7 kW"
split = [0.45, 0.03, 0.52]
liquid_flow = "0.1 kg/s"
liquid_inlet = "110 degC"
air_inlet = "40 degC"
air_flow = "0.25 kg/s"
)";

}  // namespace

TEST_CASE("a seller's heat at an inlet temperature difference and both flows comes back") {
    const RatingSheet s = core_of(box + R"(kind = "rated"
heat = "7 kW"
liquid_flow = "8 L/min"
liquid_inlet = "110 degC"
itd = "70 K"
air_flow = "0.25 kg/s"
liquid_drop = "40 kPa"
air_drop = "90 Pa"
)");
    const double flow = 8e-3 / 60 * s.first.density(383.15);
    const CoreOperation o = operation(s, flow, 383.15, 0.25, 313.15);
    CHECK(o.heat == Approx(7000).epsilon(1e-6));
    CHECK(o.first_pressure_drop == Approx(40e3).epsilon(1e-3));
    CHECK(o.second_pressure_drop == Approx(90).epsilon(1e-3));
}

TEST_CASE("a weight class is read with its guesses, which a file may replace, and a wide band") {
    const std::string kind = box + "kind = \"weight_class\"\ngross_vehicle_weight = \"10000 lb\"\n";
    const RatingSheet s = core_of(kind);
    CHECK(s.entry.core.uncertainty >= 0.5);
    CHECK(mentions(s.entry.core.assumptions, "gross vehicle weight of 4536 kg"));
    CHECK(mentions(s.entry.core.assumptions, "±50 %"));
    // Twice the loss assumed, twice the heat at the same temperatures and flows.
    const RatingSheet more = core_of(kind + "assumptions = { loss_share = \"20 %\" }\n");
    const double air = 4 * 0.28 * 0.2 * 1.135;
    const double ratio = operation(more, 0.1, 394.15, air, 311.15).heat /
                         operation(s, 0.1, 394.15, air, 311.15).heat;
    CHECK(ratio == Approx(2).epsilon(0.01));
}

TEST_CASE("a table of measured points, by heat or by the liquid's outlet, gives the core back") {
    const RatingSheet known = core_of(box + rating);
    std::string by_heat, by_outlet;
    for (const double liquid : {0.05, 0.1, 0.2})
        for (const double air : {0.12, 0.25, 0.5}) {
            const CoreOperation o = operation(known, liquid, 383.15, air, 313.15);
            char row[160];
            std::snprintf(row, sizeof row, ", [%.4f, 110, %.4f, 40, %.8f]", liquid, air,
                          o.heat / 1e3);
            by_heat += row;
            std::snprintf(row, sizeof row, ", [%.4f, 110, %.4f, 40, %.8f]", liquid, air,
                          o.first_outlet - 273.15);
            by_outlet += row;
        }
    const std::string columns =
        "\"liquid_mass_flow [kg/s]\", \"liquid_inlet [degC]\", \"air_mass_flow [kg/s]\", "
        "\"air_inlet [degC]\", ";
    const double expected = operation(known, 0.08, 370, 0.4, 300).heat;
    const RatingSheet a = core_of(box + "kind = \"points\"\npoints = [[" + columns +
                                  "\"heat [kW]\"]" + by_heat + "]\n");
    CHECK(operation(a, 0.08, 370, 0.4, 300).heat == Approx(expected).epsilon(0.03));
    CHECK(mentions(a.entry.core.assumptions, "Fitted to 9 points"));
    CHECK(mentions(a.entry.core.assumptions, "air-side conductance"));
    CHECK(mentions(a.entry.core.assumptions, "95 % interval"));
    const RatingSheet b = core_of(box + "kind = \"points\"\npoints = [[" + columns +
                                  "\"liquid_outlet [degC]\"]" + by_outlet + "]\n");
    CHECK(operation(b, 0.08, 370, 0.4, 300).heat == Approx(expected).epsilon(0.03));
}

TEST_CASE("points at one pair of flows say that they cannot tell the sides apart") {
    const RatingSheet s = core_of(box + R"(kind = "points"
points = [
  ["liquid_flow [L/min]", "liquid_inlet [degC]", "air_speed [m/s]", "air_inlet [degC]", "heat [kW]"],
  [8, 110, 4, 35, 7.0],
  [8, 100, 4, 30, 6.6],
  [8, 115, 4, 38, 7.3],
]
)");
    CHECK(mentions(s.entry.core.assumptions, "cannot tell"));
    CHECK(mentions(s.entry.core.assumptions, "by the split that was assumed"));
}

TEST_CASE("a performance map of heat over both flows is read row by row") {
    const RatingSheet known = core_of(box + rating);
    std::string rows;
    for (const double liquid : {0.06, 0.18}) {
        char row[160];
        std::snprintf(row, sizeof row,
                      "  { liquid_flow = \"%.2f kg/s\", heat = [\"%.8f kW\", \"%.8f kW\"] },\n",
                      liquid, operation(known, liquid, 383.15, 0.15, 313.15).heat / 1e3,
                      operation(known, liquid, 383.15, 0.3, 313.15).heat / 1e3);
        rows += row;
    }
    const RatingSheet s = core_of(box +
                                  "kind = \"map\"\nliquid_inlet = \"110 degC\"\nitd = \"70 K\"\n"
                                  "air_flow = [\"0.15 kg/s\", \"0.3 kg/s\"]\nmap = [\n" +
                                  rows + "]\n");
    for (const double air : {0.12, 0.2, 0.5})
        CHECK(operation(s, 0.1, 370, air, 300).heat ==
              Approx(operation(known, 0.1, 370, air, 300).heat).epsilon(0.03));
    CHECK(mentions(s.entry.core.assumptions, "Fitted to 4 points"));
}

TEST_CASE("measured points correct a core that is known by its dimensions") {
    const std::string louvred = R"([cores.radiator]
kind = "louvred"
fluid = "coolant"
width = "600 mm"
height = "400 mm"
depth = "32 mm"
tube_pitch = "10 mm"
tube_height = "2 mm"
louvre_length = "6.8 mm"
fins = "14 1/inch"
)";
    const RatingSheet plain = core_of(louvred);
    const double heat = operation(plain, 1.2, 363.15, 1.1, 308.15).heat;
    const RatingSheet fitted =
        core_of(louvred +
                "measured = [[\"liquid_mass_flow [kg/s]\", \"liquid_inlet [degC]\", "
                "\"air_mass_flow [kg/s]\", \"air_inlet [degC]\", \"heat [W]\"], [1.2, 90, 1.1, "
                "35, " +
                std::to_string(0.9 * heat) + "]]\n");
    CHECK(operation(fitted, 1.2, 363.15, 1.1, 308.15).heat == Approx(0.9 * heat).epsilon(1e-4));
    CHECK(fitted.entry.core.uncertainty < plain.entry.core.uncertainty);
}

TEST_CASE("every kind of core from dimensions is read, with what ails it") {
    const std::string kinds[] = {
        R"(kind = "louvred"
width = "600 mm"
height = "400 mm"
depth = "32 mm"
tube_pitch = "10 mm"
tube_height = "2 mm"
fins = "14 1/inch"
)",
        R"(kind = "plate_fin"
width = "400 mm"
height = "300 mm"
tube_diameter = "9.525 mm"
transverse_pitch = "25 mm"
rows = 2
fins = "10 1/inch"
)",
        R"(kind = "plate_fin"
width = "400 mm"
height = "300 mm"
tube_diameter = "9.525 mm"
transverse_pitch = "25.4 mm"
longitudinal_pitch = "19 mm"
rows = 2
fins = "12 1/inch"
wave_depth = "1.5 mm"
half_wave_length = "4.76 mm"
)",
        R"(kind = "bar_plate"
width = "280 mm"
height = "210 mm"
depth = "38 mm"
liquid_fin_height = "2.5 mm"
air_fin_height = "7 mm"
arrangement = "cross_counter"
arrangement_count = 2
)",
        R"(kind = "finned_tube"
run_length = "300 mm"
runs = 4
tube_diameter = "12 mm"
fin_diameter = "28 mm"
fins = "10 1/inch"
)"};
    for (const std::string& kind : kinds) {
        INFO(kind);
        const std::string head = "[cores.one]\nfluid = \"coolant\"\n" + kind;
        const RatingSheet clean = core_of(head);
        REQUIRE(clean.second_is_air);
        const double before = operation(clean, 0.5, 363.15, 0.4, 308.15).heat;
        CHECK(before > 500);
        CHECK(clean.entry.core.heat_capacity > 100);
        CHECK(clean.entry.core.first_volume > 1e-5);
        const double drop = operation(clean, 0.5, 363.15, 0.4, 308.15).second_pressure_drop;
        for (const char* ailment :
             {"liquid_fouling = \"0.0002 m2 K/W\"\n", "air_fouling = \"0.001 m2 K/W\"\n",
              "blocked = \"20 %\"\n", "bent_fins = \"30 %\"\n"}) {
            INFO(ailment);
            const CoreOperation o = operation(core_of(head + ailment), 0.5, 363.15, 0.4, 308.15);
            CHECK(o.heat < before);
            CHECK(o.second_pressure_drop >= 0.99 * drop);  // less heat, cooler air
        }
    }
}

TEST_CASE("a cooler in a tank is read by its plates or its tubes and needs the coolant's name") {
    const std::string tubes = R"([cores.tank]
fluid = "atf"
second_fluid = "coolant"
kind = "tank_tube"
length = "400 mm"
outer_diameter = "32 mm"
bore = "18 mm"
tank_width = "60 mm"
tank_depth = "45 mm"
turbulator_fins = "12 1/inch"
)";
    const std::string plates = R"([cores.tank]
fluid = "atf"
second_fluid = "coolant"
kind = "tank_plate"
length = "300 mm"
plate_width = "40 mm"
plates = 4
oil_height = "3 mm"
tank_width = "60 mm"
tank_depth = "50 mm"
)";
    for (const std::string& text : {tubes, plates}) {
        const RatingSheet s = core_of(text);
        CHECK_FALSE(s.second_is_air);
        CHECK(operation(s, 0.12, 383.15, 1.2, 358.15).heat > 300);
    }
}

TEST_CASE("impossible cores are reported at their line and key, all at once") {
    const std::string text = R"([fluids.coolant]
kind = "ethylene_glycol"
fraction = "65 %"
[cores.radiator]
kind = "louvred"
fluid = "coolant"
width = "600 mm"
height = "400 mm"
depth = "32 mm"
tube_pitch = "10 mm"
tube_height = "12 mm"
fins = "14 1/inch"
[cores.negative]
kind = "louvred"
fluid = "coolant"
width = "600 mm"
height = "400 mm"
depth = "32 mm"
tube_pitch = "10 mm"
tube_height = "2 mm"
fins = "-14 1/inch"
[cores.claim]
kind = "rated"
fluid = "coolant"
width = "600 mm"
height = "400 mm"
depth = "32 mm"
heat = "900 kW"
liquid_flow = "60 L/min"
liquid_inlet = "90 degC"
air_inlet = "35 degC"
air_flow = "1 kg/s"
)";
    CHECK(core_places(text) ==
          std::vector<std::string>{"3 fluids.coolant.fraction", "11 cores.radiator.tube_height",
                                   "21 cores.negative.fins", "22 cores.claim"});
    CHECK(core_places(fluids_text + box +
                      "kind = \"rated\"\nheta = \"7 kW\"\nheat = \"7 kW\"\n"
                      "liquid_flow = \"8 L/min\"\nliquid_inlet = \"110 degC\"\n"
                      "air_inlet = \"40 degC\"\nair_flow = \"0.25 kg/s\"\n") ==
          std::vector<std::string>{"12 cores.cooler.heta"});
    // A table that says the flow twice.
    CHECK(core_places(
              fluids_text + box +
              "kind = \"points\"\npoints = [[\"liquid_mass_flow [kg/s]\", \"liquid_flow "
              "[L/min]\", \"liquid_inlet [degC]\", \"air_speed [m/s]\", \"air_inlet [degC]\", "
              "\"heat [kW]\"], [0.1, 8, 110, 4, 35, 7]]\n") ==
          std::vector<std::string>{"12 cores.cooler.points"});
    // Five rows cannot be said of more than four.
    CHECK(core_places(fluids_text + box +
                      "kind = \"bar_plate\"\nliquid_fin_height = \"2.5 mm\"\nair_fin_height = \"7 "
                      "mm\"\narrangement = \"cross_rows\"\narrangement_count = 5\n")
              .size() == 1);
}

TEST_CASE("an oil's data sheet overrides each property of the generic fluid") {
    const fluids::Liquid oil = fluid_of(R"toml(kind = "transmission_fluid"
viscosity_40 = "29.6 mm2/s"
viscosity_100 = "6.0 mm2/s"
density_15 = "842 kg/m3"
density_100 = "788 kg/m3"
specific_heat_40 = "2.0 kJ/(kg K)"
specific_heat_100 = "2.24 kJ/(kg K)"
conductivity_40 = "0.14 W/(m K)"
pour_point = "-54 degC"
maximum_temperature = "160 degC"
)toml");
    CHECK(oil.viscosity(313.15) / oil.density(313.15) == Approx(29.6e-6).epsilon(1e-3));
    CHECK(oil.viscosity(373.15) / oil.density(373.15) == Approx(6.0e-6).epsilon(1e-3));
    CHECK(oil.density(288.15) == Approx(842).epsilon(1e-4));
    CHECK(oil.density(373.15) == Approx(788).epsilon(1e-4));
    CHECK(oil.specific_heat(373.15) == Approx(2240).epsilon(1e-4));
    CHECK(oil.conductivity(373.15) == Approx(0.14).epsilon(1e-4));
    CHECK(oil.freezing_temperature() == Approx(219.15));
    CHECK_FALSE(oil.in_range(435));
    CHECK(oil.info().viscosity.source.find("data sheet of 'mine'") != std::string::npos);
    // Two points at the sheet's own temperatures.
    const fluids::Liquid other = fluid_of(
        "kind = \"engine_oil\"\nviscosity = [[\"temperature [degF]\", \"viscosity [mm2/s]\"], "
        "[100, 68], [210, 10.5]]\n");
    CHECK(other.viscosity(310.928) / other.density(310.928) == Approx(68e-6).epsilon(2e-3));
}

TEST_CASE("a coolant is read from its maker's table") {
    const fluids::Liquid coolant = fluid_of(R"toml(kind = "data_sheet"
freezing = "-37 degC"
boiling = "108 degC"
properties = [
  ["temperature [degC]", "density [kg/m3]", "specific_heat [kJ/(kg K)]", "conductivity [W/(m K)]", "viscosity [mPa s]"],
  [0, 1083, 3.24, 0.37, 7.5],
  [40, 1064, 3.38, 0.39, 2.3],
  [80, 1037, 3.53, 0.40, 1.0],
  [120, 1004, 3.68, 0.41, 0.55],
]
)toml");
    CHECK(coolant.density(313.15) == Approx(1064).epsilon(1e-3));
    CHECK(coolant.viscosity(353.15) == Approx(1e-3).epsilon(1e-2));
    CHECK(coolant.boiling_temperature(101325) == Approx(381.15).margin(0.05));
    CHECK(coolant.freezing_temperature() == Approx(236.15));
}
