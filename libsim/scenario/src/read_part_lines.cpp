// The parts of a run that fluid passes: hoses, tubes, fittings, restrictions, valves, cores.
#include "lapheat/hydraulics/parts.hpp"

#include <algorithm>
#include <numbers>

#include "lapheat/units/spellings.hpp"

#include "read_part_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using model::PartBody;

constexpr Range bore_range = between(5e-4, 0.3);

constexpr Key bore_keys[] = {
    key::quantity("inner_diameter", Q::length, bore_range, "the bore, or dash, or size")
        .only("without `dash` and `size`")
        .usually(0.002, 0.07),
    key::integer("dash", 1, 64, "the bore in sixteenths of an inch")
        .only("without `inner_diameter` and `size`"),
    key::text("size", "the bore as sold: \"-6\", \"AN-6\" or \"5/16 inch\"")
        .only("without `inner_diameter` and `dash`")};
constexpr Table bore_table{"", "", "", bore_keys};

/// A size as sold: a dash number, "-8" or "AN-8" (sixteenths of an inch), or a bore, "5/16 inch".
double read_size(Reader& r) {
    const std::string text = r.text(bore_table["size"]);
    if (text.empty()) return 0.01;
    if (const auto dash = units::dash_size(text)) return hydraulics::dash_diameter(*dash);
    std::string hint;
    try {
        const double bore = units::parse(text, Q::length);
        if (bore_range.holds(bore)) return bore;
    } catch (const Error& e) {
        hint = e.what();
    }
    r.error(bore_table["size"],
            "a dash number such as \"-8\" or a bore such as \"5/16 inch\" or \"8 mm\"", hint);
    return 0.01;
}

/// A bore in any unit, a dash number, or a size as sold.
double read_bore(Reader& r) {
    const std::string which =
        r.one_of({&bore_table["inner_diameter"], &bore_table["dash"], &bore_table["size"]});
    const Key& bore = bore_table["inner_diameter"];
    if (which == "dash")
        return r.instead(
            bore, bore_table["dash"],
            hydraulics::dash_diameter(static_cast<int>(r.integer(bore_table["dash"]))));
    if (which == "size") return r.instead(bore, bore_table["size"], read_size(r));
    if (which.empty()) return 0.01;
    return r.quantity(bore);
}

// ---- hose, tube

constexpr Key line_keys[] = {
    key::quantity("length", Q::length, positive, "of the line").usually(0.01, 12),
    key::number("bends", not_negative, "how many").usual(0),
    key::quantity("bend_angle", Q::angle, between(0.02, 3.1416), "of each")
        .usual(std::numbers::pi / 2),
    key::number("bend_radius_ratio", between(1, 20), "radius of the middle line over the bore")
        .usual(3)
        .usually(1, 8),
    key::quantity("bend_radius", Q::length, positive, "in place of bend_radius_ratio")
        .nothing("by bend_radius_ratio"),
    key::quantity("end_bore", Q::length, bore_range, "of barbed or crimped ends")
        .optional("as wide as the line"),
    key::quantity("rise", Q::length, any_value, "height gained on the way").usual(0),
    key::number("exhaust_view", fraction, "of its surface in sight of the exhaust")
        .usual(0)
        .usually(0, 0.6),
    key::integer("heat_shields", 0, 5, "sheets between the exhaust and the line").usual(0),
    key::quantity("rated_pressure", Q::pressure, positive, "that it bears").nothing("not known"),
    key::quantity("rated_temperature", Q::temperature, between(300, 600), "that it bears")
        .nothing("not known"),
    key::integer("cells", 1, 200, "of equal length, each at one temperature")
        .nothing("by its length")};
constexpr Table line_table{"", "", "", line_keys};

constexpr Range wall_range{.low = 0, .high = 0.05, .low_allowed = false};  // m

constexpr Key hose_keys[] = {
    key::quantity("wall_thickness", Q::length, wall_range, "of the rubber")
        .usual(0.004)
        .usually(0.5e-3, 8e-3),
    key::quantity("wall_conductivity", Q::conductivity, positive, "of the rubber").usual(0.3)};
constexpr Key tube_keys[] = {
    key::quantity("wall_thickness", Q::length, wall_range, "of the metal")
        .usual(0.001)
        .usually(0.5e-3, 8e-3),
    key::quantity("wall_conductivity", Q::conductivity, positive, "of the metal").usual(50)};

model::Line read_line(Reader& r, const Table& own, bool hose) {
    const Key &ratio = line_table["bend_radius_ratio"], &radius = line_table["bend_radius"];
    model::Line line;
    line.hose = hose;
    line.length = r.quantity(line_table["length"]);
    line.inner_diameter = read_bore(r);
    line.wall_thickness = r.quantity(own.at("wall_thickness"));
    line.wall_conductivity = r.quantity(own.at("wall_conductivity"));
    line.wall_heat_capacity = hose ? 1.8e6 : 3.6e6;
    line.roughness = hose ? hydraulics::rubber_hose_roughness : hydraulics::drawn_tube_roughness;
    line.rise = r.quantity(line_table["rise"]);
    line.bends = r.number(line_table["bends"]);
    line.bend_angle = r.quantity(line_table["bend_angle"]) * 180 / std::numbers::pi;
    line.bend_radius_ratio = r.number(ratio);
    if (r.has(radius))
        line.bend_radius_ratio =
            std::clamp(r.quantity(radius) / line.inner_diameter, ratio.range.low, ratio.range.high);
    else
        r.ignore(radius);
    line.end_bore = r.optional_quantity(line_table["end_bore"]).value_or(0);
    if (line.end_bore > line.inner_diameter * 1.0001)
        r.error(line_table["end_bore"], "a bore no wider than the line's own");
    line.exhaust_view = r.number(line_table["exhaust_view"]);
    line.heat_shields = static_cast<int>(r.integer(line_table["heat_shields"]));
    line.rated_pressure = r.optional_quantity(line_table["rated_pressure"]).value_or(0);
    line.rated_temperature = r.optional_quantity(line_table["rated_temperature"]).value_or(0);
    line.surroundings = read_where(r);
    using E = heat::ExhaustPart;
    line.exhaust_part =
        read_exhaust_part(r, line.surroundings == model::Zone::engine_bay    ? E::manifold
                             : line.surroundings == model::Zone::under_floor ? E::front_pipe
                                                                             : E::silencer);
    const Key& cells = line_table["cells"];
    line.cells = r.has(cells) ? static_cast<int>(r.integer(cells)) : 0;
    return line;
}

constexpr Table hose_table{"hose",
                           "",
                           "A hose: sheds or takes up heat, delays, costs pressure.",
                           hose_keys,
                           {&line_table, &bore_table, &where_table, &exhaust_part_table}};
constexpr Table tube_table{"tube",
                           "",
                           "The same of rigid metal.",
                           tube_keys,
                           {&line_table, &bore_table, &where_table, &exhaust_part_table}};

PartBody read_hose(Reader& r, const PartContext&) { return read_line(r, hose_table, true); }
PartBody read_tube(Reader& r, const PartContext&) { return read_line(r, tube_table, false); }

// ---- fitting, barb, adapter, orifice

std::vector<std::string> fitting_names() {
    std::vector<std::string> names;
    for (const auto& entry : hydraulics::fitting_table()) names.emplace_back(entry.name);
    return names;
}

constexpr std::string_view by_number = "with `loss_coefficient`";
constexpr Key fitting_keys[] = {
    key::reference("fitting", "one of our table", fitting_names).only("without loss_coefficient"),
    key::number("loss_coefficient", not_negative, "K, of the dynamic pressure in the bore")
        .only("without `fitting`"),
    key::number("laminar_coefficient", not_negative, "K1: the loss is K + K1 / Reynolds number")
        .usual(0)
        .only(by_number),
    key::number("count", positive, "how many").usual(1)};
constexpr Key barb_keys[] = {key::quantity("bore", Q::length, bore_range, "of the barb"),
                             key::number("count", positive, "how many").usual(1)};
constexpr Key adapter_keys[] = {
    key::quantity("to_diameter", Q::length, bore_range, "the bore it leads to")};
constexpr Key orifice_keys[] = {key::quantity("bore", Q::length, bore_range, "of the hole")};

/// From a loss that is worked out only where the sizes it needs were read.
template <class F>
model::Fitting made_of(Reader& r, F&& work_out, const char* what, double count) {
    const hydraulics::MinorLoss loss = r.attempt(work_out).value_or(hydraulics::MinorLoss{});
    return {loss.loss_coefficient, loss.laminar_coefficient, loss.diameter, count, what};
}

constexpr Table fitting_table{"fitting",
                              "",
                              "An elbow, tee, coupling: pressure lost, no volume.",
                              fitting_keys,
                              {&bore_table}};
constexpr Table barb_table{
    "barb", "", "A hose end: into its bore and out again.", barb_keys, {&bore_table}};
constexpr Table adapter_table{
    "adapter", "", "A step from one bore to another, as fluid runs.", adapter_keys, {&bore_table}};
constexpr Table orifice_table{"orifice", "", "The hole of a vent or bleed.", orifice_keys};

PartBody read_fitting(Reader& r, const PartContext&) {
    model::Fitting out;
    out.diameter = read_bore(r);
    out.count = r.number(fitting_table["count"]);
    if (r.one_of({&fitting_table["fitting"], &fitting_table["loss_coefficient"]}) == "fitting") {
        out.what = r.reference(fitting_table["fitting"]);
        if (const auto loss =
                r.attempt([&] { return hydraulics::fitting(out.what, out.diameter); })) {
            out.loss_coefficient = loss->loss_coefficient;
            out.laminar_coefficient = loss->laminar_coefficient;
        }
        for (const auto& entry : hydraulics::fitting_table())
            if (entry.name == out.what) out.tee = entry.tee;
    } else {
        out.loss_coefficient = r.number(fitting_table["loss_coefficient"]);
        out.laminar_coefficient = r.number(fitting_table["laminar_coefficient"]);
    }
    return out;
}

PartBody read_barb(Reader& r, const PartContext&) {
    const double hose = read_bore(r), bore = r.quantity(barb_table["bore"]);
    if (bore > hose) r.error(barb_table["bore"], "a bore no wider than the hose");
    const double count = r.number(barb_table["count"]);
    return made_of(
        r, [&] { return hydraulics::barb(hose, std::min(bore, hose)); }, "barb", count);
}

PartBody read_adapter(Reader& r, const PartContext&) {
    const double from = read_bore(r), to = r.quantity(adapter_table["to_diameter"]);
    return made_of(
        r,
        [&] {
            return to >= from ? hydraulics::sudden_expansion(from, to)
                              : hydraulics::sudden_contraction(from, to);
        },
        "adapter", 1);
}

PartBody read_orifice(Reader& r, const PartContext&) {
    const double bore = r.quantity(orifice_table["bore"]);
    return made_of(
        r, [&] { return hydraulics::orifice(bore); }, "orifice", 1);
}

// ---- filter, restriction

constexpr Key point_keys[] = {
    key::quantity("flow", Q::volume_flow, positive, "at which it was measured"),
    key::quantity("pressure_loss", Q::pressure, positive, "at that flow"),
    key::quantity("viscosity", Q::dynamic_viscosity, positive, "of the test")
        .optional("the loop's fluid, warm"),
    key::quantity("density", Q::density, positive, "of the test")
        .optional("the loop's fluid, warm")};
constexpr Table point_table{"", "", "", point_keys};
constexpr Key filter_keys[] = {
    key::number("laminar_share", fraction, "of the loss that goes with viscosity")
        .otherwise(0.8, "filter media creep; common practice")};
constexpr Key restriction_keys[] = {
    key::number("laminar_share", fraction, "of the loss that goes with viscosity").usual(0)};

model::Restriction read_measured(Reader& r, const Table& own, bool filter) {
    model::Restriction out;
    out.filter = filter;
    out.flow = r.quantity(point_table["flow"]);
    out.pressure_loss = r.quantity(point_table["pressure_loss"]);
    out.viscosity = r.optional_quantity(point_table["viscosity"]).value_or(0);
    out.density = r.optional_quantity(point_table["density"]).value_or(0);
    out.laminar_share = r.number(own.at("laminar_share"));
    return out;
}

constexpr Table filter_table{
    "filter", "", "A filter, by one measured point.", filter_keys, {&point_table}};
constexpr Table restriction_table{
    "restriction", "", "Any passage, by one measured point.", restriction_keys, {&point_table}};

PartBody read_filter(Reader& r, const PartContext&) { return read_measured(r, filter_table, true); }
PartBody read_restriction(Reader& r, const PartContext&) {
    return read_measured(r, restriction_table, false);
}

// ---- valve, check_valve

constexpr Key valve_keys[] = {
    key::quantity("bore", Q::length, bore_range, "of the open valve"),
    key::number("opening", fraction, "0 shut to 1").otherwise(1.0, "open"),
    key::number("loss_coefficient", positive, "on the flow area").usual([] {
        return model::Valve{}.loss_coefficient;
    })};
constexpr Key check_keys[] = {
    key::number("loss_coefficient", positive, "of the open valve").usual([] {
        return model::CheckValve{}.loss_coefficient;
    }),
    key::quantity("cracking_pressure", Q::pressure, not_negative,
                  "at which it opens: a bypass past a cold cooler")
        .usual(0)};

constexpr Table valve_table{"valve", "", "A heater valve, by hand, cable or vacuum.", valve_keys};
constexpr Table check_valve_table{
    "check_valve", "", "Lets fluid pass one way.", check_keys, {&bore_table}};

PartBody read_valve(Reader& r, const PartContext&) {
    model::Valve v;
    v.open_area = circle(r.quantity(valve_table["bore"]));
    v.opening = r.number(valve_table["opening"]);
    v.loss_coefficient = r.number(valve_table["loss_coefficient"]);
    return v;
}

PartBody read_check_valve(Reader& r, const PartContext&) {
    model::CheckValve v;
    v.diameter = read_bore(r);
    v.loss_coefficient = r.number(check_valve_table["loss_coefficient"]);
    v.cracking_pressure = r.quantity(check_valve_table["cracking_pressure"]);
    return v;
}

// ---- core

constexpr Key pass_keys[] = {
    key::reference("core", "of those in [cores]; \"cooler.steering\" is a circuit"),
    key::boolean("second_side", "of two liquids, the one that takes the heat").otherwise(false),
    key::quantity("rise", Q::length, any_value, "height gained on the way").usual(0)};

constexpr Table pass_table{"core", "", "Through one side of a core.", pass_keys};

PartBody read_pass(Reader& r, const PartContext& context) {
    model::CorePass pass;
    pass.core = r.reference(pass_table["core"], context.cores);
    pass.second_side = r.boolean(pass_table["second_side"]);
    pass.rise = r.quantity(pass_table["rise"]);
    return pass;
}

constexpr PartKind passages[] = {
    {&hose_table, read_hose},       {&tube_table, read_tube},
    {&fitting_table, read_fitting}, {&barb_table, read_barb},
    {&adapter_table, read_adapter}, {&orifice_table, read_orifice},
    {&filter_table, read_filter},   {&restriction_table, read_restriction},
    {&valve_table, read_valve},     {&check_valve_table, read_check_valve},
    {&pass_table, read_pass}};

}  // namespace

std::span<const PartKind> passage_kinds() { return passages; }

}  // namespace lapheat::scenario
