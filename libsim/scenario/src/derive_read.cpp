// [radiator] [radiator_fans] [cooler]: the short description of a car.
#include "derive.hpp"
#include "lapheat/drive/tyre.hpp"
#include "merge.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using Place = Short::Place;
using Cooler = Short::Cooler;

constexpr Key radiator_keys[] = {
    key::quantity("width", Q::length, positive, "of the finned face, without tanks")
        .usually(0.3, 1.0),
    key::quantity("height", Q::length, positive, "of the finned face, without tanks")
        .usually(0.22, 0.8),
    key::quantity("depth", Q::length, positive, "of the core along the air").usually(0.012, 0.11),
    key::integer("rows", 1, 6, "of tubes along the air")
        .nothing("2 from 34 mm of depth, 3 from 60"),
    key::quantity("fins", Q::per_length, positive, "counted along a tube")
        .nothing(usual_fins_words)
        .usually(230, 1000),
    key::boolean("condenser", "one of the air conditioning stands ahead of it").otherwise(true)};
constexpr Table radiator_table{"radiator", "[radiator]",
                               "The radiator of a short description: see `lapheat help short`.",
                               radiator_keys};
constexpr Key fans_keys[] = {
    key::integer("count", 1, 4, "alike, side by side on one shroud"),
    key::quantity("diameter", Q::length, between(0.03, 1.5), "of the blades").usually(0.15, 0.65),
    key::quantity("flow", Q::air_flow, positive, "of each, as its seller claims: against nothing")
        .nothing("by its diameter")
        .usually(0.1, 2.5),
    key::quantity("current", Q::electric_current, positive, "of each at full speed")
        .nothing("by flow and diameter"),
    key::quantity("on", Q::temperature, between(250, 450), "switch in the outlet tank")
        .nothing("93 degC"),
    key::quantity("off", Q::temperature, between(250, 450), "switch in the outlet tank")
        .nothing("87 degC")};
constexpr Table fans_table{"radiator-fans", "[radiator_fans]",
                           "The radiator's fans in a short description.", fans_keys};
constexpr Word places[] = {{"front", Place::front, "ahead of the radiator"},
                           {"behind_radiator", Place::behind, "inside the fans' shroud"},
                           {"side_duct", Place::duct, "beside the radiator in a duct"},
                           {"under_floor", Place::floor, "on a crossmember, with a fan"},
                           {"behind_rear_axle", Place::rear, "at the rear, with a fan"},
                           {"side_scoop", Place::scoop, "in the trunk behind a scoop, with a fan"},
                           {"tank", Place::tank, "in the radiator's tank; steering uncooled"}};
constexpr Word coolers[] = {{"bar_plate", Cooler::bar_plate, "plates and bars"},
                            {"louvred", Cooler::louvred, "stacked plates with louvred fins"},
                            {"plate_fin", Cooler::plate_fin, "round tube through plate fins"}};
constexpr std::string_view in_air = "to a place other than the tank";
constexpr Key cooler_keys[] = {
    key::choice("place", places, "where it goes; a condenser stays ahead of it"),
    key::choice("kind", coolers, "how it is made").otherwise("bar_plate").only(in_air),
    key::quantity("width", Q::length, positive, "of the finned face")
        .only(in_air)
        .usually(0.1, 0.7),
    key::quantity("height", Q::length, positive, "of the finned face")
        .only(in_air)
        .usually(0.05, 0.5),
    key::quantity("depth", Q::length, positive, "along the air").only(in_air).usually(0.015, 0.1),
    key::quantity("fins", Q::per_length, positive, "in the air")
        .nothing(usual_fins_words)
        .only(in_air)
        .usually(230, 1000),
    key::text("line", "size of its lines as sold: \"-6\", \"AN-6\" or \"3/8 inch\"")
        .otherwise("-6"),
    key::quantity("line_length", Q::length, positive,
                  "transmission to cooler, one way; steering's follow in proportion")
        .nothing("by wheelbase and place")
        .usually(0.2, 8),
    key::quantity("fan_diameter", Q::length, between(0.03, 1.5), "of its own fan")
        .nothing("as wide as the core, where the place needs one")
        .only(in_air)
        .usually(0.1, 0.5),
    key::quantity("fan_flow", Q::air_flow, positive, "of its own fan, as its seller claims")
        .nothing("by its diameter")
        .only(in_air)
        .usually(0.03, 1.0)};
constexpr Table cooler_table{"cooler", "[cooler]",
                             "The cooler of a short description, for transmission and steering "
                             "fluid together.",
                             cooler_keys};
constexpr Key short_file_keys[] = {
    key::table("radiator", &radiator_table, "a short description: the radiator")
        .nothing("a full description"),
    key::table("radiator_fans", &fans_table, "a short description: its fans")
        .nothing("a full description"),
    key::table("cooler", &cooler_table, "a short description: the cooler")
        .nothing("a full description")};

bool is_short(const DocumentNode& root) {
    for (const Key& key : short_file_keys)
        if (root.find(key.name) != nullptr) return true;
    return false;
}

const Key& in_table(Reader&, const Table& table, std::string_view key) { return table.at(key); }

void read_power(Reader& root, Short& s) {
    const Table &engine = *engine_tables.at("engine").within,
                &gearbox = *vehicle_tables.at("gearbox").within,
                &vehicle = *vehicle_tables.at("vehicle").within;
    Reader e = root.table(engine_tables.at("engine"));
    s.engine_at = e.place();
    s.displacement = e.quantity(in_table(e, engine, "displacement"));
    s.power = e.quantity(in_table(e, engine, "peak_power"));
    s.power_speed = e.optional_quantity(engine.at("peak_power_speed")).value_or(0);
    s.redline = e.optional_quantity(engine.at("redline")).value_or(0);
    s.cylinders = static_cast<int>(e.integer(engine.at("cylinders")));
    const Key& era = engine.at("era");
    s.classic = e.has(era) && e.choice<heat::Era>(era) == heat::Era::classic;
    Reader g = root.table(vehicle_tables.at("gearbox"));
    s.gearbox_at = g.place();
    const Key &gears = gearbox.at("gears"), &kind = gearbox.at("kind"),
              &ratios = gearbox.at("ratios");
    s.gears = g.has(ratios) && !g.has(gears) ? static_cast<int>(g.numbers(ratios).size())
              : g.has(gears)                 ? static_cast<int>(g.integer(gears))
                                             : 0;
    if (s.gears == 0) g.error(gears, "how many gears go forward");
    s.automatic = !g.has(kind) || g.choice<int>(kind) == 0;
    Reader v = root.table(vehicle_tables.at("vehicle"));
    s.vehicle_at = v.place();
    s.mass = v.quantity(vehicle.at("mass"));
    s.wheelbase = v.quantity(vehicle.at("wheelbase"));
    const Key &tyre = vehicle.at("tyre"), &radius = vehicle.at("tyre_radius");
    if (v.has(tyre)) {
        const std::string size = v.text(tyre);
        if (const auto read = v.attempt([&] { return drive::tyre_size(size); }))
            s.tyre_radius = read->rolling_radius();
    } else {
        s.tyre_radius = v.quantity(radius);
    }
}

void read_radiator(Reader& root, Short& s) {
    Reader r = root.table(short_tables.at("radiator"));
    s.radiator_at = r.place();
    s.width = r.quantity(radiator_table["width"]);
    s.height = r.quantity(radiator_table["height"]);
    s.depth = r.quantity(radiator_table["depth"]);
    if (r.has(radiator_table["rows"])) s.rows = static_cast<int>(r.integer(radiator_table["rows"]));
    (void)r.optional_quantity(radiator_table["fins"]);
    s.condenser = r.boolean(radiator_table["condenser"]);
    r.ignore(radiator_table["rows"]);
    r.finish();
    Reader f = root.table(short_tables.at("radiator_fans"));
    s.fans_at = f.place();
    s.fans = static_cast<int>(f.integer(fans_table["count"]));
    s.fan_diameter = f.quantity(fans_table["diameter"]);
    s.fan_flow = f.optional_quantity(fans_table["flow"]).value_or(0);
    for (const char* key : {"current", "on", "off"}) (void)f.optional_quantity(fans_table.at(key));
    f.finish();
}

void read_cooler(Reader& root, Short& s) {
    Reader c = root.table(short_tables.at("cooler"));
    s.cooler_at = c.place();
    s.place = c.choice<Place>(cooler_table["place"]);
    const bool tank = s.place == Place::tank;
    s.cooler = c.choice<Cooler>(cooler_table["kind"]);
    const auto size = [&](std::string_view name) {
        const Key& key = cooler_table.at(name);
        return tank && !c.has(key) ? 0 : c.quantity(key);
    };
    s.cooler_width = size("width");
    s.cooler_height = size("height");
    s.cooler_depth = size("depth");
    (void)c.optional_quantity(cooler_table["fins"]);
    s.line = c.text(cooler_table["line"]);
    s.line_length = c.optional_quantity(cooler_table["line_length"]).value_or(0);
    s.cooler_fan_diameter = c.optional_quantity(cooler_table["fan_diameter"]).value_or(0);
    (void)c.optional_quantity(cooler_table["fan_flow"]);
    for (const Key& key : cooler_keys) c.ignore(key);  // a tank leaves the other keys alone
    c.finish();
}

}  // namespace

constexpr Table short_tables{"", "", "", short_file_keys};

Short read_short(const Document& document, Problems& problems) {
    Short s;
    Reader root(document, problems, &car_file());
    read_power(root, s);
    read_radiator(root, s);
    read_cooler(root, s);
    s.radiator = document.root.find("radiator");
    s.radiator_fans = document.root.find("radiator_fans");
    s.cooler_table = document.root.find("cooler");
    return s;
}

Document whole_car(const Document& document, Problems& problems) {
    if (document.root.kind != DocumentNode::Kind::table || !is_short(document.root))
        return document;
    const Short given = read_short(document, problems);
    if (problems.errors() > 0) return document;
    Document out{derived_car(given), document.files};
    out.root.place = document.root.place;
    out.root.key_place = document.root.key_place;
    DocumentNode own = document.root;
    merge(out.root, std::move(own), problems);
    return out;
}

void ignore_short(Reader& root) {
    for (const Key& key : short_file_keys)
        if (root.has(key)) {
            Reader r = root.table(key);
            for (const Key* inner : key.within->all()) r.ignore(*inner);
        } else {
            root.ignore(key);
        }
}

}  // namespace lapheat::scenario
