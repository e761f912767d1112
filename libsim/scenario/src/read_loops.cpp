// [loops] and [[links]]: runs of parts between nodes.
#include <algorithm>
#include <limits>
#include <numbers>

#include "lapheat/heat/fluid_life.hpp"
#include "read_part_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

const std::vector<PartKind>& part_kinds() {
    static const std::vector<PartKind> all = all_of({passage_kinds(), machine_kinds()});
    return all;
}

std::span<const Table* const> part_kind_tables() {
    static const std::vector<const Table*> tables = tables_of(part_kinds());
    return tables;
}

constexpr Key part_keys[] = {key::kind("kind", part_kind_tables, "what the part is"),
                             key::text("name", "that no other part of the loop has")};
constexpr Table part_table{
    "parts", "[[loops.NAME.runs.NAME.parts]]",
    "A part of a run, in the order of the flow. A run needs at least one part that holds fluid.",
    part_keys};

constexpr Key run_keys[] = {
    key::text("from", "the node it leaves; runs that share a node are joined there"),
    key::text("to", "the node it leads to"), key::boolean("capped", "shut off").otherwise(false),
    key::tables("parts", &part_table, "in the order of the flow, at least one")};
constexpr Table run_table{"runs", "[loops.NAME.runs.NAME]", "Parts in a row between two nodes.",
                          run_keys};

constexpr Key limit_keys[] = {
    key::quantity("caution", Q::temperature, between(300, 600), "from which the fluid suffers")
        .optional("by the loop's role"),
    key::quantity("limit", Q::temperature, between(300, 600), "that must hold")
        .optional("by the loop's role"),
    key::quantity("boiling_reserve", Q::temperature_difference, not_negative,
                  "below boiling at the local pressure, of coolant")
        .optional("by the loop's role"),
    key::reference("part", "whose temperature counts").optional("the hottest"),
    key::text("note", "why, for the report").nothing("common practice")};
constexpr Table limit_table{"limits", "[loops.NAME.limits]",
                            "How hot a loop's fluid may be. A margin is to these.", limit_keys};

constexpr Key bypass_keys[] = {
    key::reference("after", "the part of a run behind which the ways part"),
    key::quantity("opens", Q::temperature, between(280, 420), "begins to lead to the cooler")
        .otherwise("74 degC"),
    key::quantity("full", Q::temperature, between(280, 430), "all goes to the cooler; above opens")
        .otherwise("82 degC"),
    key::quantity("lag", Q::time, positive, "time constant").otherwise("6 s", "of the wax"),
    key::quantity("hysteresis", Q::temperature_difference, not_negative, "between up and down")
        .otherwise("2 K"),
    key::quantity("bore", Q::length, positive, "of the valve, open").otherwise("8 mm"),
    key::quantity("bleed", Q::length, not_negative, "bore of the hole that stays open")
        .otherwise("1 mm", "past the closed valve to the cooler"),
    shift_key("of both its temperatures")};
constexpr Table bypass_table{"thermal-bypass", "[loops.NAME.thermal_bypass]",
                             "A valve that leads cold fluid past the cooler: past what follows the "
                             "part `after`, up to the next volume.",
                             bypass_keys};

using R = model::LoopRole;
constexpr Word role_words[] = {
    {"coolant", R::coolant, "of the engine: faults and reports call it the coolant"},
    {"transmission", R::transmission, "its fluid's life is counted"},
    {"steering", R::steering, "its return may stand under little pressure"},
    {"engine_oil", R::engine_oil},
    {"other", R::other, "limits as of coolant"}};

constexpr Key loop_keys[] = {
    key::choice("role", role_words, "what it is for, whatever its name: decides limits and faults")
        .nothing("the loop's name, if it is one of these words; else other"),
    key::reference("fluid", "of those in [fluids]"),
    key::quantity("cap_pressure", Q::pressure, not_negative, "of the cap, above ambient")
        .optional("open to air")
        .usually(20000.0, 260000.0),
    key::text("cap_at", "the node under the cap, or of the open reservoir")
        .optional("the first run's `from`"),
    key::quantity("expansion_volume", Q::volume, not_negative, "of gas over the cold liquid")
        .usual(0)
        .usually(0, 0.006),
    key::quantity("warm_start", Q::temperature, between(220, 450),
                  "at which a warm car's loop begins")
        .optional("the ambient"),
    key::quantity("return_limit", Q::pressure, positive,
                  "that a return line may stand under, above ambient")
        .optional("690 kPa in the role of steering, else none"),
    level_key("bend_level", "on the losses of bends in hoses and tubes"),
    level_key("fitting_level", "on the losses of fittings and hose ends"),
    level_key("tee_level", "on the losses of tees"),
    key::table("limits", &limit_table, "how hot it may be").nothing("by the loop's role"),
    key::table("thermal_bypass", &bypass_table, "cold fluid passes the cooler by").optional("none"),
    key::named("runs", &run_table, "parts in a row between nodes, at least one run")};
constexpr Table loop_table{"loops", "[loops.NAME]",
                           "A circuit of one fluid: runs of parts between nodes.", loop_keys};

constexpr Key link_keys[] = {
    key::text("first_loop", "one side"),
    key::text("first_part", "of that loop"),
    key::text("second_loop", "the other side"),
    key::text("second_part", "of that loop"),
    key::quantities("conductance", Q::thermal_conductance, positive,
                    "from fluid to fluid at 3000 rev/min of the engine")
        .nothing("by engine size, 0.6 to 1.6 of it"),
    key::number("speed_exponent", between(0, 1), "how the conductance grows with speed")
        .otherwise([] { return model::HeatLink{}.speed_exponent; },
                   "of the engine's speed; 0: the same at any speed"),
    key::number("standing_share", fraction, "of the conductance")
        .otherwise([] { return model::HeatLink{}.standing_share; }, "left with the engine off")};
constexpr Table link_table{
    "links", "[[links]]",
    "Heat between the fluids of two parts: oil through the block to the coolant.", link_keys};

constexpr Key loop_file_keys[] = {key::named("loops", &loop_table, "circuits of fluid"),
                                  key::tables("links", &link_table, "heat between two loops")};

/// Of a loop whose runs are read.
void read_limits(Reader& loop, model::Loop& out) {
    std::vector<std::string> parts;
    for (const model::Run& run : out.runs)
        for (const model::Part& part : run.parts) parts.push_back(part.name);
    Reader r = loop.table(loop_table["limits"]);
    heat::Limit usual;
    switch (out.role) {
        case R::transmission:
            usual = heat::transmission_limit();
            break;
        case R::steering:
            usual = heat::steering_limit();
            break;
        case R::engine_oil:
            usual = heat::engine_oil_limit();
            break;
        case R::coolant:
        case R::other:
            usual = heat::coolant_limit();
            break;
    }
    // None is usual where the boiling point rules.
    const auto or_usual = [&](const Key& key, double value) {
        if (r.has(key) || value > 0) return r.quantity(key, value, usual.note);
        r.ignore(key);
        return value;
    };
    out.limits.caution = or_usual(limit_table["caution"], usual.caution);
    out.limits.limit = or_usual(limit_table["limit"], usual.limit);
    if (out.limits.limit > 0 && out.limits.caution > out.limits.limit) {
        // What is only usual gives way to what is said.
        if (r.has(limit_table["caution"]))
            r.error(limit_table["caution"], "at or below `limit`");
        else
            out.limits.caution = out.limits.limit;
    }
    out.limits.boiling_reserve = or_usual(limit_table["boiling_reserve"], usual.boiling_reserve);
    out.limits.part = r.optional_reference(limit_table["part"], parts).value_or("");
    out.limits.note = r.optional_text(limit_table["note"]).value_or(usual.note);
}

model::Part read_part(Reader& r, const PartContext& context) {
    model::Part part;
    part.place = r.place();
    const auto& kind = r.kind(part_table["kind"], part_kinds());
    part.name = r.text(part_table["name"]);
    part.body = kind.build(r, context);
    return part;
}

bool has_part(const model::Run& run, const std::string& name) {
    return std::any_of(run.parts.begin(), run.parts.end(),
                       [&](const model::Part& p) { return p.name == name; });
}

model::Run read_run(Reader& r, const model::Loop& loop, const PartContext& context) {
    model::Run out;
    out.name = r.name();
    // Of what this file or the one it extends says last.
    out.place = r.place(run_table["parts"]);
    out.from_place = r.place(run_table["from"]);
    out.to_place = r.place(run_table["to"]);
    out.from = r.text(run_table["from"]);
    out.to = r.text(run_table["to"]);
    out.closed = r.boolean(run_table["capped"]);
    for (Reader part : r.tables(run_table["parts"])) {
        model::Part made = read_part(part, context);
        if (has_part(out, made.name) ||
            std::any_of(loop.runs.begin(), loop.runs.end(),
                        [&](const model::Run& other) { return has_part(other, made.name); }))
            part.error(part_table["name"], "a name no other part of the loop has");
        out.parts.push_back(std::move(made));
    }
    if (out.parts.empty()) r.error(run_table["parts"], "at least one part that holds fluid");
    return out;
}

/// A valve by the cooler that leads cold fluid past it: the run is cut behind the part `after`, and
/// what follows up to the next volume gets a passage beside it.
void read_thermal_bypass(Reader& loop_reader, model::Loop& loop) {
    const Key& key = loop_table["thermal_bypass"];
    if (!loop_reader.has(key)) {
        loop_reader.ignore(key);
        return;
    }
    Reader r = loop_reader.table(key);
    std::vector<std::string> names;
    for (const model::Run& run : loop.runs)
        for (const model::Part& part : run.parts) names.push_back(part.name);
    const std::string after = r.reference(bypass_table["after"], names);
    model::Thermostat to_cooler;
    to_cooler.opens = r.quantity(bypass_table["opens"]);
    to_cooler.full = r.quantity(bypass_table["full"]);
    to_cooler.lag = r.quantity(bypass_table["lag"]);
    to_cooler.hysteresis = r.quantity(bypass_table["hysteresis"]);
    read_assumed(r, bypass_table["shift"], to_cooler.shift);
    const double bore = r.quantity(bypass_table["bore"]);
    const double bleed = r.quantity(bypass_table["bleed"]);
    if (r.sound() && !(to_cooler.full > to_cooler.opens))
        r.error(bypass_table["full"], "above `opens`");
    if (r.sound() && !(bleed < bore))
        r.error(bypass_table["bleed"], "a bleed smaller than the bore");
    if (!r.sound()) return;
    to_cooler.open_area = std::numbers::pi / 4 * bore * bore;
    to_cooler.closed_area = std::numbers::pi / 4 * bleed * bleed;
    to_cooler.sensor = after;
    model::Thermostat past = to_cooler;
    past.reversed = true;
    const auto run = std::find_if(loop.runs.begin(), loop.runs.end(), [&](const model::Run& any) {
        return std::any_of(any.parts.begin(), any.parts.end(),
                           [&](const model::Part& p) { return p.name == after; });
    });
    const auto cut = std::find_if(run->parts.begin(), run->parts.end(),
                                  [&](const model::Part& p) { return p.name == after; }) +
                     1;
    const auto end = std::find_if(cut, run->parts.end(), [](const model::Part& p) {
        return std::holds_alternative<model::Volume>(p.body);
    });
    if (cut == end) return;  // no cooler here: nothing to pass by
    const FilePlace place = r.place();
    model::Volume drop;  // every way of the fluid must hold some
    drop.volume = 1e-4;
    model::Run before = *run, cooler = *run, bypass = *run, behind = *run;
    before.parts.assign(run->parts.begin(), cut);
    cooler.parts.assign(cut, end);
    behind.parts.assign(end, run->parts.end());
    cooler.parts.insert(cooler.parts.begin(), {"thermal bypass valve", to_cooler, place});
    bypass.parts = {{"thermal bypass disc", past, place}, {"thermal bypass passage", drop, place}};
    before.name = run->name + ", to the bypass";
    bypass.name = run->name + ", bypass";
    behind.name = run->name + ", from the bypass";
    const std::string split = run->name + " supply", joined = run->name + " return";
    before.to = cooler.from = bypass.from = split;
    cooler.to = bypass.to = joined;
    const std::string last = run->to;
    std::vector<model::Run> made{before, cooler, bypass};
    if (behind.parts.empty()) {
        made[1].to = made[2].to = last;
    } else {
        behind.from = joined;
        made.push_back(behind);
    }
    const auto at = loop.runs.erase(run);
    loop.runs.insert(at, made.begin(), made.end());
}

model::Loop read_loop(Reader& r, const Fluids& fluids, PartContext context) {
    model::Loop loop;
    loop.name = r.name();
    const Key& role = loop_table["role"];
    loop.role = model::role_named(loop.name);
    if (r.has(role)) loop.role = r.choice<R>(role);
    r.ignore(role);
    context.role = loop.role;
    loop.place = r.place();
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    const std::string fluid = r.reference(loop_table["fluid"], names);
    if (!fluid.empty()) loop.fluid = fluids.at(fluid);
    loop.cap_pressure = r.optional_quantity(loop_table["cap_pressure"]).value_or(0);
    loop.cap_place = r.place(loop_table["cap_pressure"]);
    loop.cap_at_place = r.place(loop_table["cap_at"]);
    loop.cap_at = r.optional_text(loop_table["cap_at"]).value_or("");
    // SAE J189 (2003), scope: return hose with user-applied clamps works to 0.69 MPa (100 psi),
    // with end fittings to 1.72 MPa. What gears' seals bear no source was found for. Hot oil stays
    // far below either (see tests/study/test_short_car.cpp); a cold start does not always.
    const Key& may_stand = loop_table["return_limit"];
    if (loop.role == R::steering || r.has(may_stand))
        loop.return_limit =
            r.quantity(may_stand, 690e3,
                       "of a steering's return: hose on clamps, SAE J189; 1720 kPa on fittings");
    else
        r.ignore(may_stand);
    loop.expansion_volume = r.quantity(loop_table["expansion_volume"]);
    read_assumed(r, loop_table["bend_level"], loop.bend_level);
    read_assumed(r, loop_table["fitting_level"], loop.fitting_level);
    read_assumed(r, loop_table["tee_level"], loop.tee_level);
    loop.warm_start = r.optional_quantity(loop_table["warm_start"]).value_or(0);
    for (Reader run : r.named(loop_table["runs"]))
        loop.runs.push_back(read_run(run, loop, context));
    read_limits(r, loop);
    read_thermal_bypass(r, loop);
    if (loop.runs.empty())
        r.error(loop_table["runs"],
                "at least one run of parts, [loops." + loop.name + ".runs.cooler]");
    return loop;
}

}  // namespace

constexpr Table loop_tables{"", "", "", loop_file_keys};

std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids, const model::Car& car,
                                    const heat::EngineLumps& lumps) {
    PartContext context{.cores = {}, .lumps = lumps, .steering = car.steering};
    for (const model::CoreEntry& c : car.cores) context.cores.push_back(c.name);
    std::vector<model::Loop> out;
    for (Reader r : root.named(loop_tables["loops"])) out.push_back(read_loop(r, fluids, context));
    return out;
}

std::vector<model::HeatLink> read_links(Reader& root, const heat::EngineLumps& lumps) {
    std::vector<model::HeatLink> out;
    for (Reader r : root.tables(loop_tables["links"])) {
        model::HeatLink link;
        link.place = r.place();
        link.first_loop = r.text(link_table["first_loop"]);
        link.first_part = r.text(link_table["first_part"]);
        link.second_loop = r.text(link_table["second_loop"]);
        link.second_part = r.text(link_table["second_part"]);
        if (r.sound() && link.first_loop == link.second_loop && link.first_part == link.second_part)
            r.error(link_table["second_part"], "another part than `first_part`");
        const double by_size = lumps.oil_to_coolant;
        link.conductance = {by_size, 0.6 * by_size, 1.6 * by_size, "by engine size"};
        if (r.has(link_table["conductance"])) {  // the builder's: as narrow as the file says
            link.conductance.low = std::numeric_limits<double>::infinity();
            link.conductance.high = 0;
        }
        read_assumed(r, link_table["conductance"], link.conductance,
                     "through the block at 3000 rev/min, by engine size; 0.6 to 1.6 of it");
        link.speed_exponent = r.number(link_table["speed_exponent"]);
        link.standing_share = r.number(link_table["standing_share"]);
        out.push_back(std::move(link));
    }
    return out;
}

}  // namespace lapheat::scenario
