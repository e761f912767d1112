// Strip fins in gaps: plate and bar, and the two coolers that sit in a radiator's tank.
#include <fmt/core.h>

#include <algorithm>
#include <numbers>

#include "kind_of.hpp"

namespace lapheat::exchangers::detail {
namespace {

using std::numbers::pi;

struct Layers {
    int passages = 0;
    double air_height = 0;
};

Layers measure(const BarPlateCore& c, Core& core) {
    need_positive("width", c.width);
    need_positive("height", c.height);
    need_positive("depth", c.depth);
    need_count("passages", c.passages, 0);
    need_positive("liquid_fin_height", c.liquid_fin_height);
    need_not_negative("air_fin_height", c.air_fin_height);
    need_positive("sheet_thickness", c.sheet_thickness);
    need_not_negative("bar_width", c.bar_width);
    need_below("bar_width", 2 * c.bar_width, c.depth, "the depth (twice the bar)");
    need_material("material", c.material);
    const double tube = c.liquid_fin_height + 2 * c.sheet_thickness;
    need_below("liquid_fin_height", tube, c.height, "the face");
    if (c.passages == 0 && c.air_fin_height == 0)
        refuse("passages", "neither the number of passages nor the height of the air fins is given",
               "passages or air_fin_height");
    Layers l;
    l.passages = c.passages;
    l.air_height = c.air_fin_height;
    if (l.passages == 0)
        l.passages = static_cast<int>(
            std::lround((c.height - c.air_fin_height) / (tube + c.air_fin_height)));
    if (l.air_height == 0) {
        l.air_height = (c.height - l.passages * tube) / (l.passages + 1);
        core.assumptions.push_back("height of the air fins from the number of passages: " +
                                   millimetres(l.air_height));
    }
    if (l.passages < 1 || !(l.air_height > 0) ||
        l.passages * tube + (l.passages - 1) * l.air_height > c.height * 1.02)
        refuse("passages",
               fmt::format("{} passages with air fins do not fit {}", l.passages,
                           millimetres(c.height)),
               "fewer passages or lower fins");
    need_count("passes", c.passes, 1, l.passages);
    return l;
}

/// Metal of strip fins: their share of the surface, two sides, one thickness.
double strip_metal(double area, const StripChannel& s) {
    return area * s.fin_share / 2 * s.fin.thickness;
}

/// Oil in strip-filled gaps, coolant along the outside of a tank; both kinds come to this.
struct TankShape {
    double length = 0;
    double oil_width = 0;      ///< of all gaps together
    double gap = 0;            ///< height of a gap
    double wetted = 0;         ///< m, coolant's perimeter on hot walls
    double metal_section = 0;  ///< m², walls, cross-section
    double taken = 0;          ///< m², cross-section that the cooler takes from the tank
    double wall = 0;
};

Built build_tank(const TankShape& t, double tank_width, double tank_depth, const StripFill& fill,
                 const Material& material, bool counter, const char* name) {
    need_positive("tank_width", tank_width);
    need_positive("tank_depth", tank_depth);
    need_material("material", material);
    const double coolant_area = tank_width * tank_depth - t.taken;
    if (!(coolant_area > 0))
        refuse("tank_width", "the cooler fills the tank", "a tank with room for coolant");
    Built b;
    Core& core = b.core;
    core.name = name;  // no face: width and height stay zero, two liquids
    const StripChannel strip = strip_channel(fill, t.gap);
    note_strip_range(core, strip, "in the oil");
    SideDescription oil;
    oil.flow_area = t.oil_width * t.gap * strip.free_share;
    oil.heat_area = 4 * oil.flow_area * t.length / strip.diameter;
    fill_strip_side(oil, strip, t.length, 1, material, 1.5, true);
    core.first = make_side(oil);

    const double perimeter = t.wetted + 2 * (tank_width + tank_depth);
    const Duct duct{DuctShape::rectangle, 4 * coolant_area / perimeter, t.length, 0};
    SideDescription coolant;
    coolant.flow_area = coolant_area;
    coolant.heat_area = t.wetted * t.length;
    fill_duct_side(coolant, duct, coolant_area / (tank_width * tank_depth), 1, 0);
    core.second = make_side(coolant);
    core.wall_resistance = t.wall / (material.conductivity * t.wetted * t.length);
    core.arrangement.kind = counter ? Arrangement::counter : Arrangement::parallel;
    core.open_fraction = coolant_area / (tank_width * tank_depth);
    core.second_volume = coolant_area * t.length;
    core.uncertainty = 0.25;
    core.assumptions.push_back(
        "oil side by Manglik & Bergles 1995, coolant along the tank as in a flat gap (VDI Heat "
        "Atlas G1)");

    const double metal = t.metal_section * t.length + strip_metal(oil.heat_area, strip);
    add_metal(b.facts, metal * material.density, material);
    b.facts.second_area = coolant.heat_area;
    b.facts.liquid_area = oil.heat_area;
    b.facts.open_fraction = core.open_fraction;
    b.facts.air_hydraulic_diameter = duct.hydraulic_diameter;
    b.facts.liquid_hydraulic_diameter = strip.diameter;
    b.facts.liquid_volume = oil.flow_area * t.length;
    b.facts.fin_height = t.gap;
    open_levels(core, solve::level_of(R::strip_film),
                solve::level_of(R::duct_film_laminar, R::duct_film_turbulent),
                solve::level_of(R::duct_loss_laminar, R::duct_loss_turbulent), false);
    return b;
}

}  // namespace

Built build(const BarPlateCore& c) {
    Built b;
    Core& core = b.core;
    core.name = "plate and bar, strip fins";
    const Layers l = measure(c, core);
    core.width = c.width;
    core.height = c.height;
    core.depth = c.depth;
    core.face_area = c.width * c.height;

    const StripChannel air_strip = strip_channel(c.air_fins, l.air_height);
    const StripChannel liquid_strip = strip_channel(c.liquid_fins, c.liquid_fin_height);
    note_strip_range(core, air_strip, "in the air");
    note_strip_range(core, liquid_strip, "in the liquid");
    const double sheets = l.passages * (c.liquid_fin_height + 2 * c.sheet_thickness);
    const double layers =
        std::min<double>(l.passages + 1, (c.height - sheets) / l.air_height + 1e-9);

    SideDescription air;
    air.flow_area = layers * l.air_height * c.width * air_strip.free_share;
    air.heat_area = 4 * air.flow_area * c.depth / air_strip.diameter;
    core.open_fraction = air.flow_area / core.face_area;
    fill_strip_side(air, air_strip, c.depth, 1, c.material, air_ends(core.open_fraction), false);
    use_surface(air, core, c.surface, air_strip.diameter, air_ends(core.open_fraction));
    core.second = make_side(air);

    SideDescription liquid;
    const double passage = c.liquid_fin_height * (c.depth - 2 * c.bar_width);
    liquid.flow_area = l.passages * passage * liquid_strip.free_share / c.passes;
    liquid.heat_area = 4 * liquid.flow_area * c.passes * c.width / liquid_strip.diameter;
    // Into and out of a tank at each pass: half a velocity head and one.
    fill_strip_side(liquid, liquid_strip, c.width, c.passes, c.material, 1.5, true);
    core.first = make_side(liquid);

    const double sheet_area = 2.0 * l.passages * c.width * (c.depth - 2 * c.bar_width);
    core.wall_resistance = c.sheet_thickness / (c.material.conductivity * sheet_area);
    core.arrangement.kind =
        c.passes > 1 ? Arrangement::cross_first_mixed : Arrangement::cross_unmixed;
    if (c.arrangement) core.arrangement = *c.arrangement;
    core.uncertainty = 0.25;
    core.assumptions.insert(core.assumptions.begin(), "both sides by Manglik & Bergles 1995");

    const double metal = 2.0 * l.passages * c.width * c.depth * c.sheet_thickness +
                         2.0 * l.passages * c.width * c.bar_width * c.liquid_fin_height +
                         strip_metal(air.heat_area, air_strip) +
                         strip_metal(liquid.heat_area, liquid_strip);
    add_metal(b.facts, metal * c.material.density, c.material);
    note_air(b, air, air_strip.diameter, l.air_height, l.passages);
    b.facts.liquid_area = liquid.heat_area;
    b.facts.liquid_hydraulic_diameter = liquid_strip.diameter;
    b.facts.liquid_volume = liquid.flow_area * c.passes * c.width;
    open_levels(core, solve::level_of(R::strip_film), solve::level_of(R::strip_film),
                solve::level_of(R::strip_friction), !c.surface.empty());
    return b;
}

Built build(const TankPlateCooler& c) {
    need_positive("length", c.length);
    need_positive("plate_width", c.plate_width);
    need_count("plates", c.plates, 1, 200);
    need_positive("oil_height", c.oil_height);
    need_positive("wall", c.wall);
    need_below("wall", 2 * c.wall, c.plate_width, "the plate (twice the wall)");
    const double thick = c.oil_height + 2 * c.wall;
    TankShape t;
    t.length = c.length;
    t.gap = c.oil_height;
    t.oil_width = c.plates * (c.plate_width - 2 * c.wall);
    t.wetted = c.plates * 2 * (c.plate_width + thick);
    t.metal_section = c.plates * (c.plate_width * thick - t.oil_width / c.plates * c.oil_height);
    t.taken = c.plates * c.plate_width * thick;
    t.wall = c.wall;
    return build_tank(t, c.tank_width, c.tank_depth, c.turbulator, c.material, c.counter_flow,
                      "oil plates in a tank");
}

Built build(const TankTubeCooler& c) {
    need_positive("length", c.length);
    need_positive("outer_diameter", c.outer_diameter);
    need_positive("bore", c.bore);
    need_positive("wall", c.wall);
    const double oil_outer = c.outer_diameter - 2 * c.wall;
    const double oil_inner = c.bore + 2 * c.wall;
    if (!(oil_outer > oil_inner))
        refuse("bore", millimetres(c.bore) + " leaves no gap for the oil",
               "less than " + millimetres(c.outer_diameter - 4 * c.wall));
    const double outer = c.outer_diameter;
    TankShape t;
    t.length = c.length;
    t.gap = (oil_outer - oil_inner) / 2;
    t.oil_width = pi * (oil_outer + oil_inner) / 2;
    t.wetted = pi * (c.bore + outer);
    const double oil_section = pi / 4 * (oil_outer * oil_outer - oil_inner * oil_inner);
    t.taken = pi / 4 * (outer * outer - c.bore * c.bore);
    t.metal_section = t.taken - oil_section;
    t.wall = c.wall;
    need_below("outer_diameter", outer, std::min(c.tank_width, c.tank_depth), "the tank");
    return build_tank(t, c.tank_width, c.tank_depth, c.turbulator, c.material, c.counter_flow,
                      "concentric tubes in a tank");
}

GeometryKind bar_plate_kind() {
    using C = BarPlateCore;
    return kind_of<C>(
        "bar_plate", "Plates and bars with offset strip fins in liquid and air.",
        {length("width", &C::width, "of the finned face, without tanks"),
         length("height", &C::height, "of the finned face, without tanks"),
         length("depth", &C::depth, "along the air"),
         count("passages", &C::passages, "of the liquid, or air_fin_height")
             .or_else("by air_fin_height"),
         length("liquid_fin_height", &C::liquid_fin_height, "clear, sheet to sheet"),
         length("air_fin_height", &C::air_fin_height, "clear, sheet to sheet, or passages")
             .or_else("by passages"),
         length("sheet_thickness", &C::sheet_thickness, "between the streams").or_usual(),
         count("passes", &C::passes, "of the liquid across the face").or_usual(),
         metal("material", &C::material, "of sheets and fins").or_assumed()},
        {strip("liquid", &C::liquid_fins, "strip fins in the liquid, counted across",
               "700 1/m, 0.14 mm thick, strips of 3 mm"),
         strip("air", &C::air_fins, "strip fins in the air, counted across",
               "600 1/m, 0.1 mm thick, strips of 3 mm")});
}

namespace {

/// What both coolers in a tank have.
template <class C>
GeometryKind tank_kind(std::string_view name, std::string_view help, std::vector<Dimension> own,
                       std::string_view material_of) {
    own.push_back(length("tank_width", &C::tank_width, "inside, of the tank's cross-section"));
    own.push_back(length("tank_depth", &C::tank_depth, "inside, of the tank's cross-section"));
    own.push_back(yes_no("counter_flow", &C::counter_flow, "oil against the coolant").or_assumed());
    own.push_back(metal("material", &C::material, material_of).or_assumed());
    GeometryKind kind = kind_of<C>(
        name, help, std::move(own),
        {strip("turbulator", &C::turbulator, "strip fins inside, counted across", "the usual")});
    kind.in_tank = true;
    return kind;
}

}  // namespace

GeometryKind tank_plate_kind() {
    using C = TankPlateCooler;
    return tank_kind<C>("tank_plate",
                        "Oil plates in a radiator's tank, washed by coolant lengthwise.",
                        {length("length", &C::length, "of a plate, along both flows"),
                         length("plate_width", &C::plate_width, "outside"),
                         count("plates", &C::plates, "side by side").or_usual(),
                         length("oil_height", &C::oil_height, "clear inside a plate"),
                         length("wall", &C::wall, "thickness").or_usual()},
                        "of the plates");
}

GeometryKind tank_tube_kind() {
    using C = TankTubeCooler;
    return tank_kind<C>("tank_tube",
                        "Two tubes in one another in a radiator's tank, oil between them.",
                        {length("length", &C::length, "of the tubes, along both flows"),
                         length("outer_diameter", &C::outer_diameter, "outside of the outer tube"),
                         length("bore", &C::bore, "inside of the inner tube"),
                         length("wall", &C::wall, "thickness of either tube").or_usual()},
                        "of the tubes");
}

}  // namespace lapheat::exchangers::detail
