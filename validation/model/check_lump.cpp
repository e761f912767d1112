// One lump in the model, through compile() and simulate(), against its exact solution.
#include <cmath>

#include "check.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace {

using namespace lapheat;

constexpr double ambient = 300, metal = 9000, conductance = 14;  // K, J/K, W/K
constexpr double volume = 2e-3, density = 900, specific_heat = 2000;
constexpr double capacity = metal + volume * density * specific_heat;

/// A liquid of constant density and specific heat, so that the lump is linear.
fluids::Liquid constant_liquid() {
    fluids::CoolantSheet sheet;
    sheet.name = "constant";
    sheet.density = {{270, density}, {400, density}};
    sheet.specific_heat = {{270, specific_heat}, {400, specific_heat}};
    sheet.conductivity = {{270, 0.2}, {400, 0.2}};
    sheet.viscosity = {{270, 1e-2}, {400, 5e-3}};
    sheet.freezing = 230;
    sheet.boiling = {440, 101325};  // beyond all that is reached: boiling would hold it
    return fluids::from_sheet(sheet);
}

/// The demo car with nothing in it but one volume.
model::Car lump(const model::Volume& body, double start) {
    model::Car car = scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/tank_only.toml").car;
    model::Loop loop;
    loop.name = "lump";
    loop.fluid = constant_liquid();
    loop.limits.limit = 1000;
    model::FlowSource pump;  // a loop must have one; what it moves comes back at once, unchanged
    pump.displacement = 1e-7;
    model::Fitting fitting{.loss_coefficient = 1, .diameter = 0.02};
    loop.runs = {{.name = "round",
                  .from = "here",
                  .to = "here",
                  .parts = {{.name = "pump", .body = pump, .place = {}},
                            {.name = "body", .body = body, .place = {}},
                            {.name = "fitting", .body = fitting, .place = {}}},
                  .closed = false,
                  .place = {}}};
    car.loops = {loop};
    car.cores.clear();
    car.fans.clear();
    car.air.clear();
    car.links.clear();
    car.start_temperature = start;
    car.start_warm = false;
    return car;
}

model::Volume body() {
    model::Volume v;
    v.volume = volume;
    v.metal_heat_capacity = metal;
    v.ambient_conductance = conductance;
    v.surroundings = model::Zone::outside;
    return v;
}

const std::vector<double>& lump_series(const model::Result& result, const std::string& group,
                                       const std::string& name) {
    for (const model::Series& s : result.series)
        if (s.group == group && s.name == name) return s.values;
    throw Error("no series " + group + "/" + name);
}

/// Largest difference in K from exact(t), at the shipped tolerance.
template <class Exact>
void compare(const std::string& quantity, const std::string& source, const model::Result& result,
             Exact exact) {
    const std::vector<double>& ours = lump_series(result, "loops/lump/body", "temperature");
    std::size_t worst = 0;
    const auto difference = [&](std::size_t i) {
        return std::abs(ours[i] - exact(result.time[i]));
    };
    for (std::size_t i = 0; i < ours.size(); ++i)
        if (difference(i) > difference(worst)) worst = i;
    validation::Row row{.topic = "One lump in the model",
                        .quantity = quantity,
                        .source = source,
                        .outside = exact(result.time[worst]),
                        .ours = ours[worst],
                        .unit = "K"};
    row.band = {0, 0.01, "the shipped tolerance"};
    row.note = "the worst moment of the run, " + validation::number(result.time[worst]) + " s";
    validation::closed_form(row);
}

const drive::Surroundings weather{
    .ambient = ambient, .humidity = 0.3, .sun = 0, .wind = 0, .altitude = 0};

}  // namespace

TEST_CASE("one lump cools and warms as the exact exponential") {
    const std::string source = "exact: T = Ta + Q/G + (T0 - Ta - Q/G) exp(-G t / C)";
    const double tau = capacity / conductance;
    SECTION("cooling from 380 K with the engine off") {
        const auto result = simulate(*compile(lump(body(), 380)), drive::soak(3600, weather));
        compare("cool-down from 380 K in 300 K, one hour", source, result,
                [&](double t) { return ambient + 80 * std::exp(-t / tau); });
    }
    SECTION("warming from 260 K towards the air") {
        const auto result = simulate(*compile(lump(body(), 260)), drive::soak(3600, weather));
        compare("warm-up from 260 K in 300 K, one hour", source, result,
                [&](double t) { return ambient - 40 * std::exp(-t / tau); });
    }
    SECTION("warming by a constant stream of heat at constant speed") {
        model::Volume heated = body();
        heated.heat = {"gears"};
        const auto result =
            simulate(*compile(lump(heated, ambient)), drive::steady(25, 1200, weather));
        const std::vector<double>& heat = lump_series(result, "heat", "gears");
        REQUIRE(heat[10] > 100);
        REQUIRE(heat[10] == Approx(heat[1000]).epsilon(1e-12));
        compare(
            "warm-up by the heat of the gears at 25 m/s, twenty minutes", source, result,
            [&](double t) { return ambient + heat[10] / conductance * (1 - std::exp(-t / tau)); });
    }
}

TEST_CASE("a fluid with a wall behind it cools in two exponentials") {
    model::Volume walled = body();
    const double wall = 40e3, inside = 60;
    walled.wall_heat_capacity = wall;
    walled.static_conductance = inside;
    const auto result = simulate(*compile(lump(walled, 380)), drive::soak(3600, weather));
    // C x' = -(G + g) x + g w,  W w' = g (x - w);  both start at 80 K above the air.
    const double sum = -(conductance + inside) / capacity - inside / wall;
    const double product = conductance * inside / (capacity * wall);
    const double fast = sum / 2 - std::sqrt(sum * sum / 4 - product), slow = sum - fast;
    compare("cool-down of fluid and wall from 380 K in 300 K",
            "exact: two modes of the linear pair", result, [&](double t) {
                const double first = -conductance / capacity;
                return ambient + 80 *
                                     ((first - slow) * std::exp(fast * t) +
                                      (fast - first) * std::exp(slow * t)) /
                                     (fast - slow);
            });
}
