// What a core's dimensions say beside its heat, for reports.
#pragma once

namespace lapheat::exchangers {

/// What else the dimensions say, for reports.
struct CoreFacts {
    double dry_mass = 0;                   ///< kg, fins, tubes, sheets; without tanks
    double heat_capacity = 0;              ///< J/K of it
    double second_area = 0;                ///< m², the second side's whole surface
    double fin_share = 0;                  ///< of it
    double liquid_area = 0;                ///< m²
    double open_fraction = 0;              ///< least free area over face area
    double air_hydraulic_diameter = 0;     ///< 4 Ac L / A
    double liquid_hydraulic_diameter = 0;  ///< of one passage
    double liquid_volume = 0;              ///< m³
    double fin_height = 0;                 ///< tube to tube, or root to tip
    int tubes = 0;                         ///< tubes or passages in a row
};

}  // namespace lapheat::exchangers
