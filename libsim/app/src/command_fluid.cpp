// lapheat fluid: properties with their sources.
#include <cmath>
#include <cstdio>
#include <map>

#include "commands.hpp"
#include "console.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/fluids/liquids.hpp"

namespace lapheat::app {
namespace {

using Q = units::Quantity;
using results::Align;

struct Point {
    double kelvin;
    fluids::Properties properties;
    std::string flags;
};

std::string text_of(double si, Q quantity, const results::Style& style) {
    char text[48];
    std::snprintf(text, sizeof text, "%.4g", units::to_display(si, quantity, style.units));
    return text;
}

results::TextTable table_of(const std::string& title, const std::vector<Point>& points,
                            const results::Style& style) {
    const auto head = [&](const char* words, Q q) {
        return results::TableColumn{std::string(words) + ", " + results::unit_shown(q, style),
                                    Align::right};
    };
    results::TextTable table;
    table.title = title;
    table.columns = {{head("at", Q::temperature)},
                     {head("density", Q::density)},
                     {head("cp", Q::specific_heat)},
                     {head("k", Q::conductivity)},
                     {head("viscosity", Q::dynamic_viscosity)},
                     {head("kinematic", Q::kinematic_viscosity)},
                     {"Prandtl", Align::right},
                     {"", Align::left, true}};
    for (const Point& p : points) {
        char prandtl[32];
        std::snprintf(prandtl, sizeof prandtl, "%.4g", p.properties.prandtl());
        table.rows.push_back(
            {{text_of(p.kelvin, Q::temperature, style)},
             {text_of(p.properties.density, Q::density, style)},
             {text_of(p.properties.specific_heat, Q::specific_heat, style)},
             {text_of(p.properties.conductivity, Q::conductivity, style)},
             {text_of(p.properties.viscosity, Q::dynamic_viscosity, style)},
             {text_of(p.properties.kinematic_viscosity(), Q::kinematic_viscosity, style)},
             {prandtl},
             {p.flags, results::Tone::warning}});
    }
    return table;
}

results::Json points_json(const std::vector<Point>& points) {
    results::Json::Array out;
    for (const Point& p : points)
        out.emplace_back(results::Json::Object{{"temperature", p.kelvin},
                                               {"density", p.properties.density},
                                               {"specific_heat", p.properties.specific_heat},
                                               {"conductivity", p.properties.conductivity},
                                               {"viscosity", p.properties.viscosity},
                                               {"prandtl", p.properties.prandtl()},
                                               {"flags", p.flags}});
    return out;
}

std::vector<double> temperatures(const FluidRequest& request) {
    std::vector<double> out;
    for (const std::string& text : request.at)
        out.push_back(option_value(text, Q::temperature, "--at"));
    if (out.empty()) out = {293.15, 333.15, 363.15, 393.15};
    return out;
}

int air(const Common& common, const FluidRequest& request, double pressure) {
    const results::Style style = style_of(common);
    std::vector<Point> points;
    for (const double t : temperatures(request)) {
        const fluids::AirState a{.temperature = t, .pressure = pressure, .humidity_ratio = 0};
        points.push_back(
            {t,
             {.density = fluids::density(a),
              .specific_heat = fluids::specific_heat(a),
              .conductivity = fluids::conductivity(a),
              .viscosity = fluids::viscosity(a)},
             fluids::in_range(a) ? "" : "Outside the range of its sources: continued, not known."});
    }
    if (common.json) {
        print_json(results::Json::Object{
            {"report", "fluid"}, {"name", "dry air"}, {"points", points_json(points)}});
        return all_well;
    }
    print(results::render(
        table_of("Dry air at " + results::shown(pressure, Q::pressure, style, 1), points, style),
        style.table));
    if (!common.quiet)
        print(
            "\nIdeal gas; heat capacity of Lemmon, Jacobsen, Penoncello & Friend, J. Phys. Chem. "
            "Ref. Data 29 (2000)\n"
            "331; viscosity and conductivity of Lemmon & Jacobsen, Int. J. Thermophysics 25 (2004) "
            "21; -50 to 200 degC.\n");
    return all_well;
}

/// By its generic name, or as a file has it, data sheet and all.
fluids::Liquid find(const FluidRequest& request) {
    if (request.file.empty())
        return fluids::by_name(request.name,
                               option_value(request.fraction, Q::ratio, "--fraction"));
    const std::map<std::string, fluids::Liquid> known = scenario::read_fluids(request.file);
    const auto found = known.find(request.name);
    if (found != known.end()) return found->second;
    std::vector<std::string> names;
    for (const auto& [name, liquid] : known) names.push_back(name);
    throw Error("no fluid '" + request.name + "'; " + scenario::suggest(request.name, names), "",
                {request.file, 0, 0}, "fluids");
}

}  // namespace

int fluid(const Common& common, const FluidRequest& request) {
    const double pressure = option_value(request.pressure, Q::pressure, "--pressure");
    if (!(pressure > 0))
        throw Error("the pressure is not positive", "an absolute pressure, such as \"101 kPa\"", {},
                    "--pressure");
    if (request.name == "air" && request.file.empty()) return air(common, request, pressure);
    const fluids::Liquid liquid = find(request);
    const fluids::Info& info = liquid.info();
    const results::Style style = style_of(common);
    std::vector<Point> points;
    for (const double t : temperatures(request))
        points.push_back({t, liquid.at(t), fluids::describe_flags(liquid.flags(t))});
    const double boiling = liquid.boiling_temperature(pressure);
    const std::pair<const char*, const fluids::PropertyInfo*> sources[] = {
        {"density", &info.density},           {"specific_heat", &info.specific_heat},
        {"conductivity", &info.conductivity}, {"viscosity", &info.viscosity},
        {"boiling", &info.boiling},           {"freezing", &info.freezing}};
    if (common.json) {
        results::Json::Object listed;
        for (const auto& [name, source] : sources)
            listed.emplace_back(name, results::Json::Object{{"source", source->source},
                                                            {"minimum", source->minimum},
                                                            {"maximum", source->maximum},
                                                            {"uncertainty", source->uncertainty},
                                                            {"note", source->note}});
        print_json(results::Json::Object{{"report", "fluid"},
                                         {"name", info.name},
                                         {"freezing", liquid.freezing_temperature()},
                                         {"boiling", boiling},
                                         {"pressure", pressure},
                                         {"points", points_json(points)},
                                         {"sources", std::move(listed)}});
        return all_well;
    }
    std::string out = results::render(table_of(info.name, points, style), style.table);
    out += "\nFreezes (or stops pouring) at " +
           results::shown(liquid.freezing_temperature(), Q::temperature, style, 1);
    out += std::isfinite(boiling)
               ? "; boils at " + results::shown(boiling, Q::temperature, style, 1) + " under " +
                     results::shown(pressure, Q::pressure, style, 1) + " absolute.\n"
               : std::string("; does not boil.\n");
    if (!common.quiet) {
        results::TextTable table;
        table.columns = {{"property"},
                         {"from, " + results::unit_shown(Q::temperature, style), Align::right},
                         {"to", Align::right},
                         {"within", Align::right},
                         {"source", Align::left, true}};
        for (const auto& [name, source] : sources) {
            if (source->source.empty()) continue;
            const bool ranged = source->maximum > source->minimum;
            char within[32];
            std::snprintf(within, sizeof within, "%.2g %%", 100 * source->uncertainty);
            std::string label = name;
            for (char& c : label)
                if (c == '_') c = ' ';
            table.rows.push_back(
                {{label},
                 {ranged ? text_of(source->minimum, Q::temperature, style) : "-"},
                 {ranged ? text_of(source->maximum, Q::temperature, style) : "-"},
                 {source->uncertainty > 0 ? within : "-"},
                 {source->source + (source->note.empty() ? "" : ". " + source->note)}});
        }
        out += '\n' + results::render(table, style.table);
    }
    print(out);
    return all_well;
}

}  // namespace lapheat::app
