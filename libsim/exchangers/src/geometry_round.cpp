// Plate fins on round tubes, and the tube with round fins.
#include <fmt/core.h>

#include <algorithm>
#include <numbers>

#include "kind_of.hpp"

namespace lapheat::exchangers::detail {
namespace {

using std::numbers::pi;

/// Round tubes: liquid side, wall, metal. `tubes` in all, of which `parallel` side by side.
struct TubeBundle {
    double outer = 0, wall = 0, length = 0;
    int tubes = 0, parallel = 0;
    double cell = 0;  ///< m², header area of one tube

    [[nodiscard]] double inner() const { return outer - 2 * wall; }
    [[nodiscard]] int passes() const {
        return std::max(1, static_cast<int>(std::lround(static_cast<double>(tubes) / parallel)));
    }
};

void fill_bundle(Built& b, const TubeBundle& t, const Material& m, double& mass) {
    const double area = pi / 4 * t.inner() * t.inner();
    const Duct duct{DuctShape::round, t.inner(), t.length, 0};
    SideDescription liquid;
    liquid.flow_area = area * t.parallel;
    liquid.heat_area = pi * t.inner() * t.length * t.tubes;
    // Up to two passes end in tanks; more are joined by return bends, each 1.5 velocity heads
    // (Crane TP-410: 50 f_T for a close return bend, from memory).
    fill_duct_side(liquid, duct, area / t.cell, t.passes(), t.passes() > 2 ? 1.5 : 0);
    b.core.first = make_side(liquid);
    b.core.wall_resistance =
        std::log(t.outer / t.inner()) / (2 * pi * m.conductivity * t.length * t.tubes);
    mass = pi / 4 * (t.outer * t.outer - t.inner() * t.inner()) * t.length * t.tubes * m.density;
    b.facts.liquid_area = liquid.heat_area;
    b.facts.liquid_hydraulic_diameter = t.inner();
    b.facts.liquid_volume = area * t.length * t.tubes;
}

/// Mixed liquid in every tube, air unmixed between the fins; rows fed in parallel or in series.
ArrangementSpec rows_of_tubes(int rows, bool in_series) {
    ArrangementSpec a;
    if (rows == 1) {
        a.kind = Arrangement::cross_first_mixed;
    } else if (in_series) {
        a.kind = Arrangement::cross_counter;
        a.count = rows;
        a.pass = Arrangement::cross_first_mixed;
    } else if (rows <= 4) {
        a.kind = Arrangement::cross_rows;
        a.count = rows;
    }
    return a;
}

void check_tube(double diameter, double wall) {
    need_positive("tube_diameter", diameter);
    need_positive("tube_wall", wall);
    need_below("tube_wall", 2 * wall, diameter, "the tube (twice the wall)");
}

struct PlateFace {
    int tubes = 0;
    double transverse = 0, longitudinal = 0;
};

PlateFace measure(const PlateFinCore& c, Core& core) {
    need_positive("width", c.width);
    need_positive("height", c.height);
    check_tube(c.tube_diameter, c.tube_wall);
    need_fins("fins_per_metre", c.fins_per_metre, c.fin_thickness);
    need_count("rows", c.rows, 1, 20);
    need_count("tubes", c.tubes, 0);
    need_not_negative("transverse_pitch", c.transverse_pitch);
    need_not_negative("longitudinal_pitch", c.longitudinal_pitch);
    need_not_negative("wave_depth", c.wave_depth);
    need_material("fin", c.fin);
    need_material("tube", c.tube);
    if (c.wave_depth > 0 && !(c.half_wave_length > c.wave_depth))
        refuse("half_wave_length", millimetres(c.half_wave_length),
               "more than the wave's depth, " + millimetres(c.wave_depth));
    if (c.tubes == 0 && c.transverse_pitch == 0)
        refuse("tubes", "neither the number of tubes nor their pitch is given",
               "tubes or transverse_pitch");
    PlateFace f;
    f.tubes = c.tubes > 0 ? c.tubes : static_cast<int>(c.height / c.transverse_pitch + 1e-9);
    f.transverse = c.transverse_pitch > 0 ? c.transverse_pitch : c.height / c.tubes;
    f.longitudinal = c.longitudinal_pitch > 0 ? c.longitudinal_pitch : 0.866 * f.transverse;
    if (f.tubes < 1 || f.tubes * f.transverse > c.height * 1.02)
        refuse("tubes",
               fmt::format("{} tubes at {} pitch do not fit a face of {}", f.tubes,
                           millimetres(f.transverse), millimetres(c.height)),
               "fewer tubes or a smaller pitch");
    const double collar = c.tube_diameter + 2 * c.fin_thickness;
    need_below("tube_diameter", collar, f.transverse, "the pitch across the air");
    if (c.rows > 1) {
        const double next =
            c.staggered ? std::hypot(f.transverse / 2, f.longitudinal) : f.longitudinal;
        need_below("tube_diameter", collar, next, "the pitch to the next row");
    }
    if (c.transverse_pitch == 0)
        core.assumptions.push_back("pitch across the air from the number of tubes: " +
                                   millimetres(f.transverse));
    if (c.longitudinal_pitch == 0)
        core.assumptions.push_back("row pitch taken as 0.866 of the pitch across the air");
    if (!c.staggered && c.rows > 1)
        core.assumptions.push_back(
            "tubes in line: the correlation of staggered tubes is used, expect less heat");
    return f;
}

/// The air side of a core: its description, fin area in m², 4 Ac L / A and fin height in m.
struct TubeFinSide {
    SideDescription side;
    double fin_area = 0, hydraulic_diameter = 0, fin_height = 0;
};

TubeFinSide air_side(const PlateFinCore& c, const PlateFace& face, Core& core) {
    const int all_tubes = face.tubes * c.rows;
    const double fin_pitch = 1 / c.fins_per_metre;
    const double collar = c.tube_diameter + 2 * c.fin_thickness;
    const double fins = c.width * c.fins_per_metre;
    double gap = face.transverse - collar;
    if (c.staggered && c.rows > 1)
        gap = std::min(gap, 2 * (std::hypot(face.transverse / 2, face.longitudinal) - collar));
    const double free_area = (c.height - face.tubes * (face.transverse - gap)) * c.width *
                             (1 - c.fin_thickness / fin_pitch);
    const double slope = c.wave_depth > 0 ? c.wave_depth / c.half_wave_length : 0.0;
    const double stretch = std::sqrt(1 + slope * slope);  // developed over flat fin area
    const double fin_area =
        2 * fins * (c.height * core.depth - all_tubes * pi / 4 * collar * collar) * stretch;
    const double bare_area = all_tubes * pi * collar * (c.width - fins * c.fin_thickness);

    PlateFin fin;
    fin.collar_diameter = collar;
    fin.transverse_pitch = face.transverse;
    fin.longitudinal_pitch = face.longitudinal;
    fin.fin_pitch = fin_pitch;
    fin.fin_thickness = c.fin_thickness;
    fin.rows = c.rows;
    fin.hydraulic_diameter = 4 * free_area * core.depth / (fin_area + bare_area);
    fin.area_over_tube_area = (fin_area + bare_area) / (all_tubes * pi * c.tube_diameter * c.width);
    fin.wave_depth = c.wave_depth;
    fin.half_wave_length = c.half_wave_length;
    const auto surface = c.wave_depth > 0 ? wavy_plate_fin : plain_plate_fin;
    if (!surface(fin, 1000).in_range)
        core.assumptions.push_back(
            "tubes and fins outside the cores of the Wang et al. correlations (Shah & Sekulić "
            "7.5.4)");

    TubeFinSide out{{}, fin_area, fin.hydraulic_diameter, 0};
    SideDescription& air = out.side;
    air.flow_area = free_area;
    air.hydraulic_diameter = collar;
    air.heat_area = fin_area + bare_area;
    air.fin_area_fraction = fin_area / air.heat_area;
    const double root = collar / 2;
    const double tip = plate_fin_equivalent_radius(root, face.transverse, face.longitudinal,
                                                   c.staggered && c.rows > 1);
    out.fin_height = tip - root;
    air.fin_parameter = fin_parameter_of(annular_fin_length(root, tip), c.fin, c.fin_thickness);
    air.nusselt = [fin, surface](double re, double pr) {
        return surface(fin, re).j * re * std::cbrt(pr);
    };
    core.open_fraction = free_area / core.face_area;
    const double area_ratio = air.heat_area / free_area;
    const double ends = air_ends(core.open_fraction);
    air.loss = [fin, surface, area_ratio, ends](double re) {
        return surface(fin, re).f * area_ratio + ends;
    };
    const bool large = c.wave_depth > 0 && collar >= 12e-3;
    air.reynolds_minimum = large ? 500 : 300;
    air.reynolds_maximum = c.wave_depth > 0 ? (large ? 1e4 : 8e3) : 2e4;
    use_surface(air, core, c.surface, fin.hydraulic_diameter, ends);
    return out;
}

/// Distances between the tubes' axes in m, across the air and along it.
struct TubePitch {
    double run = 0, row = 0;
};

TubePitch measure(const FinnedTubeCore& c) {
    need_positive("run_length", c.run_length);
    need_count("runs", c.runs);
    need_count("rows", c.rows, 1, 20);
    check_tube(c.tube_diameter, c.tube_wall);
    need_positive("fin_diameter", c.fin_diameter);
    if (!(c.fin_diameter > c.tube_diameter))
        refuse("fin_diameter", millimetres(c.fin_diameter),
               "more than the tube's, " + millimetres(c.tube_diameter));
    need_fins("fins_per_metre", c.fins_per_metre, c.fin_thickness);
    need_not_negative("run_pitch", c.run_pitch);
    need_not_negative("row_pitch", c.row_pitch);
    need_material("fin", c.fin);
    need_material("tube", c.tube);
    const double run_pitch = c.run_pitch > 0 ? c.run_pitch : c.fin_diameter + 2e-3;
    const double row_pitch = c.row_pitch > 0 ? c.row_pitch : run_pitch;
    if (c.runs > 1 && run_pitch < c.fin_diameter)
        refuse("run_pitch", millimetres(run_pitch),
               "at least the fin diameter, " + millimetres(c.fin_diameter));
    if (c.rows > 1 && std::hypot(run_pitch / 2, row_pitch) < c.fin_diameter)
        refuse("row_pitch", millimetres(row_pitch), "rows that do not run into each other");
    return {run_pitch, row_pitch};
}

TubeFinSide air_side(const FinnedTubeCore& c, const TubePitch& pitch, Core& core) {
    const double height = (c.fin_diameter - c.tube_diameter) / 2;
    const double metal = c.tube_diameter + 2 * height * c.fin_thickness * c.fins_per_metre;
    const double free_area = core.face_area - c.runs * c.run_length * metal;
    const double length = c.run_length * c.runs * c.rows;
    const double fins = length * c.fins_per_metre;
    const double fin_area =
        fins * pi *
        ((c.fin_diameter * c.fin_diameter - c.tube_diameter * c.tube_diameter) / 2 +
         c.fin_diameter * c.fin_thickness);
    const double bare_area = pi * c.tube_diameter * (length - fins * c.fin_thickness);

    AnnularFin fin;
    fin.root_diameter = c.tube_diameter;
    fin.fin_height = height;
    fin.fin_spacing = 1 / c.fins_per_metre - c.fin_thickness;
    fin.fin_thickness = c.fin_thickness;
    fin.transverse_pitch = pitch.run;
    fin.longitudinal_pitch = pitch.row;
    fin.rows = c.rows;
    fin.hydraulic_diameter = 4 * free_area * c.rows * pitch.row / (fin_area + bare_area);
    TubeFinSide out{{}, fin_area, fin.hydraulic_diameter, height};
    SideDescription& air = out.side;
    air.flow_area = free_area;
    air.hydraulic_diameter = c.tube_diameter;
    air.heat_area = fin_area + bare_area;
    air.fin_area_fraction = fin_area / air.heat_area;
    const double root = c.tube_diameter / 2;
    const double tip = (c.fin_diameter + c.fin_thickness) / 2;  // its edge counted
    air.fin_parameter = fin_parameter_of(annular_fin_length(root, tip), c.fin, c.fin_thickness);
    air.nusselt = [fin](double re, double pr) {
        return annular_fin(fin, re).j * re * std::cbrt(pr);
    };
    const double area_ratio = air.heat_area / free_area;
    air.loss = [fin, area_ratio](double re) { return annular_fin(fin, re).f * area_ratio; };
    air.reynolds_minimum = 1000;
    air.reynolds_maximum = 2e4;
    core.open_fraction = free_area / core.face_area;
    use_surface(air, core, c.surface, fin.hydraulic_diameter, 0);
    return out;
}

}  // namespace

Built build(const PlateFinCore& c) {
    Built b;
    Core& core = b.core;
    core.name = c.wave_depth > 0 ? "wavy plate fins, round tubes" : "plate fins, round tubes";
    const PlateFace face = measure(c, core);
    const int all_tubes = face.tubes * c.rows;
    need_count("circuits", c.circuits, 0, all_tubes);
    core.width = c.width;
    core.height = c.height;
    core.depth = c.rows * face.longitudinal;
    core.face_area = c.width * c.height;

    const TubeFinSide air = air_side(c, face, core);
    core.second = make_side(air.side);

    const int circuits = c.circuits > 0 ? c.circuits : (c.rows_in_series ? face.tubes : all_tubes);
    double tube_mass = 0;
    fill_bundle(b,
                {c.tube_diameter, c.tube_wall, c.width, all_tubes, circuits,
                 face.transverse * face.longitudinal},
                c.tube, tube_mass);
    core.arrangement = c.arrangement ? *c.arrangement : rows_of_tubes(c.rows, c.rows_in_series);
    core.assumptions.insert(core.assumptions.begin(),
                            "air side by Wang et al. (Shah & Sekulić 7.5.4), tube side by VDI Heat "
                            "Atlas G1");

    const double fin_mass = air.fin_area / 2 * c.fin_thickness * c.fin.density;
    add_metal(b.facts, fin_mass, c.fin);
    add_metal(b.facts, tube_mass, c.tube);
    note_air(b, air.side, air.hydraulic_diameter, air.fin_height, face.tubes);
    const bool wavy = c.wave_depth > 0;
    open_levels(core, solve::level_of(R::duct_film_laminar, R::duct_film_turbulent),
                solve::level_of(wavy ? R::wavy_plate_film : R::plain_plate_film),
                solve::level_of(wavy ? R::wavy_plate_friction : R::plain_plate_friction),
                !c.surface.empty());
    return b;
}

Built build(const FinnedTubeCore& c) {
    const TubePitch pitch = measure(c);
    Built b;
    Core& core = b.core;
    core.name = "finned tube";
    core.width = c.run_length;
    core.height = c.runs * pitch.run;
    core.depth = c.fin_diameter + (c.rows - 1) * pitch.row;
    core.face_area = core.width * core.height;
    const TubeFinSide air = air_side(c, pitch, core);
    core.second = make_side(air.side);

    double tube_mass = 0;
    fill_bundle(
        b, {c.tube_diameter, c.tube_wall, c.run_length, c.runs * c.rows, 1, pitch.run * pitch.row},
        c.tube, tube_mass);
    core.arrangement = rows_of_tubes(c.rows, c.rows > 1);
    core.uncertainty = c.rows < 6 ? 0.25 : 0.15;
    core.assumptions.push_back(
        "air side by Briggs & Young 1963 and Robinson & Briggs 1966, for six rows in a duct; fewer "
        "rows lowered as in VDI Heat Atlas M1");

    const double fins = c.run_length * c.runs * c.rows * c.fins_per_metre;
    const double fin_mass = fins * pi / 4 *
                            (c.fin_diameter * c.fin_diameter - c.tube_diameter * c.tube_diameter) *
                            c.fin_thickness * c.fin.density;
    add_metal(b.facts, fin_mass, c.fin);
    add_metal(b.facts, tube_mass, c.tube);
    note_air(b, air.side, air.hydraulic_diameter, air.fin_height, c.runs);
    open_levels(core, solve::level_of(R::duct_film_laminar, R::duct_film_turbulent),
                solve::level_of(R::round_fin_film), solve::level_of(R::round_fin_friction),
                !c.surface.empty());
    return b;
}

GeometryKind plate_fin_kind() {
    using C = PlateFinCore;
    return kind_of<C>(
        "plate_fin", "Round tubes through plate fins, plain or wavy.",
        {length("width", &C::width, "of the finned face, without tanks"),
         length("height", &C::height, "of the finned face, without tanks"),
         length("tube_diameter", &C::tube_diameter, "outside"),
         length("tube_wall", &C::tube_wall, "thickness").or_usual(),
         count("tubes", &C::tubes, "in one row, or transverse_pitch")
             .or_else("by transverse_pitch"),
         length("transverse_pitch", &C::transverse_pitch,
                "centre to centre across the air, or tubes")
             .or_else("by tubes"),
         length("longitudinal_pitch", &C::longitudinal_pitch, "row to row along the air")
             .or_else("0.866 of transverse_pitch"),
         count("rows", &C::rows, "of tubes along the air").or_usual(),
         yes_no("staggered", &C::staggered, "rows stand between one another").or_assumed(),
         count("liquid_circuits", &C::circuits, "parallel ways of the liquid")
             .or_else("as many as tubes: one pass"),
         yes_no("rows_in_series", &C::rows_in_series, "liquid goes from the last row to the first")
             .or_assumed(),
         per_length("fins", &C::fins_per_metre, "counted along a tube"),
         length("fin_thickness", &C::fin_thickness, "of the sheet").or_usual(),
         length("wave_depth", &C::wave_depth, "trough to peak of wavy fins").or_else("plain fins"),
         length("half_wave_length", &C::half_wave_length,
                "trough to peak along the air, of wavy fins")
             .or_else("plain fins"),
         metal("fin_material", &C::fin, "of the fins").or_assumed(),
         metal("tube_material", &C::tube, "of the tubes").or_assumed()});
}

GeometryKind finned_tube_kind() {
    using C = FinnedTubeCore;
    return kind_of<C>("finned_tube", "A tube with round fins, straight or laid back and forth.",
                      {length("run_length", &C::run_length, "finned length of one straight run"),
                       count("runs", &C::runs, "across the air, in one row").or_usual(),
                       count("rows", &C::rows, "along the air").or_usual(),
                       length("run_pitch", &C::run_pitch, "centre to centre across the air")
                           .or_else("fin_diameter plus 2 mm"),
                       length("row_pitch", &C::row_pitch, "centre to centre along the air")
                           .or_else("as run_pitch"),
                       length("tube_diameter", &C::tube_diameter, "outside, at the fins' root"),
                       length("tube_wall", &C::tube_wall, "thickness").or_usual(),
                       length("fin_diameter", &C::fin_diameter, "of the round fins"),
                       per_length("fins", &C::fins_per_metre, "counted along the tube"),
                       length("fin_thickness", &C::fin_thickness, "of the sheet").or_usual(),
                       metal("fin_material", &C::fin, "of the fins").or_assumed(),
                       metal("tube_material", &C::tube, "of the tubes").or_assumed()});
}

}  // namespace lapheat::exchangers::detail
