// Cores known by what a seller states. The stated heat fixes the total conductance; a split says
// how much of the resistance is air, wall and liquid; each part then follows its own law of flow
// and fluid. One exponent on the total would be wrong as soon as the limiting side changes: cold
// oil, low air flow.
//
// Every default is common practice without a source unless one is named, and is written into
// Core::assumptions when used.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lapheat/exchangers/core.hpp"
#include "lapheat/exchangers/rate.hpp"

namespace lapheat::exchangers {

/// Shares of the total resistance at the rating point; they are scaled to sum to 1.
struct ResistanceSplit {
    double first = 0, wall = 0, second = 0;
};

/// How the liquid flows inside.
enum class InnerShape {
    smooth,      ///< plain tubes or channels: laminar to turbulent by duct.hpp
    turbulated,  ///< strip-fin turbulators or dimples: Nu ~ Re^0.6 Pr^(1/3), drop ~ flow^1.5
};

/// What is known, or guessed, about the core beside the rating. Zero or empty: assumed.
struct RatedShape {
    std::string name;
    ArrangementSpec arrangement;           ///< default: cross-flow, both streams unmixed
    std::optional<ResistanceSplit> split;  ///< see default_split()
    InnerShape inner = InnerShape::smooth;
    double inner_diameter = 0;   ///< m, hydraulic; 0: 2.5 mm smooth, 3 mm turbulated
    double inner_flow_area = 0;  ///< m²; 0: 1 m/s of water-like, 0.5 m/s of oily liquid at rating
    double inner_length = 0;     ///< m, of the liquid's way; 0: the width, or 0.5 m
    double air_flow_exponent = 0.5;           ///< h ~ flow^this; Chang & Wang 1997: j ~ Re^-0.49
    double air_drop_exponent = 1.65;          ///< drop ~ flow^this; between 1.5 and 1.8
    double width = 0, height = 0, depth = 0;  ///< m; face 0: 3 m/s of air at rating, square
    double open_fraction = 0.75;              ///< free-flow area / face area
    double mass = 0;                          ///< kg dry; 0: 600 kg/m³ of core volume
    double first_volume = 0;                  ///< m³; 0: inner_flow_area × inner_length
    double wall_specific_heat = 900;          ///< J/(kg K), aluminium
    double uncertainty = 0.15;                ///< of the heat at the rating point
};

/// 0.20 : 0.03 : 0.77 for water-like liquids, 0.45 : 0.03 : 0.52 for oils in smooth tubes, 0.35 :
/// 0.03 : 0.62 for oils with turbulators; 0.48 : 0.04 : 0.48 for liquid to liquid. Common practice,
/// no source; a liquid is oily when its Prandtl number at the rating point exceeds 50.
[[nodiscard]] ResistanceSplit default_split(const Medium& first, const Medium& second,
                                            double first_prandtl, InnerShape inner);

/// One stated point: this heat at these flows and inlet temperatures.
struct Rating {
    Duty duty;
    double heat = 0;         ///< W, > 0 when the first stream is the hotter
    double first_drop = 0;   ///< Pa; 0: by friction along the inner way
    double second_drop = 0;  ///< Pa; 0: from the air's NTU with j/f = 0.3 (louvred fins)
};

/// (a) Heat at an inlet temperature difference, both flows known. rate() at the duty gives the
/// heat back to 1e-9. Throws Error when the heat is beyond the second law's bound or beyond what
/// the arrangement can do.
[[nodiscard]] Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                              const Rating& rating);

/// (b) A "gross vehicle weight" class says neither heat nor temperatures. Assumed: the transmission
/// loses `loss_share` of the power that lifts the weight up a grade at a speed, and the cooler
/// holds that at the entering temperatures and flows below. All of it is a guess; the core's
/// uncertainty says ±50 %.
struct GrossWeightAssumption {
    double grade = 0.06;           ///< -
    double speed = 20;             ///< m/s
    double loss_share = 0.10;      ///< converter open or slipping, gears, pump
    double first_flow = 0.1;       ///< kg/s of fluid, about 7 L/min
    double first_inlet = 394.15;   ///< K, 121 °C (250 °F)
    double second_inlet = 311.15;  ///< K, 38 °C (100 °F)
    double face_velocity = 4;      ///< m/s of air; sets the air flow with the face
    double heat_per_face = 80e3;   ///< W/m², sizes a face that is not given
};
[[nodiscard]] double gross_weight_heat(double mass, const GrossWeightAssumption& a = {});  ///< W
[[nodiscard]] Core gross_weight_core(RatedShape shape, const Medium& first, const Medium& second,
                                     double mass, const GrossWeightAssumption& a = {});

/// (c) A table of points. One point is a rating; more are fitted (fit.hpp): conductances of both
/// sides where the points tell them apart, else one factor on the assumed split. The largest
/// misfit joins the assumptions and widens the uncertainty.
[[nodiscard]] Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                              const std::vector<Rating>& points);

/// (d) A performance map: heat over a grid of both flows at one pair of inlet temperatures.
struct RatingMap {
    std::vector<double> first_flow, second_flow;  ///< kg/s, rising
    std::vector<double> heat;                     ///< W, [first][second]
    double first_inlet = 0, second_inlet = 0;     ///< K
};
[[nodiscard]] Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                              const RatingMap& map);

/// (e) UA against both flows, W/K, with temperatures at which it was found.
struct ConductancePoint {
    Duty duty;
    double ua = 0;  ///< W/K
};
[[nodiscard]] Core rated_core(const RatedShape& shape, const Medium& first, const Medium& second,
                              const std::vector<ConductancePoint>& points);

}  // namespace lapheat::exchangers
