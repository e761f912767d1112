// [air]: the way the air takes through each place.
#include <algorithm>
#include <stdexcept>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using airflow::NamedAssumption;

std::vector<std::string> air_heats() { return {"condenser"}; }

constexpr std::string_view a_core = "with `core`", a_heat = "with `heat`";
constexpr Key stack_keys[] = {
    key::reference("core", "a core, or a combined core with all its circuits")
        .only("without `heat`"),
    key::reference("heat", "a source of heat alone", air_heats).only("without `core`"),
    key::quantity("offset_x", Q::length, any_value, "of its middle, to the right").usual(0),
    key::quantity("offset_y", Q::length, any_value, "of its middle, upwards").usual(0),
    key::quantity("rise", Q::length, any_value, "that air climbs inside, of leaning or lying cores")
        .usual(0),
    key::quantity("gap_behind", Q::length, not_negative, "through which the air mixes")
        .otherwise("15 mm", "to the next core; 0 sealed")
        .usually(0, 0.1),
    key::quantity("width", Q::length, positive, "of the face").only(a_heat),
    key::quantity("height", Q::length, positive, "of the face").only(a_heat),
    key::quantity("pressure_loss", Q::air_pressure, positive, "of the air at `velocity`")
        .only(a_heat),
    key::quantity("velocity", Q::speed, positive, "of the air at the face")
        .otherwise("3 m/s")
        .only(a_heat)};
constexpr Table stack_table{
    "stack", "[[air.NAME.stack]]",
    "What the air passes, one behind the other: cores, or a condenser known by its size. A core "
    "behind another takes its air.",
    stack_keys};

constexpr Key shroud_keys[] = {
    key::references("fans", "of those in [fans]"),
    key::boolean("pusher", "ahead of the cores").otherwise(false),
    key::boolean("bare", "no shroud: each fan draws through its own disc and a slot")
        .otherwise(false),
    key::quantity("distance", Q::length, positive, "of a bare fan from the core").usual([] {
        return model::Shroud{}.distance;
    }),
    key::quantity("gap_area", Q::area, not_negative, "round the shroud, through which air leaks")
        .usual(0),
    key::quantity("flap_area", Q::area, not_negative, "of flaps that open for the wind").usual(0),
    key::quantity("cover", Q::ratio, {.low = 0.02, .high = 1.0}, "of the face, by width")
        .otherwise("100 %", "of the width of the stack's largest face"),
    key::quantity("offset_x", Q::length, any_value, "of its middle, to the right").usual(0)};
constexpr Table shroud_table{"shrouds", "[[air.NAME.shrouds]]",
                             "Fans and the part of the stack's largest face they draw from.",
                             shroud_keys};

/// The key of an airflow::NamedAssumption's name: "engine-bay share at rest" is
/// engine_bay_share_at_rest.
std::string place_key(std::string_view name) {
    std::string key;
    for (const char c : name) {
        const bool word = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (word)
            key += c;
        else if (!key.empty() && key.back() != '_')
            key += '_';
    }
    return key;
}

Key assumption_key(const char* name, NamedAssumption::Meaning meaning) {
    using M = NamedAssumption::Meaning;
    switch (meaning) {
        case M::speed:
            return key::quantities(name, Q::speed, between(0.5, 60),
                                   "below it the place is at rest");
        case M::pressure_coefficient:
            return key::quantities(name, Q::ratio, between(-2, 1.2), "a pressure coefficient");
        case M::share:
            return key::quantities(name, Q::ratio, fraction, "a share or a view factor");
        case M::level:
            return key::quantities(name, Q::ratio, positive, "times the usual");
        case M::difference:
            return key::quantities(name, Q::temperature_difference, any_value, "more than usual");
    }
    throw Error("a number of a place that means nothing", "");
}

/// The numbers of a place, which the airflow room lists.
std::span<const Key> assumption_keys() {
    static const std::vector<std::string> names = [] {
        std::vector<std::string> out;
        airflow::PlaceDefaults any;
        for (const NamedAssumption& n : airflow::assumptions(any)) out.push_back(place_key(n.name));
        return out;
    }();
    static const std::vector<Key> keys = [] {
        std::vector<Key> out;
        airflow::PlaceDefaults any;
        for (const NamedAssumption& n : airflow::assumptions(any))
            out.push_back(assumption_key(names[out.size()].c_str(), n.meaning)
                              .nothing("of the place, see `lapheat help places`"));
        return out;
    }();
    return keys;
}
constexpr Table assumption_table{
    "assumptions",
    "[air.NAME.assumptions]",
    "What is assumed about the place, a value or [value, low, high]. compare --draws draws "
    "them over their ranges.",
    {},
    {},
    assumption_keys};

/// The places that have air, by the words the airflow room gives them.
std::span<const Word> place_words() {
    static const std::vector<Word> words = [] {
        std::vector<Word> out;
        for (const airflow::Place place : airflow::all_places())
            if (const airflow::PlaceDefaults d = airflow::defaults(place); d.has_air)
                out.emplace_back(d.word, place, d.name);
        return out;
    }();
    return words;
}

constexpr std::string_view opposite = "to an exhaust part opposite, with the other two";
constexpr Key air_keys[] = {
    key::choice("place", place_words, "where the cores sit; see `lapheat help places`"),
    key::boolean("into_bay", "its air leaves through the engine bay")
        .optional("true in front and behind the radiator"),
    key::table("assumptions", &assumption_table, "what is assumed about the place")
        .nothing("the place's"),
    key::quantity("grille_area", Q::area, positive, "of the opening, bars and all"),
    key::quantity("grille_open", Q::ratio, efficiency, "of it that lets air by").otherwise("60 %"),
    key::quantity("exit_area", Q::area, positive, "of the way out"),
    key::quantity("leak_area", Q::area, not_negative, "of gaps round the cores")
        .otherwise("0 m2", "well sealed"),
    key::quantity("rise_to_exit", Q::length, any_value, "from the cores to the way out")
        .usual(0)
        .usually(-0.5, 1.5),
    key::quantity("brake_view_area", Q::area, not_negative,
                  "of the face that sees the front brakes")
        .usual(0),
    key::quantity("brake_air_share", Q::ratio, fraction,
                  "of the air that the front brakes warm, that enters here")
        .usual(0)
        .usually(0, 0.6),
    key::quantity("exhaust_view_area", Q::area, not_negative, "of the face that sees the exhaust")
        .usual(0)
        .only("without exhaust_width")
        .usually(0, 0.5),
    key::quantity("exhaust_width", Q::length, positive,
                  "of an exhaust part as large as what sees it")
        .nothing("by exhaust_view_area")
        .only(opposite),
    key::quantity("exhaust_length", Q::length, positive, "of the same")
        .nothing("by exhaust_view_area")
        .only(opposite),
    key::quantity("exhaust_distance", Q::length, positive, "from the core to it")
        .nothing("by exhaust_view_area")
        .only(opposite),
    key::number("exhaust_emissivity", between(0.02, 1), "of the exhaust parts in sight")
        .usual([] { return model::AirPath{}.exhaust_emissivity; })
        .usually(0.3, 0.95),
    key::integer("heat_shields", 0, 5, "sheets between the exhaust and the core").usual(0),
    key::number("shield_emissivity", between(0.02, 1), "of each sheet")
        .usual([] { return model::AirPath{}.shield_emissivity; })
        .usually(0.04, 0.4),
    key::quantity("shield_keeps", Q::ratio, fraction,
                  "of the exhaust's warm air that a sheet lets by")
        .usual([] { return model::AirPath{}.shield_keeps; })
        .usually(0.2, 0.9),
    key::quantity("condenser_cover", Q::ratio, fraction,
                  "of the face behind a condenser that is not in the stack")
        .usual(0),
    key::tables("stack", &stack_table, "what the air passes, at least one core"),
    key::tables("shrouds", &shroud_table, "fans, and what they draw from")};
constexpr Table air_table{"air",
                          "[air.NAME]",
                          "One way of the air: opening, stack of cores, fans, way out.",
                          air_keys,
                          {&exhaust_part_table}};

constexpr Key air_file_keys[] = {key::named("air", &air_table, "ways of the air")};

struct Box {
    double x = 0, y = 0, width = 0, height = 0;
    [[nodiscard]] double area() const { return width * height; }
};

/// Cores of that name, or the circuits of a combined one, in the order of the file.
std::vector<const model::CoreEntry*> cores_named(const std::vector<model::CoreEntry>& cores,
                                                 const std::string& name) {
    std::vector<const model::CoreEntry*> out;
    for (const model::CoreEntry& c : cores)
        if (c.whole() == name) out.push_back(&c);
    return out;
}

std::vector<std::string> face_names(const std::vector<model::CoreEntry>& cores) {
    std::vector<std::string> names;
    for (const model::CoreEntry& c : cores) {
        if (std::find(names.begin(), names.end(), c.whole()) == names.end())
            names.push_back(c.whole());
    }
    return names;
}

Box read_item(Reader& r, const std::vector<model::CoreEntry>& cores, model::AirPath& path) {
    Box box;
    const std::string what = r.one_of({&stack_table["core"], &stack_table["heat"]});
    const double dx = r.quantity(stack_table["offset_x"]);
    const double dy = r.quantity(stack_table["offset_y"]);
    const double rise = r.quantity(stack_table["rise"]);
    const double gap = r.quantity(stack_table["gap_behind"]);
    if (what == "heat") {
        model::StackItem item;
        item.heat = r.reference(stack_table["heat"]);
        item.width = r.quantity(stack_table["width"]);
        item.height = r.quantity(stack_table["height"]);
        item.pressure_loss = r.quantity(stack_table["pressure_loss"]);
        item.velocity = r.quantity(stack_table["velocity"]);
        item.x = dx - item.width / 2;
        item.y = dy - item.height / 2;
        item.rise = rise;
        item.gap_behind = gap;
        box = {item.x, item.y, item.width, item.height};
        path.stack.push_back(item);
        return box;
    }
    const std::string name = r.reference(stack_table["core"], face_names(cores));
    const auto parts = cores_named(cores, name);
    double height = 0;
    for (const model::CoreEntry* c : parts) height += c->core.height;
    double y = dy - height / 2;
    for (const model::CoreEntry* c : parts) {
        model::StackItem item;
        item.core = c->name;
        item.width = c->core.width;
        item.height = c->core.height;
        item.x = dx - item.width / 2;
        item.y = y;
        item.rise = rise;
        item.gap_behind = gap;
        y += item.height;
        box = {item.x, dy - height / 2, item.width, height};
        path.stack.push_back(item);
    }
    return box;
}

void read_shroud(Reader& r, const std::vector<std::string>& fans, const Box& over,
                 model::AirPath& path) {
    model::Shroud out;
    out.fans = r.references(shroud_table["fans"], fans);
    out.pusher = r.boolean(shroud_table["pusher"]);
    out.bare = r.boolean(shroud_table["bare"]);
    out.distance = r.quantity(shroud_table["distance"]);
    out.gap_area = r.quantity(shroud_table["gap_area"]);
    out.flap_area = r.quantity(shroud_table["flap_area"]);
    const double cover = r.quantity(shroud_table["cover"]);
    const double offset = r.quantity(shroud_table["offset_x"]);
    out.width = over.width * cover;
    out.height = over.height;
    out.x = over.x + (over.width - out.width) / 2 + offset;
    out.y = over.y;
    path.shrouds.push_back(std::move(out));
}

/// The numbers of a place that a file overrides: a value, or a value with its low and high end.
void read_assumptions(Reader& r, airflow::PlaceDefaults& place) {
    Reader a = r.table(air_table["assumptions"]);
    const std::span<const Key> keys = assumption_keys();
    const std::vector<NamedAssumption> numbers = airflow::assumptions(place);
    for (std::size_t i = 0; i < keys.size(); ++i) read_assumed(a, keys[i], *numbers[i].number);
}

/// The stretch of the exhaust beside a place.
heat::ExhaustPart exhaust_near(airflow::AlongCar along) {
    switch (along) {
        case airflow::AlongCar::engine_bay:
            return heat::ExhaustPart::manifold;
        case airflow::AlongCar::floor:
            return heat::ExhaustPart::front_pipe;
        case airflow::AlongCar::tail:
            return heat::ExhaustPart::silencer;
    }
    throw std::logic_error("no such stretch of a car");
}

/// Exhaust parts in sight of the core and the sheets between: an area that sees them with the
/// place's view factor, or a rectangle of the core opposite a part of the same size.
void read_exhaust(Reader& r, heat::ExhaustPart near, model::AirPath& path) {
    const Key &width = air_table["exhaust_width"], &length = air_table["exhaust_length"],
              &distance = air_table["exhaust_distance"], &area = air_table["exhaust_view_area"];
    if (r.has(width) || r.has(length) || r.has(distance)) {
        const double w = r.quantity(width), l = r.quantity(length), d = r.quantity(distance);
        path.exhaust_view_area = w * l;
        if (const auto view = r.attempt([&] { return airflow::view_factor_parallel(w, l, d); })) {
            // An engine's parts are never quite parallel and aligned: half to one and a half times.
            path.assumptions.exhaust_view = {*view, 0.5 * *view, std::min(1.0, 1.5 * *view),
                                             "Incropera, Table 13.2, from the scenario's sizes"};
        }
        if (r.has(area))
            r.error(area, "either this or exhaust_width, exhaust_length and exhaust_distance");
    } else {
        path.exhaust_view_area = r.quantity(area);
    }
    path.exhaust_part = read_exhaust_part(r, near);
    path.exhaust_emissivity = r.number(air_table["exhaust_emissivity"]);
    path.heat_shields = static_cast<int>(r.integer(air_table["heat_shields"]));
    path.shield_emissivity = r.number(air_table["shield_emissivity"]);
    path.shield_keeps = r.quantity(air_table["shield_keeps"]);
}

void read_opening(Reader& r, model::AirPath& path) {
    const double area = r.quantity(air_table["grille_area"]);
    const double open = r.quantity(air_table["grille_open"]);
    if (area > 0 && open > 0)
        path.inlet_losses.push_back({airflow::grille_coefficient(open), area * open});
    const double exit = r.quantity(air_table["exit_area"]);
    if (exit > 0)
        path.exit_losses.push_back({1.0 + 0.5, exit});  // turn into the bay and out, Idelchik
}

model::AirPath read_path(Reader& r, const std::vector<model::CoreEntry>& cores,
                         const std::vector<std::string>& fans) {
    model::AirPath path;
    path.name = r.name();
    path.place = r.place();
    using P = airflow::Place;
    const P place = r.choice<P>(air_table["place"]);
    path.assumptions = airflow::defaults(place);
    path.into_bay =
        r.boolean(air_table["into_bay"], place == P::front || place == P::behind_radiator);
    read_assumptions(r, path.assumptions);
    read_opening(r, path);
    path.leak_area = r.quantity(air_table["leak_area"]);
    path.bay_rise = r.quantity(air_table["rise_to_exit"]);
    path.brake_view_area = r.quantity(air_table["brake_view_area"]);
    path.brake_air_share = r.quantity(air_table["brake_air_share"]);
    read_exhaust(r, exhaust_near(path.assumptions.along), path);
    path.condenser_cover = r.quantity(air_table["condenser_cover"]);
    // A shroud is built onto the largest face: the radiator's, even where a cooler hides behind it.
    Box largest;
    for (Reader item : r.tables(air_table["stack"]))
        if (const Box box = read_item(item, cores, path); box.area() > largest.area())
            largest = box;
    if (path.stack.empty()) r.error(air_table["stack"], "at least one core");
    for (Reader shroud : r.tables(air_table["shrouds"])) read_shroud(shroud, fans, largest, path);
    return path;
}

}  // namespace

constexpr Table air_tables{"", "", "", air_file_keys};

std::vector<model::AirPath> read_air(Reader& root, const std::vector<model::CoreEntry>& cores,
                                     const std::vector<model::FanEntry>& fans) {
    std::vector<std::string> names;
    for (const model::FanEntry& f : fans) names.push_back(f.name);
    std::vector<model::AirPath> out;
    for (Reader r : root.named(air_tables["air"])) out.push_back(read_path(r, cores, names));
    return out;
}

}  // namespace lapheat::scenario
