// Cores from what a seller states, a weight class, or somebody's measurements.
#include "lapheat/exchangers/rated.hpp"
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;
using exchangers::Medium;

/// "air" or, where the heat goes into a liquid, "second": the prefix of that stream's keys.
std::string second_word(const Medium& second) { return second.is_air ? "air" : "second"; }

double length(Reader& r, const char* key) { return r.quantity(key, Q::length, positive); }
double length_or_none(Reader& r, const char* key) {
    return r.optional_quantity(key, Q::length, positive).value_or(0);
}

exchangers::RatedShape read_shape(Reader& r, bool air) {
    exchangers::RatedShape s;
    s.name = r.name();
    s.arrangement.kind =
        air ? exchangers::Arrangement::cross_unmixed : exchangers::Arrangement::counter;
    if (const auto arrangement = read_arrangement(r)) s.arrangement = *arrangement;
    s.inner = r.choice<exchangers::InnerShape>("inside",
                                               {{"smooth", exchangers::InnerShape::smooth},
                                                {"turbulated", exchangers::InnerShape::turbulated}},
                                               "smooth");
    if (air) {
        s.width = length(r, "width");
        s.height = length(r, "height");
        s.depth = length(r, "depth");
    }
    s.inner_diameter = length_or_none(r, "inner_diameter");
    s.inner_flow_area = r.optional_quantity("inner_flow_area", Q::area, positive).value_or(0);
    s.inner_length = length_or_none(r, "inner_length");
    s.mass = r.optional_quantity("mass", Q::mass, positive).value_or(0);
    s.first_volume = r.optional_quantity("liquid_volume", Q::volume, positive).value_or(0);
    s.uncertainty =
        r.optional_quantity("uncertainty", Q::ratio, between(0, 1)).value_or(s.uncertainty);
    if (r.has("split")) {
        const std::vector<double> split = r.numbers("split", not_negative);
        if (split.size() == 3)
            s.split = exchangers::ResistanceSplit{split[0], split[1], split[2]};
        else
            r.error(
                "split",
                "three numbers: the liquid's, the wall's and the air's share of the resistance");
    }
    return s;
}

/// Flows given as mass, or as volume at the inlet's density: whichever reads.
std::vector<double> read_flows(Reader& r, const std::string& key, double density) {
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

double read_flow(Reader& r, const std::string& key, double density) {
    const std::vector<double> flows = read_flows(r, key, density);
    if (flows.size() == 1) return flows.front();
    if (!flows.empty()) r.error(key, "one flow");
    return 1;
}

/// The entering temperatures, the second one also as a difference.
void read_inlets(Reader& r, const Medium& second, double& first_inlet, double& second_inlet) {
    const std::string key = second_word(second) + "_inlet";
    first_inlet = r.quantity("liquid_inlet", Q::temperature, between(250, 450));
    if (r.has("itd")) {
        second_inlet = first_inlet - r.quantity("itd", Q::temperature_difference, positive);
        if (r.has(key)) r.error(key, "either this key or itd");
        r.ignore(key);
    } else {
        second_inlet = r.quantity(key, Q::temperature, between(230, 430));
    }
}

std::optional<Core> read_rated(Reader& r, const Medium& first, const Medium& second,
                               bool by_conductance) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    const std::string word = second_word(second);
    exchangers::Rating rating;
    auto& d = rating.duty;
    read_inlets(r, second, d.first_inlet, d.second_inlet);
    if (!r.sound()) return std::nullopt;
    d.first_flow = read_flow(r, "liquid_flow", first.at(d.first_inlet).density);
    d.second_flow = read_flow(r, word + "_flow", second.at(d.second_inlet).density);
    rating.first_drop = r.optional_quantity("liquid_drop", Q::pressure, positive).value_or(0);
    rating.second_drop = r.optional_quantity(word + "_drop", Q::pressure, positive).value_or(0);
    if (by_conductance) {
        const double ua = r.quantity("conductance", Q::thermal_conductance, positive);
        return r.attempt([&] {
            return exchangers::rated_core(shape, first, second,
                                          std::vector<exchangers::ConductancePoint>{{d, ua}});
        });
    }
    rating.heat = r.quantity("heat", Q::power, positive);
    return r.attempt([&] { return exchangers::rated_core(shape, first, second, rating); });
}

std::optional<Core> read_stated_points(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    const std::vector<exchangers::FitPoint> points =
        read_points(r, "points", first, second, shape.width * shape.height);
    return r.attempt([&] {
        std::vector<exchangers::Rating> ratings;
        ratings.reserve(points.size());
        for (const exchangers::FitPoint& p : points)
            ratings.push_back({p.duty, p.heat, p.first_drop, p.second_drop});
        return exchangers::rated_core(shape, first, second, ratings);
    });
}

/// Heat over a grid of flows at one pair of entering temperatures: for each flow of the liquid a
/// row of heats, one for each flow of the air.
std::optional<Core> read_map(Reader& r, const Medium& first, const Medium& second) {
    const exchangers::RatedShape shape = read_shape(r, second.is_air);
    exchangers::RatingMap map;
    read_inlets(r, second, map.first_inlet, map.second_inlet);
    if (!r.sound()) return std::nullopt;
    map.second_flow =
        read_flows(r, second_word(second) + "_flow", second.at(map.second_inlet).density);
    std::vector<Reader> rows = r.tables("map");
    if (rows.empty())
        r.error("map", "rows such as { liquid_flow = \"8 L/min\", heat = [\"2 kW\", \"3 kW\"] }");
    for (Reader& row : rows) {
        map.first_flow.push_back(read_flow(row, "liquid_flow", first.at(map.first_inlet).density));
        const std::vector<double> heat = row.quantities("heat", Q::power, positive);
        if (heat.size() != map.second_flow.size() && !heat.empty())
            row.error("heat", "as many heats as " + second_word(second) + "_flow has flows (" +
                                  std::to_string(map.second_flow.size()) + ")");
        map.heat.insert(map.heat.end(), heat.begin(), heat.end());
    }
    return r.attempt([&] { return exchangers::rated_core(shape, first, second, map); });
}

std::optional<Core> read_weight_class(Reader& r, const Medium& first, const Medium& air) {
    const exchangers::RatedShape shape = read_shape(r, true);
    const double mass = r.quantity("gross_vehicle_weight", Q::mass, positive);
    exchangers::GrossWeightAssumption a;
    Reader assumed = r.table_or_empty("assumptions");
    const auto take = [&](const char* key, Q what, Range range, double& value) {
        if (const auto given = assumed.optional_quantity(key, what, range)) value = *given;
    };
    take("grade", Q::ratio, between(0.001, 0.5), a.grade);
    take("speed", Q::speed, positive, a.speed);
    take("loss_share", Q::ratio, between(0.001, 1), a.loss_share);
    take("liquid_inlet", Q::temperature, between(300, 450), a.first_inlet);
    take("air_inlet", Q::temperature, between(230, 350), a.second_inlet);
    take("air_speed", Q::speed, positive, a.face_velocity);
    if (assumed.has("liquid_flow") && assumed.sound())
        a.first_flow = read_flow(assumed, "liquid_flow", first.at(a.first_inlet).density);
    return r.attempt([&] { return exchangers::gross_weight_core(shape, first, air, mass, a); });
}

}  // namespace

std::optional<exchangers::ArrangementSpec> read_arrangement(Reader& r) {
    using A = exchangers::Arrangement;
    using C = exchangers::PassCoupling;
    if (!r.has("arrangement")) return std::nullopt;
    exchangers::ArrangementSpec s;
    s.kind = r.choice<A>("arrangement", {{"counter", A::counter},
                                         {"parallel", A::parallel},
                                         {"cross_unmixed", A::cross_unmixed},
                                         {"cross_liquid_mixed", A::cross_first_mixed},
                                         {"cross_air_mixed", A::cross_second_mixed},
                                         {"cross_mixed", A::cross_mixed},
                                         {"cross_rows", A::cross_rows},
                                         {"shell_and_tube", A::shell_and_tube},
                                         {"cross_counter", A::cross_counter},
                                         {"cross_parallel", A::cross_parallel}});
    const bool passes = s.kind == A::cross_counter || s.kind == A::cross_parallel;
    if (passes || s.kind == A::cross_rows || s.kind == A::shell_and_tube)
        s.count = static_cast<int>(r.integer("arrangement_count", 1, 20));
    if (passes) {
        s.coupling = r.choice<C>("coupling",
                                 {{"mixed", C::mixed},
                                  {"same_order", C::unmixed_identical},
                                  {"turned_order", C::unmixed_inverted}},
                                 "mixed");
    }
    (void)r.attempt([&] {
        exchangers::check(s);
        return true;
    });
    return s;
}

std::vector<exchangers::FitPoint> read_points(Reader& r, const char* key, const Medium& first,
                                              const Medium& second, double face_area) {
    const std::string word = second_word(second);
    const auto column = [](std::string name, Q what, Range range, bool required = false) {
        return Column{
            .name = std::move(name), .quantity = what, .range = range, .required = required};
    };
    const std::string second_volume = word + "_flow", second_mass = word + "_mass_flow",
                      second_inlet = word + "_inlet", second_drop = word + "_drop";
    const Columns table = r.columns(
        key,
        {column("liquid_inlet", Q::temperature, between(250, 450), true),
         column(second_inlet, Q::temperature, between(230, 430), true),
         column("liquid_flow", Q::volume_flow, positive),
         column("liquid_mass_flow", Q::mass_flow, positive),
         column(second_volume, Q::volume_flow, positive),
         column(second_mass, Q::mass_flow, positive), column("air_speed", Q::speed, positive),
         column("heat", Q::power, positive),
         column("liquid_outlet", Q::temperature, between(230, 450)),
         column("heat_error", Q::power, positive), column("liquid_drop", Q::pressure, positive),
         column(second_drop, Q::pressure, positive)},
        1);
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

std::optional<Core> read_stated(Reader& r, CoreKind kind, const Medium& first,
                                const Medium& second) {
    switch (kind) {
        case CoreKind::rated:
            return read_rated(r, first, second, false);
        case CoreKind::points:
            return read_stated_points(r, first, second);
        case CoreKind::map:
            return read_map(r, first, second);
        case CoreKind::conductance:
            return read_rated(r, first, second, true);
        default:
            return read_weight_class(r, first, second);
    }
}

}  // namespace lapheat::scenario
