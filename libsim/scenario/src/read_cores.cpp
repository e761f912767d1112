// [cores]: what the fluids flow through.
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;

std::vector<std::string> names_of(const Fluids& fluids) {
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    return names;
}

bool from_dimensions(CoreKind kind) {
    switch (kind) {
        case CoreKind::rated:
        case CoreKind::points:
        case CoreKind::map:
        case CoreKind::conductance:
        case CoreKind::weight_class:
            return false;
        default:
            return true;
    }
}

/// The core of one table: made, dirtied, and fitted to `measured` points where the file has them.
std::optional<Core> read_core(Reader& r, CoreKind kind, const exchangers::Medium& first,
                              const exchangers::Medium& second) {
    if (!from_dimensions(kind)) {
        std::optional<Core> core = read_stated(r, kind, first, second);
        const exchangers::Condition condition = read_condition(r);
        if (!core) return core;
        return r.attempt([&] { return exchangers::with_condition(*core, condition); });
    }
    std::optional<Core> core = read_geometry(r, kind);
    if (!core || !r.has("measured")) {
        r.ignore("measured");
        return core;
    }
    const std::vector<exchangers::FitPoint> points =
        read_points(r, "measured", first, second, core->face_area);
    return r.attempt([&] { return exchangers::fitted_core(*core, first, second, points); });
}

}  // namespace

std::vector<RatingSheet> read_core_tables(Reader& root, const Fluids& fluids) {
    std::vector<RatingSheet> out;
    const std::vector<std::string> names = names_of(fluids);
    for (Reader r : root.named("cores")) {
        const CoreKind kind = r.kind<CoreKind>("kind", {{"rated", CoreKind::rated},
                                                        {"points", CoreKind::points},
                                                        {"map", CoreKind::map},
                                                        {"conductance", CoreKind::conductance},
                                                        {"weight_class", CoreKind::weight_class},
                                                        {"louvred", CoreKind::louvred},
                                                        {"plate_fin", CoreKind::plate_fin},
                                                        {"bar_plate", CoreKind::bar_plate},
                                                        {"tank_plate", CoreKind::tank_plate},
                                                        {"tank_tube", CoreKind::tank_tube},
                                                        {"finned_tube", CoreKind::finned_tube}});
        const std::string first = r.reference("fluid", names);
        const auto second = r.optional_reference("second_fluid", names);
        const fluids::Liquid liquid = fluids.count(first) ? fluids.at(first) : fluids::Liquid{};
        const bool air =
            !second.has_value() && kind != CoreKind::tank_plate && kind != CoreKind::tank_tube;
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
    for (const char* tables : {"fluids", "cores"})
        for (Reader r : root.named(tables)) r.finish();
    problems.throw_if_any();
    return sheets;
}

}  // namespace lapheat::scenario
