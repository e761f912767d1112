// Cores from their dimensions.
#include "lapheat/exchangers/geometry.hpp"
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;
using exchangers::Medium;

// ---- what several kinds share

enum class Metal { aluminium, copper, brass, steel };
constexpr Word metals[] = {{"aluminium", Metal::aluminium},
                           {"copper", Metal::copper},
                           {"brass", Metal::brass},
                           {"steel", Metal::steel}};

exchangers::Material read_material(Reader& r, const Key& key) {
    switch (r.choice<Metal>(key)) {
        case Metal::aluminium:
            return exchangers::aluminium;
        case Metal::copper:
            return exchangers::copper;
        case Metal::brass:
            return exchangers::brass;
        case Metal::steel:
            return exchangers::steel;
    }
    throw Error("a metal that is none", "");
}

constexpr Key length(std::string_view name, std::string_view help) {
    return key::quantity(name, Q::length, positive, help);
}
constexpr Key count(std::string_view name, std::string_view help) {
    return key::integer(name, 1, 10000, help);
}

double value_or_none(Reader& r, const Key& key) { return r.optional_quantity(key).value_or(0); }
int count_or_none(Reader& r, const Key& key) {
    return r.has(key) ? static_cast<int>(r.integer(key)) : (r.ignore(key), 0);
}
int whole(Reader& r, const Key& key) { return static_cast<int>(r.integer(key)); }

constexpr Key face_keys[] = {
    length("width", "of the finned face, without tanks").usually(0.05, 1.3),
    length("height", "of the finned face, without tanks").usually(0.03, 1.0)};
constexpr Table face_table{"", "", "", face_keys};

constexpr Key fin_keys[] = {
    key::choice("fin_material", metals, "of the fins").otherwise("aluminium"),
    key::choice("tube_material", metals, "of the tubes").otherwise("aluminium")};
constexpr Table fin_table{"", "", "", fin_keys};

// Strip fins: how many, how thick, how long a strip; in this order.
constexpr exchangers::StripFill usual_fill{};
constexpr Key turbulator_keys[] = {
    key::quantity("turbulator_fins", Q::per_length, positive, "strip fins inside, counted across")
        .optional("none in a tube, the usual in a tank's cooler"),
    length("turbulator_fin_thickness", "of their sheet")
        .usual(usual_fill.fin_thickness)
        .only("with `turbulator_fins`"),
    length("turbulator_strip_length", "of one strip along the flow")
        .usual(usual_fill.strip_length)
        .only("with `turbulator_fins`")};
constexpr Table turbulator_table{"", "", "", turbulator_keys};

std::optional<exchangers::StripFill> read_strip(Reader& r, std::span<const Key> keys) {
    if (!r.has(keys[0])) {
        r.ignore(keys[0]);
        return std::nullopt;
    }
    exchangers::StripFill fill;
    fill.fins_per_metre = r.quantity(keys[0]);
    fill.fin_thickness = r.quantity(keys[1]);
    fill.strip_length = r.quantity(keys[2]);
    return fill;
}

template <class Geometry>
std::optional<Core> made(Reader& r, const Geometry& geometry, const Medium& first,
                         const Medium& second) {
    return fitted_to_measured(r, r.attempt([&] { return exchangers::make_core(geometry); }), first,
                              second);
}

// A measured surface of the air side, in place of the kind's relation.
constexpr Column surface_columns[] = {
    {.name = "reynolds",
     .quantity = Q::ratio,
     .range = positive,
     .increasing = true,
     .help = "on 4 times the free area times the depth over the heat area"},
    {.name = "j", .quantity = Q::ratio, .range = positive, .help = "Colburn factor"},
    {.name = "f", .quantity = Q::ratio, .range = positive, .help = "Fanning friction factor"}};
constexpr Key surface_keys[] = {
    key::columns("surface", surface_columns,
                 "measured on such fins, in the file or as CSV: replaces the kind's relation", 4)
        .optional("the kind's relation")};
constexpr Table surface_table{"", "", "", surface_keys};

std::vector<exchangers::SurfacePoint> read_surface(Reader& r) {
    const Key& key = surface_table["surface"];
    std::vector<exchangers::SurfacePoint> points;
    if (!r.has(key)) {
        r.ignore(key);
        return points;
    }
    const Columns t = r.columns(key);
    for (std::size_t i = 0; i < t.rows(); ++i)
        points.push_back({t["reynolds"][i], t["j"][i], t["f"][i]});
    return points;
}

// ---- louvred

using exchangers::TubeDirection;
constexpr exchangers::LouvredCore usual_louvred{};
constexpr Word directions[] = {{"horizontal", TubeDirection::horizontal},
                               {"vertical", TubeDirection::vertical}};
constexpr Key louvred_keys[] = {
    length("depth", "along the air").usually(0.008, 0.15),
    key::choice("tubes_run", directions, "which way the liquid goes").otherwise("horizontal"),
    count("tubes", "in one row, or tube_pitch").optional("by tube_pitch"),
    length("tube_pitch", "centre to centre, or tubes").optional("by tubes"),
    length("tube_height", "outside, the small dimension"),
    length("tube_depth", "outside, along the air, of one tube").optional("depth over rows"),
    length("tube_wall", "thickness").usual(usual_louvred.tube_wall),
    count("channels", "of one tube, parted by webs").usual(usual_louvred.channels),
    count("rows", "of tubes along the air").usual(usual_louvred.rows),
    count("passes", "of the liquid across the face").usual(usual_louvred.passes),
    key::quantity("fins", Q::per_length, positive, "counted along a tube").usually(150, 1200),
    length("fin_thickness", "of the sheet").usual(usual_louvred.fin_thickness),
    length("louvre_pitch", "along the air").usual(usual_louvred.louvre_pitch),
    key::quantity("louvre_angle", Q::angle, positive, "to the fin's plane")
        .usual(usual_louvred.louvre_angle),
    length("louvre_length", "across the air").optional("0.85 of the fin's height")};
constexpr Table louvred{"louvred",
                        "",
                        "Flat tubes and louvred fins: most radiators and stacked-plate coolers.",
                        louvred_keys,
                        {&face_table, &fin_table, &turbulator_table, &arrangement_table,
                         &condition_table, &measured_table, &surface_table}};

std::optional<Core> read_louvred(Reader& r, const Medium& first, const Medium& second) {
    exchangers::LouvredCore c;
    c.width = r.quantity(face_table["width"]);
    c.height = r.quantity(face_table["height"]);
    c.depth = r.quantity(louvred["depth"]);
    c.tubes_run = r.choice<TubeDirection>(louvred["tubes_run"]);
    c.tubes = count_or_none(r, louvred["tubes"]);
    c.tube_pitch = value_or_none(r, louvred["tube_pitch"]);
    c.tube_height = r.quantity(louvred["tube_height"]);
    c.tube_depth = value_or_none(r, louvred["tube_depth"]);
    c.tube_wall = r.quantity(louvred["tube_wall"]);
    c.channels = whole(r, louvred["channels"]);
    c.rows = whole(r, louvred["rows"]);
    c.passes = whole(r, louvred["passes"]);
    c.fins_per_metre = r.quantity(louvred["fins"]);
    c.fin_thickness = r.quantity(louvred["fin_thickness"]);
    c.louvre_pitch = r.quantity(louvred["louvre_pitch"]);
    c.louvre_angle = r.quantity(louvred["louvre_angle"]);
    c.louvre_length = value_or_none(r, louvred["louvre_length"]);
    c.turbulator = read_strip(r, turbulator_keys);
    c.fin = read_material(r, fin_table["fin_material"]);
    c.tube = read_material(r, fin_table["tube_material"]);
    c.arrangement = read_arrangement(r);
    c.surface = read_surface(r);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

// ---- plate_fin

constexpr exchangers::PlateFinCore usual_plate_fin{};
constexpr Key plate_fin_keys[] = {
    length("tube_diameter", "outside"),
    length("tube_wall", "thickness").usual(usual_plate_fin.tube_wall),
    count("tubes", "in one row, or transverse_pitch").optional("by transverse_pitch"),
    length("transverse_pitch", "centre to centre across the air, or tubes").optional("by tubes"),
    length("longitudinal_pitch", "row to row along the air").optional("0.866 of transverse_pitch"),
    count("rows", "of tubes along the air").usual(usual_plate_fin.rows),
    key::boolean("staggered", "rows stand between one another").otherwise(true),
    count("liquid_circuits", "parallel ways of the liquid").optional("as many as tubes: one pass"),
    key::boolean("rows_in_series", "liquid goes from the last row to the first").otherwise(false),
    key::quantity("fins", Q::per_length, positive, "counted along a tube").usually(150, 1200),
    length("fin_thickness", "of the sheet").usual(usual_plate_fin.fin_thickness),
    length("wave_depth", "trough to peak of wavy fins").optional("plain fins"),
    length("half_wave_length", "trough to peak along the air, of wavy fins")
        .optional("plain fins")};
constexpr Table plate_fin{"plate_fin",
                          "",
                          "Round tubes through plate fins, plain or wavy.",
                          plate_fin_keys,
                          {&face_table, &fin_table, &arrangement_table, &condition_table,
                           &measured_table, &surface_table}};

std::optional<Core> read_plate_fin(Reader& r, const Medium& first, const Medium& second) {
    exchangers::PlateFinCore c;
    c.width = r.quantity(face_table["width"]);
    c.height = r.quantity(face_table["height"]);
    c.tube_diameter = r.quantity(plate_fin["tube_diameter"]);
    c.tube_wall = r.quantity(plate_fin["tube_wall"]);
    c.tubes = count_or_none(r, plate_fin["tubes"]);
    c.transverse_pitch = value_or_none(r, plate_fin["transverse_pitch"]);
    c.longitudinal_pitch = value_or_none(r, plate_fin["longitudinal_pitch"]);
    c.rows = whole(r, plate_fin["rows"]);
    c.staggered = r.boolean(plate_fin["staggered"]);
    c.circuits = count_or_none(r, plate_fin["liquid_circuits"]);
    c.rows_in_series = r.boolean(plate_fin["rows_in_series"]);
    c.fins_per_metre = r.quantity(plate_fin["fins"]);
    c.fin_thickness = r.quantity(plate_fin["fin_thickness"]);
    c.wave_depth = value_or_none(r, plate_fin["wave_depth"]);
    c.half_wave_length = value_or_none(r, plate_fin["half_wave_length"]);
    c.fin = read_material(r, fin_table["fin_material"]);
    c.tube = read_material(r, fin_table["tube_material"]);
    c.arrangement = read_arrangement(r);
    c.surface = read_surface(r);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

// ---- bar_plate

constexpr exchangers::BarPlateCore usual_bar_plate{};
constexpr Key liquid_strip_keys[] = {key::quantity("liquid_fins", Q::per_length, positive,
                                                   "strip fins in the liquid, counted across")
                                         .optional("700 1/m, 0.14 mm thick, strips of 3 mm"),
                                     length("liquid_fin_thickness", "of their sheet")
                                         .usual(usual_fill.fin_thickness)
                                         .only("with `liquid_fins`"),
                                     length("liquid_strip_length", "of one strip along the flow")
                                         .usual(usual_fill.strip_length)
                                         .only("with `liquid_fins`")};
constexpr Key air_strip_keys[] = {
    key::quantity("air_fins", Q::per_length, positive, "strip fins in the air, counted across")
        .optional("600 1/m, 0.1 mm thick, strips of 3 mm"),
    length("air_fin_thickness", "of their sheet")
        .usual(usual_fill.fin_thickness)
        .only("with `air_fins`"),
    length("air_strip_length", "of one strip along the flow")
        .usual(usual_fill.strip_length)
        .only("with `air_fins`")};
constexpr Table liquid_strip{"", "", "", liquid_strip_keys};
constexpr Table air_strip{"", "", "", air_strip_keys};
constexpr Key bar_plate_keys[] = {
    length("depth", "along the air"),
    count("passages", "of the liquid, or air_fin_height").optional("by air_fin_height"),
    length("liquid_fin_height", "clear, sheet to sheet"),
    length("air_fin_height", "clear, sheet to sheet, or passages").optional("by passages"),
    length("sheet_thickness", "between the streams").usual(usual_bar_plate.sheet_thickness),
    count("passes", "of the liquid across the face").usual(usual_bar_plate.passes),
    key::choice("material", metals, "of sheets and fins").otherwise("aluminium")};
constexpr Table bar_plate{"bar_plate",
                          "",
                          "Plates and bars with offset strip fins in liquid and air.",
                          bar_plate_keys,
                          {&face_table, &liquid_strip, &air_strip, &arrangement_table,
                           &condition_table, &measured_table, &surface_table}};

std::optional<Core> read_bar_plate(Reader& r, const Medium& first, const Medium& second) {
    exchangers::BarPlateCore c;
    c.width = r.quantity(face_table["width"]);
    c.height = r.quantity(face_table["height"]);
    c.depth = r.quantity(bar_plate["depth"]);
    c.passages = count_or_none(r, bar_plate["passages"]);
    c.liquid_fin_height = r.quantity(bar_plate["liquid_fin_height"]);
    c.air_fin_height = value_or_none(r, bar_plate["air_fin_height"]);
    c.sheet_thickness = r.quantity(bar_plate["sheet_thickness"]);
    c.passes = whole(r, bar_plate["passes"]);
    if (auto fill = read_strip(r, liquid_strip_keys)) c.liquid_fins = *fill;
    if (auto fill = read_strip(r, air_strip_keys)) c.air_fins = *fill;
    c.material = read_material(r, bar_plate["material"]);
    c.arrangement = read_arrangement(r);
    c.surface = read_surface(r);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

// ---- tank_plate, tank_tube

constexpr Key tank_keys[] = {
    length("tank_width", "inside, of the tank's cross-section"),
    length("tank_depth", "inside, of the tank's cross-section"),
    key::boolean("counter_flow", "oil against the coolant").otherwise(true)};
constexpr Table tank_table{"", "", "", tank_keys};

constexpr exchangers::TankPlateCooler usual_tank_plate{};
constexpr Key tank_plate_keys[] = {
    length("length", "of a plate, along both flows"),
    length("plate_width", "outside"),
    count("plates", "side by side").usual(usual_tank_plate.plates),
    length("oil_height", "clear inside a plate"),
    length("wall", "thickness").usual(usual_tank_plate.wall),
    key::choice("material", metals, "of the plates").otherwise("aluminium")};
constexpr Table tank_plate{"tank_plate",
                           "",
                           "Oil plates in a radiator's tank, washed by coolant lengthwise.",
                           tank_plate_keys,
                           {&tank_table, &turbulator_table, &condition_table, &measured_table}};

std::optional<Core> read_tank_plate(Reader& r, const Medium& first, const Medium& second) {
    exchangers::TankPlateCooler c;
    c.length = r.quantity(tank_plate["length"]);
    c.plate_width = r.quantity(tank_plate["plate_width"]);
    c.plates = whole(r, tank_plate["plates"]);
    c.oil_height = r.quantity(tank_plate["oil_height"]);
    c.wall = r.quantity(tank_plate["wall"]);
    c.tank_width = r.quantity(tank_table["tank_width"]);
    c.tank_depth = r.quantity(tank_table["tank_depth"]);
    if (auto fill = read_strip(r, turbulator_keys)) c.turbulator = *fill;
    c.counter_flow = r.boolean(tank_table["counter_flow"]);
    c.material = read_material(r, tank_plate["material"]);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

constexpr exchangers::TankTubeCooler usual_tank_tube{};
constexpr Key tank_tube_keys[] = {
    length("length", "of the tubes, along both flows"),
    length("outer_diameter", "outside of the outer tube"),
    length("bore", "inside of the inner tube"),
    length("wall", "thickness of either tube").usual(usual_tank_tube.wall),
    key::choice("material", metals, "of the tubes").otherwise("brass")};
constexpr Table tank_tube{"tank_tube",
                          "",
                          "Two tubes in one another in a radiator's tank, oil between them.",
                          tank_tube_keys,
                          {&tank_table, &turbulator_table, &condition_table, &measured_table}};

std::optional<Core> read_tank_tube(Reader& r, const Medium& first, const Medium& second) {
    exchangers::TankTubeCooler c;
    c.length = r.quantity(tank_tube["length"]);
    c.outer_diameter = r.quantity(tank_tube["outer_diameter"]);
    c.bore = r.quantity(tank_tube["bore"]);
    c.wall = r.quantity(tank_tube["wall"]);
    c.tank_width = r.quantity(tank_table["tank_width"]);
    c.tank_depth = r.quantity(tank_table["tank_depth"]);
    if (auto fill = read_strip(r, turbulator_keys)) c.turbulator = *fill;
    c.counter_flow = r.boolean(tank_table["counter_flow"]);
    c.material = read_material(r, tank_tube["material"]);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

// ---- finned_tube

constexpr exchangers::FinnedTubeCore usual_finned_tube{};
constexpr Key finned_tube_keys[] = {
    length("run_length", "finned length of one straight run"),
    count("runs", "across the air, in one row").usual(usual_finned_tube.runs),
    count("rows", "along the air").usual(usual_finned_tube.rows),
    length("run_pitch", "centre to centre across the air").optional("fin_diameter plus 2 mm"),
    length("row_pitch", "centre to centre along the air").optional("as run_pitch"),
    length("tube_diameter", "outside, at the fins' root"),
    length("tube_wall", "thickness").usual(usual_finned_tube.tube_wall),
    length("fin_diameter", "of the round fins"),
    key::quantity("fins", Q::per_length, positive, "counted along the tube").usually(150, 1200),
    length("fin_thickness", "of the sheet").usual(usual_finned_tube.fin_thickness)};
constexpr Table finned_tube{"finned_tube",
                            "",
                            "A tube with round fins, straight or laid back and forth.",
                            finned_tube_keys,
                            {&fin_table, &condition_table, &measured_table, &surface_table}};

std::optional<Core> read_finned_tube(Reader& r, const Medium& first, const Medium& second) {
    exchangers::FinnedTubeCore c;
    c.run_length = r.quantity(finned_tube["run_length"]);
    c.runs = whole(r, finned_tube["runs"]);
    c.rows = whole(r, finned_tube["rows"]);
    c.run_pitch = value_or_none(r, finned_tube["run_pitch"]);
    c.row_pitch = value_or_none(r, finned_tube["row_pitch"]);
    c.tube_diameter = r.quantity(finned_tube["tube_diameter"]);
    c.tube_wall = r.quantity(finned_tube["tube_wall"]);
    c.fin_diameter = r.quantity(finned_tube["fin_diameter"]);
    c.fins_per_metre = r.quantity(finned_tube["fins"]);
    c.fin_thickness = r.quantity(finned_tube["fin_thickness"]);
    c.fin = read_material(r, fin_table["fin_material"]);
    c.tube = read_material(r, fin_table["tube_material"]);
    c.surface = read_surface(r);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

// ---- flat_tube

constexpr Word continuous_fins[] = {
    {"plain", exchangers::ContinuousFin::plain, "smooth sheets"},
    {"ruffled", exchangers::ContinuousFin::ruffled, "sheets with humps between the tubes"}};
constexpr Key flat_tube_keys[] = {
    key::choice("tubes_run", directions, "which way the liquid goes").otherwise("vertical"),
    count("tubes", "in one row, or tube_pitch").optional("by tube_pitch"),
    length("tube_pitch", "centre to centre across the air, or tubes").optional("by tubes"),
    length("tube_height", "outside, the small dimension"),
    length("tube_depth", "outside, along the air, of one tube"),
    length("tube_wall", "thickness").usual(0.15e-3),
    count("rows", "of tubes along the air").usual(1),
    length("row_pitch", "row to row along the air").optional("tube_depth and 2 mm"),
    key::boolean("staggered", "rows stand between one another").otherwise(false),
    count("passes", "of the liquid across the face").usual(1),
    key::quantity("fins", Q::per_length, positive, "counted along a tube").usually(150, 1200),
    length("fin_thickness", "of the sheet").usual(0.08e-3),
    key::choice("fin_shape", continuous_fins, "of the sheets through which the tubes go")
        .otherwise("plain"),
    key::choice("fin_material", metals, "of the fins").otherwise("copper"),
    key::choice("tube_material", metals, "of the tubes").otherwise("brass")};
constexpr Table flat_tube{
    "flat_tube",
    "",
    "Flat tubes through continuous fins, the radiator of an older car: rated by measured surfaces.",
    flat_tube_keys,
    {&face_table, &arrangement_table, &condition_table, &measured_table, &surface_table}};

std::optional<Core> read_flat_tube(Reader& r, const Medium& first, const Medium& second) {
    exchangers::FlatTubeCore c;
    c.width = r.quantity(face_table["width"]);
    c.height = r.quantity(face_table["height"]);
    c.tubes_run = r.choice<TubeDirection>(flat_tube["tubes_run"]);
    c.tubes = count_or_none(r, flat_tube["tubes"]);
    c.tube_pitch = value_or_none(r, flat_tube["tube_pitch"]);
    c.tube_height = r.quantity(flat_tube["tube_height"]);
    c.tube_depth = r.quantity(flat_tube["tube_depth"]);
    c.tube_wall = r.quantity(flat_tube["tube_wall"]);
    c.rows = whole(r, flat_tube["rows"]);
    c.row_pitch = value_or_none(r, flat_tube["row_pitch"]);
    c.staggered = r.boolean(flat_tube["staggered"]);
    c.passes = whole(r, flat_tube["passes"]);
    c.fins_per_metre = r.quantity(flat_tube["fins"]);
    c.fin_thickness = r.quantity(flat_tube["fin_thickness"]);
    c.fins = r.choice<exchangers::ContinuousFin>(flat_tube["fin_shape"]);
    c.fin = read_material(r, flat_tube["fin_material"]);
    c.tube = read_material(r, flat_tube["tube_material"]);
    c.arrangement = read_arrangement(r);
    c.surface = read_surface(r);
    c.condition = read_condition(r);
    return made(r, c, first, second);
}

constexpr CoreKind kinds[] = {
    {&louvred, read_louvred},           {&plate_fin, read_plate_fin},
    {&bar_plate, read_bar_plate},       {&tank_plate, read_tank_plate, true},
    {&tank_tube, read_tank_tube, true}, {&finned_tube, read_finned_tube},
    {&flat_tube, read_flat_tube}};

}  // namespace

std::span<const CoreKind> geometry_kinds() { return kinds; }

}  // namespace lapheat::scenario
