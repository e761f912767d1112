// Flat tubes through continuous fins.
#include <fmt/core.h>

#include <algorithm>
#include <numbers>

#include "kind_of.hpp"

namespace lapheat::exchangers::detail {
namespace {

using std::numbers::pi;

struct Bank {
    double tube_length = 0, across = 0;  ///< of the face, along and across the tubes
    double pitch = 0, row_pitch = 0;
    int tubes = 0;
};

Bank measure(const FlatTubeCore& c, Core& core) {
    need_positive("width", c.width);
    need_positive("height", c.height);
    need_positive("tube_height", c.tube_height);
    need_positive("tube_depth", c.tube_depth);
    need_positive("tube_wall", c.tube_wall);
    need_below("tube_wall", 2 * c.tube_wall, c.tube_height, "the tube (twice the wall)");
    need_below("tube_height", c.tube_height, c.tube_depth, "the tube's depth");
    need_fins("fins_per_metre", c.fins_per_metre, c.fin_thickness);
    need_count("rows", c.rows, 1, 20);
    need_count("tubes", c.tubes, 0);
    need_not_negative("tube_pitch", c.tube_pitch);
    need_not_negative("row_pitch", c.row_pitch);
    need_material("fin", c.fin);
    need_material("tube", c.tube);
    if (c.tubes == 0 && c.tube_pitch == 0)
        refuse("tubes", "neither the number of tubes nor their pitch is given",
               "tubes or tube_pitch");
    const bool horizontal = c.tubes_run == TubeDirection::horizontal;
    Bank b;
    b.tube_length = horizontal ? c.width : c.height;
    b.across = horizontal ? c.height : c.width;
    b.tubes = c.tubes > 0 ? c.tubes : static_cast<int>(b.across / c.tube_pitch + 1e-9);
    b.pitch = c.tube_pitch > 0 ? c.tube_pitch : b.across / b.tubes;
    b.row_pitch = c.row_pitch > 0 ? c.row_pitch : c.tube_depth + 2e-3;
    need_below("tube_height", c.tube_height, b.pitch, "the tube pitch");
    if (b.tubes < 1 || b.tubes * b.pitch > b.across * 1.02)
        refuse("tubes",
               fmt::format("{} tubes at {} pitch do not fit a face of {}", b.tubes,
                           millimetres(b.pitch), millimetres(b.across)),
               "fewer tubes or a smaller pitch");
    if (c.rows > 1 && !c.staggered && b.row_pitch < c.tube_depth)
        refuse("row_pitch", millimetres(b.row_pitch),
               "at least the tube's depth, " + millimetres(c.tube_depth));
    if (c.tube_pitch == 0)
        core.assumptions.push_back("tube pitch from the number of tubes: " + millimetres(b.pitch));
    if (c.row_pitch == 0 && c.rows > 1)
        core.assumptions.push_back("row pitch taken as the tube's depth plus 2 mm");
    return b;
}

/// The air side; returns the surface of fins, m².
double fill_air(const FlatTubeCore& c, const Bank& bank, Built& b) {
    Core& core = b.core;
    const int all_tubes = bank.tubes * c.rows;
    const double fin_pitch = 1 / c.fins_per_metre;
    const double open = 1 - c.fin_thickness / fin_pitch;
    const double round = c.tube_height;  // a stadium: its ends are half circles
    const double section = round * (c.tube_depth - round) + pi / 4 * round * round;
    const double outline = 2 * (c.tube_depth - round) + pi * round;
    const double fins = bank.tube_length / fin_pitch;
    const double fin_area = 2 * fins * (bank.across * core.depth - all_tubes * section);
    SideDescription air;
    air.flow_area = (bank.across - bank.tubes * c.tube_height) * bank.tube_length * open;
    air.heat_area = fin_area + all_tubes * outline * bank.tube_length * open;
    air.fin_area_fraction = fin_area / air.heat_area;
    air.fin_parameter = fin_parameter_of((bank.pitch - c.tube_height) / 2, c.fin, c.fin_thickness);
    core.open_fraction = air.flow_area / core.face_area;
    const double diameter = 4 * air.flow_area * core.depth / air.heat_area;
    std::vector<SurfacePoint> points = c.surface;
    if (points.empty()) {
        points = flat_tube_surface(c.fins, c.staggered);
        core.assumptions.push_back(
            "air side of flat tubes through continuous fins by the measured surfaces of Kays & "
            "London, chapter 10");
    }
    use_surface(air, core, points, diameter, air_ends(core.open_fraction));
    core.second = make_side(air);
    note_air(b, air, diameter, bank.pitch - c.tube_height, bank.tubes);
    return fin_area;
}

/// The liquid in the stadium-shaped tubes; returns the metal's section of a tube, m².
double fill_liquid(const FlatTubeCore& c, const Bank& bank, Built& b) {
    const int all_tubes = bank.tubes * c.rows;
    need_count("passes", c.passes, 1, all_tubes);
    const double high = c.tube_height - 2 * c.tube_wall, deep = c.tube_depth - 2 * c.tube_wall;
    const double area = high * (deep - high) + pi / 4 * high * high;
    const double perimeter = 2 * (deep - high) + pi * high;
    const Duct duct{DuctShape::rectangle, 4 * area / perimeter, bank.tube_length, high / deep};
    SideDescription liquid;
    liquid.flow_area = area * all_tubes / c.passes;
    liquid.heat_area = perimeter * bank.tube_length * all_tubes;
    fill_duct_side(liquid, duct, area / (bank.pitch * bank.row_pitch), c.passes, 0);
    b.core.first = make_side(liquid);
    const double outline = 2 * (c.tube_depth - c.tube_height) + pi * (c.tube_height - c.tube_wall);
    b.core.wall_resistance =
        c.tube_wall / (c.tube.conductivity * outline * bank.tube_length * all_tubes);
    b.facts.liquid_area = liquid.heat_area;
    b.facts.liquid_hydraulic_diameter = duct.hydraulic_diameter;
    b.facts.liquid_volume = area * bank.tube_length * all_tubes;
    return outline * c.tube_wall;
}

}  // namespace

Built build(const FlatTubeCore& c) {
    Built b;
    Core& core = b.core;
    core.name = c.fins == ContinuousFin::ruffled ? "ruffled fins, flat tubes"
                                                 : "continuous fins, flat tubes";
    const Bank bank = measure(c, core);
    core.width = c.width;
    core.height = c.height;
    core.depth = c.rows > 1 ? c.rows * bank.row_pitch : std::max(bank.row_pitch, c.tube_depth);
    core.face_area = c.width * c.height;
    const double fin_area = fill_air(c, bank, b);
    const double metal = fill_liquid(c, bank, b);
    core.arrangement.kind =
        c.passes > 1 ? Arrangement::cross_first_mixed : Arrangement::cross_unmixed;
    if (c.arrangement) core.arrangement = *c.arrangement;
    core.assumptions.insert(core.assumptions.begin(), "tube side by VDI Heat Atlas G1");
    const double fin_mass = fin_area / 2 * c.fin_thickness * c.fin.density;
    const double tube_mass = metal * bank.tube_length * bank.tubes * c.rows * c.tube.density;
    add_metal(b.facts, fin_mass, c.fin);
    add_metal(b.facts, tube_mass, c.tube);
    open_levels(core, solve::level_of(R::duct_film_laminar, R::duct_film_turbulent),
                solve::level_of(R::flat_tube_film), solve::level_of(R::flat_tube_friction),
                !c.surface.empty());
    return b;
}

GeometryKind flat_tube_kind() {
    using C = FlatTubeCore;
    return kind_of<C>(
        "flat_tube",
        "Flat tubes through continuous fins, the radiator of an older car: rated by measured "
        "surfaces.",
        {length("width", &C::width, "of the finned face, without tanks"),
         length("height", &C::height, "of the finned face, without tanks"),
         tubes_run(&C::tubes_run).or_assumed(),
         count("tubes", &C::tubes, "in one row, or tube_pitch").or_else("by tube_pitch"),
         length("tube_pitch", &C::tube_pitch, "centre to centre across the air, or tubes")
             .or_else("by tubes"),
         length("tube_height", &C::tube_height, "outside, the small dimension"),
         length("tube_depth", &C::tube_depth, "outside, along the air, of one tube"),
         length("tube_wall", &C::tube_wall, "thickness").or_usual(),
         count("rows", &C::rows, "of tubes along the air").or_usual(),
         length("row_pitch", &C::row_pitch, "row to row along the air")
             .or_else("tube_depth and 2 mm"),
         yes_no("staggered", &C::staggered, "rows stand between one another").or_assumed(),
         count("passes", &C::passes, "of the liquid across the face").or_usual(),
         per_length("fins", &C::fins_per_metre, "counted along a tube"),
         length("fin_thickness", &C::fin_thickness, "of the sheet").or_usual(),
         choice("fin_shape", &C::fins,
                {{"plain", "smooth sheets"}, {"ruffled", "sheets with humps between the tubes"}},
                "of the sheets through which the tubes go")
             .or_assumed(),
         metal("fin_material", &C::fin, "of the fins").or_assumed(),
         metal("tube_material", &C::tube, "of the tubes").or_assumed()});
}

}  // namespace lapheat::exchangers::detail
