// Cores from their dimensions.
#include "lapheat/exchangers/geometry.hpp"
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;

exchangers::Material read_material(Reader& r, const char* key, const char* fallback) {
    enum class M { aluminium, copper, brass, steel };
    switch (r.choice<M>(key,
                        {{"aluminium", M::aluminium},
                         {"copper", M::copper},
                         {"brass", M::brass},
                         {"steel", M::steel}},
                        fallback)) {
        case M::copper:
            return exchangers::copper;
        case M::brass:
            return exchangers::brass;
        case M::steel:
            return exchangers::steel;
        default:
            return exchangers::aluminium;
    }
}

double length(Reader& r, const char* key) { return r.quantity(key, Q::length, positive); }
double length_or(Reader& r, const char* key, double otherwise) {
    return r.optional_quantity(key, Q::length, positive).value_or(otherwise);
}
int count_or(Reader& r, const char* key, int otherwise) {
    return r.has(key) ? static_cast<int>(r.integer(key, 1, 10000)) : otherwise;
}

std::optional<exchangers::StripFill> read_strip(Reader& r, const char* prefix) {
    const std::string p = prefix;
    if (!r.has(p + "_fins")) return std::nullopt;
    exchangers::StripFill fill;
    fill.fins_per_metre = r.quantity(p + "_fins", Q::per_length, positive);
    fill.fin_thickness =
        r.optional_quantity(p + "_fin_thickness", Q::length, positive).value_or(fill.fin_thickness);
    fill.strip_length =
        r.optional_quantity(p + "_strip_length", Q::length, positive).value_or(fill.strip_length);
    return fill;
}

template <class Geometry>
std::optional<Core> made(Reader& r, const Geometry& geometry) {
    return r.attempt([&] { return exchangers::make_core(geometry); });
}

std::optional<Core> read_louvred(Reader& r) {
    exchangers::LouvredCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.depth = length(r, "depth");
    c.tubes_run =
        r.choice<exchangers::TubeDirection>("tubes_run",
                                            {{"horizontal", exchangers::TubeDirection::horizontal},
                                             {"vertical", exchangers::TubeDirection::vertical}},
                                            "horizontal");
    c.tubes = count_or(r, "tubes", 0);
    c.tube_pitch = length_or(r, "tube_pitch", 0);
    c.tube_height = length(r, "tube_height");
    c.tube_depth = length_or(r, "tube_depth", 0);
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.channels = count_or(r, "channels", 1);
    c.rows = count_or(r, "rows", 1);
    c.passes = count_or(r, "passes", 1);
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.louvre_pitch = length_or(r, "louvre_pitch", c.louvre_pitch);
    c.louvre_angle =
        r.optional_quantity("louvre_angle", Q::angle, positive).value_or(c.louvre_angle);
    c.louvre_length = length_or(r, "louvre_length", 0);
    c.turbulator = read_strip(r, "turbulator");
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.arrangement = read_arrangement(r);
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_plate_fin(Reader& r) {
    exchangers::PlateFinCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.tube_diameter = length(r, "tube_diameter");
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.tubes = count_or(r, "tubes", 0);
    c.transverse_pitch = length_or(r, "transverse_pitch", 0);
    c.longitudinal_pitch = length_or(r, "longitudinal_pitch", 0);
    c.rows = count_or(r, "rows", 1);
    c.staggered = r.boolean("staggered", true);
    c.circuits = count_or(r, "circuits", 0);
    c.rows_in_series = r.boolean("rows_in_series", false);
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.wave_depth = length_or(r, "wave_depth", 0);
    c.half_wave_length = length_or(r, "half_wave_length", 0);
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.arrangement = read_arrangement(r);
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_bar_plate(Reader& r) {
    exchangers::BarPlateCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.depth = length(r, "depth");
    c.passages = count_or(r, "passages", 0);
    c.liquid_fin_height = length(r, "liquid_fin_height");
    c.air_fin_height = length_or(r, "air_fin_height", 0);
    c.sheet_thickness = length_or(r, "sheet_thickness", c.sheet_thickness);
    c.passes = count_or(r, "passes", 1);
    if (auto fill = read_strip(r, "liquid")) c.liquid_fins = *fill;
    if (auto fill = read_strip(r, "air")) c.air_fins = *fill;
    c.material = read_material(r, "material", "aluminium");
    c.arrangement = read_arrangement(r);
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_tank_plate(Reader& r) {
    exchangers::TankPlateCooler c;
    c.length = length(r, "length");
    c.plate_width = length(r, "plate_width");
    c.plates = count_or(r, "plates", 1);
    c.oil_height = length(r, "oil_height");
    c.wall = length_or(r, "wall", c.wall);
    c.tank_width = length(r, "tank_width");
    c.tank_depth = length(r, "tank_depth");
    if (auto fill = read_strip(r, "turbulator")) c.turbulator = *fill;
    c.counter_flow = r.boolean("counter_flow", true);
    c.material = read_material(r, "material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_tank_tube(Reader& r) {
    exchangers::TankTubeCooler c;
    c.length = length(r, "length");
    c.outer_diameter = length(r, "outer_diameter");
    c.bore = length(r, "bore");
    c.wall = length_or(r, "wall", c.wall);
    c.tank_width = length(r, "tank_width");
    c.tank_depth = length(r, "tank_depth");
    if (auto fill = read_strip(r, "turbulator")) c.turbulator = *fill;
    c.counter_flow = r.boolean("counter_flow", true);
    c.material = read_material(r, "material", "brass");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_finned_tube(Reader& r) {
    exchangers::FinnedTubeCore c;
    c.run_length = length(r, "run_length");
    c.runs = count_or(r, "runs", 1);
    c.rows = count_or(r, "rows", 1);
    c.run_pitch = length_or(r, "run_pitch", 0);
    c.row_pitch = length_or(r, "row_pitch", 0);
    c.tube_diameter = length(r, "tube_diameter");
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.fin_diameter = length(r, "fin_diameter");
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

}  // namespace

exchangers::Condition read_condition(Reader& r) {
    exchangers::Condition c;
    c.first_fouling =
        r.optional_quantity("liquid_fouling", Q::fouling_resistance, not_negative).value_or(0);
    c.second_fouling =
        r.optional_quantity("air_fouling", Q::fouling_resistance, not_negative).value_or(0);
    c.blocked = r.optional_quantity("blocked", Q::ratio, between(0, 0.95)).value_or(0);
    c.bent = r.optional_quantity("bent_fins", Q::ratio, fraction).value_or(0);
    return c;
}

std::optional<Core> read_geometry(Reader& r, CoreKind kind) {
    switch (kind) {
        case CoreKind::louvred:
            return read_louvred(r);
        case CoreKind::plate_fin:
            return read_plate_fin(r);
        case CoreKind::bar_plate:
            return read_bar_plate(r);
        case CoreKind::tank_plate:
            return read_tank_plate(r);
        case CoreKind::tank_tube:
            return read_tank_tube(r);
        default:
            return read_finned_tube(r);
    }
}

}  // namespace lapheat::scenario
