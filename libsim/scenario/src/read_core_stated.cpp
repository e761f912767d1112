// Cores from what a seller states, a weight class, or somebody's measurements.
#include "lapheat/exchangers/rated.hpp"

#include <fmt/core.h>
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;
using exchangers::Medium;

/// "air" or, where the heat goes into a liquid, "second": the prefix of that stream's keys.
std::string second_word(const Medium& second) { return second.is_air ? "air" : "second"; }

constexpr std::string_view with_air = "to a core that is cooled by air",
                           with_liquid = "to a core with a `second_fluid`";

constexpr Key length(std::string_view name, std::string_view help) {
    return key::quantity(name, Q::length, positive, help);
}

// ---- what all stated cores may say

using exchangers::InnerShape;
constexpr Word inner_shapes[] = {{"smooth", InnerShape::smooth, "plain tubes or channels"},
                                 {"turbulated", InnerShape::turbulated, "strip fins or dimples"}};
constexpr Key shape_keys[] = {
    key::choice("inside", inner_shapes, "of the liquid's way").otherwise("smooth"),
    length("width", "of the finned face, without tanks").only(with_air),
    length("height", "of the finned face, without tanks").only(with_air),
    length("depth", "along the air").only(with_air),
    length("inner_diameter", "hydraulic, of one passage")
        .optional("2.5 mm smooth, 3 mm turbulated"),
    key::quantity("inner_flow_area", Q::area, positive, "of the liquid")
        .optional("1 m/s of water, 0.5 m/s of oil"),
    length("inner_length", "of the liquid's way").optional("the width, or 0.5 m"),
    key::quantity("mass", Q::mass, positive, "dry").optional("600 kg/m3 of the core"),
    key::quantity("liquid_volume", Q::volume, positive, "inside")
        .optional("inner_flow_area times inner_length"),
    key::quantity("uncertainty", Q::ratio, between(0, 1), "of the stated heat").usual([] {
        return exchangers::RatedShape{}.uncertainty;
    }),
    key::numbers("split", not_negative,
                 "[liquid, wall, air]: shares of the resistance at the stated point")
        .optional("by the fluids")};
constexpr Table shape_table{"", "", "", shape_keys, {&arrangement_table, &condition_table}};

exchangers::RatedShape read_shape(Reader& r, bool air) {
    exchangers::RatedShape s;
    s.name = r.name();
    s.arrangement.kind =
        air ? exchangers::Arrangement::cross_unmixed : exchangers::Arrangement::counter;
    if (const auto arrangement = read_arrangement(r)) s.arrangement = *arrangement;
    s.inner = r.choice<InnerShape>(shape_table["inside"]);
    if (air) {
        s.width = r.quantity(shape_table["width"]);
        s.height = r.quantity(shape_table["height"]);
        s.depth = r.quantity(shape_table["depth"]);
    }
    s.inner_diameter = r.optional_quantity(shape_table["inner_diameter"]).value_or(0);
    s.inner_flow_area = r.optional_quantity(shape_table["inner_flow_area"]).value_or(0);
    s.inner_length = r.optional_quantity(shape_table["inner_length"]).value_or(0);
    s.mass = r.optional_quantity(shape_table["mass"]).value_or(0);
    s.first_volume = r.optional_quantity(shape_table["liquid_volume"]).value_or(0);
    s.uncertainty = r.quantity(shape_table["uncertainty"]);
    const Key& shares = shape_table["split"];
    if (r.has(shares)) {
        const std::vector<double> split = r.numbers(shares);
        if (split.size() == 3)
            s.split = exchangers::ResistanceSplit{split[0], split[1], split[2]};
        else
            r.error(
                shares,
                "three numbers: the liquid's, the wall's and the air's share of the resistance");
    }
    return s;
}

/// As stated, with the dirt and damage it has now.
std::optional<Core> in_condition(Reader& r, std::optional<Core> core) {
    const exchangers::Condition condition = read_condition(r);
    if (!core) return core;
    return r.attempt([&] { return exchangers::with_condition(*core, condition); });
}

/// Flows given as mass, or as volume at the inlet's density: whichever reads.
std::vector<double> read_flows(Reader& r, const Key& key, double density) {
    std::vector<double> flows;
    for (const std::string& text : r.texts(key)) {
        try {
            flows.push_back(units::parse(text, Q::mass_flow));
        } catch (const Error&) {
            try {
                flows.push_back(units::parse(text, Q::volume_flow) * density);
            } catch (const Error&) {
                r.error(key, "a flow, such as \"80 L/min\" or \"1.4 kg/s\"");
                flows.push_back(1);
            }
        }
        if (!(flows.back() > 0)) r.error(key, "flows above 0");
    }
    return flows;
}

double read_flow(Reader& r, const Key& key, double density) {
    const std::vector<double> flows = read_flows(r, key, density);
    if (flows.size() == 1) return flows.front();
    if (!flows.empty()) r.error(key, "one flow");
    return 1;
}

// ---- entering temperatures and flows

constexpr Key inlet_keys[] = {
    key::quantity("liquid_inlet", Q::temperature, between(250, 450), "entering"),
    key::quantity("itd", Q::temperature_difference, positive,
                  "of the entering temperatures, in place of what cools")
        .nothing("by air_inlet or second_inlet"),
    key::quantity("air_inlet", Q::temperature, between(230, 430), "entering, or itd")
        .only(with_air),
    key::quantity("second_inlet", Q::temperature, between(230, 430), "entering, or itd")
        .only(with_liquid)};
constexpr Table inlet_table{"", "", "", inlet_keys};

/// The entering temperatures, the second one also as a difference.
void read_inlets(Reader& r, const Medium& second, double& first_inlet, double& second_inlet) {
    const Key& key = inlet_table.at(second_word(second) + "_inlet");
    const Key& difference = inlet_table["itd"];
    first_inlet = r.quantity(inlet_table["liquid_inlet"]);
    if (r.has(difference)) {
        second_inlet = first_inlet - r.quantity(difference);
        if (r.has(key)) r.error(key, "either this key or itd");
        r.ignore(key);
    } else {
        r.ignore(difference);
        second_inlet = r.quantity(key);
    }
}

// ---- rated, conductance

constexpr Key flow_keys[] = {
    key::texts("liquid_flow", "volume or mass flow"),
    key::texts("air_flow", "volume or mass flow").only(with_air),
    key::texts("second_flow", "volume or mass flow").only(with_liquid),
    key::quantity("liquid_drop", Q::pressure, positive, "of the liquid at its flow")
        .optional("by friction along its way"),
    key::quantity("air_drop", Q::air_pressure, positive, "of the air at its flow")
        .optional("from its heat transfer")
        .only(with_air),
    key::quantity("second_drop", Q::pressure, positive, "of what cools at its flow")
        .optional("from its heat transfer")
        .only(with_liquid)};
constexpr Table flow_table{"", "", "", flow_keys};
constexpr Key rated_keys[] = {key::quantity("heat", Q::power, positive, "rejected at that point")};
constexpr Table rated{"rated",
                      "",
                      "One point that a seller states: heat at flows and temperatures.",
                      rated_keys,
                      {&inlet_table, &flow_table, &shape_table}};
constexpr Key conductance_keys[] = {
    key::quantity("conductance", Q::thermal_conductance, positive, "UA at that point")};
constexpr Table conductance{"conductance",
                            "",
                            "The same with its conductance in place of heat.",
                            conductance_keys,
                            {&inlet_table, &flow_table, &shape_table}};

/// The stated point without its heat; empty where the inlets are wrong.
std::optional<exchangers::Rating> read_point(Reader& r, const Medium& first, const Medium& second) {
    const std::string word = second_word(second);
    exchangers::Rating rating;
    auto& d = rating.duty;
    read_inlets(r, second, d.first_inlet, d.second_inlet);
    if (!r.sound()) return std::nullopt;
    d.first_flow = read_flow(r, flow_table["liquid_flow"], first.at(d.first_inlet).density);
    d.second_flow = read_flow(r, flow_table.at(word + "_flow"), second.at(d.second_inlet).density);
    rating.first_drop = r.optional_quantity(flow_table["liquid_drop"]).value_or(0);
    rating.second_drop = r.optional_quantity(flow_table.at(word + "_drop")).value_or(0);
    return rating;
}

std::optional<Core> read_rated(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    std::optional<Core> core;
    if (auto rating = read_point(r, first, second)) {
        rating->heat = r.quantity(rated["heat"]);
        core = r.attempt([&] { return exchangers::rated_core(shape, first, second, *rating); });
    }
    return in_condition(r, std::move(core));
}

std::optional<Core> read_conductance(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    std::optional<Core> core;
    if (const auto rating = read_point(r, first, second)) {
        const double ua = r.quantity(conductance["conductance"]);
        core = r.attempt([&] {
            return exchangers::rated_core(
                shape, first, second,
                std::vector<exchangers::ConductancePoint>{{rating->duty, ua}});
        });
    }
    return in_condition(r, std::move(core));
}

// ---- points, and the points that correct a core from dimensions

constexpr Column point_column(std::string_view name, Q what, Range range, bool required = false) {
    return {.name = name, .quantity = what, .range = range, .required = required};
}
constexpr Column core_point_columns[] = {
    point_column("liquid_inlet", Q::temperature, between(250, 450), true),
    point_column("air_inlet", Q::temperature, between(230, 430), true),
    point_column("second_inlet", Q::temperature, between(230, 430), true),
    point_column("liquid_flow", Q::volume_flow, positive),
    point_column("liquid_mass_flow", Q::mass_flow, positive),
    point_column("air_flow", Q::air_flow, positive),
    point_column("air_mass_flow", Q::mass_flow, positive),
    point_column("second_flow", Q::volume_flow, positive),
    point_column("second_mass_flow", Q::mass_flow, positive),
    point_column("air_speed", Q::speed, positive),
    point_column("heat", Q::power, positive),
    point_column("liquid_outlet", Q::temperature, between(230, 450)),
    point_column("heat_error", Q::power, positive),
    point_column("liquid_drop", Q::pressure, positive),
    point_column("air_drop", Q::air_pressure, positive),
    point_column("second_drop", Q::pressure, positive)};

/// The columns of a core cooled by air, or of one cooled by a liquid.
std::vector<Column> columns_of(const Medium& second) {
    const std::string_view other = second.is_air ? "second_" : "air_";
    std::vector<Column> out;
    for (const Column& column : core_point_columns)
        if (!column.name.starts_with(other)) out.push_back(column);
    return out;
}

/// A table of measured points. `face_area` (m²) turns air speeds into flows.
std::vector<exchangers::FitPoint> read_points(Reader& r, const Key& key, const Medium& first,
                                              const Medium& second, double face_area) {
    const std::string word = second_word(second);
    const std::string second_volume = word + "_flow", second_mass = word + "_mass_flow",
                      second_inlet = word + "_inlet", second_drop = word + "_drop";
    const Columns table = r.columns(key, columns_of(second));
    std::vector<exchangers::FitPoint> points;
    if (table.rows() == 0) return points;
    const auto one_of = [&](std::initializer_list<std::string> names) {
        int found = 0;
        std::string list;
        for (const std::string& name : names) {
            found += table.has(name) ? 1 : 0;
            list += (list.empty() ? "" : ", ") + name;
        }
        if (found != 1) r.error(key, "exactly one of the columns " + list);
        return found == 1;
    };
    const bool speeds = second.is_air && face_area > 0;
    if (!one_of({"liquid_flow", "liquid_mass_flow"}) ||
        !(speeds ? one_of({second_volume, second_mass, "air_speed"})
                 : one_of({second_volume, second_mass})) ||
        !one_of({"heat", "liquid_outlet"}))
        return points;
    const auto optional = [&](const std::string& name, std::size_t i) {
        return table.has(name) ? table[name][i] : 0.0;
    };
    for (std::size_t i = 0; i < table.rows(); ++i) {
        exchangers::FitPoint p;
        p.duty.first_inlet = table["liquid_inlet"][i];
        p.duty.second_inlet = table[second_inlet][i];
        p.duty.first_flow = table.has("liquid_mass_flow")
                                ? table["liquid_mass_flow"][i]
                                : table["liquid_flow"][i] * first.at(p.duty.first_inlet).density;
        p.duty.second_flow = table.has(second_mass)
                                 ? table[second_mass][i]
                                 : (table.has("air_speed") ? table["air_speed"][i] * face_area
                                                           : table[second_volume][i]) *
                                       second.at(p.duty.second_inlet).density;
        if (table.has("heat")) {
            p.heat = table["heat"][i];
        } else {
            const double out = table["liquid_outlet"][i];
            p.heat = p.duty.first_flow * first.at(0.5 * (p.duty.first_inlet + out)).specific_heat *
                     (p.duty.first_inlet - out);
        }
        p.heat_error = optional("heat_error", i);
        p.first_drop = optional("liquid_drop", i);
        p.second_drop = optional(second_drop, i);
        points.push_back(p);
    }
    return points;
}

constexpr Key points_keys[] = {
    key::columns("points", core_point_columns,
                 "one flow of each stream, and heat or liquid_outlet; drops where known", 1)};
constexpr Table points_table{
    "points",
    "",
    "A table of measured points, to which a core is fitted. The report says "
    "what they can and cannot tell, with 95 % intervals.",
    points_keys,
    {&shape_table}};

std::optional<Core> read_stated_points(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    const std::vector<exchangers::FitPoint> given =
        read_points(r, points_table["points"], first, second, shape.width * shape.height);
    return in_condition(r, r.attempt([&] {
        std::vector<exchangers::Rating> ratings;
        ratings.reserve(given.size());
        for (const exchangers::FitPoint& p : given)
            ratings.push_back({p.duty, p.heat, p.first_drop, p.second_drop});
        return exchangers::rated_core(shape, first, second, ratings);
    }));
}

// ---- map

constexpr Key row_keys[] = {
    key::texts("liquid_flow", "volume or mass flow of this row"),
    key::quantities("heat", Q::power, positive, "one for each flow of what cools")};
constexpr Table row_table{"map-rows", "map = [{ ... }, ...]", "A row of a heat map.", row_keys};
constexpr Key map_keys[] = {
    key::texts("air_flow", "volume or mass flows, one for each column").only(with_air),
    key::texts("second_flow", "volume or mass flows, one for each column").only(with_liquid),
    key::tables("map", &row_table,
                "rows such as { liquid_flow = \"8 L/min\", heat = [\"2 kW\", \"3 kW\"] }")};
constexpr Table heat_map{"map",
                         "",
                         "Heat over a grid of flows at one pair of entering temperatures.",
                         map_keys,
                         {&inlet_table, &shape_table}};

std::optional<Core> read_map(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    const std::string word = second_word(second);
    exchangers::RatingMap map;
    read_inlets(r, second, map.first_inlet, map.second_inlet);
    if (!r.sound()) return in_condition(r, std::nullopt);
    map.second_flow =
        read_flows(r, heat_map.at(word + "_flow"), second.at(map.second_inlet).density);
    std::vector<Reader> rows = r.tables(heat_map["map"]);
    if (rows.empty())
        r.error(heat_map["map"],
                "rows such as { liquid_flow = \"8 L/min\", heat = [\"2 kW\", \"3 kW\"] }");
    for (Reader& row : rows) {
        map.first_flow.push_back(
            read_flow(row, row_table["liquid_flow"], first.at(map.first_inlet).density));
        const std::vector<double> heat = row.quantities(row_table["heat"]);
        if (heat.size() != map.second_flow.size() && !heat.empty())
            row.error(row_table["heat"], fmt::format("as many heats as {}_flow has flows ({})",
                                                     word, map.second_flow.size()));
        map.heat.insert(map.heat.end(), heat.begin(), heat.end());
    }
    return in_condition(
        r, r.attempt([&] { return exchangers::rated_core(shape, first, second, map); }));
}

// ---- weight_class

constexpr exchangers::GrossWeightAssumption usual_weight{};
constexpr Key guess_keys[] = {
    key::quantity("grade", Q::ratio, between(0.001, 0.5), "climbed").usual(usual_weight.grade),
    key::quantity("speed", Q::speed, positive, "of the climb").usual(usual_weight.speed),
    key::quantity("loss_share", Q::ratio, between(0.001, 1), "of its power that becomes heat")
        .usual(usual_weight.loss_share),
    key::quantity("liquid_inlet", Q::temperature, between(300, 450), "entering")
        .usual(usual_weight.first_inlet),
    key::quantity("air_inlet", Q::temperature, between(230, 350), "entering")
        .usual(usual_weight.second_inlet),
    key::quantity("air_speed", Q::speed, positive, "at the face").usual(usual_weight.face_velocity),
    key::texts("liquid_flow", "volume or mass flow").optional("0.1 kg/s")};
constexpr Table guess_table{"weight_class-assumptions", "[cores.NAME.assumptions]",
                            "What a weight class leaves open: a climb, its heat, and at which "
                            "temperatures the cooler holds it.",
                            guess_keys};
constexpr Key weight_keys[] = {
    key::quantity("gross_vehicle_weight", Q::mass, positive, "that the seller names"),
    key::table("assumptions", &guess_table, "what the class leaves open").nothing("defaults")};
constexpr Table weight_class{"weight_class",
                             "",
                             "A cooler sold by the weight of its vehicle: a guess, good to 50 %.",
                             weight_keys,
                             {&shape_table}};

std::optional<Core> read_weight_class(Reader& r, const Medium& first, const Medium& air) {
    const exchangers::RatedShape shape = read_shape(r, true);
    const double mass = r.quantity(weight_class["gross_vehicle_weight"]);
    exchangers::GrossWeightAssumption a;
    Reader assumed = r.table(weight_class["assumptions"]);
    a.grade = assumed.quantity(guess_table["grade"]);
    a.speed = assumed.quantity(guess_table["speed"]);
    a.loss_share = assumed.quantity(guess_table["loss_share"]);
    a.first_inlet = assumed.quantity(guess_table["liquid_inlet"]);
    a.second_inlet = assumed.quantity(guess_table["air_inlet"]);
    a.face_velocity = assumed.quantity(guess_table["air_speed"]);
    const Key& flow = guess_table["liquid_flow"];
    if (assumed.has(flow) && assumed.sound())
        a.first_flow = read_flow(assumed, flow, first.at(a.first_inlet).density);
    else
        assumed.ignore(flow);
    return in_condition(
        r, r.attempt([&] { return exchangers::gross_weight_core(shape, first, air, mass, a); }));
}

constexpr Key measured_keys[] = {
    key::columns("measured", core_point_columns,
                 "points to which the core is fitted: one flow of each stream, and heat or "
                 "liquid_outlet",
                 1)
        .nothing("by its dimensions alone")};

}  // namespace

constexpr Table measured_table{"", "", "", measured_keys};

std::span<const CoreKind> stated_kinds() {
    static const std::vector<CoreKind> kinds = {{&rated, read_rated},
                                                {&points_table, read_stated_points},
                                                {&heat_map, read_map},
                                                {&conductance, read_conductance},
                                                {&weight_class, read_weight_class}};
    return kinds;
}

std::optional<Core> fitted_to_measured(Reader& r, std::optional<Core> core, const Medium& first,
                                       const Medium& second) {
    const Key& measured = measured_table["measured"];
    if (!r.has(measured)) {
        r.ignore(measured);
        return core;
    }
    const std::vector<exchangers::FitPoint> given =
        read_points(r, measured, first, second, core ? core->face_area : 1);
    if (!core) return core;
    return r.attempt([&] { return exchangers::fitted_core(*core, first, second, given); });
}

}  // namespace lapheat::scenario
