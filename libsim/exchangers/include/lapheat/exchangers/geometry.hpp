// A core from its dimensions, as a person measures them with calipers, a ruler and a fin count.
//
// One struct for each kind of core, one function make_core() for all. Lengths in m, angles in rad.
// Width and height are those of the finned face seen from the front, without tanks; depth is along
// the air. A dimension whose default is 0 and that says "0: …" may be left out; what is then
// assumed is written into Core::assumptions, as is geometry outside a correlation's data.
// make_core() throws Error with the field's name as key when the dimensions cannot be.
//
// Air sides may name a measured `surface` of their own (measured_surface.hpp), which then stands in
// place of the kind's correlation. Correlations: duct.hpp inside tubes, surface.hpp outside; the
// drop of nozzles and tanks is not part of a core. Uncertainty of the heat: ±15 %, the scatter of
// the air-side correlations; ±25 % with strip fins in oil, whose correlation rests on air (Hu &
// Herold 1995 found it too high for liquids).
#pragma once

#include <optional>

#include "lapheat/exchangers/core.hpp"
#include "lapheat/exchangers/core_facts.hpp"
#include "lapheat/exchangers/measured_surface.hpp"

namespace lapheat::exchangers {

struct Material {
    double conductivity = 0;   ///< W/(m K)
    double density = 0;        ///< kg/m³
    double specific_heat = 0;  ///< J/(kg K)
};

/// Handbook values near 350 K (Incropera et al., Table A.1; 3003 alloy for aluminium), rounded.
inline constexpr Material aluminium{175, 2730, 893};
inline constexpr Material copper{393, 8930, 390};
inline constexpr Material brass{115, 8530, 385};
inline constexpr Material steel{55, 7850, 460};

enum class TubeDirection { horizontal, vertical };

/// Strip fins (a turbulator) between two walls.
struct StripFill {
    double fins_per_metre = 500;
    double fin_thickness = 0.2e-3;
    double strip_length = 5e-3;  ///< along the flow
};

/// Louvred fins between flat tubes: most radiators and stacked-plate coolers.
struct LouvredCore {
    double width = 0, height = 0;  ///< of the face
    double depth = 0;              ///< along the air
    TubeDirection tubes_run = TubeDirection::horizontal;
    int tubes = 0;           ///< in one row; 0: from tube_pitch
    double tube_pitch = 0;   ///< centre to centre; 0: from tubes, with fins on both outer sides
    double tube_height = 0;  ///< outside, the small dimension
    double tube_depth = 0;   ///< outside, along the air, of one tube; 0: depth / rows
    double tube_wall = 0.3e-3;
    int channels = 1;  ///< of one tube, parted by webs as thick as the wall
    int rows = 1;      ///< of tubes along the air
    int passes = 1;    ///< of the liquid across the face, side by side
    double fins_per_metre = 0;
    double fin_thickness = 0.1e-3;
    double louvre_pitch = 1.2e-3;                       ///< along the air
    double louvre_angle = 27 * 3.14159265358979 / 180;  ///< to the fin's plane
    double louvre_length = 0;                           ///< 0: 0.85 of the fin height
    std::optional<StripFill> turbulator;                ///< inside the tubes
    Material fin = aluminium, tube = aluminium;
    std::vector<SurfacePoint> surface;  ///< of the air side; empty: the correlation
    Condition condition;
    std::optional<ArrangementSpec> arrangement;  ///< unset: by passes
};

/// Plate fins, plain or wavy, on round tubes.
struct PlateFinCore {
    double width = 0, height = 0;  ///< of the face; tubes run along the width
    double tube_diameter = 0;      ///< outside
    double tube_wall = 0.5e-3;
    int tubes = 0;                  ///< in one row; 0: from transverse_pitch
    double transverse_pitch = 0;    ///< centre to centre across the air; 0: from tubes
    double longitudinal_pitch = 0;  ///< row to row along the air; 0: 0.866 transverse_pitch
    int rows = 1;                   ///< along the air
    bool staggered = true;
    int circuits = 0;             ///< parallel ways of the liquid; 0: as many as tubes (one pass)
    bool rows_in_series = false;  ///< liquid goes from the last row to the first
    double fins_per_metre = 0;
    double fin_thickness = 0.12e-3;
    double wave_depth = 0;        ///< trough to peak; 0: plain fins
    double half_wave_length = 0;  ///< trough to peak along the air; wavy fins only
    Material fin = aluminium, tube = aluminium;
    std::vector<SurfacePoint> surface;  ///< of the air side; empty: the correlation
    Condition condition;
    std::optional<ArrangementSpec> arrangement;
};

/// Plate and bar (or stacked plates) with offset strip fins on both sides.
struct BarPlateCore {
    double width = 0, height = 0;  ///< of the finned face; liquid runs along the width
    double depth = 0;              ///< along the air
    int passages = 0;              ///< of the liquid; 0: from air_fin_height
    double liquid_fin_height = 0;  ///< clear, sheet to sheet
    double air_fin_height = 0;     ///< clear; 0: from passages, with air on both outer sides
    double sheet_thickness = 0.5e-3;
    double bar_width = 4e-3;  ///< closes the liquid's passage, front and back
    int passes = 1;           ///< of the liquid across the face, side by side
    StripFill liquid_fins{700, 0.14e-3, 3e-3};
    StripFill air_fins{600, 0.1e-3, 3e-3};
    Material material = aluminium;
    std::vector<SurfacePoint> surface;  ///< of the air side; empty: the correlation
    Condition condition;
    std::optional<ArrangementSpec> arrangement;
};

/// Oil plates in a radiator's tank, turbulators inside; coolant washes them lengthwise.
struct TankPlateCooler {
    double length = 0;       ///< of a plate, along both flows
    double plate_width = 0;  ///< outside
    int plates = 1;
    double oil_height = 0;  ///< clear height inside a plate, that of the turbulator
    double wall = 0.6e-3;
    double tank_width = 0, tank_depth = 0;  ///< inside of the tank's cross-section
    StripFill turbulator;
    bool counter_flow = true;
    Material material = aluminium;
    Condition condition;
};

/// Two concentric tubes in a radiator's tank, oil and turbulator between them; coolant in the bore
/// and outside.
struct TankTubeCooler {
    double length = 0;
    double outer_diameter = 0;  ///< outside of the outer tube
    double bore = 0;            ///< inside of the inner tube
    double wall = 0.8e-3;       ///< of either tube
    double tank_width = 0, tank_depth = 0;
    StripFill turbulator;
    bool counter_flow = true;
    Material material = brass;
    Condition condition;
};

/// A tube with round fins, straight or laid back and forth.
struct FinnedTubeCore {
    double run_length = 0;     ///< finned length of one straight run
    int runs = 1;              ///< across the air, in one row
    int rows = 1;              ///< along the air
    double run_pitch = 0;      ///< centre to centre across the air; 0: fin diameter plus 2 mm
    double row_pitch = 0;      ///< along the air; 0: as run_pitch
    double tube_diameter = 0;  ///< outside, at the fins' root
    double tube_wall = 1e-3;
    double fin_diameter = 0;
    double fins_per_metre = 0;
    double fin_thickness = 0.4e-3;
    Material fin = aluminium, tube = aluminium;
    std::vector<SurfacePoint> surface;  ///< of the air side; empty: the correlation
    Condition condition;
};

/// Flat tubes through continuous fins, plain or ruffled: the classic soldered radiator. Rated from
/// measured surfaces, see flat_tube_surface().
struct FlatTubeCore {
    double width = 0, height = 0;  ///< of the face
    TubeDirection tubes_run = TubeDirection::vertical;
    int tubes = 0;           ///< in one row; 0: from tube_pitch
    double tube_pitch = 0;   ///< centre to centre across the air; 0: from tubes
    double tube_height = 0;  ///< outside, the small dimension, across the air
    double tube_depth = 0;   ///< outside, along the air
    double tube_wall = 0.15e-3;
    int rows = 1;          ///< of tubes along the air
    double row_pitch = 0;  ///< along the air; 0: tube_depth plus 2 mm
    bool staggered = false;
    int passes = 1;  ///< of the liquid across the face, side by side
    double fins_per_metre = 0;
    double fin_thickness = 0.08e-3;
    ContinuousFin fins = ContinuousFin::plain;
    Material fin = copper, tube = brass;
    std::vector<SurfacePoint> surface;  ///< of the air side; empty: the built-in one of its fins
    Condition condition;
    std::optional<ArrangementSpec> arrangement;
};

[[nodiscard]] Core make_core(const LouvredCore& core);
[[nodiscard]] Core make_core(const PlateFinCore& core);
[[nodiscard]] Core make_core(const BarPlateCore& core);
[[nodiscard]] Core make_core(const TankPlateCooler& core);
[[nodiscard]] Core make_core(const TankTubeCooler& core);
[[nodiscard]] Core make_core(const FinnedTubeCore& core);
[[nodiscard]] Core make_core(const FlatTubeCore& core);

[[nodiscard]] CoreFacts facts(const LouvredCore& core);
[[nodiscard]] CoreFacts facts(const PlateFinCore& core);
[[nodiscard]] CoreFacts facts(const BarPlateCore& core);
[[nodiscard]] CoreFacts facts(const TankPlateCooler& core);
[[nodiscard]] CoreFacts facts(const TankTubeCooler& core);
[[nodiscard]] CoreFacts facts(const FinnedTubeCore& core);
[[nodiscard]] CoreFacts facts(const FlatTubeCore& core);

}  // namespace lapheat::exchangers
