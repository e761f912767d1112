// What to buy and make for a placement, and what was assumed about places.
#include <cmath>
#include <cstdio>
#include <map>

#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/study/plumbing.hpp"
#include "lapheat/study/wiring.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {
namespace {

using units::Quantity;
using units::System;

std::string row(const std::string& head, std::initializer_list<std::string> cells) {
    std::string out = "<tr><th scope=\"row\">" + escaped(head) + "</th>";
    for (const std::string& cell : cells) out += "<td>" + escaped(cell) + "</td>";
    return out + "</tr>";
}

std::string table(const std::string& caption, std::initializer_list<const char*> heads,
                  const std::string& rows) {
    if (rows.empty()) return "";
    std::string out = "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"" +
                      escaped(caption) + "\"><table><caption>" + escaped(caption) +
                      "</caption><thead><tr>";
    for (const char* head : heads) out += std::string("<th scope=\"col\">") + head + "</th>";
    return out + "</tr></thead><tbody>" + rows + "</tbody></table></div>";
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

std::string core_rows(const model::Car& car, System system) {
    std::string rows;
    for (const model::CoreEntry& entry : car.cores) {
        const auto& core = entry.core;
        const bool air = core.face_area > 0;
        const bool known = core.width > 0 && core.height > 0;
        rows +=
            row(plain_name(entry.name),
                {known ? size(core.width, system) + " × " + size(core.height, system)
                       : "from its rating",
                 core.depth > 0 ? size(core.depth, system) : "not given", air ? "air" : "coolant"});
    }
    return rows;
}

std::string fan_rows(const model::Car& car, System system) {
    std::string rows;
    for (const model::FanEntry& entry : car.fans) {
        const auto& curve = entry.fan.curve;
        if (curve.flow.empty()) continue;
        std::string fuse = "none", current = "turned by the engine";
        if (entry.drive.kind != airflow::DriveKind::belt &&
            entry.drive.kind != airflow::DriveKind::viscous_clutch) {
            current = say(entry.drive.rated_current, Quantity::electric_current, system);
            // As airflow::wire_guide() reckons; see the cautions.
            try {
                const airflow::WireGuide guide =
                    airflow::wire_guide(entry.drive.rated_current, entry.wire_length);
                fuse = say_number(guide.fuse) + " A, " + copper_size(guide.area, system) + " for " +
                       say_length(entry.wire_length, system);
            } catch (const Error&) {
                fuse = "ask the maker";
            }
        }
        rows += row(plain_name(entry.name),
                    {fan_flow(curve.flow.back(), system),
                     fan_pressure(curve.pressure.front(), system), current, fuse});
    }
    return rows;
}

std::string switch_rows(const model::Car& car, System system) {
    std::string rows;
    for (const model::FanEntry& entry : car.fans)
        for (const model::FanSwitch& s : entry.switches)
            rows += row(plain_name(entry.name),
                        {plain_name(s.loop) + ", at the " + plain_name(s.part),
                         say(s.on, Quantity::temperature, system),
                         say(s.off, Quantity::temperature, system), percent(s.command)});
    return rows;
}

std::string line_rows(const model::Car& car, System system) {
    std::string rows;
    for (const model::Loop& loop : car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* line = std::get_if<model::Line>(&part.body))
                    rows +=
                        row(plain_name(part.name),
                            {plain_name(loop.name), line->hose ? "hose" : "tube",
                             size(line->inner_diameter, system), say_length(line->length, system),
                             surroundings(line->surroundings)});
    return rows;
}

std::string plumbing_rows(const std::vector<PlumbingItem>& items, System system) {
    std::string rows;
    for (const PlumbingItem& item : items)
        rows +=
            row(sentence_case(plain_name(item.what)),
                {item.size, item.length > 0 ? say_length(item.length, system) : "",
                 item.length > 0 && item.count == 1 ? "" : std::to_string(item.count),
                 plain_name(item.loop) + (item.part.empty() ? "" : ", " + item.part), item.note});
    return rows;
}

std::string total_rows(const std::vector<PlumbingItem>& items, System system) {
    std::string rows;
    for (const PlumbingItem& item : plumbing_totals(items))
        rows += row(sentence_case(plain_name(item.what)),
                    {item.size, item.length > 0 ? say_length(item.length, system)
                                                : std::to_string(item.count) + " pieces"});
    return rows;
}

}  // namespace

std::string shopping(const model::Car& car, System system) {
    const std::vector<PlumbingItem> items = plumbing(car, 0.05, system);
    return table("Cores", {"Core", "Face, width × height", "Depth", "Cooled by"},
                 core_rows(car, system)) +
           table("Fans",
                 {"Fan", "Free flow", "Shut-off pressure", "Current", "Fuse and copper, guidance"},
                 fan_rows(car, system)) +
           table("Fan switches", {"Fan", "Feels", "On at", "Off at", "Speed"},
                 switch_rows(car, system)) +
           table("Hoses and tubes", {"Line", "Fluid", "Kind", "Inside", "Length", "Where"},
                 line_rows(car, system)) +
           table("Plumbing to buy", {"What", "Size", "In all"}, total_rows(items, system)) +
           table("Plumbing, part by part; hoses with 5 % for trimming",
                 {"What", "Size", "Cut length", "Count", "For", "Note"},
                 plumbing_rows(items, system));
}

std::string line_cost_table(const std::vector<LineCost>& costs, System system) {
    if (costs.empty()) return "";
    const bool us = system == System::us;
    const double unit = us ? 0.3048 : 1;
    // Kelvins to three places: a foot of hose costs hundredths.
    const auto kelvins = [&](double x) {
        char text[32];
        std::snprintf(text, sizeof text, "%+.3f %s", us ? 1.8 * x : x, us ? "°F" : "K");
        return std::string(text);
    };
    const auto flow = [&](double x) {
        char text[48];
        std::snprintf(text, sizeof text, "%+.4f %s",
                      units::to_display(x, Quantity::volume_flow, system),
                      unit_word(Quantity::volume_flow, system).c_str());
        return std::string(text);
    };
    std::string rows;
    for (const LineCost& c : costs)
        rows +=
            row(plain_name(c.part),
                {plain_name(c.loop), say_length(c.length, system), kelvins(c.peak_per_metre * unit),
                 kelvins(c.margin_per_metre * unit), flow(c.flow_per_metre * unit),
                 kelvins(c.peak_per_bend), kelvins(c.margin_per_bend), flow(c.flow_per_bend)});
    return table("What lines cost, " + costs.front().cycle,
                 {"Line", "Fluid", "Length", us ? "Peak, each foot more" : "Peak, each metre more",
                  us ? "Margin lost, each foot" : "Margin lost, each metre",
                  us ? "Flow lost, each foot" : "Flow lost, each metre", "Peak, each elbow more",
                  "Margin lost, each elbow", "Flow lost, each elbow"},
                 rows) +
           "<p><small>A line that sheds more heat than its loss of flow costs has a negative peak. "
           "Where fans switch on and off, a few tenths of a kelvin are chance.</small></p>";
}

std::string assumptions(const Comparison& comparison) {
    std::string out;
    std::map<std::string, std::string> done;  // rows of a place → the placements that use them
    std::vector<std::pair<std::string, std::string>> order;
    for (std::size_t p = 0; p < comparison.cars.size(); ++p)
        for (const model::AirPath& path : comparison.cars[p].air) {
            airflow::PlaceDefaults place = path.assumptions;
            std::string rows;
            for (const airflow::NamedAssumption& a : airflow::assumptions(place)) {
                if (a.number->low == a.number->high && a.number->value == a.number->low) continue;
                rows +=
                    row(a.name, {say_number(a.number->value),
                                 say_number(a.number->low) + " to " + say_number(a.number->high),
                                 a.number->source});
            }
            if (rows.empty()) continue;
            const auto [it, fresh] = done.emplace(rows, comparison.placements[p]);
            if (fresh)
                order.emplace_back(place.name, rows);
            else if (!it->second.ends_with(comparison.placements[p]))
                it->second += ", " + comparison.placements[p];
        }
    for (const auto& [name, rows] : order)
        out += "<details><summary>Air " + escaped(name) +
               "</summary><p>Used by: " + escaped(done[rows]) + ".</p>" +
               table("Air " + name, {"Number", "Value", "Range", "Source"}, rows) + "</details>";
    return out;
}

}  // namespace lapheat::study::page
