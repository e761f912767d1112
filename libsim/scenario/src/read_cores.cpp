// [fluids] and [cores]: what flows, and what it flows through.
#include <numbers>

#include "lapheat/exchangers/geometry.hpp"
#include "lapheat/exchangers/rated.hpp"
#include "lapheat/fluids/liquids.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;

enum class Sheet {
    water,
    ethylene_glycol,
    propylene_glycol,
    transmission_fluid,
    steering_fluid,
    engine_oil
};

fluids::Liquid read_oil(Reader& r, fluids::OilSheet sheet) {
    const auto line = [&](const char* key_40, const char* key_100, Q what,
                          std::vector<fluids::SheetPoint>& points) {
        const auto cold = r.optional_quantity(key_40, what, positive);
        const auto hot = r.optional_quantity(key_100, what, positive);
        if (cold) points = {{313.15, *cold}};
        if (cold && hot) points.push_back({373.15, *hot});
        if (!cold && hot) points = {{373.15, *hot}};
    };
    if (auto v = r.optional_quantity("viscosity_40", Q::kinematic_viscosity, positive))
        sheet.viscosity_1 = {313.15, *v};
    if (auto v = r.optional_quantity("viscosity_100", Q::kinematic_viscosity, positive))
        sheet.viscosity_2 = {373.15, *v};
    if (auto v = r.optional_quantity("density_15", Q::density, positive))
        sheet.density_1 = {288.15, *v};
    line("specific_heat_40", "specific_heat_100", Q::specific_heat, sheet.specific_heat);
    line("conductivity_40", "conductivity_100", Q::conductivity, sheet.conductivity);
    if (auto v = r.optional_quantity("pour_point", Q::temperature)) sheet.pour_point = *v;
    sheet.name = r.name();
    return r.attempt([&] { return fluids::from_sheet(sheet); }).value_or(fluids::Liquid{});
}

fluids::Liquid read_fluid(Reader& r) {
    const Sheet kind = r.kind<Sheet>("kind", {{"water", Sheet::water},
                                              {"ethylene_glycol", Sheet::ethylene_glycol},
                                              {"propylene_glycol", Sheet::propylene_glycol},
                                              {"transmission_fluid", Sheet::transmission_fluid},
                                              {"steering_fluid", Sheet::steering_fluid},
                                              {"engine_oil", Sheet::engine_oil}});
    switch (kind) {
        case Sheet::water:
            return fluids::water();
        case Sheet::ethylene_glycol:
        case Sheet::propylene_glycol: {
            const double share = r.quantity("fraction", Q::ratio, between(0, 0.60));
            return r
                .attempt([&] {
                    return kind == Sheet::ethylene_glycol ? fluids::ethylene_glycol(share)
                                                          : fluids::propylene_glycol(share);
                })
                .value_or(fluids::Liquid{});
        }
        case Sheet::transmission_fluid:
            return read_oil(r, fluids::transmission_fluid_sheet());
        case Sheet::steering_fluid:
            return read_oil(r, fluids::steering_fluid_sheet());
        default:
            return read_oil(r, fluids::engine_oil_sheet());
    }
}

exchangers::Condition read_condition(Reader& r) {
    exchangers::Condition c;
    c.first_fouling =
        r.optional_quantity("liquid_fouling", Q::fouling_resistance, not_negative).value_or(0);
    c.second_fouling =
        r.optional_quantity("air_fouling", Q::fouling_resistance, not_negative).value_or(0);
    c.blocked = r.optional_quantity("blocked", Q::ratio, between(0, 0.95)).value_or(0);
    c.bent = r.optional_quantity("bent_fins", Q::ratio, fraction).value_or(0);
    return c;
}

exchangers::Material read_material(Reader& r, const char* key, const char* fallback) {
    enum class M { aluminium, copper, brass, steel };
    switch (r.choice<M>(key,
                        {{"aluminium", M::aluminium},
                         {"copper", M::copper},
                         {"brass", M::brass},
                         {"steel", M::steel}},
                        fallback)) {
        case M::copper:
            return exchangers::copper;
        case M::brass:
            return exchangers::brass;
        case M::steel:
            return exchangers::steel;
        default:
            return exchangers::aluminium;
    }
}

double length(Reader& r, const char* key) { return r.quantity(key, Q::length, positive); }
double length_or(Reader& r, const char* key, double otherwise) {
    return r.optional_quantity(key, Q::length, positive).value_or(otherwise);
}
int count_or(Reader& r, const char* key, int otherwise) {
    return r.has(key) ? static_cast<int>(r.integer(key, 1, 10000)) : otherwise;
}

std::optional<exchangers::StripFill> read_strip(Reader& r, const char* prefix) {
    const std::string p = prefix;
    if (!r.has(p + "_fins")) return std::nullopt;
    exchangers::StripFill fill;
    fill.fins_per_metre = r.quantity(p + "_fins", Q::per_length, positive);
    fill.fin_thickness =
        r.optional_quantity(p + "_fin_thickness", Q::length, positive).value_or(fill.fin_thickness);
    fill.strip_length =
        r.optional_quantity(p + "_strip_length", Q::length, positive).value_or(fill.strip_length);
    return fill;
}

template <class Geometry>
std::optional<Core> made(Reader& r, const Geometry& geometry) {
    return r.attempt([&] { return exchangers::make_core(geometry); });
}

std::optional<Core> read_louvred(Reader& r) {
    exchangers::LouvredCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.depth = length(r, "depth");
    c.tubes_run =
        r.choice<exchangers::TubeDirection>("tubes_run",
                                            {{"horizontal", exchangers::TubeDirection::horizontal},
                                             {"vertical", exchangers::TubeDirection::vertical}},
                                            "horizontal");
    c.tubes = count_or(r, "tubes", 0);
    c.tube_pitch = length_or(r, "tube_pitch", 0);
    c.tube_height = length(r, "tube_height");
    c.tube_depth = length_or(r, "tube_depth", 0);
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.channels = count_or(r, "channels", 1);
    c.rows = count_or(r, "rows", 1);
    c.passes = count_or(r, "passes", 1);
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.louvre_pitch = length_or(r, "louvre_pitch", c.louvre_pitch);
    c.louvre_angle =
        r.optional_quantity("louvre_angle", Q::angle, positive).value_or(c.louvre_angle);
    c.turbulator = read_strip(r, "turbulator");
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_plate_fin(Reader& r) {
    exchangers::PlateFinCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.tube_diameter = length(r, "tube_diameter");
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.tubes = count_or(r, "tubes", 0);
    c.transverse_pitch = length_or(r, "transverse_pitch", 0);
    c.longitudinal_pitch = length_or(r, "longitudinal_pitch", 0);
    c.rows = count_or(r, "rows", 1);
    c.staggered = r.boolean("staggered", true);
    c.circuits = count_or(r, "circuits", 0);
    c.rows_in_series = r.boolean("rows_in_series", false);
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.wave_depth = length_or(r, "wave_depth", 0);
    c.half_wave_length = length_or(r, "half_wave_length", 0);
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_bar_plate(Reader& r) {
    exchangers::BarPlateCore c;
    c.width = length(r, "width");
    c.height = length(r, "height");
    c.depth = length(r, "depth");
    c.passages = count_or(r, "passages", 0);
    c.liquid_fin_height = length(r, "liquid_fin_height");
    c.air_fin_height = length_or(r, "air_fin_height", 0);
    c.sheet_thickness = length_or(r, "sheet_thickness", c.sheet_thickness);
    c.passes = count_or(r, "passes", 1);
    if (auto fill = read_strip(r, "liquid")) c.liquid_fins = *fill;
    if (auto fill = read_strip(r, "air")) c.air_fins = *fill;
    c.material = read_material(r, "material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_tank_plate(Reader& r) {
    exchangers::TankPlateCooler c;
    c.length = length(r, "length");
    c.plate_width = length(r, "plate_width");
    c.plates = count_or(r, "plates", 1);
    c.oil_height = length(r, "oil_height");
    c.wall = length_or(r, "wall", c.wall);
    c.tank_width = length(r, "tank_width");
    c.tank_depth = length(r, "tank_depth");
    if (auto fill = read_strip(r, "turbulator")) c.turbulator = *fill;
    c.counter_flow = r.boolean("counter_flow", true);
    c.material = read_material(r, "material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_tank_tube(Reader& r) {
    exchangers::TankTubeCooler c;
    c.length = length(r, "length");
    c.outer_diameter = length(r, "outer_diameter");
    c.bore = length(r, "bore");
    c.wall = length_or(r, "wall", c.wall);
    c.tank_width = length(r, "tank_width");
    c.tank_depth = length(r, "tank_depth");
    if (auto fill = read_strip(r, "turbulator")) c.turbulator = *fill;
    c.counter_flow = r.boolean("counter_flow", true);
    c.material = read_material(r, "material", "brass");
    c.condition = read_condition(r);
    return made(r, c);
}

std::optional<Core> read_finned_tube(Reader& r) {
    exchangers::FinnedTubeCore c;
    c.run_length = length(r, "run_length");
    c.runs = count_or(r, "runs", 1);
    c.rows = count_or(r, "rows", 1);
    c.run_pitch = length_or(r, "run_pitch", 0);
    c.row_pitch = length_or(r, "row_pitch", 0);
    c.tube_diameter = length(r, "tube_diameter");
    c.tube_wall = length_or(r, "tube_wall", c.tube_wall);
    c.fin_diameter = length(r, "fin_diameter");
    c.fins_per_metre = r.quantity("fins", Q::per_length, positive);
    c.fin_thickness = length_or(r, "fin_thickness", c.fin_thickness);
    c.fin = read_material(r, "fin_material", "aluminium");
    c.tube = read_material(r, "tube_material", "aluminium");
    c.condition = read_condition(r);
    return made(r, c);
}

exchangers::Arrangement read_arrangement(Reader& r, const char* fallback) {
    using A = exchangers::Arrangement;
    return r.choice<A>("arrangement",
                       {{"counter", A::counter},
                        {"parallel", A::parallel},
                        {"cross_unmixed", A::cross_unmixed},
                        {"cross_liquid_mixed", A::cross_first_mixed},
                        {"cross_air_mixed", A::cross_second_mixed},
                        {"cross_mixed", A::cross_mixed}},
                       fallback);
}

exchangers::RatedShape read_shape(Reader& r, bool air) {
    exchangers::RatedShape s;
    s.name = r.name();
    s.arrangement.kind = read_arrangement(r, air ? "cross_unmixed" : "counter");
    s.inner = r.choice<exchangers::InnerShape>("inside",
                                               {{"smooth", exchangers::InnerShape::smooth},
                                                {"turbulated", exchangers::InnerShape::turbulated}},
                                               "smooth");
    if (air) {
        s.width = length(r, "width");
        s.height = length(r, "height");
        s.depth = length(r, "depth");
    }
    s.inner_diameter = length_or(r, "inner_diameter", 0);
    s.inner_flow_area = r.optional_quantity("inner_flow_area", Q::area, positive).value_or(0);
    s.inner_length = length_or(r, "inner_length", 0);
    s.mass = r.optional_quantity("mass", Q::mass, positive).value_or(0);
    s.first_volume = r.optional_quantity("liquid_volume", Q::volume, positive).value_or(0);
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

/// A flow given as kg/s, or as a volume at the inlet's density.
double read_flow(Reader& r, const char* key, double density) {
    // Text such as "80 L/min" or "1.4 kg/s": whichever reads.
    const std::string text = r.text(key);
    try {
        return units::parse(text, Q::mass_flow);
    } catch (const Error&) {
        try {
            return units::parse(text, Q::volume_flow) * density;
        } catch (const Error&) {
            r.error(key, "a flow, such as \"80 L/min\" or \"1.4 kg/s\"");
            return 1;
        }
    }
}

std::optional<Core> read_rated(Reader& r, const exchangers::Medium& first,
                               const exchangers::Medium& second, bool by_conductance) {
    exchangers::RatedShape shape = read_shape(r, second.is_air);
    exchangers::Rating rating;
    auto& d = rating.duty;
    d.first_inlet = r.quantity("liquid_inlet", Q::temperature, between(250, 450));
    if (r.has("itd"))
        d.second_inlet = d.first_inlet - r.quantity("itd", Q::temperature_difference, positive);
    else
        d.second_inlet = r.quantity("air_inlet", Q::temperature, between(230, 430));
    if (!r.sound()) return std::nullopt;
    d.first_flow = read_flow(r, "liquid_flow", first.at(d.first_inlet).density);
    d.second_flow = read_flow(r, "air_flow", second.at(d.second_inlet).density);
    rating.first_drop = r.optional_quantity("liquid_drop", Q::pressure, positive).value_or(0);
    rating.second_drop = r.optional_quantity("air_drop", Q::pressure, positive).value_or(0);
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

std::optional<Core> read_weight_class(Reader& r, const exchangers::Medium& first,
                                      const exchangers::Medium& air) {
    exchangers::RatedShape shape = read_shape(r, true);
    const double mass = r.quantity("gross_vehicle_weight", Q::mass, positive);
    return r.attempt([&] { return exchangers::gross_weight_core(shape, first, air, mass); });
}

enum class Kind {
    rated,
    conductance,
    weight_class,
    louvred,
    plate_fin,
    bar_plate,
    tank_plate,
    tank_tube,
    finned_tube
};

std::vector<std::string> names_of(const Fluids& fluids) {
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    return names;
}

std::optional<Core> read_core(Reader& r, Kind kind, const exchangers::Medium& first,
                              const exchangers::Medium& second) {
    switch (kind) {
        case Kind::rated:
            return read_rated(r, first, second, false);
        case Kind::conductance:
            return read_rated(r, first, second, true);
        case Kind::weight_class:
            return read_weight_class(r, first, second);
        case Kind::louvred:
            return read_louvred(r);
        case Kind::plate_fin:
            return read_plate_fin(r);
        case Kind::bar_plate:
            return read_bar_plate(r);
        case Kind::tank_plate:
            return read_tank_plate(r);
        case Kind::tank_tube:
            return read_tank_tube(r);
        default:
            return read_finned_tube(r);
    }
}

}  // namespace

Fluids read_fluids(Reader& root) {
    Fluids out;
    for (Reader r : root.named("fluids")) out[r.name()] = read_fluid(r);
    return out;
}

std::vector<RatingSheet> read_core_tables(Reader& root, const Fluids& fluids) {
    std::vector<RatingSheet> out;
    const std::vector<std::string> names = names_of(fluids);
    for (Reader r : root.named("cores")) {
        const Kind kind = r.kind<Kind>("kind", {{"rated", Kind::rated},
                                                {"conductance", Kind::conductance},
                                                {"weight_class", Kind::weight_class},
                                                {"louvred", Kind::louvred},
                                                {"plate_fin", Kind::plate_fin},
                                                {"bar_plate", Kind::bar_plate},
                                                {"tank_plate", Kind::tank_plate},
                                                {"tank_tube", Kind::tank_tube},
                                                {"finned_tube", Kind::finned_tube}});
        const std::string first = r.reference("fluid", names);
        const auto second = r.optional_reference("second_fluid", names);
        const fluids::Liquid liquid = fluids.count(first) ? fluids.at(first) : fluids::Liquid{};
        const bool air = !second.has_value() && kind != Kind::tank_plate && kind != Kind::tank_tube;
        const fluids::Liquid other =
            second && fluids.count(*second) ? fluids.at(*second) : fluids::Liquid{};
        const std::optional<Core> core =
            read_core(r, kind, exchangers::liquid_medium(liquid),
                      air ? exchangers::air_medium() : exchangers::liquid_medium(other));
        RatingSheet sheet;
        sheet.first = liquid;
        sheet.second = other;
        sheet.second_is_air = air;
        sheet.entry.place = r.place();
        sheet.entry.rated_pressure =
            r.optional_quantity("rated_pressure", Q::pressure, positive).value_or(0);
        if (!r.has("circuits")) {
            sheet.entry.name = r.name();
            if (core) sheet.entry.core = *core;
            sheet.entry.core.name = sheet.entry.name;
            out.push_back(std::move(sheet));
            continue;
        }
        // A combined core: each circuit has its share of the face and of the tubes behind it.
        Reader circuits = r.table("circuits");
        double sum = 0;
        for (const std::string& circuit : circuits.keys()) {
            Reader one = circuits.table(circuit);
            const double share = one.number("share", between(0.01, 0.99));
            const std::string fluid = one.reference("fluid", names);
            sum += share;
            RatingSheet part = sheet;
            part.entry.name = r.name() + "." + circuit;
            if (fluids.count(fluid)) part.first = fluids.at(fluid);
            if (core && share > 0) part.entry.core = exchangers::face_fraction(*core, share);
            part.entry.core.name = part.entry.name;
            out.push_back(std::move(part));
        }
        if (circuits.sound() && std::abs(sum - 1) > 0.01)
            circuits.error("", "shares that sum to 1");
    }
    return out;
}

std::vector<RatingSheet> read_cores(const std::filesystem::path& file) {
    Problems problems;
    const Document document = load(file, problems);
    Reader root(document, problems);
    const Fluids fluids = read_fluids(root);
    std::vector<RatingSheet> sheets = read_core_tables(root, fluids);
    problems.throw_if_any();
    return sheets;
}

}  // namespace lapheat::scenario
