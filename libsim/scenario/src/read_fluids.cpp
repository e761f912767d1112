// [fluids]: what flows. Every property of a generic oil can be taken from its data sheet, and any
// coolant from a table.
#include "lapheat/fluids/liquids.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

enum class Sheet {
    water,
    ethylene_glycol,
    propylene_glycol,
    transmission_fluid,
    steering_fluid,
    engine_oil,
    data_sheet
};

constexpr double celsius_15 = 288.15, celsius_40 = 313.15, celsius_100 = 373.15;

/// Two points at temperatures of the sheet's own, in place of those at 40 and 100 °C.
void read_viscosity(Reader& r, fluids::OilSheet& sheet) {
    if (!r.has("viscosity")) {
        if (auto v = r.optional_quantity("viscosity_40", Q::kinematic_viscosity, positive))
            sheet.viscosity_1 = {celsius_40, *v};
        if (auto v = r.optional_quantity("viscosity_100", Q::kinematic_viscosity, positive))
            sheet.viscosity_2 = {celsius_100, *v};
        return;
    }
    if (r.has("viscosity_40") || r.has("viscosity_100"))
        r.error("viscosity", "either this table or viscosity_40 and viscosity_100");
    r.ignore("viscosity_40");
    r.ignore("viscosity_100");
    const Columns points = r.columns(
        "viscosity",
        {{.name = "temperature", .quantity = Q::temperature, .range = {}, .increasing = true},
         {.name = "viscosity", .quantity = Q::kinematic_viscosity, .range = positive}});
    if (points.rows() == 0) return;
    if (points.rows() != 2)
        r.error("viscosity", "two points: the line of ASTM D341 goes through two");
    const auto &t = points["temperature"], &v = points["viscosity"];
    sheet.viscosity_1 = {t.front(), v.front()};
    sheet.viscosity_2 = {t.back(), v.back()};
}

fluids::Liquid read_oil(Reader& r, fluids::OilSheet sheet) {
    const auto line = [&](const char* key_40, const char* key_100, Q what,
                          std::vector<fluids::SheetPoint>& points) {
        const auto cold = r.optional_quantity(key_40, what, positive);
        const auto hot = r.optional_quantity(key_100, what, positive);
        if (cold) points = {{celsius_40, *cold}};
        if (cold && hot) points.push_back({celsius_100, *hot});
        if (!cold && hot) points = {{celsius_100, *hot}};
    };
    read_viscosity(r, sheet);
    if (auto v = r.optional_quantity("density_15", Q::density, positive)) {
        sheet.density_1 = {celsius_15, *v};
        sheet.density_2.reset();
    }
    if (auto v = r.optional_quantity("density_100", Q::density, positive))
        sheet.density_2 = fluids::SheetPoint{celsius_100, *v};
    line("specific_heat_40", "specific_heat_100", Q::specific_heat, sheet.specific_heat);
    line("conductivity_40", "conductivity_100", Q::conductivity, sheet.conductivity);
    if (auto v = r.optional_quantity("pour_point", Q::temperature)) sheet.pour_point = *v;
    if (auto v = r.optional_quantity("maximum_temperature", Q::temperature))
        sheet.maximum_temperature = *v;
    sheet.name = r.name();
    return r.attempt([&] { return fluids::from_sheet(sheet); }).value_or(fluids::Liquid{});
}

/// A coolant as its maker's table has it.
fluids::Liquid read_coolant_sheet(Reader& r) {
    fluids::CoolantSheet sheet;
    sheet.name = r.name();
    const Columns table = r.columns(
        "properties",
        {{.name = "temperature", .quantity = Q::temperature, .range = {}, .increasing = true},
         {.name = "density", .quantity = Q::density, .range = positive},
         {.name = "specific_heat", .quantity = Q::specific_heat, .range = positive},
         {.name = "conductivity", .quantity = Q::conductivity, .range = positive},
         {.name = "viscosity", .quantity = Q::dynamic_viscosity, .range = positive}});
    const auto fill = [&](const char* column, std::vector<fluids::SheetPoint>& points) {
        for (std::size_t i = 0; i < table.rows(); ++i)
            points.push_back({table["temperature"][i], table[column][i]});
    };
    fill("density", sheet.density);
    fill("specific_heat", sheet.specific_heat);
    fill("conductivity", sheet.conductivity);
    fill("viscosity", sheet.viscosity);
    sheet.freezing = r.quantity("freezing", Q::temperature);
    sheet.boiling = {
        r.quantity("boiling", Q::temperature),
        r.quantity("boiling_pressure", Q::pressure, positive,
                   {"101.325 kPa", "data sheets state the boiling point at one atmosphere"})};
    return r.attempt([&] { return fluids::from_sheet(sheet); }).value_or(fluids::Liquid{});
}

fluids::Liquid read_fluid(Reader& r) {
    const Sheet kind = r.kind<Sheet>("kind", {{"water", Sheet::water},
                                              {"ethylene_glycol", Sheet::ethylene_glycol},
                                              {"propylene_glycol", Sheet::propylene_glycol},
                                              {"transmission_fluid", Sheet::transmission_fluid},
                                              {"steering_fluid", Sheet::steering_fluid},
                                              {"engine_oil", Sheet::engine_oil},
                                              {"data_sheet", Sheet::data_sheet}});
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
        case Sheet::data_sheet:
            return read_coolant_sheet(r);
        default:
            return read_oil(r, fluids::engine_oil_sheet());
    }
}

}  // namespace

Fluids read_fluids(Reader& root) {
    Fluids out;
    for (Reader r : root.named("fluids")) out[r.name()] = read_fluid(r);
    return out;
}

Fluids read_fluids(const std::filesystem::path& file) {
    Problems problems;
    const Document document = load(file, problems);
    Reader root(document, problems);
    Fluids fluids = read_fluids(root);
    for (Reader r : root.named("fluids")) r.finish();
    problems.throw_if_any();
    return fluids;
}

}  // namespace lapheat::scenario
