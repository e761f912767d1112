// Air-side (and strip-fin) surfaces: Colburn factor j and Fanning friction factor f by published
// correlations, named by their authors, with the range of the data behind them.
//
// j = St Pr^(2/3), so h = j G cp / Pr^(2/3) with the mass velocity G in the smallest free area.
// f is Fanning's, so a core's friction drop is f (A/Ac) G²/(2 rho). Lengths in m, angles in rad.
// Outside a correlation's Reynolds range the value at its end is continued as a power law with the
// local slope (kept between the physical bounds -1 and 0 of j, -1 and 0.2 of f) and in_range is
// false; geometry outside the data also clears it.
#pragma once

#include "lapheat/exchangers/duct.hpp"

namespace lapheat::exchangers {

struct JF {
    double j = 0;
    double f = 0;
    bool in_range = true;
};

/// Corrugated louvred fins between flat tubes.
struct LouvredFin {
    double louvre_pitch = 1.2e-3;      ///< L_p, along the air
    double louvre_angle = 0.4712;      ///< theta, 27 degrees
    double louvre_length = 6.5e-3;     ///< L_l, across
    double fin_pitch = 1.5e-3;         ///< F_p, distance from fin to fin
    double fin_height = 8e-3;          ///< F_l, from tube to tube
    double fin_thickness = 1e-4;       ///< delta
    double fin_depth = 20e-3;          ///< F_d, along the air
    double tube_depth = 20e-3;         ///< T_d, along the air
    double tube_height = 2e-3;         ///< D_m, outside, across the air
    double hydraulic_diameter = 2e-3;  ///< D_h, 4 Ac L / A
};

/// Chang & Wang, IJHMT 40 (1997) 533 for j (89 % of 91 cores within ±15 %); Chang, Hsu, Lin & Wang,
/// IJHMT 43 (2000) 2237 for f (83 % within ±15 %), with the amendment between Re 130 and 230 in
/// IJHMT 49 (2006) 4250. Below Re 500 on dense fins (pitch about 1 mm) f lies up to half under Kim
/// & Bullard 2002, who measured such cores: see relation_scatter.hpp. Re on the louvre pitch, 100
/// to 3000; fin pitch 0.51 to 3.33 mm, fin height 2.84 to 20 mm, louvre pitch 0.5 to 3 mm,
/// angle 8.4 to 35 degrees.
[[nodiscard]] JF louvred_fin(const LouvredFin& fin, double reynolds_louvre_pitch) noexcept;

/// Continuous plate fins on staggered round tubes.
struct PlateFin {
    double collar_diameter = 10e-3;     ///< D_c, tube outside plus twice the fin thickness
    double transverse_pitch = 25e-3;    ///< P_t, across the air
    double longitudinal_pitch = 22e-3;  ///< P_l, along the air
    double fin_pitch = 2e-3;            ///< F_p
    double fin_thickness = 1.2e-4;      ///< delta
    double rows = 2;                    ///< N, along the air
    double hydraulic_diameter = 3e-3;   ///< D_h, 4 Ac L / A
    double area_over_tube_area = 15;    ///< A_o/A_t, to the bare tubes' outside (wavy fins)
    double wave_depth = 0;              ///< P_d, trough to peak; 0: plain (wavy fins)
    double half_wave_length = 6e-3;     ///< X_f, trough to peak along the air (wavy fins)
};

/// Wang, Chi & Chang, IJHMT 43 (2000) 2693 (also Shah & Sekulić 7.5.4.2). j: 89 %, f: 85 % of 74
/// cores within ±15 %. Re on D_c, 300 to 20 000; D_c 6.9 to 13.6 mm, D_h 1.3 to 9.37 mm, P_t 20.4
/// to 31.8 mm, P_l 12.7 to 32 mm, F_p 1 to 8.7 mm, 1 to 6 rows. A single row switches formula.
[[nodiscard]] JF plain_plate_fin(const PlateFin& fin, double reynolds_collar) noexcept;

/// Herringbone plate fins: Wang, Jang & Chiou 1999, Wang 2000, as in Shah & Sekulić 7.5.4.3. Two
/// sets, for collars about 8.6 to 10.4 mm (Re 300 to 8000, f and j within ±15 % for 91 and 85 %)
/// and about 13.6 to 16.9 mm (Re 500 to 10 000); the nearer one in between, out of range.
[[nodiscard]] JF wavy_plate_fin(const PlateFin& fin, double reynolds_collar) noexcept;

/// Offset strip fins between plates.
struct StripFin {
    double spacing = 1.5e-3;    ///< s, clear, fin to fin
    double height = 5e-3;       ///< h, clear, plate to plate
    double thickness = 1.2e-4;  ///< t
    double strip = 3e-3;        ///< l, length of a strip along the flow
};

/// 4 s h l / (2 (s l + h l + t h) + t s), the diameter of Manglik & Bergles.
[[nodiscard]] double strip_fin_hydraulic_diameter(const StripFin& fin) noexcept;

/// Manglik & Bergles, Exp. Thermal Fluid Sci. 10 (1995) 171: 18 surfaces within ±20 %; Re on the
/// diameter above, 120 to 1e4; s/h 0.134 to 0.997, t/l 0.012 to 0.048, t/s 0.041 to 0.121.
[[nodiscard]] JF offset_strip_fin(const StripFin& fin, double reynolds) noexcept;

/// Round fins on round tubes.
struct AnnularFin {
    double root_diameter = 10e-3;       ///< D
    double fin_height = 8e-3;           ///< from root to tip
    double fin_spacing = 2e-3;          ///< s, clear
    double fin_thickness = 4e-4;        ///< t
    double transverse_pitch = 30e-3;    ///< S_t, across the air
    double longitudinal_pitch = 26e-3;  ///< S_l, along the air
    double rows = 1;                    ///< along the air
    double hydraulic_diameter = 5e-3;   ///< 4 Ac L / A, for turning Robinson & Briggs into f
};

/// Briggs & Young, Chem. Eng. Prog. Symp. Ser. 59 (1963) for j; Robinson & Briggs, same, 62 (1966)
/// for f (turned to Fanning's: Eu per row over A/Ac). Both for six or more staggered rows, Re on
/// D 1000 to 20 000 (f 2000 to 50 000); fewer rows are lowered as VDI Heat Atlas M1 does its own
/// formula (0.33 : 0.36 : 0.38 for two, three, four rows; a single row as two) and are out of
/// range.
[[nodiscard]] JF annular_fin(const AnnularFin& fin, double reynolds_root) noexcept;

}  // namespace lapheat::exchangers
