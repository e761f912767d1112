// A cycle file: surroundings and a list of segments, generated or from a table.
#include <cmath>

#include "lapheat/drive/course.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/drive/lap.hpp"
#include "lapheat/drive/trace.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

drive::Surroundings read_air_around(Reader& r, const drive::Surroundings& usual) {
    drive::Surroundings s = usual;
    s.ambient = r.optional_quantity("ambient", Q::temperature, between(223.15, 333.15))
                    .value_or(usual.ambient);
    s.humidity = r.optional_quantity("humidity", Q::ratio, fraction).value_or(usual.humidity);
    s.sun = r.optional_quantity("sun", Q::heat_flux, between(0, 1400)).value_or(usual.sun);
    s.wind = r.optional_quantity("wind", Q::speed, between(-40, 40)).value_or(usual.wind);
    s.altitude =
        r.optional_quantity("altitude", Q::length, between(-500, 6000)).value_or(usual.altitude);
    return s;
}

drive::Course read_course(Reader& root, const std::string& name) {
    if (name == "cone_course") return drive::cone_course();
    if (name == "road_circuit") return drive::road_circuit();
    if (root.has("course_points")) {
        const Columns points = root.columns(
            "course_points",
            {{.name = "x", .quantity = Q::length}, {.name = "y", .quantity = Q::length}}, 4);
        const bool closed = root.boolean("closed", true, "the last point leads to the first");
        return root
            .attempt(
                [&] { return drive::course_from_points(name, points["x"], points["y"], closed); })
            .value_or(drive::cone_course());
    }
    std::vector<drive::Segment> segments;
    for (Reader s : root.tables("course")) {
        using K = drive::SegmentKind;
        drive::Segment out;
        out.kind = s.kind<K>("kind", {{"straight", K::straight},
                                      {"arc", K::arc},
                                      {"slalom", K::slalom},
                                      {"box_turn", K::box_turn},
                                      {"braking_zone", K::braking_zone}});
        if (out.kind == K::straight || out.kind == K::braking_zone)
            out.length = s.quantity("length", Q::length, positive);
        if (out.kind == K::arc || out.kind == K::box_turn) {
            out.radius = s.quantity("radius", Q::length, positive);
            out.angle = s.quantity("angle", Q::angle);
        }
        if (out.kind == K::arc)
            out.transition = s.optional_quantity("transition", Q::length, not_negative).value_or(0);
        if (out.kind == K::slalom) {
            out.gates = static_cast<int>(s.integer("gates", 1, 100));
            out.spacing = s.quantity("spacing", Q::length, positive);
            out.offset = s.quantity("offset", Q::length, positive);
        }
        if (out.kind == K::braking_zone)
            out.end_speed = s.quantity("end_speed", Q::speed, positive);
        out.grade = s.optional_quantity("grade", Q::ratio, between(-0.3, 0.3)).value_or(0);
        out.grip = s.optional_number("grip", between(0.3, 1.5)).value_or(1);
        segments.push_back(out);
    }
    const bool closed = root.boolean("closed", false, "the course is driven from end to end");
    return root.attempt([&] { return drive::course_from_segments(name, segments, closed); })
        .value_or(drive::cone_course());
}

enum class SegmentKind {
    steady,
    climb,
    traffic,
    idle,
    soak,
    parade,
    parking,
    launch,
    pull_away,
    laps,
    table,
    cycle
};

/// What a cycle file needs to be read by another: how deep it stands, and where its text goes.
struct Nest {
    const drive::Vehicle& vehicle;
    Problems& problems;
    bool drivable;
    int depth;
    std::vector<SourceFile>* files;
    std::vector<Assumption>* assumptions;
    FilePlace* air_conditioning;  ///< where it is first asked for, if anybody wants to know
};
constexpr int deepest_nest = 8;

std::optional<drive::Cycle> read_file(Reader& r, const Nest& nest);

/// What of its surroundings a table brings along.
struct Own {
    bool altitude = false, ambient = false;
};

drive::Cycle read_table(Reader& r, const drive::Surroundings& s, Own& own) {
    const std::vector<Column> columns = {
        {.name = "time", .quantity = Q::time, .range = not_negative, .increasing = true},
        {.name = "speed", .quantity = Q::speed, .range = not_negative},
        {.name = "grade", .quantity = Q::ratio, .range = between(-0.5, 0.5), .required = false},
        {.name = "altitude", .quantity = Q::length, .required = false},
        {.name = "ambient", .quantity = Q::temperature, .required = false},
        {.name = "humidity", .quantity = Q::ratio, .range = fraction, .required = false},
        {.name = "sun", .quantity = Q::heat_flux, .range = not_negative, .required = false},
        {.name = "wind", .quantity = Q::speed, .required = false},
        {.name = "steering_angle", .quantity = Q::angle, .required = false},
        {.name = "lateral_acceleration", .quantity = Q::acceleration, .required = false},
        {.name = "ac_demand", .quantity = Q::ratio, .range = fraction, .required = false},
        {.name = "held_throttle", .quantity = Q::ratio, .range = fraction, .required = false},
        {.name = "trailer_mass", .quantity = Q::mass, .range = not_negative, .required = false},
        {.name = "engine_on", .quantity = Q::ratio, .required = false},
        {.name = "gear", .quantity = Q::ratio, .required = false},
        {.name = "selector", .quantity = Q::ratio, .required = false}};
    const Columns table = r.columns("table", columns);
    own = {table.has("altitude"), table.has("ambient")};
    std::map<std::string, std::vector<double>> map;
    for (const Column& c : columns)
        if (table.has(c.name)) map[c.name] = table[c.name];
    auto cycle = r.attempt([&] { return drive::from_columns(r.name(), map, s); });
    if (cycle && r.has("schedule")) {
        const std::string schedule = r.text("schedule");
        const auto differences = r.attempt(
            [&] { return drive::compare_totals(*cycle, drive::regulatory_totals(schedule)); });
        if (differences)
            for (const std::string& line : *differences)
                r.warn("table", "the totals of " + schedule, line);
    }
    if (cycle && r.has("expected")) {
        Reader e = r.table("expected");
        drive::ExpectedTotals expected;
        expected.duration = e.optional_quantity("duration", Q::time, positive).value_or(0);
        expected.distance = e.optional_quantity("distance", Q::length, positive).value_or(0);
        expected.mean_speed = e.optional_quantity("mean_speed", Q::speed, positive).value_or(0);
        expected.maximum_speed =
            e.optional_quantity("maximum_speed", Q::speed, positive).value_or(0);
        expected.tolerance = e.optional_quantity("tolerance", Q::ratio, positive).value_or(0.005);
        for (const std::string& line : drive::compare_totals(*cycle, expected))
            r.warn("table", "the totals that are expected", line);
    }
    return cycle.value_or(drive::steady(10, 10, s));
}

/// kJ that the converter makes in one wait.
std::string queue_heat(const drive::Vehicle& vehicle, const drive::Surroundings& s, double wait,
                       drive::Queue how, drive::Selector selector) {
    how.selector = selector;
    how.engine = true;
    const auto trace = drive::backward(vehicle, drive::queue(wait, how, s));
    const double joules = drive::summarize(trace, vehicle).converter_loss;
    return std::to_string(std::lround(joules / 1e3)) + " kJ";
}

/// How the wait before each run is spent. The default is what people do; what the other choices
/// cost stands beside it among the assumptions.
void read_queue(Reader& laps, const drive::Vehicle& vehicle, const drive::Surroundings& s,
                bool drivable, drive::SessionPlan& plan) {
    Reader r = laps.table_or_empty("queue");
    drive::Queue& q = plan.queue;
    q.move = r.quantity("move", Q::length, between(0, 200), {"0 m", "the queue does not creep"});
    if (q.move > 0)
        q.every = r.quantity("every", Q::time, between(5, 3600), {"30 s", "between moves"});
    std::string cost;
    if (drivable && plan.wait > 0 && vehicle.coupling == drive::Coupling::converter)
        if (const auto made = r.attempt([&] {
                return "the converter makes " +
                       queue_heat(vehicle, s, plan.wait, q, drive::Selector::drive) +
                       " in a wait in drive, " +
                       queue_heat(vehicle, s, plan.wait, q, drive::Selector::park) +
                       " in park or neutral";
            }))
            cost = "; " + *made;
    q.selector = r.choice<drive::Selector>("selector",
                                           {{"park", drive::Selector::park},
                                            {"neutral", drive::Selector::neutral},
                                            {"drive", drive::Selector::drive}},
                                           "park", "what most do" + cost);
    constexpr double patience = 180;  // s
    q.engine = r.choice<bool>(
        "engine", {{"on", true}, {"off", false}}, plan.wait > patience ? "off" : "on",
        "most stop it for waits of more than 3 min; common practice, no source");
}

drive::Cycle read_laps(Reader& root, Reader& r, const drive::Vehicle& vehicle,
                       const drive::Surroundings& s, bool drivable) {
    std::vector<std::string> known = {"cone_course", "road_circuit"};
    if (root.has("course") || root.has("course_points")) known.emplace_back("own");
    const std::string name = r.reference("course", known);
    drive::SessionPlan plan;
    plan.runs = static_cast<int>(r.integer("runs", 1, 200, 1));
    const bool timed = r.has("laps_for");
    if (!timed) plan.laps = static_cast<int>(r.integer("laps", 1, 500, 1));
    const double lapping = timed ? r.quantity("laps_for", Q::time, between(10, 86400)) : 0;
    plan.wait = r.quantity("wait", Q::time, not_negative, {"120 s", "before each run"});
    read_queue(r, vehicle, s, drivable, plan);
    plan.cool_lap_speed = r.optional_quantity("cool_lap_speed", Q::speed, positive).value_or(0);
    drive::LapStyle style;
    style.effort = r.number("effort", between(0.3, 1), 0.9, "share of grip and engine used");
    const drive::Course course = read_course(root, name);
    // A car with errors of its own would only add errors that say nothing about the cycle.
    if (!drivable) return drive::steady(10, 10, s);
    if (timed)
        if (const auto lap = r.attempt([&] { return drive::solve_lap(vehicle, course, style, s); }))
            plan.laps = std::max(1, static_cast<int>(lapping / lap->lap_time));
    return r.attempt([&] { return drive::session(vehicle, course, plan, s, style); })
        .value_or(drive::steady(10, 10, s));
}

/// The road goes on at the height where the one before ended, and its air cools with height,
/// unless the segment states its own. Laps end where they begin.
void place_on_road(const Reader& r, SegmentKind kind, const Own& own, const drive::Surroundings& s,
                   const drive::Surroundings& usual, const drive::Cycle* before,
                   drive::Cycle& cycle) {
    if (kind == SegmentKind::cycle || cycle.size() == 0) return;
    if (!own.altitude) {
        const bool stated = r.has("altitude") || before == nullptr || before->size() == 0;
        const double from = stated ? s.altitude : before->altitude.back();
        cycle.altitude.assign(cycle.size(), from);
        if (kind != SegmentKind::laps) drive::follow_road(cycle, from);
    }
    if (own.ambient) return;
    if (r.has("ambient"))
        drive::cool_with_height(cycle, s.ambient, cycle.altitude.front());
    else
        drive::cool_with_height(cycle, usual.ambient, usual.altitude);
}

drive::Cycle read_segment(Reader& root, Reader& r, const Nest& nest,
                          const drive::Surroundings& usual, const drive::Cycle* before) {
    const drive::Vehicle& vehicle = nest.vehicle;
    const SegmentKind kind = r.kind<SegmentKind>("kind", {{"steady", SegmentKind::steady},
                                                          {"climb", SegmentKind::climb},
                                                          {"traffic", SegmentKind::traffic},
                                                          {"idle", SegmentKind::idle},
                                                          {"soak", SegmentKind::soak},
                                                          {"parade", SegmentKind::parade},
                                                          {"parking", SegmentKind::parking},
                                                          {"launch", SegmentKind::launch},
                                                          {"pull_away", SegmentKind::pull_away},
                                                          {"laps", SegmentKind::laps},
                                                          {"table", SegmentKind::table},
                                                          {"cycle", SegmentKind::cycle}});
    const drive::Surroundings s = read_air_around(r, usual);
    const auto duration = [&] { return r.quantity("duration", Q::time, between(1, 1e6)); };
    const auto speed = [&] { return r.quantity("speed", Q::speed, between(0, 120)); };
    drive::Cycle cycle = drive::steady(10, 10, s);
    Own own;
    const auto make = [&](auto f) {
        if (auto made = r.attempt(f)) cycle = *made;
    };
    switch (kind) {
        case SegmentKind::steady: {
            const double v = speed(), t = duration();
            make([&] { return drive::steady(v, t, s); });
            break;
        }
        case SegmentKind::climb: {
            const double v = speed(), t = duration(),
                         grade = r.quantity("grade", Q::ratio, between(-0.3, 0.3));
            const double trailer =
                r.optional_quantity("trailer", Q::mass, not_negative).value_or(0);
            make([&] { return drive::climb(v, t, grade, trailer, s); });
            break;
        }
        case SegmentKind::traffic: {
            drive::Traffic traffic;
            const double t = duration();
            const auto draw = static_cast<std::uint64_t>(r.integer("draw", 0, 1000000000, 1));
            traffic.top_speed =
                r.optional_quantity("top_speed", Q::speed, positive).value_or(traffic.top_speed);
            traffic.acceleration = r.optional_quantity("acceleration", Q::acceleration, positive)
                                       .value_or(traffic.acceleration);
            traffic.mean_wait =
                r.optional_quantity("mean_wait", Q::time, positive).value_or(traffic.mean_wait);
            traffic.mean_roll =
                r.optional_quantity("mean_roll", Q::time, positive).value_or(traffic.mean_roll);
            make([&] { return drive::stop_and_go(t, draw, traffic, s); });
            break;
        }
        case SegmentKind::idle: {
            const double t = duration();
            const auto selector = r.choice<drive::Selector>("selector",
                                                            {{"drive", drive::Selector::drive},
                                                             {"park", drive::Selector::park},
                                                             {"neutral", drive::Selector::neutral}},
                                                            "drive");
            make([&] { return drive::idle(t, selector, s); });
            break;
        }
        case SegmentKind::soak: {
            const double t = duration();
            make([&] { return drive::soak(t, s); });
            break;
        }
        case SegmentKind::parade: {
            const double v = speed(), t = duration();
            make([&] { return drive::parade(v, t, 180, 20, s); });
            break;
        }
        case SegmentKind::parking: {
            const auto moves = static_cast<int>(r.integer("moves", 1, 200, 4));
            make([&] { return drive::parking(vehicle.steering_lock, moves, 3.0, 1.5, s); });
            break;
        }
        case SegmentKind::launch: {
            const double throttle = r.number("throttle", fraction), t = duration();
            make([&] { return drive::brake_torque(throttle, t, s); });
            break;
        }
        case SegmentKind::pull_away: {
            const double v = speed(), a = r.quantity("acceleration", Q::acceleration, positive);
            make([&] { return drive::pull_away(v, a, s); });
            break;
        }
        case SegmentKind::laps:
            cycle = read_laps(root, r, vehicle, s, nest.drivable);
            break;
        case SegmentKind::table:
            cycle = read_table(r, s, own);
            break;
        case SegmentKind::cycle:
            // It brings its own air conditioning, and its own surroundings unless the segment says.
            if (auto read = read_file(r, nest)) {
                cycle = std::move(*read);
                for (const char* key : {"ambient", "humidity", "sun", "wind", "altitude"})
                    if (r.has(key)) {
                        drive::surround(cycle, s);
                        break;
                    }
            }
            break;
    }
    if (kind == SegmentKind::steady || kind == SegmentKind::climb) {
        if (r.has("gear"))
            cycle.gear.assign(cycle.size(), static_cast<std::int8_t>(r.integer("gear", 1, 12)));
        if (r.boolean("reverse", false))
            cycle.selector.assign(cycle.size(), drive::Selector::reverse);
    }
    const double ac = kind == SegmentKind::cycle
                          ? 0
                          : r.quantity("air_conditioning", Q::ratio, fraction, {"0 %"});
    if (ac > 0) cycle.ac_demand.assign(cycle.size(), ac);
    const bool cools = std::any_of(cycle.ac_demand.begin(), cycle.ac_demand.end(),
                                   [](double demand) { return demand > 0; });
    if (cools && nest.air_conditioning != nullptr && nest.air_conditioning->line == 0)
        *nest.air_conditioning =
            r.has("air_conditioning") ? r.place("air_conditioning") : r.place();
    const auto times = static_cast<int>(r.integer("repeat", 1, 1000, 1));
    if (times > 1) make([&] { return drive::repeat(cycle, times); });
    place_on_road(r, kind, own, s, usual, before, cycle);
    if (auto name = r.optional_text("name")) {
        cycle.name = *name;
        // Its phases, if it has several, say whose they are: "session 2, run 3".
        if (cycle.phases.size() == 1)
            cycle.phases.front().name = *name;
        else
            for (drive::Phase& phase : cycle.phases) phase.name = *name + ", " + phase.name;
    }
    if (cycle.phases.empty() && cycle.size() > 0)
        cycle.phases = {{cycle.name, cycle.time.front(), cycle.time.back()}};
    return cycle;
}

drive::Cycle read_nested(const Document& document, const Nest& nest) {
    Reader root(document, nest.problems);
    const std::string name = root.text("name");
    Reader around = root.table_or_empty("surroundings");
    const drive::Surroundings s = read_air_around(around, {});
    std::vector<drive::Cycle> parts;
    for (Reader r : root.tables("segments"))
        parts.push_back(read_segment(root, r, nest, s, parts.empty() ? nullptr : &parts.back()));
    if (parts.empty()) root.error("segments", "at least one segment, [[segments]]");
    if (!root.has("course") && !root.has("course_points")) root.ignore("closed");
    root.ignore("extends");
    root.finish();
    if (nest.files != nullptr)
        for (const SourceFile& file : root.files()) nest.files->push_back(file);
    if (nest.assumptions != nullptr)
        for (Assumption a : root.assumptions())
            if (!a.why.empty()) {  // those that a reason speaks for; who reads a zero
                a.key = name + ": " + a.key;
                nest.assumptions->push_back(std::move(a));
            }
    drive::Cycle out = drive::steady(10, 10, s);
    if (!parts.empty() && nest.problems.errors() == 0)
        if (auto chained = root.attempt([&] { return drive::chain(parts, name); })) out = *chained;
    out.name = name;
    return out;
}

std::optional<drive::Cycle> read_file(Reader& r, const Nest& nest) {
    const std::string file = r.text("file");
    if (file.empty()) return std::nullopt;
    if (nest.depth >= deepest_nest) {
        r.error("file", "a cycle that does not come back to itself");
        return std::nullopt;
    }
    const std::filesystem::path from(r.place("file").file);
    const Document document = load(from.parent_path() / file, nest.problems);
    return read_nested(document, {nest.vehicle, nest.problems, nest.drivable, nest.depth + 1,
                                  nest.files, nest.assumptions, nest.air_conditioning});
}

}  // namespace

drive::Cycle read_cycle_document(const Document& document, const drive::Vehicle& vehicle,
                                 Problems& problems, bool drivable, std::vector<SourceFile>* files,
                                 std::vector<Assumption>* assumptions,
                                 FilePlace* air_conditioning) {
    return read_nested(document,
                       {vehicle, problems, drivable, 0, files, assumptions, air_conditioning});
}

drive::Cycle read_cycle(const std::filesystem::path& file, const drive::Vehicle& vehicle) {
    Problems problems;
    const Document document = load(file, problems);
    drive::Cycle cycle = read_cycle_document(document, vehicle, problems, true);
    problems.throw_if_any();
    return cycle;
}

}  // namespace lapheat::scenario
