// [cores]: what the fluids flow through.
#include <cmath>

#include "derive.hpp"
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;

const std::vector<CoreKind>& core_kinds() {
    static const std::vector<CoreKind> all = all_of({geometry_kinds(), stated_kinds()});
    return all;
}

std::span<const Table* const> core_kind_tables() {
    static const std::vector<const Table*> tables = tables_of(core_kinds());
    return tables;
}

constexpr Key circuit_keys[] = {
    key::number("share", between(0.01, 0.99), "of the face; all shares make 1"),
    key::reference("fluid", "of those in [fluids]")};
constexpr Table circuit_table{"circuits", "[cores.NAME.circuits.NAME]",
                              "One circuit of a combined core, a part named \"NAME.CIRCUIT\".",
                              circuit_keys};

constexpr Key core_keys[] = {
    key::kind("kind", core_kind_tables, "from dimensions, or from what is stated or measured"),
    key::reference("fluid", "what is cooled, of those in [fluids]"),
    key::reference("second_fluid", "what cools, of those in [fluids]").nothing("air"),
    key::quantity("rated_pressure", Q::pressure, positive,
                  "that it bears; a cap above it is refused")
        .nothing("not known"),
    level_key("conductance_level", "on all that the core exchanges"),
    level_key("liquid_film_level", "on the film of what is cooled"),
    level_key("air_film_level", "on the film of air, or of the second liquid"),
    level_key("air_loss_level", "on the pressure loss of air, or of the second liquid"),
    key::named("circuits", &circuit_table, "of a combined core: one face, several fluids")};
constexpr Table core_table{
    "cores", "[cores.NAME]",
    "What the fluids flow through. With a second_fluid, keys that begin with air_ begin with "
    "second_. What is assumed stands in the report; `lapheat rate FILE` shows what a core does.",
    core_keys};

constexpr Key core_file_keys[] = {key::named("cores", &core_table, "what the fluids flow through")};

std::vector<std::string> names_of(const Fluids& fluids) {
    std::vector<std::string> names;
    for (const auto& [name, liquid] : fluids) names.push_back(name);
    return names;
}

fluids::Liquid one_of(const Fluids& fluids, const std::string& name) {
    const auto found = fluids.find(name);
    return found == fluids.end() ? fluids::Liquid{} : found->second;
}

/// A combined core: each circuit has its share of the face and of the tubes behind it.
std::vector<RatingSheet> read_circuits(Reader& r, const RatingSheet& whole, const Fluids& fluids) {
    std::vector<RatingSheet> out;
    double sum = 0;
    bool good = true;
    for (Reader one : r.named(core_table["circuits"])) {
        const double share = one.number(circuit_table["share"]);
        const std::string fluid = one.reference(circuit_table["fluid"], names_of(fluids));
        sum += share;
        good = good && one.sound();
        RatingSheet part = whole;
        part.entry.circuit_of = r.name();
        part.entry.name = r.name() + "." + one.name();
        if (fluids.count(fluid)) part.first = fluids.at(fluid);
        if (share > 0 && r.sound())
            part.entry.core = exchangers::face_fraction(whole.entry.core, share);
        part.entry.core.name = part.entry.name;
        out.push_back(std::move(part));
    }
    if (good && std::abs(sum - 1) > 0.01) r.error(core_table["circuits"], "shares that sum to 1");
    return out;
}

}  // namespace

constexpr Table core_tables{"", "", "", core_file_keys};

std::vector<RatingSheet> read_core_tables(Reader& root, const Fluids& fluids) {
    std::vector<RatingSheet> out;
    const std::vector<std::string> names = names_of(fluids);
    for (Reader r : root.named(core_tables["cores"])) {
        const CoreKind& kind = r.kind(core_table["kind"], core_kinds());
        RatingSheet sheet;
        sheet.first = one_of(fluids, r.reference(core_table["fluid"], names));
        const auto second = r.optional_reference(core_table["second_fluid"], names);
        sheet.second_is_air = !second.has_value() && !kind.in_tank;
        if (second) sheet.second = one_of(fluids, *second);
        const std::optional<Core> core =
            kind.build(r, exchangers::liquid_medium(sheet.first),
                       sheet.second_is_air ? exchangers::air_medium()
                                           : exchangers::liquid_medium(sheet.second));
        sheet.entry.place = r.place();
        sheet.entry.rated_pressure = r.optional_quantity(core_table["rated_pressure"]).value_or(0);
        if (core) sheet.entry.core = *core;
        exchangers::CoreLevels& levels = sheet.entry.core.levels;
        read_assumed(r, core_table["conductance_level"], levels.conductance);
        read_assumed(r, core_table["liquid_film_level"], levels.first_film);
        read_assumed(r, core_table["air_film_level"], levels.second_film);
        read_assumed(r, core_table["air_loss_level"], levels.second_loss);
        if (r.has(core_table["circuits"])) {
            for (RatingSheet& part : read_circuits(r, sheet, fluids))
                out.push_back(std::move(part));
            continue;
        }
        r.ignore(core_table["circuits"]);
        sheet.entry.name = r.name();
        sheet.entry.core.name = sheet.entry.name;
        out.push_back(std::move(sheet));
    }
    return out;
}

std::vector<RatingSheet> read_cores(const std::filesystem::path& file) {
    Problems problems;
    const Document read = load(file, problems);
    const Document document =
        whole_car(read, problems);  // of a short description its derived cores
    if (document.root.find("cores") != nullptr && read.root.find("cores") == nullptr)
        problems.throw_if_any();
    Reader root(document, problems, &car_file());
    const Fluids fluids = read_fluids(root);
    std::vector<RatingSheet> sheets = read_core_tables(root, fluids);
    finish_fluids(root);
    for (Reader r : root.named(core_tables["cores"])) r.finish();
    problems.throw_if_any();
    return sheets;
}

// ---- what several kinds share

namespace {

using exchangers::Arrangement;
using exchangers::PassCoupling;

constexpr Word arrangements[] = {{"counter", Arrangement::counter},
                                 {"parallel", Arrangement::parallel},
                                 {"cross_unmixed", Arrangement::cross_unmixed},
                                 {"cross_liquid_mixed", Arrangement::cross_first_mixed},
                                 {"cross_air_mixed", Arrangement::cross_second_mixed},
                                 {"cross_mixed", Arrangement::cross_mixed},
                                 {"cross_rows", Arrangement::cross_rows},
                                 {"shell_and_tube", Arrangement::shell_and_tube},
                                 {"cross_counter", Arrangement::cross_counter},
                                 {"cross_parallel", Arrangement::cross_parallel}};
constexpr Word couplings[] = {{"mixed", PassCoupling::mixed},
                              {"same_order", PassCoupling::unmixed_identical},
                              {"turned_order", PassCoupling::unmixed_inverted}};
constexpr Key arrangement_keys[] = {
    key::choice("arrangement", arrangements, "how the streams pass one another")
        .optional("by the kind"),
    key::integer("arrangement_count", 1, 20, "of passes, rows or shells")
        .only("to an arrangement of passes, rows or shells"),
    key::choice("coupling", couplings, "of the stream between passes")
        .otherwise("mixed")
        .only("to cross_counter and cross_parallel")};
constexpr Key condition_keys[] = {
    key::quantity("liquid_fouling", Q::fouling_resistance, not_negative, "a layer inside")
        .usual(0)
        .usually(0, 5e-4),
    key::quantity("air_fouling", Q::fouling_resistance, not_negative, "a layer outside")
        .usual(0)
        .usually(0, 5e-4),
    key::quantity("blocked", Q::ratio, between(0, 0.95), "of the face, passes no air")
        .usual(0)
        .usually(0, 0.6),
    key::quantity("bent_fins", Q::ratio, fraction, "of the fins").usual(0).usually(0, 0.6)};

}  // namespace

constexpr Table arrangement_table{"", "", "", arrangement_keys};
constexpr Table condition_table{"", "", "", condition_keys};

std::optional<exchangers::ArrangementSpec> read_arrangement(Reader& r) {
    using A = Arrangement;
    if (!r.has(arrangement_table["arrangement"])) {
        r.ignore(arrangement_table["arrangement"]);
        return std::nullopt;
    }
    exchangers::ArrangementSpec s;
    s.kind = r.choice<A>(arrangement_table["arrangement"]);
    const bool passes = s.kind == A::cross_counter || s.kind == A::cross_parallel;
    if (passes || s.kind == A::cross_rows || s.kind == A::shell_and_tube)
        s.count = static_cast<int>(r.integer(arrangement_table["arrangement_count"]));
    if (passes) s.coupling = r.choice<PassCoupling>(arrangement_table["coupling"]);
    (void)r.attempt([&] {
        exchangers::check(s);
        return true;
    });
    return s;
}

exchangers::Condition read_condition(Reader& r) {
    exchangers::Condition c;
    c.first_fouling = r.quantity(condition_table["liquid_fouling"]);
    c.second_fouling = r.quantity(condition_table["air_fouling"]);
    c.blocked = r.quantity(condition_table["blocked"]);
    c.bent = r.quantity(condition_table["bent_fins"]);
    return c;
}

}  // namespace lapheat::scenario
