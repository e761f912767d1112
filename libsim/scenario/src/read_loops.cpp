// [loops] and [[links]]: runs of parts between nodes. Kinds of parts: read_loop_parts.cpp.
#include <algorithm>
#include <limits>
#include <numbers>

#include "lapheat/heat/fluid_life.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/units/units.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

void read_limits(Reader& loop, model::Loop& out) {
    Reader r = loop.table_or_empty("limits");
    heat::Limit usual;
    if (out.name == "transmission")
        usual = heat::transmission_limit();
    else if (out.name == "steering")
        usual = heat::steering_limit();
    else if (out.name == "engine_oil")
        usual = heat::engine_oil_limit();
    else
        usual = heat::coolant_limit();
    out.limits.caution =
        r.optional_quantity("caution", Q::temperature, positive).value_or(usual.caution);
    out.limits.limit = r.optional_quantity("limit", Q::temperature, positive).value_or(usual.limit);
    out.limits.boiling_reserve =
        r.optional_quantity("boiling_reserve", Q::temperature_difference, not_negative)
            .value_or(usual.boiling_reserve);
    out.limits.part = r.optional_text("part").value_or("");
    out.limits.note = r.optional_text("note").value_or(usual.note);
}

/// A valve by wax that passes a cold fluid by its cooler, [loops.X.thermal_bypass]: the run in
/// which the part `after` stands is cut behind it; what follows up to the next volume (lines and
/// core) is the cooler's way, beside it lies the bypass. The valve is one disc between two seats,
/// by the wax in the part `after`.
void read_thermal_bypass(Reader& loop_reader, model::Loop& loop) {
    if (!loop_reader.has("thermal_bypass")) {
        loop_reader.ignore("thermal_bypass");
        return;
    }
    Reader r = loop_reader.table("thermal_bypass");
    std::vector<std::string> names;
    for (const model::Run& run : loop.runs)
        for (const model::Part& part : run.parts) names.push_back(part.name);
    const std::string after = r.reference("after", names);
    model::Thermostat to_cooler;
    to_cooler.opens = r.quantity("opens", Q::temperature, between(280, 420), {"74 degC"});
    to_cooler.full = r.quantity("full", Q::temperature, between(280, 430), {"82 degC"});
    to_cooler.lag = r.quantity("lag", Q::time, positive, {"6 s", "of the wax"});
    to_cooler.hysteresis =
        r.quantity("hysteresis", Q::temperature_difference, not_negative, {"2 K"});
    const double bore = r.quantity("bore", Q::length, positive, {"8 mm"});
    const double bleed = r.quantity("bleed", Q::length, not_negative,
                                    {"1 mm", "past the closed valve to the cooler"});
    if (r.sound() && !(to_cooler.full > to_cooler.opens)) r.error("full", "above `opens`");
    if (r.sound() && !(bleed < bore)) r.error("bleed", "a bleed smaller than the bore");
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

model::Loop read_loop(Reader& r, const Fluids& fluids, const PartContext& context) {
    model::Loop loop;
    loop.name = r.name();
    loop.place = r.place();
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    const std::string fluid = r.reference("fluid", names);
    if (!fluid.empty()) loop.fluid = fluids.at(fluid);
    loop.cap_pressure = r.optional_quantity("cap_pressure", Q::pressure, not_negative).value_or(0);
    loop.cap_place = r.place("cap_pressure");
    loop.cap_at_place = r.place("cap_at");
    loop.cap_at = r.optional_text("cap_at").value_or("");
    // A steering gear's seals bear little behind them (common practice, no source: 50 psi).
    loop.return_limit = r.optional_quantity("return_limit", Q::pressure, positive)
                            .value_or(loop.name == "steering" ? 345e3 : 0);
    loop.expansion_volume =
        r.optional_quantity("expansion_volume", Q::volume, not_negative).value_or(0);
    loop.warm_start = r.optional_quantity("warm_start", Q::temperature, positive).value_or(0);
    read_limits(r, loop);
    for (Reader run : r.named("runs")) {
        model::Run out;
        out.name = run.name();
        // Of what this file or the one it extends says last.
        out.place = run.place("parts");
        out.from_place = run.place("from");
        out.to_place = run.place("to");
        out.from = run.text("from");
        out.to = run.text("to");
        out.closed = run.boolean("capped", false);
        for (Reader part : run.tables("parts")) {
            out.parts.push_back(read_part(part, context));
            for (const model::Run& other : loop.runs)
                for (const model::Part& p : other.parts)
                    if (p.name == out.parts.back().name)
                        part.error("name", "a name no other part of the loop has");
            for (std::size_t i = 0; i + 1 < out.parts.size(); ++i)
                if (out.parts[i].name == out.parts.back().name)
                    part.error("name", "a name no other part of the loop has");
        }
        if (out.parts.empty()) run.error("parts", "at least one part that holds fluid");
        loop.runs.push_back(std::move(out));
    }
    read_thermal_bypass(r, loop);
    if (loop.runs.empty())
        r.error("runs", "at least one run of parts, [loops." + loop.name + ".runs.cooler]");
    return loop;
}

}  // namespace

std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids,
                                    const std::vector<model::CoreEntry>& cores,
                                    const heat::EngineLumps& lumps) {
    PartContext context{.cores = {}, .lumps = lumps};
    for (const model::CoreEntry& c : cores) context.cores.push_back(c.name);
    std::vector<model::Loop> out;
    for (Reader r : root.named("loops")) out.push_back(read_loop(r, fluids, context));
    return out;
}

std::vector<model::HeatLink> read_links(Reader& root, const heat::EngineLumps& lumps) {
    std::vector<model::HeatLink> out;
    for (Reader r : root.tables("links")) {
        model::HeatLink link;
        link.place = r.place();
        link.first_loop = r.text("first_loop");
        link.first_part = r.text("first_part");
        link.second_loop = r.text("second_loop");
        link.second_part = r.text("second_part");
        const double by_size = lumps.oil_to_coolant;
        link.conductance = {by_size, 0.6 * by_size, 1.6 * by_size, "by engine size"};
        if (r.has("conductance")) {  // the builder's: as narrow as the file says
            link.conductance.low = std::numeric_limits<double>::infinity();
            link.conductance.high = 0;
            read_assumed(r, "conductance", Q::thermal_conductance, positive, link.conductance);
        } else {
            r.quantity("conductance", Q::thermal_conductance, positive,
                       {units::format(by_size, Q::thermal_conductance, units::System::si),
                        "through the block at 3000 rev/min, by engine size; 0.6 to 1.6 of it"});
        }
        link.speed_exponent = r.number("speed_exponent", between(0, 1), link.speed_exponent,
                                       "of the engine's speed; 0: the same at any speed");
        link.standing_share =
            r.number("standing_share", fraction, link.standing_share, "left with the engine off");
        out.push_back(std::move(link));
    }
    return out;
}

}  // namespace lapheat::scenario
