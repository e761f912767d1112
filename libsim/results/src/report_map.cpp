// A core's performance map as tables, comma-separated values, JSON and HDF5.
#include <cmath>
#include <cstdio>
#include <numeric>

#include "lapheat/exchangers/core.hpp"
#include "report_detail.hpp"

namespace lapheat::results {
namespace {

using Q = units::Quantity;
using exchangers::PerformanceMap;

struct MapColumn {
    const char* name;
    const char* units;
    std::vector<double> PerformanceMap::*values;
};
constexpr MapColumn map_columns[] = {{"heat", "W", &PerformanceMap::heat},
                                     {"effectiveness", "1", &PerformanceMap::effectiveness},
                                     {"ntu", "1", &PerformanceMap::ntu},
                                     {"conductance", "W K-1", &PerformanceMap::ua},
                                     {"first_pressure_drop", "Pa", &PerformanceMap::first_drop},
                                     {"second_pressure_drop", "Pa", &PerformanceMap::second_drop},
                                     {"first_outlet", "K", &PerformanceMap::first_outlet},
                                     {"second_outlet", "K", &PerformanceMap::second_outlet},
                                     {"first_share", "1", &PerformanceMap::first_share},
                                     {"wall_share", "1", &PerformanceMap::wall_share},
                                     {"second_share", "1", &PerformanceMap::second_share}};

struct AxisColumn {
    const char* name;
    const char* units;
};
constexpr AxisColumn axis_columns[] = {{"first_flow", "kg s-1"},
                                       {"second_flow", "kg s-1"},
                                       {"first_inlet", "K"},
                                       {"second_inlet", "K"}};

/// Calls f(first flow, second flow, first inlet, second inlet, index) in the order of the arrays.
template <class F>
void each_point(const PerformanceMap& map, F&& f) {
    for (std::size_t a = 0; a < map.axes.first_flow.size(); ++a)
        for (std::size_t b = 0; b < map.axes.second_flow.size(); ++b)
            for (std::size_t c = 0; c < map.axes.first_inlet.size(); ++c)
                for (std::size_t d = 0; d < map.axes.second_inlet.size(); ++d)
                    f(a, b, c, d, map.index(a, b, c, d));
}

std::string exact(double x) {
    char text[40];
    std::snprintf(text, sizeof text, "%.9g", x);
    return text;
}

/// What the core is as a whole, and how far its heat can be trusted.
std::string about(const CoreMap& m, const Style& style) {
    std::string out = "Heat within ±" + detail::fixed(100 * m.uncertainty, 0) +
                      " % (about two standard deviations).";
    if (m.face_area > 0)
        out += " Face " + detail::fixed(m.face_area, 3) + " m2,";
    else
        out += " Metal and liquid:";
    out += " dry heat capacity " + shown(m.heat_capacity, Q::heat_capacity, style, 2) + ", holds " +
           shown(m.liquid_volume, Q::volume, style, 2) + ".";
    return out;
}

std::string word_for_csv(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + '"';
}

}  // namespace

std::string map_tables(const CoreMap& m, const Style& style) {
    const PerformanceMap& map = m.map;
    const bool us = style.units == units::System::us;
    const char* speed_unit = us ? "ft/s" : "m/s";
    std::string out;
    for (std::size_t c = 0; c < map.axes.first_inlet.size(); ++c)
        for (std::size_t d = 0; d < map.axes.second_inlet.size(); ++d) {
            TextTable table;
            table.title = m.core + ": in at " +
                          shown(map.axes.first_inlet[c], Q::temperature, style, 1) + ", " +
                          (m.second_is_air ? "air" : "coolant") + " at " +
                          shown(map.axes.second_inlet[d], Q::temperature, style, 1);
            table.columns = {
                {detail::with_unit("flow", Q::volume_flow, style), Align::right},
                {m.second_is_air ? std::string("face speed, ") + speed_unit
                                 : detail::with_unit("coolant", Q::volume_flow, style),
                 Align::right},
                {detail::with_unit("heat", Q::power, style), Align::right},
                {detail::with_unit("out", Q::temperature, style), Align::right},
                {"effectiveness", Align::right},
                {detail::with_unit("loss", Q::pressure, style), Align::right},
                {m.second_is_air ? std::string("air loss, ") + (us ? "inH2O" : "Pa")
                                 : detail::with_unit("coolant loss", Q::pressure, style),
                 Align::right},
                {"what binds", Align::left, true},
                {"", Align::left}};
            for (std::size_t a = 0; a < map.axes.first_flow.size(); ++a) {
                if (a > 0) table.rows.emplace_back();
                for (std::size_t b = 0; b < map.axes.second_flow.size(); ++b) {
                    const std::size_t i = map.index(a, b, c, d);
                    const double second = map.axes.second_flow[b] / m.second_density[d];
                    const double speed =
                        m.face_area > 0 ? second / m.face_area / (us ? 0.3048 : 1.0) : 0;
                    // 249.089 Pa: one inch of water at 4 degC (NIST SP 811, appendix B).
                    const double air_loss = map.second_drop[i] / (us ? 249.089 : 1.0);
                    table.rows.push_back(
                        {{detail::number(map.axes.first_flow[a] / m.first_density[c],
                                         Q::volume_flow, style, 1)},
                         {m.second_is_air ? detail::fixed(speed, 1)
                                          : detail::number(second, Q::volume_flow, style, 1)},
                         {detail::number(map.heat[i], Q::power, style, 2), Tone::strong},
                         {detail::number(map.first_outlet[i], Q::temperature, style, 1)},
                         {detail::fixed(map.effectiveness[i], 3)},
                         {detail::number(map.first_drop[i], Q::pressure, style, us ? 2 : 1)},
                         {m.second_is_air
                              ? detail::fixed(air_loss, us ? 2 : 0)
                              : detail::number(map.second_drop[i], Q::pressure, style, us ? 2 : 1)},
                         {exchangers::describe(map.limit[i], m.second_is_air)},
                         {map.flags[i] != 0 ? "*" : "", Tone::warning}});
                }
            }
            out += (out.empty() ? "" : "\n") + render(table, style.table);
        }
    unsigned flags = 0;
    for (const unsigned flag : map.flags) flags |= flag;
    if (flags != 0)
        out += detail::paragraph(exchangers::describe_core_flags(flags), style, "* ", "  ");
    out += detail::paragraph(about(m, style), style, "  - ", "    ");
    for (const std::string& text : m.assumptions)
        out += detail::paragraph(text, style, "  - ", "    ");
    return out;
}

std::string map_csv(std::span<const CoreMap> maps) {
    std::string out = "core";
    for (const AxisColumn& axis : axis_columns)
        out += std::string(",") + axis.name + " [" + axis.units + "]";
    for (const MapColumn& column : map_columns)
        out += std::string(",") + column.name + " [" + column.units + "]";
    out += ",heat_uncertainty [W],limit,flags\n";
    for (const CoreMap& m : maps)
        each_point(m.map, [&](auto a, auto b, auto c, auto d, std::size_t i) {
            out += word_for_csv(m.core);
            for (const double x : {m.map.axes.first_flow[a], m.map.axes.second_flow[b],
                                   m.map.axes.first_inlet[c], m.map.axes.second_inlet[d]})
                out += ',' + exact(x);
            for (const MapColumn& column : map_columns)
                out += ',' + exact((m.map.*column.values)[i]);
            out += ',' + exact(m.uncertainty * std::abs(m.map.heat[i]));
            out += std::string(",") + exchangers::describe(m.map.limit[i], m.second_is_air) + ',' +
                   std::to_string(m.map.flags[i]) + '\n';
        });
    return out;
}

Json to_json(const CoreMap& m) {
    Json::Array points;
    each_point(m.map, [&](auto a, auto b, auto c, auto d, std::size_t i) {
        Json::Object point = {{"first_flow", m.map.axes.first_flow[a]},
                              {"second_flow", m.map.axes.second_flow[b]},
                              {"first_inlet", m.map.axes.first_inlet[c]},
                              {"second_inlet", m.map.axes.second_inlet[d]}};
        for (const MapColumn& column : map_columns)
            point.emplace_back(column.name, (m.map.*column.values)[i]);
        point.emplace_back("limit", exchangers::describe(m.map.limit[i], m.second_is_air));
        point.emplace_back("flags", exchangers::describe_core_flags(m.map.flags[i]));
        points.emplace_back(std::move(point));
    });
    Json::Array assumptions;
    for (const std::string& text : m.assumptions) assumptions.emplace_back(text);
    return Json::Object{{"core", m.core},
                        {"second_is_air", m.second_is_air},
                        {"face_area", m.face_area},
                        {"uncertainty", m.uncertainty},
                        {"heat_capacity", m.heat_capacity},
                        {"liquid_volume", m.liquid_volume},
                        {"points", std::move(points)},
                        {"assumptions", std::move(assumptions)}};
}

void write_maps(const std::filesystem::path& target, std::span<const CoreMap> maps) {
    Hdf5Writer w(target);
    w.attributes("/", {{"lapheat", std::string(version())}});
    for (const CoreMap& m : maps) {
        // Every point is a row; the axes are columns beside it.
        const std::string at = "/cores/" + path_word(m.core);
        w.group(at, {{"core", m.core},
                     {"second_stream", std::string(m.second_is_air ? "air" : "liquid")},
                     {"face_area", m.face_area},
                     {"uncertainty", m.uncertainty},
                     {"heat_capacity", m.heat_capacity},
                     {"liquid_volume", m.liquid_volume},
                     {"assumptions", m.assumptions}});
        std::vector<std::int64_t> numbers(m.map.heat.size());
        std::iota(numbers.begin(), numbers.end(), std::int64_t{1});
        const std::vector<std::string> axis = {at + "/point"};
        w.scale(axis[0], numbers);
        std::vector<double> axes[4];
        std::vector<std::string> limits;
        each_point(m.map, [&](auto a, auto b, auto c, auto d, std::size_t i) {
            axes[0].push_back(m.map.axes.first_flow[a]);
            axes[1].push_back(m.map.axes.second_flow[b]);
            axes[2].push_back(m.map.axes.first_inlet[c]);
            axes[3].push_back(m.map.axes.second_inlet[d]);
            limits.emplace_back(exchangers::describe(m.map.limit[i], m.second_is_air));
        });
        for (std::size_t i = 0; i < 4; ++i)
            w.numbers(at + "/" + axis_columns[i].name, axes[i], axis,
                      {{"units", axis_columns[i].units}});
        for (const MapColumn& column : map_columns)
            w.numbers(at + "/" + column.name, m.map.*column.values, axis,
                      {{"units", column.units}});
        w.strings(at + "/limit", limits, axis);
        w.integers(at + "/flags", std::vector<std::int64_t>(m.map.flags.begin(), m.map.flags.end()),
                   axis);
    }
    w.commit();
}

}  // namespace lapheat::results
