// Air-side surfaces against relations of other laboratories: film and friction coefficients only.
#include <cmath>
#include <numbers>
#include <string>

#include "check.hpp"
#include "lapheat/exchangers/surface.hpp"

using namespace lapheat::exchangers;
using namespace lapheat::validation;

namespace {

LouvredFin radiator_fin(double depth, double louvre_pitch, double fin_pitch) {
    LouvredFin n;  // invented, in the middle of both laboratories' ranges
    n.louvre_pitch = louvre_pitch;
    n.louvre_angle = 27 * std::numbers::pi / 180;
    n.louvre_length = 6.4e-3;
    n.fin_pitch = fin_pitch;
    n.fin_height = 8.15e-3;
    n.fin_thickness = 0.1e-3;
    n.fin_depth = n.tube_depth = depth;
    n.tube_height = 2e-3;
    const double area = 2 * n.fin_height * depth + 2 * depth * (n.fin_pitch - 1e-4);
    n.hydraulic_diameter = 4 * (n.fin_height - 1e-4) * (n.fin_pitch - 1e-4) * depth / area;
    return n;
}

/// Kim & Bullard 2002, j and f.
JF kim_bullard(const LouvredFin& n, double re) {
    const double lp = n.louvre_pitch, tube_pitch = n.fin_height + n.tube_height;
    const double angle = n.louvre_angle * 2 / std::numbers::pi;
    JF v;
    v.j = std::pow(re, -0.487) * std::pow(angle, 0.257) * std::pow(n.fin_pitch / lp, -0.13) *
          std::pow(n.fin_height / lp, -0.29) * std::pow(n.fin_depth / lp, -0.235) *
          std::pow(n.louvre_length / lp, 0.68) * std::pow(tube_pitch / lp, -0.279) *
          std::pow(n.fin_thickness / lp, -0.05);
    v.f = std::pow(re, -0.781) * std::pow(angle, 0.444) * std::pow(n.fin_pitch / lp, -1.682) *
          std::pow(n.fin_height / lp, -1.22) * std::pow(n.fin_depth / lp, 0.818) *
          std::pow(n.louvre_length / lp, 1.97);
    return v;
}

/// A plate fin with its areas, from the dimensions of one cell.
struct Cell {
    PlateFin fin;
    double fin_share = 0;  ///< A_f/A
};
Cell cell_of(PlateFin n) {
    const double d = n.collar_diameter, gap = n.fin_pitch - n.fin_thickness;
    const double slope = n.wave_depth / n.half_wave_length;
    const double fins = 2 * std::sqrt(1 + slope * slope) *
                        (n.transverse_pitch * n.longitudinal_pitch - std::numbers::pi / 4 * d * d);
    const double area = fins + std::numbers::pi * d * gap;
    n.hydraulic_diameter = 4 * (n.transverse_pitch - d) * gap * n.longitudinal_pitch / area;
    n.area_over_tube_area = area / (std::numbers::pi * d * n.fin_pitch);
    return {n, fins / area};
}

/// Friction of a finned bank as the sum of its fins' and its bare tubes' (Gray & Webb 1986; tubes
/// by Jakob 1938, as Holman, Heat Transfer, eq. 6-31, has him; both from memory).
double with_tubes(const Cell& c, double fin_friction, double re) {
    const double gap = c.fin.transverse_pitch / c.fin.collar_diameter - 1;
    const double bank = (0.25 + 0.118 / std::pow(gap, 1.08)) * std::pow(re, -0.16);
    const double tubes = 4 / std::numbers::pi * bank * gap;
    return fin_friction * c.fin_share +
           tubes * (1 - c.fin_share) * (1 - c.fin.fin_thickness / c.fin.fin_pitch);
}

}  // namespace

TEST_CASE("louvred fins of Chang & Wang against the relations of other laboratories") {
    Row j{.topic = "Louvred fins",
          .quantity =
              "Colburn j, 12 fins 16 to 24 mm deep, pitch 1 to 1.4 mm, louvres 1.7 mm at 23 "
              "and 27 degrees, Re 100 to 500",
          .source = "Kim & Bullard, Int. J. Refrigeration 25 (2002) 390: fit of 45 measured cores",
          .read = "its typing in a public program, coefficient for coefficient",
          .relation = Relation::louvred_film};
    j.band = {0.15, 0, "Chang & Wang: ±15 % (Kim & Bullard: rms 14.5 %)"};
    j.source_scatter = 0.145;
    Row f = j;
    f.source_scatter = 0.07;
    f.quantity =
        "Fanning f, 12 fins 16 to 24 mm deep, pitch 1 to 1.4 mm, louvres 1.7 mm at 23 and 27 "
        "degrees, Re 100 to 500";
    f.relation = Relation::louvred_friction;
    f.band = {0.15, 0, "Chang et al.: ±15 % (Kim & Bullard: rms 7 %)"};
    for (const double depth : {16e-3, 20e-3, 24e-3})
        for (const double pitch : {1.0e-3, 1.4e-3})
            for (const double angle : {23.0, 27.0})
                for (const double re : {100.0, 200.0, 300.0, 500.0}) {
                    LouvredFin n = radiator_fin(depth, 1.7e-3, pitch);
                    n.louvre_angle = angle * std::numbers::pi / 180;
                    const JF ours = louvred_fin(n, re), theirs = kim_bullard(n, re);
                    const std::string at = "Re " + number(re) + ", depth " + number(1e3 * depth) +
                                           " mm, pitch " + number(1e3 * pitch) + " mm, " +
                                           number(angle) + " degrees";
                    j.points.push_back({at, theirs.j, ours.j});
                    f.points.push_back({at, theirs.f, ours.f});
                }
    f.story =
        "From 51 % under to 20 % over, 24 % under in the mean: under where fins are dense and "
        "deep, at "
        "1 mm pitch. Kim & Bullard measured 45 cores of just this size, Chang et al. 91 that are "
        "mostly coarser: ours is low for dense cores. Both stand: the bias and spread that this "
        "row "
        "gives the relation are the range.";
    published(j);
    published(f);
    f.story = "";
    // Davenport's fins were 40 mm deep, louvres of 1.5 to 3 mm; his formula has no depth in it.
    const LouvredFin deep = radiator_fin(40e-3, 1.5e-3, 2e-3);
    Row d = j;
    d.points.clear();
    d.read = "";
    d.from_memory = true;
    d.source_scatter = 0.03;
    d.story = "";
    d.quantity = "Colburn j, fin 40 mm deep, louvres 1.5 mm, Re 400 to 3000";
    d.source = "Davenport 1983 (AIChE Symp. Ser. 225): 32 measured cores";
    d.band = {0.15, 0, "Chang & Wang: ±15 % (Davenport: 95 % within ±6 %)"};
    for (const double re : {400.0, 800.0, 1500.0, 3000.0}) {
        // In mm: louvre height above the fin's plane, fin height, louvre length.
        const double height = deep.louvre_pitch * std::sin(deep.louvre_angle) / 2 * 1e3;
        const double fin = deep.fin_height * 1e3, louvre = deep.louvre_length * 1e3;
        d.points.push_back({"Re " + number(re),
                            0.249 * std::pow(re, -0.42) * std::pow(height, 0.33) *
                                std::pow(louvre / fin, 1.1) * std::pow(fin, 0.26),
                            louvred_fin(deep, re).j});
    }
    published(d);
    // Twenty vehicle cores: fin pitch 2 to 2.5 mm, height 7 to 8 mm, depth 36.6 to 65 mm, 28
    // degrees.
    for (const double depth : {36.6e-3, 53e-3, 65e-3}) {
        LouvredFin c = radiator_fin(depth, 1.4e-3, 2.25e-3);
        c.fin_height = 8e-3;
        c.louvre_angle = 28 * std::numbers::pi / 180;
        c.louvre_length = 6.8e-3;
        const double lp = 1.4;
        d.points.clear();
        d.story =
            "Dong et al.'s exponent of Re, -0.19, is far from the -0.42 to -0.49 of the three "
            "other laboratories; at Re 1000 all agree, at 400 theirs is 25 % under the others.";
        d.quantity = "Colburn j, vehicle fin " + number(depth * 1e3) + " mm deep, Re 400 to 1000";
        d.source =
            "Dong, Chen, Chen, Zhang & Zhou, Energy Conversion and Management 48 (2007) "
            "1506: 20 measured vehicle cores";
        d.band = {0.15, 0, "Chang & Wang: ±15 % (Dong et al.: 95 % within ±10 %)"};
        for (const double re : {400.0, 700.0, 1000.0})
            d.points.push_back({"Re " + number(re),
                                0.26712 * std::pow(re, -0.1944) * std::pow(28.0 / 90, 0.257) *
                                    std::pow(2.25 / lp, -0.5177) * std::pow(8 / lp, -1.9045) *
                                    std::pow(6.8 / lp, 1.7159) *
                                    std::pow(depth * 1e3 / lp, -0.2147) * std::pow(0.1 / lp, -0.05),
                                louvred_fin(c, re).j});
        published(d);
    }
}

TEST_CASE("plain plate fins against another laboratory and a measured surface") {
    PlateFin n;  // 8.0-3/8T
    n.collar_diameter = 10.21e-3;
    n.transverse_pitch = 25.4e-3;
    n.longitudinal_pitch = 22.0e-3;
    n.fin_pitch = 3.175e-3;
    n.fin_thickness = 0.33e-3;
    n.hydraulic_diameter = 3.63e-3;
    n.rows = 5;
    Row row{.topic = "Plate fins",
            .quantity = "Colburn j, surface 8.0-3/8T, Re 400 and 4000 on the hydraulic diameter",
            .source =
                "Kays & London, Compact Heat Exchangers, fig. 10-91 (Incropera et al., fig. "
                "11.17)",
            .read = "another's reading of the chart; where was not recorded",
            .from_memory = true,
            .relation = Relation::plain_plate_film};
    row.band = {0.15, 0, "Wang, Chi & Chang: 89 % of their data within ±15 %"};
    row.note = "this surface is not among their data";
    for (const auto& [re, j] : {std::pair{400.0, 0.0151}, {4000.0, 0.0060}})
        row.points.push_back({"Re " + number(re), j,
                              plain_plate_fin(n, re * n.collar_diameter / n.hydraulic_diameter).j});
    measured(row);
    n.rows = 4;
    row.quantity = "Colburn j, 8.0-3/8T with four rows, Re 1000 to 1e4 on the collar";
    row.source = "Gray & Webb 1986 (8th Int. Heat Transfer Conf.): 16 measured cores";
    row.read = "";
    row.note = "Gray & Webb's own scatter is 7.3 %";
    row.story =
        "13 to 21 % above Gray & Webb, who are 16 cores; the measured points of the same "
        "surface (the row above) side with ours.";
    row.from_memory = true;
    row.source_scatter = 0.073;
    row.points.clear();
    for (const double re : {1000.0, 3000.0, 1e4})
        row.points.push_back(
            {"Re " + number(re),
             0.14 * std::pow(re, -0.328) *
                 std::pow(n.transverse_pitch / n.longitudinal_pitch, -0.502) *
                 std::pow((n.fin_pitch - n.fin_thickness) / n.collar_diameter, 0.0312),
             plain_plate_fin(n, re).j});
    published(row);
}

TEST_CASE("friction of plain plate fins against another laboratory") {
    PlateFin n;
    n.collar_diameter = 10.2e-3;
    n.transverse_pitch = 25.4e-3;
    n.longitudinal_pitch = 22e-3;
    n.fin_pitch = 2e-3;
    n.fin_thickness = 0.12e-3;
    n.rows = 4;
    const Cell c = cell_of(n);
    Row row{.topic = "Plate fins",
            .quantity =
                "Fanning f, plain fins 2 mm apart on 10.2 mm tubes, Re 700 to 1e4 on the collar",
            .source =
                "Gray & Webb 1986 (8th Int. Heat Transfer Conf.): 0.508 Re^-0.521 "
                "(Pt/D)^1.318 for the fins; Jakob 1938 for the tubes",
            .from_memory = true,
            .relation = Relation::plain_plate_friction};
    row.band = {0.15, 0, "Wang, Chi & Chang: 85 % of their data within ±15 %"};
    row.source_scatter = 0.078;
    row.story =
        "23 % high at Re 700, 6 to 13 % above 1500. Gray & Webb's cores began near Re 600, and "
        "their sum of fins and tubes is weakest there; ours has 74 cores behind it. Not decided.";
    for (const double re : {700.0, 1500.0, 4000.0, 1e4}) {
        const double fin =
            0.508 * std::pow(re, -0.521) * std::pow(n.transverse_pitch / n.collar_diameter, 1.318);
        row.points.push_back(
            {"Re " + number(re), with_tubes(c, fin, re), plain_plate_fin(c.fin, re).f});
    }
    published(row);
}

TEST_CASE("wavy plate fins against another laboratory, and a second typing of their own relation") {
    PlateFin n;
    n.collar_diameter = 10.2e-3;
    n.transverse_pitch = 25.4e-3;
    n.longitudinal_pitch = 22e-3;
    n.fin_pitch = 2e-3;
    n.fin_thickness = 0.12e-3;
    n.rows = 4;
    n.wave_depth = 1.5e-3;
    n.half_wave_length = 5.5e-3;
    const Cell c = cell_of(n);
    Row j{.topic = "Plate fins",
          .quantity =
              "Colburn j, wavy fins 2 mm apart on 10.2 mm tubes, four rows, Re 700 to 5000 on "
              "the collar",
          .source =
              "Kim, Yun & Webb, J. Heat Transfer 119 (1997) 560: fit of Beecher & Fagan's and "
              "others' measured cores",
          .from_memory = true,
          .relation = Relation::wavy_plate_film};
    j.band = {0.15, 0, "Wang et al.: 91 % of their data within ±15 %"};
    j.source_scatter = 0.06;
    Row f = j;
    f.quantity = "Fanning f" + j.quantity.substr(9);
    f.relation = Relation::wavy_plate_friction;
    f.band = {0.15, 0, "Wang et al.: 85 % of their data within ±15 %"};
    f.source_scatter = 0.09;
    f.story =
        "26 % high at Re 700, 3 to 7 % above 1500: as for plain fins, with the same tubes in the "
        "sum. Not decided.";
    const double pitches = n.transverse_pitch / n.longitudinal_pitch;
    const double gap = n.fin_pitch - n.fin_thickness;
    const double wave = n.half_wave_length / n.wave_depth;
    for (const double re : {700.0, 1500.0, 3000.0, 5000.0}) {
        const JF ours = wavy_plate_fin(c.fin, re);
        j.points.push_back({"Re " + number(re),
                            0.394 * std::pow(re, -0.357) * std::pow(pitches, -0.272) *
                                std::pow(gap / n.collar_diameter, -0.205) * std::pow(wave, -0.558) *
                                std::pow(n.wave_depth / gap, -0.133),
                            ours.j});
        const double fin = 4.467 * std::pow(re, -0.423) * std::pow(pitches, -1.08) *
                           std::pow(gap / n.collar_diameter, -0.0339) * std::pow(wave, -0.672);
        f.points.push_back({"Re " + number(re), with_tubes(c, fin, re), ours.f});
    }
    published(j);
    published(f);
}

TEST_CASE("a plate-fin radiator with oval tubes, film as its laboratory measured it") {
    // Radiator of a 1.6-litre engine: oval tubes in line, 6.35 by 11.82 mm, pitches 18.5 and 17 mm;
    // 520 fins of 359 by 34 mm, 0.08 mm thick. As a builder would enter it: round tubes as wide as
    // the oval ones are high.
    PlateFin n;
    n.collar_diameter = 6.51e-3;
    n.transverse_pitch = 18.5e-3;
    n.longitudinal_pitch = 17e-3;
    n.fin_pitch = 1e-3;
    n.fin_thickness = 0.08e-3;
    n.rows = 2;
    const double free = (18.5e-3 - 6.51e-3) / 18.5e-3 * (1 - 0.08);
    const double fins =
        2 * (18.5e-3 * 34e-3 - 2 * std::numbers::pi / 4 * n.collar_diameter * n.collar_diameter);
    const double bare = 2 * std::numbers::pi * n.collar_diameter * (n.fin_pitch - n.fin_thickness);
    n.hydraulic_diameter = 4 * free * 18.5e-3 * n.fin_pitch * 34e-3 / (fins + bare);
    Row row{.topic = "Plate fins",
            .quantity = "film coefficient, car radiator with oval tubes in line, air 1 to 2.2 m/s",
            .source =
                "Taler, Heat Mass Transfer 49 (2013) 1125: Nu = 0.1012 Re^0.6704 Pr^(1/3) on "
                "1.41 mm, from 57 measured points; also Taler, Taler & Trojan 2021, doi "
                "10.5772/intechopen.97402",
            .from_memory = true,
            .relation = Relation::none,
            .unit = "W/(m² K)"};
    row.band = {0.15, 0, "Wang, Chi & Chang: ±15 %"};
    row.out_of_range = true;
    const double nu = 1.56e-5, k = 0.0259, pr = 0.71;  // air at 24 °C
    for (const double speed : {1.0, 1.5, 2.0, 2.2}) {
        const double least = speed / ((18.5 - 6.35) / 18.5 * (1 - 0.08));
        const double ours_speed = speed / free;
        const double re = ours_speed * n.collar_diameter / nu;
        row.points.push_back(
            {number(speed) + " m/s",
             0.1012 * std::pow(least * 1.41e-3 / nu, 0.6704) * std::cbrt(pr) * k / 1.41e-3,
             plain_plate_fin(n, re).j * re * std::cbrt(pr) * k / n.collar_diameter});
    }
    row.note =
        "outside the relation: oval tubes in line, pitch and diameter below its data; so it "
        "says nothing of its scatter";
    row.story =
        "The relation is for staggered round tubes from 6.9 mm at 20 mm: with oval tubes in "
        "line the second row stands in the first one's wake, and ours is up to 36 % high at "
        "1 m/s, 6 % at 2.2 m/s. A builder of such a core should use `measured` points.";
    published(row);
}

TEST_CASE("round fins against the VDI Heat Atlas") {
    AnnularFin n;  // CF-7.0-5/8J
    n.root_diameter = 16.4e-3;
    n.fin_height = (28.5e-3 - 16.4e-3) / 2;
    n.fin_thickness = 0.254e-3;
    n.fin_spacing = 1.0 / 276 - 0.254e-3;
    n.transverse_pitch = 31.3e-3;
    n.longitudinal_pitch = 34.3e-3;
    n.rows = 6;
    n.hydraulic_diameter = 6.68e-3;
    Row row{.topic = "Round fins",
            .quantity = "Nusselt number on the tube, staggered bank, Re 2000 to 15 000",
            .source = "VDI Heat Atlas M1, Nu = 0.38 Re^0.6 (A/A0)^-0.15 Pr^(1/3)",
            .from_memory = true,
            .relation = Relation::round_fin_film};
    row.band = {0.175, 0, "VDI states 10 to 25 %: the middle"};
    row.source_scatter = 0.0875;
    const double ratio = 28.5 / 16.4, pitch = n.fin_spacing + n.fin_thickness;
    // Whole surface over that of the bare tube.
    const double area = 1 + (16.4e-3 * (ratio * ratio - 1) / 2 - n.fin_thickness) / pitch;
    for (const double re : {2000.0, 5000.0, 1.5e4})
        row.points.push_back({"Re " + number(re),
                              0.38 * std::pow(re, 0.6) * std::pow(area, -0.15) * std::cbrt(0.71),
                              annular_fin(n, re).j * re * std::cbrt(0.71)});
    published(row);
}

TEST_CASE("strip fins of Manglik & Bergles against Wieting") {
    StripFin n;
    n.spacing = 1.5e-3;
    n.height = 6e-3;
    n.thickness = 0.12e-3;
    n.strip = 3.2e-3;
    const double dh = 2 * n.spacing * n.height / (n.spacing + n.height);
    Row j{.topic = "Strip fins",
          .quantity = "Colburn j, strips 3.2 mm, Re 200 to 8000",
          .source = "Wieting 1975 (J. Heat Transfer 97, 488): 22 measured surfaces",
          .from_memory = true,
          .relation = Relation::strip_film};
    j.band = {0.20, 0, "Manglik & Bergles: ±20 % (Wieting: 85 % of j within ±15 %)"};
    j.source_scatter = 0.10;
    Row f = j;
    f.quantity = "Fanning f, strips 3.2 mm, Re 200 to 8000";
    f.relation = Relation::strip_friction;
    for (const double re : {200.0, 500.0, 900.0, 3000.0, 8000.0}) {
        const bool low = re < 1000;
        const JF ours = offset_strip_fin(n, re);
        j.points.push_back({"Re " + number(re),
                            low ? 0.483 * std::pow(n.strip / dh, -0.162) *
                                      std::pow(n.spacing / n.height, -0.184) * std::pow(re, -0.536)
                                : 0.242 * std::pow(n.strip / dh, -0.322) *
                                      std::pow(n.thickness / dh, 0.089) * std::pow(re, -0.368),
                            ours.j});
        f.points.push_back({"Re " + number(re),
                            low ? 7.661 * std::pow(n.strip / dh, -0.384) *
                                      std::pow(n.spacing / n.height, -0.092) * std::pow(re, -0.712)
                                : 1.136 * std::pow(n.strip / dh, -0.781) *
                                      std::pow(n.thickness / dh, 0.534) * std::pow(re, -0.198),
                            ours.f});
    }
    published(j);
    published(f);
}
