// What to buy and make for a placement, and what was assumed about places.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/study/plumbing.hpp"
#include "lapheat/study/report.hpp"
#include "lapheat/study/wiring.hpp"
#include "lapheat/units/restate.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {
namespace {

using html::tag;
using results::TextTable;
using units::Quantity, units::System;

TextTable table(const char* title, std::initializer_list<const char*> heads) {
    TextTable out;
    out.title = title;
    for (const char* head : heads) out.columns.push_back({head});
    return out;
}

std::string size(double x, System system) { return say(x, Quantity::length, system); }

/// Air by volume as fans are sold: m³/h or cubic feet a minute.
std::string fan_flow(double flow, System system) {
    return system == System::si ? say_number(3600 * flow) + " m³/h"
                                : say_number(flow * 60 / std::pow(0.3048, 3)) + " ft³/min";
}

/// Fan pressure: Pa, or inches of water (249.1 Pa at 4 °C).
std::string fan_pressure(double pressure, System system) {
    return system == System::si ? say_number(pressure) + " Pa"
                                : say_number(pressure / 249.089) + " inH₂O";
}

const char* surroundings(model::Zone where) {
    switch (where) {
        case model::Zone::outside:
            return "outside";
        case model::Zone::engine_bay:
            return "engine bay";
        case model::Zone::under_floor:
            return "under the floor";
        case model::Zone::inside:
            return "inside the body";
    }
    return "";
}

TextTable core_table(const model::Car& car, System system) {
    TextTable out = table("Cores", {"Core", "Face, width × height", "Depth", "Cooled by"});
    for (const model::CoreEntry& entry : car.cores) {
        const auto& core = entry.core;
        const bool known = core.width > 0 && core.height > 0;
        out.rows.push_back(
            {{entry.name},
             {known ? fmt::format("{} × {}", size(core.width, system), size(core.height, system))
                    : "from its rating"},
             {core.depth > 0 ? size(core.depth, system) : "not given"},
             {core.face_area > 0 ? "air" : "coolant"}});
    }
    return out;
}

TextTable fan_table(const model::Car& car, System system) {
    TextTable out = table(
        "Fans", {"Fan", "Free flow", "Shut-off pressure", "Current", "Fuse and copper, guidance"});
    std::map<std::string, FanFeed> feeds;
    for (const FanFeed& feed : fan_feeds(car)) feeds[feed.fan] = feed;
    for (const model::FanEntry& entry : car.fans) {
        const auto& curve = entry.fan.curve;
        if (curve.flow.empty()) continue;
        std::string wire = "none", current = "turned by the engine";
        if (const auto feed = feeds.find(entry.name); feed != feeds.end()) {
            const FanFeed& f = feed->second;
            current = say(f.current, Quantity::electric_current, system);
            wire = f.problem.empty()
                       ? fmt::format("{} A, {} for {}", say_number(f.fuse),
                                     copper_size(f.area, system), say_length(f.length, system))
                       : "ask the maker";
        }
        out.rows.push_back({{entry.name},
                            {fan_flow(curve.flow.back(), system)},
                            {fan_pressure(curve.pressure.front(), system)},
                            {current},
                            {wire}});
    }
    return out;
}

TextTable switch_table(const model::Car& car, System system) {
    TextTable out = table("Fan switches", {"Fan", "Feels", "On at", "Off at", "Speed"});
    for (const model::FanEntry& entry : car.fans)
        for (const model::FanSwitch& s : entry.switches)
            out.rows.push_back(
                {{entry.name},
                 {fmt::format("{}, at the {}", plain_name(s.loop), plain_name(s.part))},
                 {say(s.on, Quantity::temperature, system)},
                 {say(s.off, Quantity::temperature, system)},
                 {percent(s.command)}});
    return out;
}

TextTable hose_table(const model::Car& car, System system) {
    TextTable out =
        table("Hoses and tubes", {"Line", "Fluid", "Kind", "Inside", "Length", "Where"});
    for (const model::Loop& loop : car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* line = std::get_if<model::Line>(&part.body))
                    out.rows.push_back({{part.name},
                                        {plain_name(loop.name)},
                                        {line->hose ? "hose" : "tube"},
                                        {size(line->inner_diameter, system)},
                                        {say_length(line->length, system)},
                                        {surroundings(line->surroundings)}});
    return out;
}

/// The numbers of a place that have a range.
TextTable place_table(const model::AirPath& path, System system) {
    airflow::PlaceDefaults place = path.assumptions;
    TextTable out = table("", {"Number", "Value", "Range", "Source"});
    out.title = std::string("Air ") + place.name;
    for (const airflow::NamedAssumption& a : airflow::assumptions(place)) {
        if (a.number->low == a.number->high && a.number->value == a.number->low) continue;
        out.rows.push_back(
            {{a.name},
             {say_number(a.number->value)},
             {fmt::format("{} to {}", say_number(a.number->low), say_number(a.number->high))},
             {units::restated(a.number->source, system)}});
    }
    return out;
}

}  // namespace

Html shopping(const model::Car& car, System system) {
    const std::vector<PlumbingItem> items = plumbing(car, 0.05, system);
    return html::element("div", {{"class", "side"}}, html::table(core_table(car, system)),
                         html::table(fan_table(car, system)),
                         html::table(switch_table(car, system)),
                         html::table(hose_table(car, system))) +
           html::table(plumbing_table(plumbing_totals(items), system, true)) +
           tag("details", tag("summary", "Hoses, clamps and fittings part by part"),
               html::table(plumbing_table(items, system, false)));
}

Html line_costs(const std::vector<LineCost>& costs, System system) {
    if (costs.empty()) return {};
    return html::table(line_cost_table(costs, system)) + tag("p", tag("small", line_cost_note()));
}

Html assumptions(const Comparison& comparison, System system) {
    // The same numbers of a place stand once, with the placements that use them.
    struct SharedPlace {
        std::string name;
        Html numbers;
        std::vector<std::string> users;
    };
    std::vector<SharedPlace> places;
    for (std::size_t p = 0; p < comparison.cars.size(); ++p)
        for (const model::AirPath& path : comparison.cars[p].air) {
            const Html numbers = html::table(place_table(path, system));
            if (numbers.empty()) continue;
            auto known = std::find_if(places.begin(), places.end(), [&](const SharedPlace& place) {
                return place.numbers.markup() == numbers.markup();
            });
            if (known == places.end())
                known = places.insert(known, {path.assumptions.name, numbers, {}});
            if (known->users.empty() || known->users.back() != comparison.placements[p])
                known->users.push_back(comparison.placements[p]);
        }
    Html out;
    for (const SharedPlace& place : places)
        out +=
            tag("details", tag("summary", "Air " + place.name),
                tag("p", fmt::format("Used by: {}.", fmt::join(place.users, ", "))), place.numbers);
    return out;
}

}  // namespace lapheat::study::page
