// [engine]: what drives the car, and the heat it makes.
#include <fmt/core.h>

#include <algorithm>
#include <numbers>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

constexpr Column full_load_columns[] = {
    {.name = "engine_speed", .quantity = Q::angular_speed, .range = positive, .increasing = true},
    {.name = "torque", .quantity = Q::torque, .range = positive}};
constexpr Column heat_map_columns[] = {
    {.name = "engine_speed", .quantity = Q::angular_speed, .range = positive},
    {.name = "torque", .quantity = Q::torque},
    {.name = "fuel", .quantity = Q::mass_flow, .range = positive, .required = false},
    {.name = "coolant_heat", .quantity = Q::power, .range = not_negative, .required = false},
    {.name = "oil_heat", .quantity = Q::power, .range = not_negative, .required = false}};

constexpr Word eras[] = {{"modern", heat::Era::modern, "since about 1995"},
                         {"classic", heat::Era::classic, "until about 1980"}};
constexpr std::string_view without_full_load = "in a file without `full_load`";
constexpr Key engine_keys[] = {
    key::quantity("displacement", Q::volume, between(1e-4, 0.02), "of all cylinders, four-stroke")
        .usually(0.0005, 0.0095),
    key::integer("cylinders", 1, 16, "how many"),
    key::quantity("redline", Q::angular_speed, between(100, 3000), "fastest that it is driven")
        .usually(260, 1000),
    key::quantity("idle_speed", Q::angular_speed, between(30, 200), "warm, in gear"),
    key::quantity("peak_torque", Q::torque, positive, "at full load")
        .only(without_full_load)
        .usually(50, 1300),
    key::quantity("peak_torque_speed", Q::angular_speed, positive, "at which it has it")
        .only(without_full_load),
    key::quantity("peak_power", Q::power, positive, "at full load")
        .only(without_full_load)
        .usually(20000.0, 800000.0),
    key::quantity("peak_power_speed", Q::angular_speed, positive, "at which it has it")
        .only(without_full_load),
    key::columns("full_load", full_load_columns, "the curve, in place of its two peaks")
        .optional("a curve through the peaks"),
    key::boolean("boosted", "whether it holds its torque in thin and hot air")
        .otherwise(false, "breathes by itself"),
    key::number("inertia", positive, "of what turns with the crank, kg m2")
        .otherwise(0.25, "kg m2, crank and flexplate"),
    key::number("indicated_efficiency", between(0.2, 0.55), "work on the piston over fuel energy")
        .otherwise([] { return heat::EngineModel{}.indicated_efficiency; }, "at best spark")
        .usually(0.3, 0.45),
    key::choice("era", eras, "of its design: friction and the heat its walls take")
        .otherwise("modern",
                   "friction and wall heat of engines since about 1995; classic: until about 1980"),
    key::quantities("friction_level", Q::ratio, between(0.3, 2), "1 is usual in its era")
        .nothing("1, with its range"),
    key::quantities("wall_heat_level", Q::ratio, between(0.4, 2), "1 is usual in its era")
        .nothing("1, with its range"),
    key::quantity("spark_retard", Q::angle, between(0, 0.7), "of the crank, at every load")
        .otherwise("0 degree", "later than best torque")
        .usually(0, 0.5),
    key::quantity("idle_spark_retard", Q::angle, between(0, 0.7),
                  "of the crank; fades with speed and load")
        .otherwise("12 degree", "more at idle")
        .usually(0, 0.6),
    key::quantity("exhaust_pipe_diameter", Q::length, between(0.02, 0.15), "inside")
        .otherwise("57 mm")
        .usually(0.035, 0.1),
    key::integer("exhaust_pipes", 1, 4, "side by side").otherwise(2),
    level_key("exhaust_inside_level", "on the film from gas to exhaust"),
    level_key("exhaust_outside_level", "on the film from exhaust to air"),
    key::columns("heat_map", heat_map_columns,
                 "your own measurements, in place of the model: a row for each torque at each "
                 "speed, with any of fuel, coolant_heat, oil_heat",
                 4)
        .optional("the model"),
    key::boolean("aluminium_block",
                 "a lighter block, which stores about as much heat as an iron one")
        .otherwise(false, "cast iron")};
constexpr Table engine_table{
    "engine", "[engine]",
    "Size, full load and losses. Fuel and heat follow from size, speed and load.", engine_keys};

constexpr Key engine_file_keys[] = {key::table("engine", &engine_table, "size, full load, losses")};

}  // namespace

constexpr Table engine_tables{"", "", "", engine_file_keys};

drive::Engine read_engine(Reader& root) {
    Reader r = root.table(engine_tables["engine"]);
    drive::Engine engine;
    const double displacement = r.quantity(engine_table["displacement"]);
    const double redline = r.quantity(engine_table["redline"]);
    const double idle = r.quantity(engine_table["idle_speed"]);
    r.ignore(engine_table["full_load"]);
    if (r.has(engine_table["full_load"])) {
        const Columns curve = r.columns(engine_table["full_load"]);
        // A file that extends another cannot take its peaks away.
        for (const Key* peak : {&engine_table["peak_torque"], &engine_table["peak_torque_speed"],
                                &engine_table["peak_power"], &engine_table["peak_power_speed"]})
            r.ignore(*peak);
        engine.speed = curve["engine_speed"];
        engine.full_torque = curve["torque"];
        engine.redline = redline;
        engine.idle_speed = idle;
        engine.displacement = displacement;
    } else {
        const double torque = r.quantity(engine_table["peak_torque"]);
        const double torque_speed = r.quantity(engine_table["peak_torque_speed"]);
        const double power = r.quantity(engine_table["peak_power"]);
        const double power_speed = r.quantity(engine_table["peak_power_speed"]);
        if (auto made = r.attempt([&] {
                return drive::engine_from_peaks(torque, torque_speed, power, power_speed, redline,
                                                idle, displacement);
            }))
            engine = *made;
    }
    engine.boosted = r.boolean(engine_table["boosted"]);
    engine.inertia = r.number(engine_table["inertia"]);
    return engine;
}

namespace {

void read_heat_map(Reader& r, heat::EngineModel& engine) {
    r.ignore(engine_table["heat_map"]);
    if (!r.has(engine_table["heat_map"])) return;
    const Columns t = r.columns(engine_table["heat_map"]);
    if (t.rows() == 0) return;
    std::vector<double> speeds = t["engine_speed"], torques = t["torque"];
    for (std::vector<double>* axis : {&speeds, &torques}) {
        std::sort(axis->begin(), axis->end());
        axis->erase(std::unique(axis->begin(), axis->end()), axis->end());
    }
    if (t.rows() != speeds.size() * torques.size()) {
        r.error(
            engine_table["heat_map"],
            fmt::format("a full grid: a row for each torque at each speed, {} speeds by {} torques",
                        speeds.size(), torques.size()));
        return;
    }
    // Mean effective pressure of a four-stroke from torque: 4 pi T / V (Heywood, eq. 2.20).
    std::vector<double> pressures;
    for (const double torque : torques)
        pressures.push_back(4 * std::numbers::pi * torque / engine.displacement);
    const auto grid = [&](const char* column, double factor) {
        if (!t.has(column)) return solve::BilinearTable{};
        std::vector<double> z(t.rows(), -1);
        for (std::size_t i = 0; i < t.rows(); ++i) {
            const auto at = [](const std::vector<double>& axis, double x) {
                return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), x) -
                                                axis.begin());
            };
            z[at(speeds, t["engine_speed"][i]) * torques.size() + at(torques, t["torque"][i])] =
                factor * t[column][i];
        }
        if (std::find(z.begin(), z.end(), -1) != z.end())
            r.error(engine_table["heat_map"], "each pair of speed and torque once");
        return r.attempt([&] { return solve::BilinearTable(speeds, pressures, z); })
            .value_or(solve::BilinearTable{});
    };
    engine.fuel_map = grid("fuel", engine.heating_value);
    engine.coolant_map = grid("coolant_heat", 1);
    engine.oil_map = grid("oil_heat", 1);
}

}  // namespace

heat::EngineModel read_engine_heat(Reader& root, const drive::Vehicle& vehicle) {
    Reader r = root.table(engine_tables["engine"]);
    const auto cylinders = static_cast<int>(r.integer(engine_table["cylinders"]));
    heat::EngineModel engine;
    double peak = 0;
    for (const double torque : vehicle.engine.full_torque) peak = std::max(peak, torque);
    const auto era = r.choice<heat::Era>(engine_table["era"]);
    if (auto made = r.attempt(
            [&] { return heat::engine_model(vehicle.engine.displacement, cylinders, peak, era); }))
        engine = *made;
    engine.idle_speed = vehicle.engine.idle_speed;
    engine.indicated_efficiency = r.number(engine_table["indicated_efficiency"]);
    read_assumed(r, engine_table["friction_level"], engine.friction_level,
                 "friction over that of its era");
    read_assumed(r, engine_table["wall_heat_level"], engine.wall_heat_level,
                 "heat to coolant and oil over that of its era");
    engine.retard = r.quantity(engine_table["spark_retard"]) * 180 / std::numbers::pi;
    engine.idle_retard = r.quantity(engine_table["idle_spark_retard"]) * 180 / std::numbers::pi;
    engine.exhaust_pipe_diameter = r.quantity(engine_table["exhaust_pipe_diameter"]);
    engine.exhaust_pipes = static_cast<int>(r.integer(engine_table["exhaust_pipes"]));
    read_heat_map(r, engine);
    return engine;
}

void read_exhaust_levels(Reader& root, heat::Exhaust& exhaust) {
    Reader r = root.table(engine_tables["engine"]);
    read_assumed(r, engine_table["exhaust_inside_level"], exhaust.inside_level);
    read_assumed(r, engine_table["exhaust_outside_level"], exhaust.outside_level);
}

heat::EngineLumps read_engine_lumps(Reader& root, const heat::EngineModel& engine) {
    const bool aluminium =
        root.table(engine_tables["engine"]).boolean(engine_table["aluminium_block"]);
    return heat::engine_lumps(engine, aluminium);
}

}  // namespace lapheat::scenario
