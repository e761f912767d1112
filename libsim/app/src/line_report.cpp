#include "line_report.hpp"

#include <cstdio>

namespace lapheat::app {
namespace {

using results::Align;
using results::Json;

constexpr const char* line_cost_note =
    "A line that sheds more heat than its loss of flow costs has a negative peak. Where fans "
    "switch\n"
    "on and off, a few tenths of a kelvin are chance. A longer coolant hose also holds more that\n"
    "swells into the same tank: the cap's pressure, and the margin to boiling, can rise with it.\n";

std::string number(const char* format, double x) {
    char text[48];
    std::snprintf(text, sizeof text, format, x);
    return text;
}

std::string cut(double metres, bool us) {
    return us ? number("%.1f ft", metres / 0.3048) : number("%.2f m", metres);
}

}  // namespace

std::string line_cost_table(const std::vector<study::LineCost>& costs,
                            const results::Style& style) {
    if (costs.empty()) return "";
    const bool us = style.units == units::System::us;
    const double unit = us ? 0.3048 : 1, kelvin = us ? 1.8 : 1;
    const std::string degree = us ? "°F" : "K", far = us ? "foot" : "metre";
    const auto flow = [&](double x) {
        return number("%+.4f", units::to_display(x, units::Quantity::volume_flow, style.units));
    };
    const std::string flow_unit = results::unit_shown(units::Quantity::volume_flow, style);
    results::TextTable table;
    table.title = "What lines cost, " + costs.front().cycle + " (" + degree + ")";
    table.columns = {{"line", Align::left, true},
                     {"length", Align::right},
                     {"peak, a " + far + " more", Align::right},
                     {"margin lost", Align::right},
                     {"flow lost, " + flow_unit, Align::right},
                     {"peak, an elbow more", Align::right},
                     {"margin lost", Align::right},
                     {"flow lost, " + flow_unit, Align::right}};
    std::string loop;
    for (const study::LineCost& c : costs) {
        if (c.loop != loop) {
            if (!loop.empty()) table.rows.emplace_back();
            loop = c.loop;
            table.rows.push_back({{loop, results::Tone::strong}});
        }
        table.rows.push_back({{c.part},
                              {cut(c.length, us)},
                              {number("%+.3f", kelvin * unit * c.peak_per_metre)},
                              {number("%+.3f", kelvin * unit * c.margin_per_metre)},
                              {flow(unit * c.flow_per_metre)},
                              {number("%+.3f", kelvin * c.peak_per_bend)},
                              {number("%+.3f", kelvin * c.margin_per_bend)},
                              {flow(c.flow_per_bend)}});
    }
    return results::render(table, style.table) + line_cost_note;
}

Json line_cost_json(const std::vector<study::LineCost>& costs) {
    Json::Array out;
    for (const study::LineCost& c : costs)
        out.emplace_back(Json::Object{{"loop", c.loop},
                                      {"part", c.part},
                                      {"cycle", c.cycle},
                                      {"length", c.length},
                                      {"inner_diameter", c.inner_diameter},
                                      {"peak_per_metre", c.peak_per_metre},
                                      {"margin_per_metre", c.margin_per_metre},
                                      {"flow_per_metre", c.flow_per_metre},
                                      {"peak_per_bend", c.peak_per_bend},
                                      {"margin_per_bend", c.margin_per_bend},
                                      {"flow_per_bend", c.flow_per_bend}});
    return out;
}

std::string plumbing_table(const std::vector<study::PlumbingItem>& items,
                           const results::Style& style, bool totals) {
    const bool us = style.units == units::System::us;
    results::TextTable table;
    table.title = totals ? "To buy" : "Part by part (hoses with 5 % for trimming)";
    table.columns = {{"what"}, {"size"}, {"cut", Align::right}, {"count", Align::right}};
    if (!totals) {
        table.columns.push_back({"for", Align::left, true});
        table.columns.push_back({"note", Align::left, true});
    }
    for (const study::PlumbingItem& item : items) {
        std::vector<results::TableCell> row = {
            {item.what},
            {item.size},
            {item.length > 0 ? cut(item.length, us) : ""},
            {item.length > 0 && item.count == 1 ? "" : std::to_string(item.count)}};
        if (!totals) {
            row.push_back({item.loop + (item.part.empty() ? "" : ", " + item.part)});
            row.push_back({item.note});
        }
        table.rows.push_back(std::move(row));
    }
    return results::render(table, style.table);
}

Json plumbing_json(const std::vector<study::PlumbingItem>& items) {
    Json::Array out;
    for (const study::PlumbingItem& item : items)
        out.emplace_back(Json::Object{{"what", item.what},
                                      {"loop", item.loop},
                                      {"part", item.part},
                                      {"size", item.size},
                                      {"length", item.length},
                                      {"count", item.count},
                                      {"note", item.note}});
    return out;
}

int plumb(const Common& common, const PlumbRequest& request) {
    const scenario::Scenario s = scenario::read(request.file);
    const results::Style style = style_of(common);
    const std::vector<study::PlumbingItem> items =
        study::plumbing(s.car, 0.05, common.json ? units::System::si : style.units);
    const std::vector<study::PlumbingItem> totals = study::plumbing_totals(items);
    if (common.json) {
        print_json(Json::Object{{"report", "plumb"},
                                {"lapheat", results::version()},
                                {"placement", s.car.placement},
                                {"plumbing", plumbing_json(items)},
                                {"to_buy", plumbing_json(totals)}});
        return all_well;
    }
    if (!request.totals) print(plumbing_table(items, style, false) + "\n");
    print(plumbing_table(totals, style, true));
    if (!common.quiet)
        print(
            "Measure on the car before you cut. Use hose and fittings rated for the fluid, its "
            "temperature\nand its pressure; " +
            std::string("lapheat run --all tells what they see.\n"));
    return all_well;
}

}  // namespace lapheat::app
