// lapheat fluid: properties with their sources.
#include <fmt/core.h>

#include <cmath>
#include <map>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "lapheat/units/restate.hpp"

namespace lapheat::app {
namespace {

using Q = units::Quantity;
using results::Align;

using Point = FluidPoint;

std::string text_of(double si, Q quantity, const results::Style& style) {
    return fmt::format("{:.4g}", units::to_display(si, quantity, style.units));
}

results::TextTable table_of(const std::string& title, const std::vector<Point>& points,
                            const results::Style& style) {
    const auto head = [&](const char* words, Q q) {
        return results::TableColumn{results::with_unit(words, q, style.units), Align::right};
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
        table.rows.push_back(
            {{text_of(p.temperature, Q::temperature, style)},
             {text_of(p.properties.density, Q::density, style)},
             {text_of(p.properties.specific_heat, Q::specific_heat, style)},
             {text_of(p.properties.conductivity, Q::conductivity, style)},
             {text_of(p.properties.viscosity, Q::dynamic_viscosity, style)},
             {text_of(p.properties.kinematic_viscosity(), Q::kinematic_viscosity, style)},
             {fmt::format("{:.4g}", p.properties.prandtl())},
             {p.flags, results::Tone::warning}});
    }
    return table;
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
        print_air(points);
        return all_well;
    }
    print(results::render(
        table_of("Dry air at " + results::shown(pressure, Q::pressure, style, 1), points, style),
        style.table));
    if (!common.quiet) {
        print("\n");
        for (const std::string& line : results::wrapped(
                 units::restated(
                     "Ideal gas; heat capacity of Lemmon, Jacobsen, Penoncello & Friend, J. Phys. "
                     "Chem. Ref. Data 29 (2000) 331; viscosity and conductivity of Lemmon & "
                     "Jacobsen, Int. J. Thermophysics 25 (2004) 21; -50 to 200 degC.",
                     style.units),
                 style.table.width))
            print(line + "\n");
    }
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

results::TextTable source_table(const fluids::Info& info, const results::Style& style) {
    results::TextTable table;
    table.columns = {{"property"},
                     {results::with_unit("from", Q::temperature, style.units), Align::right},
                     {"to", Align::right},
                     {"within", Align::right},
                     {"source", Align::left, true}};
    for (const auto& [property, source] : sources_of(info)) {
        if (source->source.empty()) continue;
        const bool ranged = source->maximum > source->minimum;
        table.rows.push_back(
            {{results::plain_name(property)},
             {ranged ? text_of(source->minimum, Q::temperature, style) : "-"},
             {ranged ? text_of(source->maximum, Q::temperature, style) : "-"},
             {source->uncertainty > 0 ? fmt::format("{:.2g} %", 100 * source->uncertainty) : "-"},
             {units::restated(source->source + (source->note.empty() ? "" : ". " + source->note),
                              style.units)}});
    }
    return table;
}

std::string report(const fluids::Liquid& liquid, double pressure, const std::vector<Point>& points,
                   const results::Style& style, bool quiet) {
    const double boiling = liquid.boiling_temperature(pressure);
    std::string out =
        results::render(table_of(liquid.info().name, points, style), style.table) + '\n';
    std::string said =
        fmt::format("Freezes (or stops pouring) at {}; ",
                    results::shown(liquid.freezing_temperature(), Q::temperature, style, 1));
    said += std::isfinite(boiling) ? fmt::format("boils at {} under {} absolute.",
                                                 results::shown(boiling, Q::temperature, style, 1),
                                                 results::shown(pressure, Q::pressure, style, 1))
                                   : "does not boil.";
    for (const std::string& line : results::wrapped(said, style.table.width)) out += line + '\n';
    if (!quiet) out += '\n' + results::render(source_table(liquid.info(), style), style.table);
    return out;
}

}  // namespace

std::vector<NamedSource> sources_of(const fluids::Info& info) {
    return {{"density", &info.density},           {"specific_heat", &info.specific_heat},
            {"conductivity", &info.conductivity}, {"viscosity", &info.viscosity},
            {"boiling", &info.boiling},           {"freezing", &info.freezing}};
}

int fluid(const Common& common, const FluidRequest& request) {
    const double pressure = option_value(request.pressure, Q::pressure, "--pressure");
    if (!(pressure > 0))
        throw Error("the pressure is not positive", "an absolute pressure, such as \"101 kPa\"", {},
                    "--pressure");
    if (request.name == "air" && request.file.empty()) return air(common, request, pressure);
    const fluids::Liquid liquid = find(request);
    std::vector<Point> points;
    for (const double t : temperatures(request))
        points.push_back({t, liquid.at(t), fluids::describe_flags(liquid.flags(t))});
    if (common.json)
        print_fluid(liquid, pressure, points);
    else
        print(report(liquid, pressure, points, style_of(common), common.quiet));
    return all_well;
}

}  // namespace lapheat::app
