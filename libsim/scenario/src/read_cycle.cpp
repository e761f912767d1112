// A cycle file: surroundings and a list of segments, generated or from a table.
#include "read_cycle.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/drive/generate.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using Made = std::optional<drive::Cycle>;

constexpr Key weather_keys[] = {
    key::quantity("ambient", Q::temperature, between(223.15, 333.15), "of the air")
        .optional("of the cycle, else 25 degC"),
    key::quantity("humidity", Q::ratio, fraction, "relative").optional("of the cycle, else 40 %"),
    key::quantity("sun", Q::heat_flux, between(0, 1400), "on the road")
        .optional("of the cycle, else 0 W/m2"),
    key::quantity("wind", Q::speed, between(-40, 40), "from ahead")
        .optional("of the cycle, else 0 km/h"),
    key::quantity("altitude", Q::distance, between(-500, 6000), "over the sea")
        .optional("of the cycle, else 0 m")};
constexpr Key compressor_keys[] = {
    key::quantity("air_conditioning", Q::ratio, fraction, "demand; 100 % on a very hot day")
        .otherwise("0 %")};

}  // namespace

constexpr Table weather_table{"", "", "", weather_keys};
constexpr Table compressor_table{"", "", "", compressor_keys};

drive::Surroundings read_weather(Reader& r, const drive::Surroundings& usual) {
    // What was refused reads as no number; segments have nothing to add to that.
    const auto value = [&](const Key& key, double otherwise) {
        const double stated = r.optional_quantity(key).value_or(otherwise);
        return std::isfinite(stated) ? stated : otherwise;
    };
    drive::Surroundings s = usual;
    s.ambient = value(weather_table["ambient"], usual.ambient);
    s.humidity = value(weather_table["humidity"], usual.humidity);
    s.sun = value(weather_table["sun"], usual.sun);
    s.wind = value(weather_table["wind"], usual.wind);
    s.altitude = value(weather_table["altitude"], usual.altitude);
    return s;
}

bool has_weather(const Reader& r) {
    for (const Key& key : weather_keys)
        if (r.has(key)) return true;
    return false;
}

namespace {

// ---- generated segments

constexpr Key duration_keys[] = {key::quantity("duration", Q::time, between(1, 1e6), "how long")};
constexpr Table duration_table{"", "", "", duration_keys};
double duration(Reader& r) { return r.quantity(duration_table["duration"]); }

constexpr Key speed_keys[] = {key::quantity("speed", Q::speed, between(0, 120), "of the car")};
constexpr Table speed_table{"", "", "", speed_keys};
double speed(Reader& r) { return r.quantity(speed_table["speed"]); }

constexpr Key gear_keys[] = {key::integer("gear", 1, 12, "held").optional("by the shift rule"),
                             key::boolean("reverse", "backwards").otherwise(false)};
constexpr Table gear_table{"", "", "", gear_keys};
Made in_gear(Reader& r, Made cycle) {
    const bool held = r.has(gear_table["gear"]);
    const auto gear = static_cast<std::int8_t>(held ? r.integer(gear_table["gear"]) : 0);
    r.ignore(gear_table["gear"]);
    const bool reverse = r.boolean(gear_table["reverse"]);
    if (!cycle) return cycle;
    if (held) cycle->gear.assign(cycle->size(), gear);
    if (reverse) cycle->selector.assign(cycle->size(), drive::Selector::reverse);
    return cycle;
}

constexpr Table steady{"steady",
                       "",
                       "One speed.",
                       {},
                       {&speed_table, &duration_table, &gear_table, &compressor_table}};
Made make_steady(Reader& r, const SegmentContext& c) {
    const double v = speed(r), t = duration(r);
    return in_gear(r, r.attempt([&] { return drive::steady(v, t, c.around); }));
}

constexpr Key climb_keys[] = {
    key::quantity("grade", Q::ratio, between(-0.3, 0.3), "rise over run"),
    key::quantity("trailer", Q::mass, not_negative, "behind the car").usual(0)};
constexpr Table climb{"climb",
                      "",
                      "One speed up or down a grade.",
                      climb_keys,
                      {&speed_table, &duration_table, &gear_table, &compressor_table}};
Made make_climb(Reader& r, const SegmentContext& c) {
    const double v = speed(r), t = duration(r), grade = r.quantity(climb["grade"]);
    const double trailer = r.quantity(climb["trailer"]);
    return in_gear(r, r.attempt([&] { return drive::climb(v, t, grade, trailer, c.around); }));
}

constexpr drive::Traffic usual_traffic{};
constexpr Key traffic_keys[] = {
    key::integer("draw", 0, 1000000000, "the same traffic for the same number").otherwise(1),
    key::quantity("top_speed", Q::speed, positive, "each peak lies between 0.3 and 1 of it")
        .usual(usual_traffic.top_speed),
    key::quantity("acceleration", Q::acceleration, positive, "each between 0.6 and 1 of it")
        .usual(usual_traffic.acceleration),
    key::quantity("mean_wait", Q::time, positive, "each between 0.3 and 1.7 of it")
        .usual(usual_traffic.mean_wait),
    key::quantity("mean_roll", Q::time, positive, "at the peak, each between 0.3 and 1.7 of it")
        .usual(usual_traffic.mean_roll)};
constexpr Table traffic{"traffic",
                        "",
                        "Pulls away, rolls, stops and waits, by chance.",
                        traffic_keys,
                        {&duration_table, &compressor_table}};
Made make_traffic(Reader& r, const SegmentContext& c) {
    drive::Traffic plan;
    const double t = duration(r);
    const auto draw = static_cast<std::uint64_t>(r.integer(traffic["draw"]));
    plan.top_speed = r.quantity(traffic["top_speed"]);
    plan.acceleration = r.quantity(traffic["acceleration"]);
    plan.mean_wait = r.quantity(traffic["mean_wait"]);
    plan.mean_roll = r.quantity(traffic["mean_roll"]);
    return r.attempt([&] { return drive::stop_and_go(t, draw, plan, c.around); });
}

constexpr Word selectors[] = {{"drive", drive::Selector::drive},
                              {"park", drive::Selector::park},
                              {"neutral", drive::Selector::neutral}};
constexpr Key idle_keys[] = {
    key::choice("selector", selectors, "of an automatic").otherwise("drive")};
constexpr Table idle{"idle",
                     "",
                     "Standing with the engine running.",
                     idle_keys,
                     {&duration_table, &compressor_table}};
Made make_idle(Reader& r, const SegmentContext& c) {
    const double t = duration(r);
    const auto selector = r.choice<drive::Selector>(idle["selector"]);
    return r.attempt([&] { return drive::idle(t, selector, c.around); });
}

constexpr Table soak{
    "soak", "", "Standing with the engine off.", {}, {&duration_table, &compressor_table}};
Made make_soak(Reader& r, const SegmentContext& c) {
    const double t = duration(r);
    return r.attempt([&] { return drive::soak(t, c.around); });
}

constexpr Table parade{"parade",
                       "",
                       "Walking pace behind a lead car, with halts.",
                       {},
                       {&speed_table, &duration_table, &compressor_table}};
Made make_parade(Reader& r, const SegmentContext& c) {
    const double v = speed(r), t = duration(r);
    return r.attempt([&] { return drive::parade(v, t, 180, 20, c.around); });
}

constexpr Key parking_keys[] = {
    key::integer("moves", 1, 200, "forwards or backwards").otherwise(4)};
constexpr Table parking{"parking",
                        "",
                        "Back and forth, the wheel turned lock to lock at rest.",
                        parking_keys,
                        {&compressor_table}};
Made make_parking(Reader& r, const SegmentContext& c) {
    const auto moves = static_cast<int>(r.integer(parking["moves"]));
    return r.attempt(
        [&] { return drive::parking(c.nest.vehicle.steering_lock, moves, 3.0, 1.5, c.around); });
}

constexpr Key launch_keys[] = {key::number("throttle", fraction, "held, 0 to 1")};
constexpr Table launch{"launch",
                       "",
                       "The engine against the converter with the brakes on.",
                       launch_keys,
                       {&duration_table, &compressor_table}};
Made make_launch(Reader& r, const SegmentContext& c) {
    const double throttle = r.number(launch["throttle"]), t = duration(r);
    return r.attempt([&] { return drive::brake_torque(throttle, t, c.around); });
}

constexpr Key pull_keys[] = {key::quantity("acceleration", Q::acceleration, positive, "asked for")};
constexpr Table pull_away{
    "pull_away", "", "From rest to a speed.", pull_keys, {&speed_table, &compressor_table}};
Made make_pull_away(Reader& r, const SegmentContext& c) {
    const double v = speed(r), a = r.quantity(pull_away["acceleration"]);
    return r.attempt([&] { return drive::pull_away(v, a, c.around); });
}

constexpr Key cycle_keys[] = {key::text("file", "of the other cycle, relative to this one")};
constexpr Table cycle_segment{
    "cycle", "",
    "Another cycle, with its own air conditioning, and its own surroundings unless this says.",
    cycle_keys};
Made make_cycle(Reader& r, const SegmentContext& c);

// ---- the file

constexpr KindOf<MakeSegment> segment_kinds[] = {
    {&steady, make_steady},      {&climb, make_climb},         {&traffic, make_traffic},
    {&idle, make_idle},          {&soak, make_soak},           {&parade, make_parade},
    {&parking, make_parking},    {&launch, make_launch},       {&pull_away, make_pull_away},
    {&laps_segment, make_laps},  {&table_segment, make_table}, {&log_segment, make_log},
    {&cycle_segment, make_cycle}};

constexpr Key segment_keys[] = {key::kind("kind", kinds_of<segment_kinds>, "how it is driven"),
                                key::text("name", "for phases and reports").nothing("by its kind"),
                                key::integer("repeat", 1, 1000, "how often").otherwise(1)};
constexpr Table segment_table{"cycles",
                              "[[segments]]",
                              "A cycle's file: segments driven one after the other, each generated "
                              "or from a table, each with surroundings of its own if it says so.",
                              segment_keys,
                              {&weather_table}};
constexpr Table surroundings_table{"surroundings",
                                   "[surroundings]",
                                   "Weather and height of a cycle's file.",
                                   {},
                                   {&weather_table}};

constexpr Key cycle_file_keys[] = {
    key::text("name", "of the cycle"),
    key::table("surroundings", &surroundings_table, "weather and height")
        .optional("a mild day at the sea"),
    key::tables("segments", &segment_table, "driven one after the other, at least one"),
    key::text("extends", "a file of which this says what differs").nothing("none")};
constexpr Table cycle_file_table{
    "cycle-file", "the whole file", "A file that is driven.", cycle_file_keys, {&course_tables}};

/// A cycle that goes by a name of its own, so that its phases say whose they are.
void rename(drive::Cycle& cycle, const std::string& name) {
    cycle.name = name;
    // Its phases, if it has several, say whose they are: "session 2, run 3".
    if (cycle.phases.size() == 1)
        cycle.phases.front().name = name;
    else
        for (drive::Phase& phase : cycle.phases) phase.name = name + ", " + phase.name;
}

/// The road goes on at the height where the one before ended, and its air cools with height,
/// unless the segment states its own. Laps end where they begin.
void place_on_road(const Reader& r, bool laps, const OwnSurroundings& own,
                   const drive::Surroundings& s, const drive::Surroundings& usual,
                   const drive::Cycle* before, drive::Cycle& cycle) {
    if (cycle.size() == 0) return;
    if (!own.altitude) {
        const bool stated =
            r.has(weather_table["altitude"]) || before == nullptr || before->size() == 0;
        const double from = stated ? s.altitude : before->altitude.back();
        cycle.altitude.assign(cycle.size(), from);
        if (!laps) drive::follow_road(cycle, from);
    }
    if (own.ambient) return;
    if (r.has(weather_table["ambient"]))
        drive::cool_with_height(cycle, s.ambient, cycle.altitude.front());
    else
        drive::cool_with_height(cycle, usual.ambient, usual.altitude);
}

/// Notes where air conditioning is first asked for.
void note_cooling(const Reader& r, const drive::Cycle& cycle, FilePlace* first) {
    if (first == nullptr || first->line != 0) return;
    if (std::any_of(cycle.ac_demand.begin(), cycle.ac_demand.end(),
                    [](double demand) { return demand > 0; }))
        *first = r.place(compressor_table["air_conditioning"]);
}

drive::Cycle read_segment(Reader& root, Reader& r, const Nest& nest,
                          const drive::Surroundings& usual, const drive::Cycle* before) {
    const auto& kind = r.kind(segment_table["kind"], segment_kinds);
    const drive::Surroundings s = read_weather(r, usual);
    OwnSurroundings own;
    drive::Cycle cycle = kind.build(r, {root, nest, s, own}).value_or(drive::steady(10, 10));
    if (kind.keys != &cycle_segment) {
        const double ac = r.quantity(compressor_table["air_conditioning"]);
        if (ac > 0) cycle.ac_demand.assign(cycle.size(), ac);
    }
    note_cooling(r, cycle, nest.air_conditioning);
    const auto times = static_cast<int>(r.integer(segment_table["repeat"]));
    if (times > 1)
        if (auto made = r.attempt([&] { return drive::repeat(cycle, times); })) cycle = *made;
    if (kind.keys != &cycle_segment)
        place_on_road(r, kind.keys == &laps_segment, own, s, usual, before, cycle);
    if (auto name = r.optional_text(segment_table["name"])) rename(cycle, *name);
    if (cycle.phases.empty() && cycle.size() > 0)
        cycle.phases = {{cycle.name, cycle.time.front(), cycle.time.back()}};
    return cycle;
}

drive::Cycle read_nested(const Document& document, const Nest& nest) {
    Reader root(document, nest.problems, &cycle_file_table);
    const std::string name = root.text(cycle_file_table["name"]);
    Reader around = root.table(cycle_file_table["surroundings"]);
    const drive::Surroundings s = read_weather(around, {});
    std::vector<drive::Cycle> parts;
    for (Reader r : root.tables(cycle_file_table["segments"])) {
        if (*nest.left == 0)
            r.error(segment_table["kind"], "2000 segments at most, those of its files counted");
        if (--*nest.left < 0) break;
        parts.push_back(read_segment(root, r, nest, s, parts.empty() ? nullptr : &parts.back()));
    }
    if (parts.empty())
        root.error(cycle_file_table["segments"], "at least one segment, [[segments]]");
    ignore_course(root);
    root.ignore(cycle_file_table["extends"]);
    root.finish();
    if (nest.files != nullptr)
        for (const SourceFile& file : root.files()) nest.files->push_back(file);
    if (nest.assumptions != nullptr)
        for (Assumption a : root.assumptions())
            if (!a.why.empty()) {  // those that a reason speaks for; who reads a zero
                a.key = name + ": " + a.key;
                nest.assumptions->push_back(std::move(a));
            }
    if (nest.doubts != nullptr)
        for (StatedDoubt d : root.doubts()) {
            d.path = name + ": " + d.path;
            d.of_cycle = true;
            nest.doubts->push_back(std::move(d));
        }
    drive::Cycle out = drive::steady(10, 10);
    if (!parts.empty() && nest.problems.errors() == 0)
        if (auto chained = root.attempt([&] { return drive::chain(parts, name); })) out = *chained;
    out.name = name;
    return out;
}

constexpr int deepest_nest = 8, most_segments = 2000;

Made make_cycle(Reader& r, const SegmentContext& c) {
    const Nest& nest = c.nest;
    const std::string file = r.text(cycle_segment["file"]);
    if (file.empty()) return std::nullopt;
    if (nest.depth >= deepest_nest) {
        r.error(cycle_segment["file"], "a cycle that does not come back to itself");
        return std::nullopt;
    }
    const std::filesystem::path from(r.place(cycle_segment["file"]).file);
    const Document document = load(from.parent_path() / file, nest.problems);
    drive::Cycle cycle = read_nested(
        document, {nest.vehicle, nest.problems, nest.drivable, nest.depth + 1, nest.files,
                   nest.assumptions, nest.doubts, nest.air_conditioning, nest.left});
    if (has_weather(r)) drive::surround(cycle, c.around);
    return cycle;
}

}  // namespace

const Table& cycle_file() { return cycle_file_table; }

drive::Cycle read_cycle_document(const Document& document, const drive::Vehicle& vehicle,
                                 Problems& problems, bool drivable, std::vector<SourceFile>* files,
                                 std::vector<Assumption>* assumptions,
                                 std::vector<StatedDoubt>* doubts, FilePlace* air_conditioning) {
    int left = most_segments;
    return read_nested(document, {vehicle, problems, drivable, 0, files, assumptions, doubts,
                                  air_conditioning, &left});
}

drive::Cycle read_cycle(const std::filesystem::path& file, const drive::Vehicle& vehicle) {
    Problems problems;
    const Document document = load(file, problems);
    drive::Cycle cycle = read_cycle_document(document, vehicle, problems, true);
    problems.throw_if_any();
    return cycle;
}

}  // namespace lapheat::scenario
