// The parts of a run that hold fluid, move it, or decide its way.
#include <algorithm>
#include <cmath>

#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/model/model.hpp"
#include "read_part_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using model::PartBody;
using model::Zone;

constexpr Word where_words[] = {{"outside", Zone::outside, "in the car's wind"},
                                {"engine_bay", Zone::engine_bay},
                                {"under_floor", Zone::under_floor},
                                {"inside", Zone::inside, "in the cabin or trunk"}};
constexpr Key where_keys[] = {
    key::choice("surroundings", where_words, "the air that touches it").otherwise("engine_bay")};

}  // namespace

constexpr Table where_table{"", "", "", where_keys};

Zone read_where(Reader& r) { return r.choice<Zone>(where_table["surroundings"]); }

// ---- volume

namespace {

std::vector<std::string> stream_names() { return model::stream_names(); }

enum class Lump { jacket, head, block, sump };
constexpr Word lump_words[] = {{"jacket", Lump::jacket, "all water round the engine"},
                               {"head", Lump::head, "the half of it in the head"},
                               {"block", Lump::block, "the half of it in the block"},
                               {"sump", Lump::sump, "the oil in its pan"}};
constexpr Key volume_keys[] = {
    key::choice(
        "of_engine", lump_words,
        "takes size, metal and conductances from the engine's size; each can still be given")
        .nothing("a volume of its own"),
    key::quantity("volume", Q::volume, positive, "of fluid; with `of_engine` by engine size")
        .usually(1e-05, 0.03),
    key::references("heat", "streams of heat that enter", stream_names).nothing("none"),
    key::quantity("metal_heat_capacity", Q::heat_capacity, not_negative,
                  "of metal as warm as the fluid")
        .optional("by the heat that enters, else 0"),
    key::quantity("wall_heat_capacity", Q::heat_capacity, not_negative,
                  "of a wall with a temperature of its own, which the heat enters")
        .usual(0),
    key::quantity("wall_conductance", Q::thermal_conductance, positive,
                  "from wall to fluid at `wall_flow`")
        .only("with `wall_heat_capacity`"),
    key::quantity("wall_flow", Q::mass_flow, positive, "at which wall_conductance holds")
        .only("with `wall_heat_capacity`"),
    key::quantity("still_conductance", Q::thermal_conductance, not_negative,
                  "from wall to fluid that stands")
        .otherwise("100 W/K")
        .only("with `wall_heat_capacity`"),
    key::quantity("ambient_conductance", Q::thermal_conductance, not_negative,
                  "to the surroundings at rest")
        .optional("by the heat that enters, else by its size"),
    key::number("ambient_speed_gain", not_negative,
                "W/K more to the surroundings for each root of m/s of the car's speed")
        .usual(0),
    key::quantity("rise", Q::length, any_value, "height gained on the way").usual(0)};

constexpr Table volume_table{
    "volume",
    "",
    "Fluid and metal at one temperature: a jacket, sump, reservoir, header tank.",
    volume_keys,
    {&where_table}};

/// Water jacket, head, block or oil sump of an engine of which only the size is known.
model::Volume engine_volume(Reader& r, const heat::EngineLumps& lumps) {
    const auto which = r.choice<Lump>(volume_table["of_engine"]);
    const auto lump = [&](const Key& key, double value) {
        return r.quantity(
            key, {units::format(value, key.quantity, units::System::si), "by engine size"});
    };
    // Head and block are halves of the jacket; common practice, no source.
    const double part = which == Lump::head || which == Lump::block ? 0.5 : 1.0;
    model::Volume v;
    if (which == Lump::sump) {
        v.volume = lump(volume_table["volume"], lumps.oil_volume);
        v.metal_heat_capacity = lump(volume_table["metal_heat_capacity"], lumps.oil_metal);
        v.surroundings = Zone::under_floor;
    } else {
        v.volume = lump(volume_table["volume"], part * lumps.jacket_volume);
        v.wall_heat_capacity = lump(volume_table["wall_heat_capacity"], part * lumps.jacket_metal);
        v.wall_conductance = lump(volume_table["wall_conductance"], part * lumps.wall_conductance);
        v.wall_flow = lump(volume_table["wall_flow"], lumps.wall_flow);
        v.static_conductance =
            lump(volume_table["still_conductance"], part * lumps.still_conductance);
    }
    v.ambient_conductance =
        lump(volume_table["ambient_conductance"], 0.5 * part * lumps.surface_conductance);
    v.ambient_speed_gain = r.number(volume_table["ambient_speed_gain"],
                                    0.5 * part * lumps.surface_conductance_slope, "by engine size");
    if (r.has(where_table["surroundings"])) v.surroundings = read_where(r);
    v.rise = r.quantity(volume_table["rise"]);
    if (r.has(volume_table["heat"])) v.heat = r.references(volume_table["heat"]);
    return v;
}

/// What a volume of which only the fluid is stated has of metal (J/K) and gives to the air (W/K):
/// by the machine whose heat enters it. Nothing that is warmed by a machine is without its metal.
struct Surround {
    double metal = 0, loss = 0;
    const char* why = "";
};
Surround surround_of(const model::Volume& v, const PartContext& context) {
    const auto holds = [&](std::string_view stream) {
        return std::find(v.heat.begin(), v.heat.end(), stream) != v.heat.end();
    };
    const heat::SteeringModel& s = context.steering;
    const heat::TransmissionModel t;
    Surround out;
    const auto add = [&](double metal, double loss, const char* why) {
        out.metal += metal;
        out.loss += loss;
        out.why = why;
    };
    if (holds("engine_coolant"))
        add(context.lumps.jacket_metal, 0.5 * context.lumps.surface_conductance,
            "head and upper block of this size; 0.7 to 1.4 of it");
    if (holds("engine_oil"))
        add(context.lumps.oil_metal, 0.5 * context.lumps.surface_conductance,
            "lower block and crank of this size; 0.7 to 1.4 of it");
    if (holds("gears")) add(t.case_metal, 0, "case and gears; 25 to 50 kJ/K");
    if (holds("converter")) add(t.converter_metal, 0, "a converter; 5 to 10 kJ/K");
    if (holds("steering_pump"))
        add(s.pump_metal, s.conductance / 3, "pump and reservoir; half to twice of it");
    if (holds("steering_gear"))
        add(s.rack_metal, 2 * s.conductance / 3, "rack or box; half to twice of it");
    if (out.metal > 0) return out;
    // A vessel: free convection and radiation, some 10 W/(m2 K) (5 to 20), on the outside of a body
    // of its volume, 6 V^(2/3).
    out.loss = 10 * 6 * std::cbrt(v.volume * v.volume);
    out.why = "10 W/(m2 K) on 6 V^(2/3), 5 to 20";
    return out;
}

PartBody read_volume(Reader& r, const PartContext& context) {
    if (r.has(volume_table["of_engine"])) return engine_volume(r, context.lumps);
    model::Volume v;
    v.volume = r.quantity(volume_table["volume"]);
    if (r.has(volume_table["heat"])) v.heat = r.references(volume_table["heat"]);
    v.wall_heat_capacity = r.quantity(volume_table["wall_heat_capacity"]);
    const Surround usual = surround_of(v, context);
    const auto or_usual = [&](const Key& key, double value) {
        if (r.has(key)) return r.quantity(key);
        if (!(value > 0)) {  // nothing is usual, or it follows from what did not read
            r.ignore(key);
            return 0.0;
        }
        return r.quantity(key, {units::format(value, key.quantity, units::System::si), usual.why});
    };
    // A stated wall is the metal.
    v.metal_heat_capacity =
        or_usual(volume_table["metal_heat_capacity"], v.wall_heat_capacity > 0 ? 0 : usual.metal);
    if (v.wall_heat_capacity > 0) {
        v.wall_conductance = r.quantity(volume_table["wall_conductance"]);
        v.wall_flow = r.quantity(volume_table["wall_flow"]);
        v.static_conductance = r.quantity(volume_table["still_conductance"]);
    }
    v.usual_case = !r.has(volume_table["ambient_conductance"]);
    v.ambient_conductance = or_usual(volume_table["ambient_conductance"], usual.loss);
    v.ambient_speed_gain = r.number(volume_table["ambient_speed_gain"]);
    v.surroundings = read_where(r);
    v.rise = r.quantity(volume_table["rise"]);
    return v;
}

// ---- pump, displacement_pump, cooler_feed

constexpr std::string_view with_head = "with `suction_head`";
constexpr Key suction_keys[] = {
    key::quantity("inlet_bore", Q::length, positive, "of the pump's inlet")
        .optional("its velocity is not counted"),
    key::quantity("suction_head", Q::length, positive,
                  "net positive suction head that the pump needs at reference speed")
        .optional("a rule of thumb"),
    key::quantity("suction_head_flow", Q::volume_flow, positive, "at which it needs it")
        .only(with_head),
    key::quantity("suction_head_still", Q::length, not_negative, "that it needs at no flow")
        .optional("half of suction_head")
        .only(with_head)};
constexpr Table suction_table{"", "", "", suction_keys};

/// What the pump needs at its inlet, from its data sheet.
model::SuctionHead read_suction(Reader& r) {
    const Key &head = suction_table["suction_head"], &still = suction_table["suction_head_still"];
    model::SuctionHead s;
    s.bore = r.optional_quantity(suction_table["inlet_bore"]).value_or(0);
    if (r.has(head)) {
        s.at_flow = r.quantity(head);
        s.flow = r.quantity(suction_table["suction_head_flow"]);
        s.still = r.optional_quantity(still).value_or(0.5 * s.at_flow);
        if (s.still > s.at_flow)
            r.error(still, "no more than suction_head: a pump needs least at rest");
    } else {
        r.ignore(head);
    }
    return s;
}

constexpr Column pump_point_columns[] = {{"flow", Q::volume_flow, not_negative, true, true},
                                         {"pressure", Q::pressure, not_negative}};
constexpr Key pump_keys[] = {
    key::quantity("reference_speed", Q::angular_speed, positive,
                  "of the pump where its curve holds"),
    key::columns("points", pump_point_columns, "its curve")
        .nothing("by shut_off_pressure and free_flow"),
    key::quantity("shut_off_pressure", Q::pressure, positive, "at no flow")
        .only("without `points`"),
    key::quantity("free_flow", Q::volume_flow, positive, "against no pressure")
        .only("without `points`"),
    level_key("head_level", "on the pressures of its curve"),
    key::number("efficiency", efficiency, "hydraulic over shaft power").otherwise(0.5),
    key::number("speed_ratio", between(0.2, 5), "by its pulley")
        .otherwise(1.0, "pump over engine speed")
        .only("without `electric_speed`"),
    key::quantity("electric_speed", Q::angular_speed, positive, "of a pump with a motor of its own")
        .optional("turned by the engine"),
    key::boolean("after_run", "runs on when the engine is off")
        .otherwise(false)
        .only("with `electric_speed`")};

std::vector<std::string> pump_owners() { return {"steering"}; }

constexpr std::string_view with_efficiency = "with `volumetric_efficiency`";
constexpr Key displacement_keys[] = {
    key::reference("of", "takes displacement, speed ratio, controlled flow and relief from there",
                   pump_owners)
        .nothing("a pump of its own"),
    key::quantity("displacement", Q::displacement, positive, "of the pump").only("without `of`"),
    key::number("speed_ratio", between(0.2, 5), "by its pulley")
        .otherwise(1.0, "pump over engine speed"),
    key::quantity("controlled_flow", Q::volume_flow, positive, "after flow control")
        .optional("no flow control"),
    key::quantity("relief_pressure", Q::pressure, positive, "at which the pump spills")
        .optional("no relief valve"),
    key::number("relief_override", between(0.005, 1),
                "pressure over relief when all of it spills, share of relief")
        .usual([] { return model::FlowSource{}.relief_override; })
        .usually(0, 0.5),
    key::number("volumetric_efficiency", between(0.3, 0.999), "of the maker's test")
        .optional("a tight pump"),
    key::quantity("rated_speed", Q::angular_speed, positive, "of the test").only(with_efficiency),
    key::quantity("rated_pressure", Q::pressure, positive, "of the test").only(with_efficiency),
    key::quantity("rated_viscosity", Q::dynamic_viscosity, positive, "of the test")
        .only(with_efficiency)};

constexpr Table pump_table{
    "pump", "", "A centrifugal pump, by the engine or a motor.", pump_keys, {&suction_table}};
constexpr Table displacement_pump_table{"displacement_pump",
                                        "",
                                        "A pump that gives a flow: of steering or oil.",
                                        displacement_keys,
                                        {&suction_table}};
constexpr Table cooler_feed_table{
    "cooler_feed", "", "What the transmission gives its cooler, see `lapheat help gearbox`."};

PartBody read_pump(Reader& r, const PartContext&) {
    model::Pump p;
    p.reference_speed = r.quantity(pump_table["reference_speed"]);
    if (r.has(pump_table["points"])) {
        const Columns points = r.columns(pump_table["points"]);
        for (std::size_t i = 0; i < points.rows(); ++i)
            p.points.push_back({points["flow"][i], points["pressure"][i]});
        r.attempt([&] {
            std::vector<hydraulics::PumpPoint> curve;
            for (const model::PumpPoint& point : p.points)
                curve.push_back({point.flow, point.pressure});
            return hydraulics::fit_pump(curve, p.density, p.reference_speed);
        });
    } else {
        p.shutoff_head = r.quantity(pump_table["shut_off_pressure"]);
        p.free_flow = r.quantity(pump_table["free_flow"]);
    }
    read_assumed(r, pump_table["head_level"], p.head_level);
    p.efficiency = r.number(pump_table["efficiency"]);
    r.ignore(pump_table["electric_speed"]);
    if (r.has(pump_table["electric_speed"])) {
        p.electric_speed = r.quantity(pump_table["electric_speed"]);
        p.after_run = r.boolean(pump_table["after_run"]);
    } else {
        p.speed_ratio = r.number(pump_table["speed_ratio"]);
    }
    p.suction = read_suction(r);
    return p;
}

/// The pump that [steering] states. What the part says besides must be the same.
void read_steering_pump(Reader& r, const heat::SteeringModel& steering, model::FlowSource& s) {
    (void)r.reference(displacement_pump_table["of"]);
    if (!steering.hydraulic) r.error(displacement_pump_table["of"], "a table [steering]");
    s.displacement = steering.displacement;
    s.speed_ratio = steering.speed_ratio;
    s.maximum_flow = steering.controlled_flow;
    s.relief_pressure = steering.relief_pressure;
    const auto agree = [&](const Key& key, double value) {
        r.ignore(key);
        if (!r.has(key)) return;
        const double given = key.type == Key::Type::number ? r.number(key) : r.quantity(key);
        if (!(std::abs(given - value) <= 1e-6 * value))
            r.error(key, "what [steering] says, or no such key beside `of`");
    };
    agree(displacement_pump_table["displacement"], s.displacement);
    agree(displacement_pump_table["speed_ratio"], s.speed_ratio);
    agree(displacement_pump_table["controlled_flow"], s.maximum_flow);
    agree(displacement_pump_table["relief_pressure"], s.relief_pressure);
}

/// A pump that a steering loop states anew: where it differs from [steering], heat and flow are of
/// two pumps.
void warn_of_two_pumps(Reader& r, const heat::SteeringModel& steering, const model::FlowSource& s) {
    const auto differ = [](double a, double b) { return std::abs(a - b) > 1e-6 * std::abs(b); };
    if (differ(s.displacement, steering.displacement) ||
        differ(s.speed_ratio, steering.speed_ratio) ||
        differ(s.maximum_flow, steering.controlled_flow) ||
        differ(s.relief_pressure, steering.relief_pressure))
        r.warn(displacement_pump_table["displacement"], "the pump that [steering] states",
               "write of = \"steering\" in place of displacement, speed_ratio, controlled_flow and "
               "relief_pressure");
}

PartBody read_displacement_pump(Reader& r, const PartContext& context) {
    model::FlowSource s;
    if (r.has(displacement_pump_table["of"])) {
        read_steering_pump(r, context.steering, s);
    } else {
        r.ignore(displacement_pump_table["of"]);
        s.displacement = r.quantity(displacement_pump_table["displacement"]);
        s.speed_ratio = r.number(displacement_pump_table["speed_ratio"]);
        s.maximum_flow =
            r.optional_quantity(displacement_pump_table["controlled_flow"]).value_or(0);
        s.relief_pressure =
            r.optional_quantity(displacement_pump_table["relief_pressure"]).value_or(0);
        if (context.role == model::LoopRole::steering && context.steering.hydraulic)
            warn_of_two_pumps(r, context.steering, s);
    }
    s.relief_override = r.number(displacement_pump_table["relief_override"]);
    r.ignore(displacement_pump_table["volumetric_efficiency"]);
    if (r.has(displacement_pump_table["volumetric_efficiency"])) {
        const double share = r.number(displacement_pump_table["volumetric_efficiency"]);
        const double speed = r.quantity(displacement_pump_table["rated_speed"]);
        const double pressure = r.quantity(displacement_pump_table["rated_pressure"]);
        const double viscosity = r.quantity(displacement_pump_table["rated_viscosity"]);
        if (const auto leak = r.attempt([&] {
                return hydraulics::leakage_from_efficiency(s.displacement, speed, pressure,
                                                           viscosity, share);
            }))
            s.leakage = *leak;
    }
    s.suction = read_suction(r);
    return s;
}

PartBody read_cooler_feed(Reader&, const PartContext&) { return model::CoolerFeed{}; }

// ---- thermostat

constexpr Key thermostat_keys[] = {
    key::quantity("opens", Q::temperature, between(280, 420), "begins to open").usually(335, 380),
    key::quantity("full", Q::temperature, between(280, 430), "fully open"),
    shift_key("opens and full"),
    key::quantity("hysteresis", Q::temperature_difference, not_negative,
                  "between its opening and its closing line")
        .otherwise("3 K")
        .usually(0, 12),
    key::quantity("lag", Q::time, positive, "time constant").otherwise("8 s", "of the wax"),
    key::quantity("bore", Q::length, positive, "of a passage as wide as the open valve")
        .otherwise("30 mm", "flow area fully open")
        .only("without `stroke`"),
    key::quantity("seat", Q::length, positive, "diameter of a poppet's seat").only("with `stroke`"),
    key::quantity("stroke", Q::length, positive, "of a poppet, in place of `bore`")
        .optional("by bore"),
    key::quantity("bleed", Q::length, not_negative, "bore of the hole that is always open")
        .usual(0),
    key::boolean("closes_when_hot", "a bypass, or an oil thermostat's other way").otherwise(false),
    key::text("sensor", "part whose fluid the wax feels").optional("the run's first"),
    key::number("stuck_at", fraction, "held at this opening by a fault").nothing("works")};

constexpr Table thermostat_table{"thermostat", "", "A valve worked by wax.", thermostat_keys};

PartBody read_thermostat(Reader& r, const PartContext&) {
    model::Thermostat t;
    t.opens = r.quantity(thermostat_table["opens"]);
    t.full = r.quantity(thermostat_table["full"]);
    read_assumed(r, thermostat_table["shift"], t.shift);
    t.hysteresis = r.quantity(thermostat_table["hysteresis"]);
    t.lag = r.quantity(thermostat_table["lag"]);
    t.closed_area = circle(r.quantity(thermostat_table["bleed"]));
    r.ignore(thermostat_table["stroke"]);
    if (r.has(thermostat_table["stroke"])) {
        // A poppet: the ring it opens, or its seat if that is narrower.
        const double seat = r.quantity(thermostat_table["seat"]);
        t.open_area =
            t.closed_area + hydraulics::poppet_area(seat, r.quantity(thermostat_table["stroke"]));
    } else {
        t.open_area = circle(r.quantity(thermostat_table["bore"]));
    }
    if (t.closed_area >= t.open_area)
        r.error(thermostat_table["bleed"], "a bleed smaller than the open valve");
    t.reversed = r.boolean(thermostat_table["closes_when_hot"]);
    t.sensor = r.optional_text(thermostat_table["sensor"]).value_or("");
    if (r.has(thermostat_table["stuck_at"])) t.stuck = r.number(thermostat_table["stuck_at"]);
    return t;
}

constexpr PartKind machines[] = {{&volume_table, read_volume},
                                 {&pump_table, read_pump},
                                 {&displacement_pump_table, read_displacement_pump},
                                 {&cooler_feed_table, read_cooler_feed},
                                 {&thermostat_table, read_thermostat}};

}  // namespace

std::span<const PartKind> machine_kinds() { return machines; }

}  // namespace lapheat::scenario
