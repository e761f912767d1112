// The derived car: what the cooler's place decides.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "derive_build.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/doubt.hpp"

namespace lapheat::scenario {
namespace {

using P = Short::Place;

/// Numbers of a place: lengths in wheelbases, areas in faces of the cooler.
struct PlaceSketch {
    P place;
    const char *words, *path, *air;  ///< for people; name and `place` of its way of the air
    double line, steering_to, steering_from;
    int bends;
    double mouth, open, exit, exhaust, wire;
    int shields;
    bool own_fan, hose_below;  ///< lines under the floor all the way
};
constexpr PlaceSketch sketches[] = {
    {P::front, "ahead of the radiator", "front", "front", 0.69, 0.33, 0.36, 6, 0, 0, 0, 0, 0, 0,
     false, false},
    {P::behind, "behind the radiator", "front", "behind_radiator", 0.62, 0.29, 0.29, 6, 0, 0, 0,
     0.17, 0, 0, false, false},
    {P::duct, "beside the radiator in a duct", "duct", "side_duct", 0.77, 0.36, 0.4, 7, 0.6, 0.8,
     0.85, 0, 0.9, 0, true, false},
    {P::floor, "under the floor", "under_floor", "under_floor", 0.26, 0.47, 0.58, 2, 1.0, 0.6, 1.36,
     0.34, 1.45, 1, true, true},
    {P::rear, "at the rear", "rear", "behind_rear_axle", 1.17, 1.53, 1.68, 5, 1.2, 0.7, 1.53, 0.17,
     2.2, 0, true, true},
    {P::scoop, "in the trunk with a scoop", "trunk", "side_scoop", 1.09, 1.42, 1.57, 5, 0.51, 0.7,
     0.85, 0, 1.1, 0, true, true},
    {P::tank, "in the radiator's tank", "front", "front", 0.69, 0.33, 0.36, 6, 0, 0, 0, 0, 0, 0,
     false, false}};

const PlaceSketch& sketch_of(P place) {
    return *std::find_if(std::begin(sketches), std::end(sketches),
                         [&](const PlaceSketch& p) { return p.place == place; });
}

double face(const Short& s) { return s.cooler_width * s.cooler_height; }
/// Of the ring that blades sweep, less the hub.
double ring(double diameter) { return 0.85 * std::numbers::pi / 4 * diameter * diameter; }
/// m3/s against nothing of a fan of which nobody claims any.
double usual_flow(double diameter) { return 8.8 * ring(diameter); }
double shut_off(double flow, double diameter) {
    return 3.3 * 0.6 * std::pow(flow / ring(diameter), 2);
}

Item switch_item(const FilePlace& at, const char* loop, const char* part) {
    Item s(at);
    s.text("loop", loop).text("part", part);
    return s;
}

void derive_radiator(const Short& s, Item& cores) {
    Item r(s.radiator_at);
    r.text("kind", "louvred").text("fluid", "coolant");
    for (const char* key : {"width", "height", "depth"}) r.own(key, s.radiator, key);
    const int rows = s.rows > 0 ? s.rows : s.depth < 0.034 ? 1 : s.depth < 0.06 ? 2 : 3;
    if (!r.own("rows", s.radiator, "rows")) r.whole("rows", rows);
    if (!r.own("fins", s.radiator, "fins")) r.quantity("fins", Q::per_length, usual_fins, "fins");
    r.quantity("tube_pitch", Q::length, 10.5e-3, "tube pitch")
        .quantity("tube_height", Q::length, 2e-3, "tube height")
        .quantity("tube_depth", Q::length, s.depth / rows - (rows > 1 ? 2e-3 : 0.5e-3),
                  "tube depth");
    cores.table("radiator", std::move(r));
}

void derive_cooler(const Short& s, Item& cores) {
    const FilePlace& at = s.cooler_at;
    Item c(at);
    if (s.place == P::tank) {
        if (!s.automatic) return;
        c.text("kind", "tank_plate").text("fluid", "atf").text("second_fluid", "coolant");
        c.quantity("length", Q::length, 0.28, "tank cooler")
            .quantity("plate_width", Q::length, 0.036, "tank cooler")
            .whole("plates", 4)
            .quantity("oil_height", Q::length, 2.5e-3, "cooler liquid gap")
            .text("tank_width", "50 mm")
            .text("tank_depth", "55 mm")
            .quantity("turbulator_fins", Q::per_length, 551, "cooler inner fins");
        cores.table("tank_cooler", std::move(c));
        return;
    }
    c.text("fluid", s.automatic ? "atf" : "psf");
    c.own("width", s.cooler_table, "width");
    c.own("height", s.cooler_table, "height");
    const bool tubes = s.cooler == Short::Cooler::plate_fin;
    if (!tubes) c.own("depth", s.cooler_table, "depth");
    const char* fins = s.cooler == Short::Cooler::bar_plate ? "air_fins" : "fins";
    if (!c.own(fins, s.cooler_table, "fins")) c.quantity(fins, Q::per_length, usual_fins, "fins");
    switch (s.cooler) {
        case Short::Cooler::bar_plate:
            c.text("kind", "bar_plate")
                .quantity("liquid_fin_height", Q::length, 2.5e-3, "cooler liquid gap")
                .quantity("air_fin_height", Q::length, 7e-3, "cooler air gap")
                .quantity("liquid_fins", Q::per_length, 551, "cooler inner fins");
            break;
        case Short::Cooler::louvred:
            c.text("kind", "louvred")
                .quantity("tube_height", Q::length, 4e-3, "cooler liquid gap")
                .quantity("tube_pitch", Q::length, 11e-3, "cooler air gap")
                .quantity("turbulator_fins", Q::per_length, 551, "cooler inner fins");
            break;
        case Short::Cooler::plate_fin:
            c.text("kind", "plate_fin")
                .quantity("tube_diameter", Q::length, 10e-3, "cooler tube")
                .quantity("transverse_pitch", Q::length, 25e-3, "cooler tube")
                .whole("rows", std::max(1, static_cast<int>(std::lround(s.cooler_depth / 22e-3))))
                .whole("liquid_circuits", 1);
            break;
    }
    if (s.automatic) {
        Item transmission(at), steering(at), circuits(at);
        transmission.plain("share", 0.7).text("fluid", "atf");
        steering.plain("share", 0.3).text("fluid", "psf");
        circuits.table("transmission", std::move(transmission))
            .table("steering", std::move(steering));
        c.table("circuits", std::move(circuits));
    }
    cores.table("cooler", std::move(c));
}

void derive_fan(Item& fan, double flow, double diameter) {
    const double pressure = shut_off(flow, diameter);
    fan.quantity("shut_off_pressure", Q::air_pressure, pressure, "fan shut-off");
    if (fan.node().find("current") == nullptr)
        fan.quantity("current", Q::electric_current, flow * pressure / 0.55 / 13, "fan current");
}

double cooler_fan_diameter(const Short& s) {
    if (s.cooler_fan_diameter > 0) return s.cooler_fan_diameter;
    const double widest = std::max(s.cooler_height, 0.94 * std::sqrt(face(s)));
    return std::max(5 * constants::inch, std::floor(widest / constants::inch) * constants::inch);
}

void derive_fans(const Short& s, const PlaceSketch& place, Item& root) {
    Item fans(s.fans_at);
    for (int i = 1; i <= s.fans; ++i) {
        Item f(s.fans_at), sensor = switch_item(s.fans_at, "coolant", "radiator");
        double flow = s.fan_flow;
        if (!f.own("free_flow", s.radiator_fans, "flow")) {
            flow = usual_flow(s.fan_diameter);
            f.quantity("free_flow", Q::air_flow, flow, "fan flow");
        }
        f.own("diameter", s.radiator_fans, "diameter");
        f.own("current", s.radiator_fans, "current");
        derive_fan(f, flow, s.fan_diameter);
        if (!sensor.own("on", s.radiator_fans, "on"))
            sensor.quantity("on", Q::temperature, 366.15, "fan on");
        if (!sensor.own("off", s.radiator_fans, "off"))
            sensor.quantity("off", Q::temperature, 360.15, "fan off");
        f.list("switches", {std::move(sensor)}).flag("with_air_conditioning", s.condenser);
        fans.table(fmt::format("radiator_{}", i), std::move(f));
    }
    if (place.own_fan) {
        const double diameter = cooler_fan_diameter(s);
        Item f(s.cooler_at);
        if (!f.own("diameter", s.cooler_table, "fan_diameter"))
            f.text("diameter", units::format(diameter, Q::length, units::System::si));
        double flow = usual_flow(diameter);
        if (const DocumentNode* own = s.cooler_table->find("fan_flow")) {
            flow = units::parse_doubted(own->text, Q::air_flow).value;
            f.own("free_flow", s.cooler_table, "fan_flow");
        } else {
            f.quantity("free_flow", Q::air_flow, flow, "fan flow");
        }
        derive_fan(f, flow, diameter);
        std::vector<Item> switches;
        for (const auto& [loop, part] : {std::pair{"transmission", "supply hose"},
                                         std::pair{"steering", "return to cooler"}}) {
            if (!s.automatic && std::string_view(loop) == "transmission") continue;
            switches.push_back(switch_item(s.cooler_at, loop, part));
            switches.back()
                .quantity("on", Q::temperature, 358.15, "cooler fan on")
                .quantity("off", Q::temperature, 350.15, "cooler fan off");
        }
        f.text("wire_length", units::format(place.wire * s.wheelbase, Q::length, units::System::si))
            .list("switches", std::move(switches));
        fans.table("cooler_fan", std::move(f));
    }
    root.table("fans", std::move(fans));
}

Item derived_front(const Short& s, const PlaceSketch& place) {
    const FilePlace& at = s.radiator_at;
    const double area = s.width * s.height;
    Item a(at), radiator(at), cooler(s.cooler_at), condenser(at), shroud(at);
    a.text("place", s.place == P::behind ? "behind_radiator" : "front")
        .quantity("grille_area", Q::area, 0.72 * area, "grille")
        .number("grille_open", 0.68, "grille openness")
        .quantity("exit_area", Q::area, 0.78 * area, "way out")
        .quantity("leak_area", Q::area, 0.013 * area, "leaks");
    if (s.place == P::behind)
        a.quantity("exhaust_view_area", Q::area, place.exhaust * face(s), "exhaust in sight");
    std::vector<Item> stack;
    if (s.condenser) {
        condenser.text("heat", "condenser")
            .quantity("width", Q::length, 0.8 * s.width, "condenser face")
            .quantity("height", Q::length, 0.82 * s.height, "condenser face")
            .quantity("pressure_loss", Q::air_pressure, 45, "condenser loss");
        stack.push_back(std::move(condenser));
    }
    const auto in_corner = [&](double side, double middle) {
        const double free = std::max(0.0, 0.5 * (side - middle));
        return units::format(-0.85 * free, Q::length, units::System::si);
    };
    cooler.text("core", "cooler")
        .text("offset_x", in_corner(s.width, s.cooler_width))
        .text("offset_y", in_corner(s.height, s.cooler_height));
    radiator.text("core", "radiator");
    if (s.place == P::front) stack.push_back(std::move(cooler));
    stack.push_back(std::move(radiator));
    if (s.place == P::behind) stack.push_back(std::move(cooler));
    std::vector<std::string> fans;
    for (int i = 1; i <= s.fans; ++i) fans.push_back(fmt::format("radiator_{}", i));
    shroud.texts("fans", fans)
        .number("cover", 0.9, "shroud cover")
        .quantity("gap_area", Q::area, 0.013 * area, "leaks");
    a.list("stack", std::move(stack)).list("shrouds", {std::move(shroud)});
    return a;
}

Item derived_place(const Short& s, const PlaceSketch& place) {
    const FilePlace& at = s.cooler_at;
    Item a(at), core(at), shroud(at);
    a.text("place", place.air)
        .quantity("grille_area", Q::area, place.mouth * face(s), "mouth of the place")
        .number("grille_open", place.open, "grille openness")
        .quantity("exit_area", Q::area, place.exit * face(s), "mouth of the place")
        .whole("heat_shields", place.shields);
    if (place.exhaust > 0)
        a.quantity("exhaust_view_area", Q::area, place.exhaust * face(s), "exhaust in sight");
    core.text("core", "cooler");
    shroud.texts("fans", {"cooler_fan"}).plain("cover", 0.95);
    a.list("stack", {std::move(core)}).list("shrouds", {std::move(shroud)});
    return a;
}

Item line(const Short& s, const PlaceSketch& place, const char* name, double length, int bends) {
    Item h(s.cooler_at);
    h.text("kind", "hose").text("name", name);
    if (!h.own("size", s.cooler_table, "line")) h.text("size", s.line);
    h.quantity("length", Q::length, length, "line length").whole("bends", bends);
    if (place.hose_below) h.text("surroundings", "under_floor");
    return h;
}

/// As much longer or shorter than derived as the builder's own transmission lines are, which go to
/// the same cooler.
double steering_length(const Short& s, const PlaceSketch& place, double wheelbases) {
    const double own =
        s.line_length > 0 && s.place != P::tank ? s.line_length / (place.line * s.wheelbase) : 1;
    return own * wheelbases * s.wheelbase;
}

Item through(const FilePlace& at, const std::string& core) {
    Item c(at);
    c.text("kind", "core").text("name", "cooler").text("core", core);
    return c;
}

Item loop_of(const FilePlace& at, const char* fluid, const char* watched, const char* run,
             const char* node, std::vector<Item> parts) {
    Item circuit(at), runs(at), limits(at), loop(at);
    circuit.text("from", node).text("to", node).list("parts", std::move(parts));
    runs.table(run, std::move(circuit));
    limits.text("part", watched);
    loop.text("fluid", fluid).table("limits", std::move(limits)).table("runs", std::move(runs));
    return loop;
}

Item volume(const FilePlace& at, const char* name, double litres, double metal,
            const std::vector<std::string>& heat, const char* of) {
    Item v(at);
    const std::string fluid = std::string(of) + " fluid", mass = std::string(of) + " metal";
    v.text("kind", "volume").text("name", name);
    v.quantity("volume", Q::volume, litres * 1e-3, fluid);
    if (!heat.empty()) v.texts("heat", heat);
    v.quantity("metal_heat_capacity", Q::heat_capacity, metal, mass);
    return v;
}

Item derived_transmission(const Short& s, const PlaceSketch& place) {
    const FilePlace& at = s.gearbox_at;
    const double length = place.line * s.wheelbase;
    const bool own = s.cooler_table->find("line_length") != nullptr;
    std::vector<Item> parts;
    Item feed(at);
    feed.text("kind", "cooler_feed").text("name", "feed");
    parts.push_back(std::move(feed));
    parts.push_back(volume(at, "converter", 4, 7e3, {"converter"}, "gearbox"));
    for (const char* name : {"supply hose", "cooler", "return hose"}) {
        if (std::string_view(name) == "cooler") {
            parts.push_back(
                through(at, s.place == P::tank ? "tank_cooler" : "cooler.transmission"));
            continue;
        }
        Item hose = line(s, place, name, length, place.bends);
        if (own) *hose.node().find("length") = *s.cooler_table->find("line_length");
        parts.push_back(std::move(hose));
    }
    Item sump = volume(at, "sump", 6, 36e3, {"gears", "gearbox_case"}, "gearbox");
    sump.quantity("ambient_conductance", Q::thermal_conductance, 9, "gearbox case")
        .number("ambient_speed_gain", 2.5, "gearbox case")
        .text("surroundings", "under_floor");
    parts.push_back(std::move(sump));
    return loop_of(at, "atf", "sump", "cooler", "sump", std::move(parts));
}

Item derived_steering(const Short& s, const PlaceSketch& place) {
    const FilePlace& at = s.vehicle_at;
    std::vector<Item> parts;
    Item pump(at), pressure(at);
    pump.text("kind", "displacement_pump").text("name", "pump").text("of", "steering");
    parts.push_back(std::move(pump));
    parts.push_back(volume(at, "pump body", 0.15, 1.6e3, {"steering_pump"}, "steering"));
    parts.back().quantity("ambient_conductance", Q::thermal_conductance, 1, "steering surface");
    pressure.text("kind", "hose").text("name", "pressure hose").text("size", "-6");
    pressure.quantity("length", Q::length, 0.33 * s.wheelbase, "line length").whole("bends", 2);
    parts.push_back(std::move(pressure));
    parts.push_back(volume(at, "steering gear", 0.25, 4e3, {"steering_gear"}, "steering"));
    parts.back()
        .quantity("ambient_conductance", Q::thermal_conductance, 1.5, "steering surface")
        .number("ambient_speed_gain", 0.3, "steering surface");
    if (s.place == P::tank) {
        parts.push_back(line(s, place, "return hose", place.steering_to * s.wheelbase, 3));
    } else {
        parts.push_back(
            line(s, place, "return to cooler", steering_length(s, place, place.steering_to), 3));
        parts.push_back(through(at, s.automatic ? "cooler.steering" : "cooler"));
        parts.push_back(line(s, place, "return from cooler",
                             steering_length(s, place, place.steering_from), 3));
    }
    parts.push_back(volume(at, "reservoir", 0.6, 0.4e3, {}, "steering"));
    parts.back().quantity("ambient_conductance", Q::thermal_conductance, 0.8, "steering surface");
    return loop_of(at, "psf", "reservoir", "circuit", "reservoir", std::move(parts));
}

}  // namespace

void derive_cooling(const Short& s, Item& root, Item& loops) {
    const PlaceSketch& place = sketch_of(s.place);
    root.text("placement", place.words);
    Item cores(s.radiator_at), air(s.cooler_at);
    derive_radiator(s, cores);
    derive_cooler(s, cores);
    root.table("cores", std::move(cores));
    derive_fans(s, place, root);
    air.table("front", derived_front(s, place));
    if (place.own_fan) air.table(place.path, derived_place(s, place));
    root.table("air", std::move(air));
    if (s.automatic) loops.table("transmission", derived_transmission(s, place));
    loops.table("steering", derived_steering(s, place));
}

heat::EngineLumps derived_lumps(const Short& s) {
    heat::EngineModel engine;
    engine.displacement = s.displacement;
    return heat::engine_lumps(engine, false);
}

DocumentNode derived_car(const Short& s) {
    Item root(s.engine_at);
    root.text("car", "a car from its short description")
        .table("vehicle", derived_vehicle(s))
        .table("engine", derived_engine(s));
    derive_gearbox(s, root);
    Item coolant(s.engine_at), atf(s.engine_at), psf(s.engine_at), oil(s.engine_at),
        fluids(s.engine_at), alternator(s.engine_at), loops(s.engine_at), link(s.engine_at);
    coolant.text("kind", "ethylene_glycol").number("fraction", 0.5, "coolant mix");
    fluids.table("coolant", std::move(coolant))
        .table("atf", std::move(atf.text("kind", "transmission_fluid")))
        .table("psf", std::move(psf.text("kind", "steering_fluid")))
        .table("oil", std::move(oil.text("kind", "engine_oil")));
    root.table("fluids", std::move(fluids));
    root.table("alternator",
               std::move(alternator.quantity("current", Q::electric_current, 100, "alternator")));
    loops.table("coolant", derived_coolant(s));
    derive_cooling(s, root, loops);
    loops.table("engine_oil", derived_oil(s));
    root.table("loops", std::move(loops));
    link.text("first_loop", "engine_oil")
        .text("first_part", "pan")
        .text("second_loop", "coolant")
        .text("second_part", "jacket");
    root.list("links", {std::move(link)});
    return std::move(root.node());
}

}  // namespace lapheat::scenario
