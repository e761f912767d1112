// Segments of laps, and the courses they are driven on.
#include "lapheat/drive/course.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "lapheat/drive/lap.hpp"
#include "lapheat/drive/trace.hpp"
#include "read_cycle.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using K = drive::SegmentKind;

// ---- pieces of a course

constexpr Key length_keys[] = {key::quantity("length", Q::length, positive, "along the way")};
constexpr Table length_table{"", "", "", length_keys};
constexpr Key turn_keys[] = {key::quantity("radius", Q::length, positive, "of the driven line"),
                             key::quantity("angle", Q::angle, any_value, "turned, left positive")};
constexpr Table turn_table{"", "", "", turn_keys};

constexpr Table straight{"straight", "", "Straight ahead.", {}, {&length_table}};
void read_straight(Reader& r, drive::Segment& out) {
    out.length = r.quantity(length_table["length"]);
}

void read_turn(Reader& r, drive::Segment& out) {
    out.radius = r.quantity(turn_table["radius"]);
    out.angle = r.quantity(turn_table["angle"]);
}

constexpr Key arc_keys[] = {
    key::quantity("transition", Q::length, not_negative, "over which the bend begins and ends")
        .usual(0)};
constexpr Table arc{"arc", "", "A bend of one radius.", arc_keys, {&turn_table}};
void read_arc(Reader& r, drive::Segment& out) {
    read_turn(r, out);
    out.transition = r.quantity(arc["transition"]);
}

constexpr Key slalom_keys[] = {
    key::integer("gates", 1, 100, "to pass"),
    key::quantity("spacing", Q::length, positive, "from gate to gate"),
    key::quantity("offset", Q::length, positive, "of the driven line from the gates' line")};
constexpr Table slalom{"slalom", "", "Gates in a row, left and right of each.", slalom_keys};
void read_slalom(Reader& r, drive::Segment& out) {
    out.gates = static_cast<int>(r.integer(slalom["gates"]));
    out.spacing = r.quantity(slalom["spacing"]);
    out.offset = r.quantity(slalom["offset"]);
}

constexpr Table box_turn{"box_turn", "", "A tight turn in a box of cones.", {}, {&turn_table}};

constexpr Key braking_keys[] = {
    key::quantity("end_speed", Q::speed, positive, "at most, at its end")};
constexpr Table braking_zone{
    "braking_zone", "", "Straight, to be left at most at a speed.", braking_keys, {&length_table}};
void read_braking(Reader& r, drive::Segment& out) {
    out.length = r.quantity(length_table["length"]);
    out.end_speed = r.quantity(braking_zone["end_speed"]);
}

struct PieceKind {
    const Table* keys;
    K kind;
    void (*build)(Reader&, drive::Segment&);
};
constexpr PieceKind piece_kinds[] = {{&straight, K::straight, read_straight},
                                     {&arc, K::arc, read_arc},
                                     {&slalom, K::slalom, read_slalom},
                                     {&box_turn, K::box_turn, read_turn},
                                     {&braking_zone, K::braking_zone, read_braking}};

constexpr Key piece_keys[] = {
    key::kind("kind", kinds_of<piece_kinds>, "what the piece is"),
    key::quantity("grade", Q::ratio, between(-0.3, 0.3), "rise over run").usual(0),
    key::number("grip", between(0.3, 1.5), "over that of the rest").usual(1)};
constexpr Table piece_table{"courses", "[[course]]",
                            "A piece of a course of your own, one after the other; a segment of "
                            "kind \"laps\" drives it by course = \"own\".",
                            piece_keys};

// ---- the keys of the cycle's file

constexpr Column course_point_columns[] = {{.name = "x", .quantity = Q::length},
                                           {.name = "y", .quantity = Q::length}};
constexpr Key course_file_keys[] = {
    key::tables("course", &piece_table, "pieces of a course of your own"),
    key::columns("course_points", course_point_columns, "its line by points, in place of pieces", 4)
        .nothing("by its pieces"),
    key::boolean("closed", "the last point or piece leads to the first")
        .optional("false of pieces, true of points")};

// ---- laps

std::vector<std::string> course_names() {
    std::vector<std::string> names;
    for (const drive::NamedCourse& ours : drive::our_courses()) names.emplace_back(ours.word);
    names.emplace_back("own");
    return names;
}

constexpr Word queue_selectors[] = {{"park", drive::Selector::park},
                                    {"neutral", drive::Selector::neutral},
                                    {"drive", drive::Selector::drive}};
constexpr Word engine_states[] = {{"on", true}, {"off", false}};
constexpr Key queue_keys[] = {
    key::quantity("move", Q::length, between(0, 200), "that the queue creeps each time")
        .otherwise("0 m", "the queue does not creep"),
    key::quantity("every", Q::time, between(5, 3600), "a move comes")
        .otherwise("30 s", "between moves")
        .only("with `move`"),
    key::choice("selector", queue_selectors, "of an automatic, between moves").optional("park"),
    key::choice("engine", engine_states, "while it waits")
        .optional("on for waits up to 3 min, else off")};
constexpr Table queue_table{"queue", "queue = { ... } in a segment of kind \"laps\"",
                            "How the wait before each run is spent.", queue_keys};

constexpr std::string_view on_closed = "with a closed course";
constexpr Key laps_keys[] = {
    key::reference("course", "ours, or the file's own", course_names),
    key::integer("runs", 1, 200, "one after the other").otherwise(1),
    key::integer("laps", 1, 500, "in each run").otherwise(1).only("without `laps_for`"),
    key::quantity("laps_for", Q::time, between(10, 86400), "as many laps as fit, in place of laps")
        .optional("by laps")
        .only(on_closed),
    key::quantity("wait", Q::time, not_negative, "standing").otherwise("120 s", "before each run"),
    key::table("queue", &queue_table, "how the wait is spent").optional("what most do"),
    key::quantity("cool_lap_speed", Q::speed, positive, "of one more lap after each run")
        .nothing("no such lap")
        .only(on_closed),
    key::number("effort", between(0.3, 1), "how hard the driver tries")
        .otherwise(0.9, "share of grip and engine used")};

drive::Course course_from_points(Reader& root, const std::string& name);
drive::Course course_from_pieces(Reader& root, const std::string& name);

}  // namespace

constexpr Table course_tables{"", "", "", course_file_keys};
constexpr Table laps_segment{
    "laps", "", "Timed laps of a course, in runs with waits.", laps_keys, {&compressor_table}};

namespace {

drive::Course course_from_points(Reader& root, const std::string& name) {
    const Columns points = root.columns(course_tables["course_points"]);
    const bool closed =
        root.boolean(course_tables["closed"], true, "the last point leads to the first");
    return root
        .attempt([&] { return drive::course_from_points(name, points["x"], points["y"], closed); })
        .value_or(drive::cone_course());
}

drive::Course course_from_pieces(Reader& root, const std::string& name) {
    std::vector<drive::Segment> segments;
    for (Reader s : root.tables(course_tables["course"])) {
        drive::Segment out;
        const PieceKind& piece = s.kind(piece_table["kind"], piece_kinds);
        out.kind = piece.kind;
        piece.build(s, out);
        out.grade = s.quantity(piece_table["grade"]);
        out.grip = s.number(piece_table["grip"]);
        segments.push_back(out);
    }
    const bool closed =
        root.boolean(course_tables["closed"], false, "the course is driven from end to end");
    return root.attempt([&] { return drive::course_from_segments(name, segments, closed); })
        .value_or(drive::cone_course());
}

drive::Course read_course(Reader& root, const std::string& name) {
    for (const drive::NamedCourse& ours : drive::our_courses())
        if (name == ours.word) return ours.make();
    return root.has(course_tables["course_points"]) ? course_from_points(root, name)
                                                    : course_from_pieces(root, name);
}

}  // namespace

namespace {

/// kJ that the converter makes in one wait.
std::string queue_heat(const drive::Vehicle& vehicle, const drive::Surroundings& s, double wait,
                       drive::Queue how, drive::Selector selector) {
    how.selector = selector;
    how.engine = true;
    const auto trace = drive::backward(vehicle, drive::queue(wait, how, s));
    const double joules = drive::summarize(trace, vehicle).converter_loss;
    return fmt::format("{} kJ", std::lround(joules / 1e3));
}

/// How the wait before each run is spent. The default is what people do; what the other choices
/// cost stands beside it among the assumptions.
void read_queue(Reader& laps, const SegmentContext& context, drive::SessionPlan& plan) {
    Reader r = laps.table(laps_segment["queue"]);
    const drive::Vehicle& vehicle = context.nest.vehicle;
    drive::Queue& q = plan.queue;
    q.move = r.quantity(queue_table["move"]);
    if (q.move > 0)
        q.every = r.quantity(queue_table["every"]);
    else
        r.ignore(queue_table["every"]);
    std::string cost;
    const bool converter = vehicle.coupling == drive::Coupling::converter;
    if (context.nest.drivable && plan.wait > 0 && converter)
        if (const auto made = laps.attempt([&] {
                const auto heat = [&](drive::Selector selector) {
                    return queue_heat(vehicle, context.around, plan.wait, q, selector);
                };
                return "the converter makes " + heat(drive::Selector::drive) +
                       " in a wait in drive, " + heat(drive::Selector::park) +
                       " in park or neutral";
            }))
            cost = "; " + *made;
    q.selector = r.choice(queue_table["selector"], drive::Selector::park, "what most do" + cost);
    constexpr double patience = 180;  // s
    q.engine = r.choice(queue_table["engine"], plan.wait <= patience,
                        "most stop it for waits of more than 3 min; common practice, no source");
}

/// An open course is driven once in each run: says so of the first key that asks for more.
bool refuse_laps_of_open(Reader& r, const drive::Course& course, const drive::SessionPlan& plan) {
    if (course.closed) return false;
    const Key* asking = r.has(laps_segment["laps_for"]) ? &laps_segment["laps_for"]
                        : plan.laps > 1                 ? &laps_segment["laps"]
                        : plan.cool_lap_speed > 0       ? &laps_segment["cool_lap_speed"]
                                                        : nullptr;
    if (asking == nullptr) return false;
    std::string closed;
    for (const drive::NamedCourse& ours : drive::our_courses())
        if (ours.make().closed) closed += "\"" + std::string(ours.word) + "\", ";
    r.error(*asking,
            "a closed course, for " + course.name +
                " is open: a run is one lap from start to finish, and none to cool down. Write "
                "runs = 8 (or how many you drive) in its place, with wait = \"120 s\" before each",
            "closed are " + closed + "and one of your own with closed = true");
    return true;
}

}  // namespace

std::optional<drive::Cycle> make_laps(Reader& r, const SegmentContext& context) {
    Reader& root = context.root;
    std::vector<std::string> known = course_names();
    if (!root.has(course_tables["course"]) && !root.has(course_tables["course_points"]))
        known.pop_back();
    const std::string name = r.reference(laps_segment["course"], known);
    drive::SessionPlan plan;
    plan.runs = static_cast<int>(r.integer(laps_segment["runs"]));
    const bool timed = r.has(laps_segment["laps_for"]);
    if (!timed) plan.laps = static_cast<int>(r.integer(laps_segment["laps"]));
    const double lapping = r.optional_quantity(laps_segment["laps_for"]).value_or(0);
    plan.wait = r.quantity(laps_segment["wait"]);
    read_queue(r, context, plan);
    plan.cool_lap_speed = r.optional_quantity(laps_segment["cool_lap_speed"]).value_or(0);
    drive::LapStyle style;
    style.effort = r.number(laps_segment["effort"]);
    const drive::Course course = read_course(root, name);
    // A car with errors of its own would only add errors that say nothing about the cycle.
    if (!context.nest.drivable) return std::nullopt;
    // Of one that could not be made, the reason was told.
    const bool made = name != "own" || course.name == name;
    if (made && refuse_laps_of_open(r, course, plan)) return std::nullopt;
    const drive::Vehicle& vehicle = context.nest.vehicle;
    if (timed)
        if (const auto lap =
                r.attempt([&] { return drive::solve_lap(vehicle, course, style, context.around); }))
            plan.laps = std::max(1, static_cast<int>(lapping / lap->lap_time));
    return r.attempt([&] { return drive::session(vehicle, course, plan, context.around, style); });
}

void ignore_course(Reader& root) {
    if (!root.has(course_tables["course"]) && !root.has(course_tables["course_points"]))
        root.ignore(course_tables["closed"]);
}

}  // namespace lapheat::scenario
