// Louvred fins between flat tubes.
#include <fmt/core.h>

#include <algorithm>
#include <numbers>

#include "kind_of.hpp"

namespace lapheat::exchangers::detail {
namespace {

struct Stack {
    double tube_length = 0;
    double stack_height = 0;  ///< of the face, across the tubes
    int tubes = 0;
    double fin_height = 0;
    double tube_depth = 0;
};

Stack measure(const LouvredCore& c, Core& core) {
    need_positive("width", c.width);
    need_positive("height", c.height);
    need_positive("depth", c.depth);
    need_positive("tube_height", c.tube_height);
    need_positive("tube_wall", c.tube_wall);
    need_count("rows", c.rows, 1, 20);
    need_count("channels", c.channels, 1, 200);
    need_count("tubes", c.tubes, 0);
    need_not_negative("tube_pitch", c.tube_pitch);
    need_not_negative("tube_depth", c.tube_depth);
    need_fins("fins_per_metre", c.fins_per_metre, c.fin_thickness);
    need_positive("louvre_pitch", c.louvre_pitch);
    need_not_negative("louvre_length", c.louvre_length);
    need_material("fin", c.fin);
    need_material("tube", c.tube);
    if (!(c.louvre_angle > 0 && c.louvre_angle < std::numbers::pi / 3))
        refuse("louvre_angle",
               fmt::format("{:.6g}", c.louvre_angle * 180 / std::numbers::pi) + " deg",
               "between 0 and 60 degrees");

    Stack s;
    const bool horizontal = c.tubes_run == TubeDirection::horizontal;
    s.tube_length = horizontal ? c.width : c.height;
    s.stack_height = horizontal ? c.height : c.width;
    s.tube_depth = c.tube_depth > 0 ? c.tube_depth : c.depth / c.rows;
    if (s.tube_depth * c.rows > c.depth * 1.0001)
        refuse("tube_depth", millimetres(s.tube_depth) + " times the rows is more than the core",
               "at most " + millimetres(c.depth / c.rows));
    need_below("tube_height", c.tube_height, s.stack_height, "the face");
    need_below("tube_wall", 2 * c.tube_wall, c.tube_height, "the tube (twice the wall)");
    if (!(s.tube_depth - (c.channels + 1) * c.tube_wall > 0))
        refuse("channels", "walls and webs fill the tube", "fewer channels or thinner walls");

    if (c.tubes == 0 && c.tube_pitch == 0)
        refuse("tubes", "neither the number of tubes nor their pitch is given",
               "tubes or tube_pitch");
    s.tubes = c.tubes;
    if (c.tube_pitch > 0) {
        need_below("tube_height", c.tube_height, c.tube_pitch, "the tube pitch");
        s.fin_height = c.tube_pitch - c.tube_height;
        if (s.tubes == 0)
            s.tubes = static_cast<int>(std::lround((s.stack_height - s.fin_height) / c.tube_pitch));
        if (s.tubes < 1) refuse("tube_pitch", millimetres(c.tube_pitch), "a pitch within the face");
    } else {
        s.fin_height = (s.stack_height - s.tubes * c.tube_height) / (s.tubes + 1);
        core.assumptions.push_back(
            "tube pitch from the number of tubes, fins on both outer sides: " +
            millimetres(s.fin_height + c.tube_height));
    }
    if (!(s.fin_height > 2 * c.fin_thickness) ||
        s.tubes * c.tube_height + (s.tubes - 1) * s.fin_height > s.stack_height * 1.02)
        refuse("tubes",
               fmt::format("{} tubes of {} with fins do not fit a face of {}", s.tubes,
                           millimetres(c.tube_height), millimetres(s.stack_height)),
               "fewer or thinner tubes, or a smaller pitch");
    if (c.louvre_length >= s.fin_height)
        refuse("louvre_length", millimetres(c.louvre_length),
               "less than the fin height, " + millimetres(s.fin_height));
    if (c.louvre_pitch > c.depth)
        refuse("louvre_pitch", millimetres(c.louvre_pitch), "at most the core's depth");
    return s;
}

/// The air side: what its fins are, and their area in m².
struct LouvreSide {
    SideDescription side;
    double fin_area = 0, hydraulic_diameter = 0;
};

LouvreSide air_side(const LouvredCore& c, const Stack& s, Core& core) {
    // Air: a face of fin cells, one fin pitch wide and one tube pitch high. Layers of fins: on both
    // sides of every tube, as many as the face has room for.
    const double fin_pitch = 1 / c.fins_per_metre;
    const double layers = std::min<double>(
        s.tubes + 1, (s.stack_height - s.tubes * c.tube_height) / s.fin_height + 1e-9);
    const double cells = layers * s.tube_length / fin_pitch;
    const double free_area =
        cells * (s.fin_height - c.fin_thickness) * (fin_pitch - c.fin_thickness);
    const double fin_area = cells * 2 * s.fin_height * c.depth;
    const double bare_area =
        cells * 2 * s.tube_depth * c.rows * (fin_pitch - c.fin_thickness) * s.tubes / layers;
    LouvredFin fin;
    fin.louvre_pitch = c.louvre_pitch;
    fin.louvre_angle = c.louvre_angle;
    fin.louvre_length = c.louvre_length > 0 ? c.louvre_length : 0.85 * s.fin_height;
    fin.fin_pitch = fin_pitch;
    fin.fin_height = s.fin_height;
    fin.fin_thickness = c.fin_thickness;
    fin.fin_depth = c.depth;
    fin.tube_depth = s.tube_depth * c.rows;
    fin.tube_height = c.tube_height;
    fin.hydraulic_diameter = 4 * free_area * c.depth / (fin_area + bare_area);
    if (c.louvre_length == 0)
        core.assumptions.push_back("louvre length taken as 0.85 of the fin height");
    if (!louvred_fin(fin, 1000).in_range)
        core.assumptions.push_back("fins outside the 91 cores of Chang & Wang 1997");

    LouvreSide out{{}, fin_area, fin.hydraulic_diameter};
    SideDescription& air = out.side;
    air.flow_area = free_area;
    air.hydraulic_diameter = c.louvre_pitch;
    air.heat_area = fin_area + bare_area;
    air.fin_area_fraction = fin_area / air.heat_area;
    air.fin_parameter = fin_parameter_of(s.fin_height / 2, c.fin, c.fin_thickness);
    air.nusselt = [fin](double re, double pr) {
        return louvred_fin(fin, re).j * re * std::cbrt(pr);
    };
    core.open_fraction = free_area / core.face_area;
    const double area_ratio = air.heat_area / free_area;
    const double ends = air_ends(core.open_fraction);
    air.loss = [fin, area_ratio, ends](double re) {
        return louvred_fin(fin, re).f * area_ratio + ends;
    };
    air.reynolds_minimum = 100;
    air.reynolds_maximum = 3000;
    use_surface(air, core, c.surface, fin.hydraulic_diameter, ends);
    return out;
}

/// The liquid side, and the flow area of one tube in m².
struct TubeSide {
    SideDescription side;
    double tube_area = 0;
};

TubeSide liquid_side(const LouvredCore& c, const Stack& s, Core& core) {
    // Liquid: stadium-shaped tubes, or rectangular channels between webs.
    const int all_tubes = s.tubes * c.rows;
    need_count("passes", c.passes, 1, all_tubes);
    const double inner_height = c.tube_height - 2 * c.tube_wall;
    const double inner_depth = s.tube_depth - 2 * c.tube_wall;
    const double channel_depth = (inner_depth - (c.channels - 1) * c.tube_wall) / c.channels;
    double channel_area = inner_height * channel_depth;
    double channel_perimeter = 2 * (inner_height + channel_depth);
    if (c.channels == 1 && inner_depth > inner_height) {
        channel_area -= (1 - std::numbers::pi / 4) * inner_height * inner_height;
        channel_perimeter -= (4 - std::numbers::pi) * inner_height;
    }
    Duct duct;
    duct.shape = DuctShape::rectangle;
    duct.length = s.tube_length;
    duct.hydraulic_diameter = 4 * channel_area / channel_perimeter;
    duct.aspect = std::min(inner_height, channel_depth) / std::max(inner_height, channel_depth);
    const double tube_area = channel_area * c.channels;
    const double sigma = tube_area / ((s.fin_height + c.tube_height) * s.tube_depth);
    TubeSide out{{}, tube_area};
    SideDescription& liquid = out.side;
    if (c.turbulator) {
        const StripChannel strip = strip_channel(*c.turbulator, inner_height);
        note_strip_range(core, strip, "in the tubes");
        liquid.flow_area = tube_area * strip.free_share * all_tubes / c.passes;
        liquid.heat_area = 4 * liquid.flow_area * c.passes * s.tube_length / strip.diameter;
        fill_strip_side(liquid, strip, s.tube_length, c.passes, c.tube, 1.0, true);
        core.uncertainty = 0.25;
    } else {
        liquid.flow_area = tube_area * all_tubes / c.passes;
        liquid.heat_area = channel_perimeter * c.channels * s.tube_length * all_tubes;
        fill_duct_side(liquid, duct, sigma, c.passes, 0);
    }
    return out;
}

}  // namespace

Built build(const LouvredCore& c) {
    Built b;
    Core& core = b.core;
    core.name = "louvred fins, flat tubes";
    const Stack s = measure(c, core);
    core.width = c.width;
    core.height = c.height;
    core.depth = c.depth;
    core.face_area = c.width * c.height;

    const LouvreSide air = air_side(c, s, core);
    core.second = make_side(air.side);
    const TubeSide liquid = liquid_side(c, s, core);
    core.first = make_side(liquid.side);
    const int all_tubes = s.tubes * c.rows;

    const double outline = 2 * (s.tube_depth + c.tube_height) - 4 * c.tube_wall;
    core.wall_resistance =
        c.tube_wall / (c.tube.conductivity * outline * s.tube_length * all_tubes);
    // Across the face the passes see fresh air one after the other while the liquid mixes in the
    // tanks between them: a single stream of mixed liquid.
    core.arrangement.kind =
        c.passes > 1 ? Arrangement::cross_first_mixed : Arrangement::cross_unmixed;
    if (c.arrangement) core.arrangement = *c.arrangement;
    core.assumptions.insert(core.assumptions.begin(),
                            "air side by Chang & Wang 1997 and Chang et al. 2000, tube side by VDI "
                            "Heat Atlas G1");

    const double inner_height = c.tube_height - 2 * c.tube_wall;
    const double fin_mass = air.fin_area / 2 * c.fin_thickness * c.fin.density;
    const double metal = (outline + (c.channels - 1) * inner_height) * c.tube_wall;
    const double tube_mass = metal * s.tube_length * all_tubes * c.tube.density;
    add_metal(b.facts, fin_mass, c.fin);
    add_metal(b.facts, tube_mass, c.tube);
    note_air(b, air.side, air.hydraulic_diameter, s.fin_height, s.tubes);
    b.facts.liquid_area = liquid.side.heat_area;
    b.facts.liquid_hydraulic_diameter = liquid.side.hydraulic_diameter;
    b.facts.liquid_volume = liquid.tube_area * s.tube_length * all_tubes;
    open_levels(core,
                c.turbulator ? solve::level_of(R::strip_film)
                             : solve::level_of(R::duct_film_laminar, R::duct_film_turbulent),
                solve::level_of(R::louvred_film), solve::level_of(R::louvred_friction),
                !c.surface.empty());
    return b;
}

GeometryKind louvred_kind() {
    using C = LouvredCore;
    return kind_of<C>(
        "louvred", "Flat tubes and louvred fins: most radiators and stacked-plate coolers.",
        {length("width", &C::width, "of the finned face, without tanks"),
         length("height", &C::height, "of the finned face, without tanks"),
         length("depth", &C::depth, "along the air"), tubes_run(&C::tubes_run).or_assumed(),
         count("tubes", &C::tubes, "in one row, or tube_pitch").or_else("by tube_pitch"),
         length("tube_pitch", &C::tube_pitch, "centre to centre, or tubes").or_else("by tubes"),
         length("tube_height", &C::tube_height, "outside, the small dimension"),
         length("tube_depth", &C::tube_depth, "outside, along the air, of one tube")
             .or_else("depth over rows"),
         length("tube_wall", &C::tube_wall, "thickness").or_usual(),
         count("channels", &C::channels, "of one tube, parted by webs").or_usual(),
         count("rows", &C::rows, "of tubes along the air").or_usual(),
         count("passes", &C::passes, "of the liquid across the face").or_usual(),
         per_length("fins", &C::fins_per_metre, "counted along a tube"),
         length("fin_thickness", &C::fin_thickness, "of the sheet").or_usual(),
         length("louvre_pitch", &C::louvre_pitch, "along the air").or_usual(),
         angle("louvre_angle", &C::louvre_angle, "to the fin's plane").or_usual(),
         length("louvre_length", &C::louvre_length, "across the air")
             .or_else("0.85 of the fin's height"),
         metal("fin_material", &C::fin, "of the fins").or_assumed(),
         metal("tube_material", &C::tube, "of the tubes").or_assumed()},
        {strip("turbulator", &C::turbulator, "strip fins inside, counted across",
               "plain tubes, nothing inside")});
}

}  // namespace lapheat::exchangers::detail
