// [fluids]: what flows. Every property of a generic oil can be taken from its data sheet, and any
// coolant from a table.
#include "lapheat/fluids/liquids.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using fluids::GenericLiquid;

constexpr double celsius_15 = 288.15, celsius_40 = 313.15, celsius_100 = 373.15;

// ---- mixes with water

constexpr Key mix_keys[] = {
    key::quantity("fraction", Q::ratio, between(0, 0.60), "by volume, the rest water")};
constexpr Table mix_table{"", "", "", mix_keys};

// ---- oils, generic or by their data sheets

constexpr std::string_view generic = "of the generic fluid";
constexpr Column viscosity_columns[] = {
    {.name = "temperature", .quantity = Q::temperature, .range = {}, .increasing = true},
    {.name = "viscosity", .quantity = Q::kinematic_viscosity, .range = positive}};
constexpr Key oil_keys[] = {
    key::quantity("viscosity_40", Q::kinematic_viscosity, positive, "at 40 degC").nothing(generic),
    key::quantity("viscosity_100", Q::kinematic_viscosity, positive, "at 100 degC")
        .nothing(generic),
    key::columns("viscosity", viscosity_columns, "two points at temperatures of the sheet's own")
        .nothing("at 40 and 100 degC"),
    key::quantity("density_15", Q::density, positive, "at 15 degC").nothing(generic),
    key::quantity("density_100", Q::density, positive, "at 100 degC").nothing(generic),
    key::quantity("specific_heat_40", Q::specific_heat, positive, "at 40 degC").nothing(generic),
    key::quantity("specific_heat_100", Q::specific_heat, positive, "at 100 degC").nothing(generic),
    key::quantity("conductivity_40", Q::conductivity, positive, "at 40 degC").nothing(generic),
    key::quantity("conductivity_100", Q::conductivity, positive, "at 100 degC").nothing(generic),
    key::quantity("pour_point", Q::temperature, any_value, "below it the oil does not flow")
        .nothing(generic),
    key::quantity("maximum_temperature", Q::temperature, any_value, "that the sheet allows")
        .nothing(generic)};
constexpr Table oil_table{"", "", "", oil_keys};

/// Two points at temperatures of the sheet's own, in place of those at 40 and 100 °C.
void read_viscosity(Reader& r, fluids::OilSheet& sheet) {
    const Key &table = oil_table["viscosity"], &cold = oil_table["viscosity_40"],
              &hot = oil_table["viscosity_100"];
    if (!r.has(table)) {
        r.ignore(table);
        if (auto v = r.optional_quantity(cold)) sheet.viscosity_1 = {celsius_40, *v};
        if (auto v = r.optional_quantity(hot)) sheet.viscosity_2 = {celsius_100, *v};
        return;
    }
    if (r.has(cold) || r.has(hot))
        r.error(table, "either this table or viscosity_40 and viscosity_100");
    r.ignore(cold);
    r.ignore(hot);
    const Columns points = r.columns(table);
    if (points.rows() == 0) return;
    if (points.rows() != 2) r.error(table, "two points: the line of ASTM D341 goes through two");
    const auto &t = points["temperature"], &v = points["viscosity"];
    sheet.viscosity_1 = {t.front(), v.front()};
    sheet.viscosity_2 = {t.back(), v.back()};
}

void read_line(Reader& r, const Key& key_40, const Key& key_100,
               std::vector<fluids::SheetPoint>& points) {
    const auto cold = r.optional_quantity(key_40);
    const auto hot = r.optional_quantity(key_100);
    if (cold) points = {{celsius_40, *cold}};
    if (cold && hot) points.push_back({celsius_100, *hot});
    if (!cold && hot) points = {{celsius_100, *hot}};
}

fluids::Liquid read_oil(Reader& r, fluids::OilSheet sheet) {
    read_viscosity(r, sheet);
    if (auto v = r.optional_quantity(oil_table["density_15"])) {
        sheet.density_1 = {celsius_15, *v};
        sheet.density_2.reset();
    }
    if (auto v = r.optional_quantity(oil_table["density_100"]))
        sheet.density_2 = fluids::SheetPoint{celsius_100, *v};
    read_line(r, oil_table["specific_heat_40"], oil_table["specific_heat_100"],
              sheet.specific_heat);
    read_line(r, oil_table["conductivity_40"], oil_table["conductivity_100"], sheet.conductivity);
    if (auto v = r.optional_quantity(oil_table["pour_point"])) sheet.pour_point = *v;
    if (auto v = r.optional_quantity(oil_table["maximum_temperature"]))
        sheet.maximum_temperature = *v;
    sheet.name = r.name();
    return r.attempt([&] { return fluids::from_sheet(sheet); }).value_or(fluids::Liquid{});
}

// ---- a coolant as its maker's table has it

constexpr Column coolant_columns[] = {
    {.name = "temperature", .quantity = Q::temperature, .range = {}, .increasing = true},
    {.name = "density", .quantity = Q::density, .range = positive},
    {.name = "specific_heat", .quantity = Q::specific_heat, .range = positive},
    {.name = "conductivity", .quantity = Q::conductivity, .range = positive},
    {.name = "viscosity", .quantity = Q::dynamic_viscosity, .range = positive}};
constexpr Key coolant_keys[] = {
    key::columns("properties", coolant_columns, "the maker's table"),
    key::quantity("freezing", Q::temperature, any_value, "where it freezes"),
    key::quantity("boiling", Q::temperature, any_value, "where it boils at boiling_pressure"),
    key::quantity("boiling_pressure", Q::pressure, positive, "absolute")
        .otherwise("101.325 kPa", "data sheets state the boiling point at one atmosphere")};
constexpr Table coolant_table{"data_sheet", "", "a coolant from its maker's table", coolant_keys};

fluids::Liquid read_coolant_sheet(Reader& r) {
    fluids::CoolantSheet sheet;
    sheet.name = r.name();
    const Columns table = r.columns(coolant_table["properties"]);
    const auto fill = [&](const char* column, std::vector<fluids::SheetPoint>& points) {
        for (std::size_t i = 0; i < table.rows(); ++i)
            points.push_back({table["temperature"][i], table[column][i]});
    };
    fill("density", sheet.density);
    fill("specific_heat", sheet.specific_heat);
    fill("conductivity", sheet.conductivity);
    fill("viscosity", sheet.viscosity);
    sheet.freezing = r.quantity(coolant_table["freezing"]);
    sheet.boiling = {r.quantity(coolant_table["boiling"]),
                     r.quantity(coolant_table["boiling_pressure"])};
    return r.attempt([&] { return fluids::from_sheet(sheet); }).value_or(fluids::Liquid{});
}

// ---- all kinds: the generic ones of the fluids room, and a maker's table

struct FluidKind {
    Table keys;
    const GenericLiquid* liquid;  ///< nullptr: a maker's table
};

const std::vector<FluidKind>& fluid_kinds() {
    static const std::vector<FluidKind> all = [] {
        std::vector<FluidKind> out;
        for (const GenericLiquid& liquid : fluids::generic_liquids()) {
            Table keys{liquid.name, "", liquid.help};
            if (liquid.mix != nullptr) keys.with = {&mix_table};
            if (liquid.sheet != nullptr) keys.with = {&oil_table};
            out.push_back({keys, &liquid});
        }
        out.push_back({coolant_table, nullptr});
        return out;
    }();
    return all;
}

std::span<const Table* const> fluid_kind_tables() {
    static const std::vector<const Table*> tables = [] {
        std::vector<const Table*> out;
        for (const FluidKind& kind : fluid_kinds()) out.push_back(&kind.keys);
        return out;
    }();
    return tables;
}

constexpr Key fluid_keys[] = {key::kind("kind", fluid_kind_tables, "what it is")};
constexpr Table fluid_table{
    "fluids", "[fluids.NAME]",
    "What flows. `lapheat fluid NAME --file FILE` shows a fluid as a file has it, with the source, "
    "range and uncertainty of each property. Outside the range a run's report says so.",
    fluid_keys};

constexpr Key fluid_file_keys[] = {key::named("fluids", &fluid_table, "what flows")};

fluids::Liquid read_fluid(Reader& r) {
    const GenericLiquid* liquid = r.kind(fluid_table["kind"], fluid_kinds()).liquid;
    if (liquid == nullptr) return read_coolant_sheet(r);
    if (liquid->sheet != nullptr) return read_oil(r, liquid->sheet());
    if (liquid->mix == nullptr) return liquid->pure();
    const double fraction = r.quantity(mix_table["fraction"]);
    return r.attempt([&] { return liquid->mix(fraction); }).value_or(fluids::Liquid{});
}

}  // namespace

constexpr Table fluid_tables{"", "", "", fluid_file_keys};

Fluids read_fluids(Reader& root) {
    Fluids out;
    for (Reader r : root.named(fluid_tables["fluids"])) out[r.name()] = read_fluid(r);
    return out;
}

void finish_fluids(Reader& root) {
    for (Reader r : root.named(fluid_tables["fluids"])) r.finish();
}

Fluids read_fluids(const std::filesystem::path& file) {
    Problems problems;
    const Document document = load(file, problems);
    Reader root(document, problems, &car_file());
    Fluids fluids = read_fluids(root);
    finish_fluids(root);
    problems.throw_if_any();
    return fluids;
}

}  // namespace lapheat::scenario
