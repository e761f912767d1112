// A little car (invented numbers) and a reading of it that uses every kind of key, for the tests.
#pragma once

#include <lapheat/scenario/reader.hpp>

#include <string>
#include <vector>

namespace car {

using namespace lapheat::scenario;

enum class Kind { rating, points };
inline constexpr Table rating_table{"rating", "", ""}, points_table{"points", "", ""};
inline constexpr KindOf<Kind> kinds[] = {{&rating_table, Kind::rating},
                                         {&points_table, Kind::points}};
inline constexpr Column point_columns[] = {
    {"flow", Quantity::volume_flow, not_negative, true, true},
    {"heat", Quantity::power, not_negative}};

inline const char* const text = R"(name = "invented coupe"
mass = "2600 lb"

[fluids.coolant]
ethylene_glycol = 0.5

[fluids.oil]
ethylene_glycol = "0 %"

[cores.radiator]
kind = "rating"
fluid = "coolant"
width = "600 mm"
tubes = 42
heat = "60 kW"

[cores.cooler]
kind = "points"
fluid = "oil"
width = "11 inch"
tubes = 20
points = [["flow [L/min]", "heat [kW]"], [5, 4.0], [10, 6.5]]

[[lines]]
from = "radiator"
bores = ["8 mm", "0.3125 inch"]
insulated = true

[[lines]]
from = "cooler"
bores = "10 mm"
)";

struct Core {
    std::string name;
    Kind kind{};
    std::string fluid;
    double width = 0.0;
    std::int64_t tubes = 0;
    double heat = 0.0;
    Columns points;
};

struct Line {
    std::string from;
    std::vector<double> bores;
    bool insulated = false;
};

struct Car {
    std::string name;
    double mass = 0.0;
    double ambient = 0.0;
    std::vector<Core> cores;
    std::vector<Line> lines;
    std::vector<Assumption> assumptions;
};

inline std::vector<std::string> names_of(const std::vector<Reader>& readers) {
    std::vector<std::string> out;
    for (const Reader& reader : readers) out.push_back(reader.name());
    return out;
}

inline Core read_core(Reader r, const std::vector<std::string>& fluids) {
    Core core;
    core.name = r.name();
    core.kind = r.kind(key::kind("kind", kinds_of<kinds>), kinds).build;
    core.fluid = r.reference(key::reference("fluid"), fluids);
    core.width = r.quantity(key::quantity("width", Quantity::length, above(0.0)));
    core.tubes = r.integer(key::integer("tubes", 1, 500));
    if (core.kind == Kind::rating) {
        core.heat = r.quantity(key::quantity("heat", Quantity::power, positive));
    } else {
        core.points = r.columns(key::columns("points", point_columns));
    }
    return core;
}

inline Car read(const Document& document, Problems& problems) {
    Reader r(document, problems);
    Car out;
    out.name = r.text(key::text("name"));
    out.mass = r.quantity(key::quantity("mass", Quantity::mass, positive));
    out.ambient =
        r.table(key::table("surroundings", nullptr).optional())
            .quantity(key::quantity("ambient", Quantity::temperature, between(223.15, 333.15))
                          .otherwise("25 degC", "a mild day"));
    std::vector<Reader> fluids = r.named(key::named("fluids", nullptr));
    for (Reader& fluid : fluids)
        fluid.quantity(key::quantity("ethylene_glycol", Quantity::ratio, fraction));
    const std::vector<Reader> cores = r.named(key::named("cores", nullptr));
    for (const Reader& core : cores) out.cores.push_back(read_core(core, names_of(fluids)));
    for (Reader& line : r.tables(key::tables("lines", nullptr))) {
        out.lines.push_back({line.reference(key::reference("from"), names_of(cores)),
                             line.quantities(key::quantities("bores", Quantity::length, positive)),
                             line.boolean(key::boolean("insulated").otherwise(false))});
    }
    r.finish();
    out.assumptions = r.assumptions();
    return out;
}

/// Every problem of a text as "line:column key".
inline std::vector<std::string> places(const std::string& toml) {
    Problems problems;
    const Document document = parse(toml, "car.toml", problems);
    read(document, problems);
    std::vector<std::string> out;
    for (const Problem& p : problems.sorted()) {
        out.push_back(std::to_string(p.place.line) + ":" + std::to_string(p.place.column) + " " +
                      p.key);
    }
    return out;
}

/// `text` with the first `from` replaced by `to`.
inline std::string changed(const std::string& from, const std::string& to) {
    std::string out = text;
    return out.replace(out.find(from), from.size(), to);
}

}  // namespace car
