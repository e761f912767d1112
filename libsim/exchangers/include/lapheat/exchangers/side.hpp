// One side of a core, compiled to numbers: conductance and pressure drop against flow.
//
// Whatever a core is made from (dimensions and published correlations, a rating, measured points),
// each side is in the end
//     Re = |m| D / (A_c mu)             h = k/D Nu(Re, Pr)
//     conductance = eta h A             drop = m |m| / (2 rho A_c^2) Loss(Re)
// with Nu and Loss as tables in ln Re and ln Pr (cubic, continuous slope), made once from any
// function, so that one hot routine of a few tens of nanoseconds serves all cores.
#pragma once

#include <functional>
#include <memory>
#include <vector>

namespace lapheat::exchangers {

/// Properties of a stream that a side needs; the same numbers as fluids::Properties.
struct SideFlow {
    double mass_flow = 0;       ///< kg/s through the whole side; the sign only turns the drop round
    double density = 0;         ///< kg/m³, mean over the core
    double viscosity = 0;       ///< Pa s
    double conductivity = 0;    ///< W/(m K)
    double prandtl = 0;         ///< -
    double wall_viscosity = 0;  ///< Pa s at the wall's temperature; 0: no property-ratio correction
};

/// Nu(ln Re, ln Pr) and Re·Loss(ln Re) on uniform grids; immutable, shared between copies.
struct SurfaceTable {
    double log_re_start = 0, log_re_per_step = 0;
    double log_pr_start = 0, log_pr_per_step = 0;
    int re_nodes = 0, pr_nodes = 0;
    std::vector<double> log_nusselt;  ///< [pr][re]
    std::vector<double> log_loss;     ///< [re], ln(Re·Loss)
    double nusselt_error = 0;         ///< largest relative error at the middles of the cells
    double loss_error = 0;
};

/// Powers of a property ratio: h × (mu/mu_wall)^heat, drop × (mu/mu_wall)^-drop.
struct ViscosityCorrection {
    double laminar_heat = 0.14;    ///< Sieder & Tate 1936
    double laminar_drop = 0.5;     ///< cooling; 0.58 heating: Shah & London 1978, Table (liquids)
    double turbulent_heat = 0.11;  ///< VDI Heat Atlas G1: (Pr/Pr_w)^0.11
    double turbulent_drop = 0.25;  ///< Shah & Sekulić, Table 7.12
};

/// What a maker of cores hands in. Geometry in m and m², of the whole side.
struct SideDescription {
    double flow_area = 0;  ///< m², free-flow (least) area A_c, all parallel passages of a pass
    double hydraulic_diameter = 0;  ///< m, length that Re and Nu are formed with
    double heat_area = 0;           ///< m², total surface A, fins and bare
    double fin_area_fraction = 0;   ///< fins' share of it; 0: no fins
    double fin_parameter =
        0;  ///< m² K/W: (mL)² / h = 2 L² / (k_fin thickness); efficiency tanh(mL)/mL
    double fouling = 0;  ///< m² K/W on heat_area
    std::function<double(double reynolds, double prandtl)> nusselt;
    std::function<double(double reynolds)>
        loss;                     ///< total: 4 f L/D + entrance + exit + turns, on A_c velocity
    double reynolds_minimum = 0;  ///< range of the sources; outside it a flag is set
    double reynolds_maximum = 1e9;
    double prandtl_minimum = 0.6;  ///< range tabulated; one value if equal: then Nu × (Pr/it)^(1/3)
    double prandtl_maximum = 0.8;
    double table_reynolds_minimum = 1;    ///< below it Nu keeps its power law, Loss goes with 1/Re
    double table_reynolds_maximum = 1e5;  ///< above it both keep their power law
    ViscosityCorrection viscosity;        ///< used only when a wall viscosity is given
};

/// The compiled side. Plain numbers: makers use make_side(); scaling changes them afterwards.
struct Side {
    double flow_area = 0;           ///< m²
    double hydraulic_diameter = 0;  ///< m
    double heat_area = 0;           ///< m²
    double fin_area_fraction = 0;
    double fin_parameter = 0;  ///< m² K/W
    double fouling = 0;        ///< m² K/W on heat_area
    double heat_factor = 1;    ///< multiplies h: from a rating or a fit, 1 for plain correlations
    double drop_factor = 1;    ///< multiplies the drop
    double heat_tilt = 0;      ///< and h × (Re / tilt_reynolds)^heat_tilt
    double drop_tilt = 0;      ///< and drop × (Re / tilt_reynolds)^drop_tilt
    double tilt_reynolds = 1;  ///< > 0
    double reynolds_minimum = 0, reynolds_maximum = 0;
    double prandtl_minimum = 0, prandtl_maximum = 0;
    ViscosityCorrection viscosity;
    std::shared_ptr<const SurfaceTable> table;  ///< none: no conductance, no drop
};

/// Flags of one side's evaluation.
enum SideFlag : unsigned {
    side_reynolds_low = 1u,   ///< below the correlation's range
    side_reynolds_high = 2u,  ///< above it
    side_prandtl_range = 4u,  ///< Prandtl number outside the tabulated range (value at its edge)
};

struct SideState {
    double reynolds = 0;
    double nusselt = 0;
    double coefficient = 0;     ///< h, W/(m² K), fouling not counted
    double fin_efficiency = 1;  ///< of the whole surface
    double resistance = 0;      ///< K/W: 1/(eta h A) + fouling/A; infinity when nothing conducts
    unsigned flags = 0;
};

/// Tabulates and checks. Throws Error for impossible numbers or functions that are not positive.
[[nodiscard]] Side make_side(const SideDescription& description);

/// Conductance part at a flow. Never throws, never NaN for finite input; zero flow is safe.
[[nodiscard]] SideState side_state(const Side& side, const SideFlow& flow) noexcept;

/// The same, and the pressure drop (Pa, as pressure_drop()) for little more.
[[nodiscard]] SideState side_state(const Side& side, const SideFlow& flow, double& drop) noexcept;

/// Pa, with the sign of the flow; smooth through zero (linear in the flow there). Without the
/// acceleration of a gas that is heated: the air network adds it from the densities.
[[nodiscard]] double pressure_drop(const Side& side, double mass_flow, double density,
                                   double viscosity, double wall_viscosity = 0) noexcept;

/// Side with `fraction` of its parallel passages (0 < fraction <= 1).
[[nodiscard]] Side side_fraction(Side side, double fraction) noexcept;

}  // namespace lapheat::exchangers
