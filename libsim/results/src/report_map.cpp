// A core's performance map as tables, comma-separated values and HDF5.
#include <fmt/core.h>

#include <cmath>

#include "hdf5_rows.hpp"
#include "lapheat/exchangers/core.hpp"
#include "lapheat/units/restate.hpp"
#include "report_detail.hpp"

namespace lapheat::results {
namespace {

using Q = units::Quantity;

constexpr Field<MapPoint> point_fields[] = {
    {"first_flow", &MapPoint::first_flow, "flow of what is cooled", Q::mass_flow},
    {"second_flow", &MapPoint::second_flow, "flow of what cools", Q::mass_flow},
    {"first_inlet", &MapPoint::first_inlet, "inlet of what is cooled", Q::temperature},
    {"second_inlet", &MapPoint::second_inlet, "inlet of what cools", Q::temperature},
    {"heat", &MapPoint::heat, "heat rejected", Q::heat_flow},
    {"effectiveness", &MapPoint::effectiveness, "effectiveness", Q::ratio},
    {"ntu", &MapPoint::ntu, "number of transfer units", Q::ratio},
    {"conductance", &MapPoint::conductance, "conductance", Q::thermal_conductance},
    {"first_pressure_drop", &MapPoint::first_drop, "pressure drop of what is cooled", Q::pressure},
    {"second_pressure_drop", &MapPoint::second_drop, "pressure drop of what cools", Q::pressure},
    {"first_outlet", &MapPoint::first_outlet, "outlet of what is cooled", Q::temperature},
    {"second_outlet", &MapPoint::second_outlet, "outlet of what cools", Q::temperature},
    {"first_share", &MapPoint::first_share, "share of the cooled side's resistance", Q::ratio},
    {"wall_share", &MapPoint::wall_share, "share of the wall's resistance", Q::ratio},
    {"second_share", &MapPoint::second_share, "share of the cooling side's resistance", Q::ratio}};

/// What the core is as a whole, and how far its heat can be trusted.
std::string about(const CoreMap& m, const Style& style) {
    return fmt::format(
        "Heat within ±{} % (about two standard deviations). {} dry heat capacity {}, holds {}.",
        fixed(100 * m.uncertainty, 0),
        m.face_area > 0 ? fmt::format("Face {},", shown(m.face_area, Q::area, style, 3))
                        : "Metal and liquid:",
        shown(m.heat_capacity, Q::heat_capacity, style, 2),
        shown(m.liquid_volume, Q::volume, style, 2));
}

std::string word_for_csv(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + '"';
}

/// The map at one pair of inlet temperatures.
TextTable map_table(const CoreMap& m, std::size_t c, std::size_t d, const Style& style) {
    const exchangers::PerformanceMap& map = m.map;
    const bool us = style.units == units::System::us, air = m.second_is_air;
    TextTable table;
    table.title = fmt::format(
        "{}: in at {}, {} at {}", m.core, shown(map.axes.first_inlet[c], Q::temperature, style, 1),
        air ? "air" : "coolant", shown(map.axes.second_inlet[d], Q::temperature, style, 1));
    table.columns = {{with_unit("flow", Q::volume_flow, style.units), Align::right},
                     {air ? with_unit("face speed", Q::flow_speed, style.units)
                          : with_unit("coolant", Q::volume_flow, style.units),
                      Align::right},
                     {with_unit("heat", Q::heat_flow, style.units), Align::right},
                     {with_unit("out", Q::temperature, style.units), Align::right},
                     {"effectiveness", Align::right},
                     {with_unit("loss", Q::pressure, style.units), Align::right},
                     {air ? with_unit("air loss", Q::air_pressure, style.units)
                          : with_unit("coolant loss", Q::pressure, style.units),
                      Align::right},
                     {"what binds", Align::left, true},
                     {"", Align::left}};
    const int digits = us ? 2 : 1;
    for (std::size_t a = 0; a < map.axes.first_flow.size(); ++a) {
        if (a > 0) table.rows.emplace_back();
        for (std::size_t b = 0; b < map.axes.second_flow.size(); ++b) {
            const std::size_t i = map.index(a, b, c, d);
            const double second = map.axes.second_flow[b] / m.second_density[d];
            const double speed = m.face_area > 0 ? second / m.face_area : 0;
            table.rows.push_back(
                {{in_units(map.axes.first_flow[a] / m.first_density[c], Q::volume_flow, style.units,
                           1)},
                 {air ? in_units(speed, Q::flow_speed, style.units, 1)
                      : in_units(second, Q::volume_flow, style.units, 1)},
                 {detail::heat_words(map.heat[i], style), Tone::strong},
                 {in_units(map.first_outlet[i], Q::temperature, style.units, 1)},
                 {fixed(map.effectiveness[i], 3)},
                 {in_units(map.first_drop[i], Q::pressure, style.units, digits)},
                 {air ? in_units(map.second_drop[i], Q::air_pressure, style.units, us ? 2 : 0)
                      : in_units(map.second_drop[i], Q::pressure, style.units, digits)},
                 {exchangers::describe(map.limit[i], air)},
                 {map.flags[i] != 0 ? "*" : "", Tone::warning}});
        }
    }
    return table;
}

}  // namespace

template <>
std::span<const Field<MapPoint>> fields() {
    return point_fields;
}

std::vector<MapPoint> points_of(const CoreMap& m) {
    const exchangers::PerformanceMap& map = m.map;
    std::vector<MapPoint> out;
    out.reserve(map.heat.size());
    for (std::size_t a = 0; a < map.axes.first_flow.size(); ++a)
        for (std::size_t b = 0; b < map.axes.second_flow.size(); ++b)
            for (std::size_t c = 0; c < map.axes.first_inlet.size(); ++c)
                for (std::size_t d = 0; d < map.axes.second_inlet.size(); ++d) {
                    const std::size_t i = map.index(a, b, c, d);
                    out.push_back({.first_flow = map.axes.first_flow[a],
                                   .second_flow = map.axes.second_flow[b],
                                   .first_inlet = map.axes.first_inlet[c],
                                   .second_inlet = map.axes.second_inlet[d],
                                   .heat = map.heat[i],
                                   .effectiveness = map.effectiveness[i],
                                   .ntu = map.ntu[i],
                                   .conductance = map.ua[i],
                                   .first_drop = map.first_drop[i],
                                   .second_drop = map.second_drop[i],
                                   .first_outlet = map.first_outlet[i],
                                   .second_outlet = map.second_outlet[i],
                                   .first_share = map.first_share[i],
                                   .wall_share = map.wall_share[i],
                                   .second_share = map.second_share[i],
                                   .limit = exchangers::describe(map.limit[i], m.second_is_air),
                                   .flags = map.flags[i]});
                }
    return out;
}

std::string map_tables(const CoreMap& m, const Style& style) {
    std::string out;
    for (std::size_t c = 0; c < m.map.axes.first_inlet.size(); ++c)
        for (std::size_t d = 0; d < m.map.axes.second_inlet.size(); ++d)
            out += (out.empty() ? "" : "\n") + render(map_table(m, c, d, style), style.table);
    unsigned flags = 0;
    for (const unsigned flag : m.map.flags) flags |= flag;
    if (flags != 0)
        out += detail::paragraph(exchangers::describe_core_flags(flags), style, "* ", "  ");
    out += detail::paragraph(about(m, style), style, "  - ", "    ");
    for (const std::string& text : m.assumptions)
        out += detail::paragraph(units::restated(text, style.units), style, "  - ", "    ");
    return out;
}

std::string map_csv(std::span<const CoreMap> maps) {
    std::string out = "core";
    for (const Field<MapPoint>& field : fields<MapPoint>())
        out += fmt::format(",{} [{}]", field.name, field.unit.si());
    out += ",heat_uncertainty [W],limit,flags\n";
    for (const CoreMap& m : maps)
        for (const MapPoint& point : points_of(m)) {
            out += word_for_csv(m.core);
            for (const Field<MapPoint>& field : fields<MapPoint>())
                with_value(field, point, [&](const auto& x) {
                    if constexpr (std::is_arithmetic_v<std::decay_t<decltype(x)>>)
                        out += fmt::format(",{:.9g}", static_cast<double>(x));
                });
            out += fmt::format(",{:.9g},{},{}\n", m.uncertainty * std::abs(point.heat), point.limit,
                               point.flags);
        }
    return out;
}

void write_maps(const std::filesystem::path& target, std::span<const CoreMap> maps) {
    Hdf5Writer w(target);
    w.attributes("/", {{"lapheat", std::string(version())}});
    for (const CoreMap& m : maps) {
        // Every point is a row; flows and inlets are columns beside its heat.
        const std::string at = "/cores/" + path_word(m.core);
        w.group(at, {{"core", m.core},
                     {"second_stream", std::string(m.second_is_air ? "air" : "liquid")},
                     {"face_area", m.face_area},
                     {"uncertainty", m.uncertainty},
                     {"heat_capacity", m.heat_capacity},
                     {"liquid_volume", m.liquid_volume},
                     {"assumptions", m.assumptions}});
        const std::vector<MapPoint> points = points_of(m);
        put_rows(w, at, "point", points);
        const std::vector<std::string> axis = {at + "/point"};
        w.strings(at + "/limit", column(points, [](const MapPoint& p) { return p.limit; }), axis);
        w.integers(at + "/flags",
                   column(points, [](const MapPoint& p) { return std::int64_t{p.flags}; }), axis);
    }
    w.commit();
}

}  // namespace lapheat::results
