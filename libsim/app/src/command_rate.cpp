// lapheat rate: a core's performance map.
#include <algorithm>
#include <cmath>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/exchangers/map.hpp"
#include "lapheat/fluids/air.hpp"
#include "lapheat/results/text_file.hpp"

namespace lapheat::app {
namespace {

using Q = units::Quantity;

std::vector<double> values(const std::vector<std::string>& texts, Q quantity, const char* option,
                           std::vector<double> usual) {
    if (texts.empty()) return usual;
    std::vector<double> out;
    for (const std::string& text : texts) out.push_back(option_value(text, quantity, option));
    return out;
}

constexpr double per_minute = 1e-3 / 60;  // m³/s in L/min

/// Usual flows: those of oil lines; those of an engine's pump for a core of glycol or water.
std::vector<double> usual_flows(const fluids::Liquid& liquid) {
    std::vector<double> flows = {2, 4, 8, 16};
    if (std::isfinite(liquid.boiling_temperature(101325))) flows = {20, 40, 80, 160};
    for (double& flow : flows) flow *= per_minute;
    return flows;
}

results::CoreMap rated(const scenario::RatingSheet& sheet, const RateRequest& request) {
    const exchangers::Core& core = sheet.entry.core;
    results::CoreMap out;
    out.core = sheet.entry.name;
    out.second_is_air = sheet.second_is_air;
    out.face_area = core.face_area;
    out.uncertainty = core.uncertainty;
    out.heat_capacity = core.heat_capacity;
    out.liquid_volume = core.first_volume;
    out.assumptions = core.assumptions;
    exchangers::MapAxes axes;
    axes.first_inlet = values(request.first_inlets, Q::temperature, "--inlet", {368.15});
    axes.second_inlet = values(request.second_inlets, Q::temperature, "--second-inlet",
                               {sheet.second_is_air ? 308.15 : 358.15});
    const double first_density = sheet.first.density(axes.first_inlet.front());
    for (const double flow :
         values(request.first_flows, Q::volume_flow, "--flow", usual_flows(sheet.first)))
        axes.first_flow.push_back(flow * first_density);
    exchangers::Medium second = exchangers::air_medium();
    if (sheet.second_is_air) {
        const double density = second.at(axes.second_inlet.front()).density;
        for (const double speed : values(request.air_speeds, Q::speed, "--air-speed", {1, 2, 4, 8}))
            axes.second_flow.push_back(speed * core.face_area * density);
    } else {
        second = exchangers::liquid_medium(sheet.second);
        const double density = sheet.second.density(axes.second_inlet.front());
        for (const double flow : values(request.second_flows, Q::volume_flow, "--second-flow",
                                        usual_flows(sheet.second)))
            axes.second_flow.push_back(flow * density);
    }
    for (const double t : axes.first_inlet) out.first_density.push_back(sheet.first.density(t));
    for (const double t : axes.second_inlet) out.second_density.push_back(second.at(t).density);
    out.map = exchangers::performance_map(core, exchangers::liquid_medium(sheet.first), second,
                                          std::move(axes));
    return out;
}

}  // namespace

int rate(const Common& common, const RateRequest& request) {
    std::vector<scenario::RatingSheet> sheets = scenario::read_cores(request.file);
    if (!request.cores.empty()) {
        std::vector<std::string> known;
        for (const scenario::RatingSheet& sheet : sheets) known.push_back(sheet.entry.name);
        for (const std::string& name : request.cores)
            if (std::find(known.begin(), known.end(), name) == known.end())
                throw Error("no core '" + name + "'; " + scenario::suggest(name, known), "",
                            {request.file, 0, 0}, "--core");
        std::erase_if(sheets, [&](const scenario::RatingSheet& sheet) {
            return std::find(request.cores.begin(), request.cores.end(), sheet.entry.name) ==
                   request.cores.end();
        });
    }
    if (sheets.empty())
        throw Error("the file has no cores", "a table [cores.NAME]", {request.file, 0, 0});
    for (const std::string* target : {&request.csv, &request.h5})
        if (!target->empty()) results::require_writable(*target);
    std::vector<results::CoreMap> maps;
    for (const scenario::RatingSheet& sheet : sheets) maps.push_back(rated(sheet, request));
    if (!request.csv.empty()) results::write_whole(request.csv, results::map_csv(maps));
    if (!request.h5.empty()) results::write_maps(request.h5, maps);
    if (common.json) {
        print_rate(maps);
    } else if (!common.quiet) {
        const results::Style style = style_of(common);
        for (const results::CoreMap& map : maps) print(results::map_tables(map, style) + '\n');
        print(results::estimate_notice());
    }
    return all_well;
}

}  // namespace lapheat::app
