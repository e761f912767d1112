// The parts a liquid branch is made of, as the network sees them: each says which pressure it
// costs (or gives) for a flow. Sizes as sold and K values by name are in parts.hpp, pump curves
// in pumps.hpp.
#pragma once

#include <string>
#include <variant>

#include "lapheat/hydraulics/friction.hpp"

namespace lapheat::hydraulics {

/// A straight pipe or hose: Darcy friction, see darcy_friction.
struct Pipe {
    double length = 0;          ///< m, > 0
    double inner_diameter = 0;  ///< m, > 0
    double roughness = 0;       ///< m, 0 to 0.05 inner diameters
};

/// A fitting: (K + K1/Re)·½ρv² at `diameter`; the second term is laminar (Hooper, Chem. Eng.
/// 88 (1981) no. 17, p. 96: the two-K method).
struct MinorLoss {
    double loss_coefficient = 0;     ///< K, −
    double laminar_coefficient = 0;  ///< K1, −
    double diameter = 0;             ///< m
};

/// A filter or another passage by one measured point; the laminar share of the loss goes with
/// viscosity times flow, the rest with density times flow squared.
struct MeasuredLoss {
    double flow = 0;           ///< m³/s
    double pressure_loss = 0;  ///< Pa at that flow
    double density = 1000;     ///< kg/m³ of the test
    double viscosity = 1e-3;   ///< Pa s of the test
    double laminar_share = 0;  ///< 0–1
};

/// A core's liquid side, or any passage whose loss is known as a function.
struct CurveLoss {
    LossCurve curve;      ///< of x = mass flow over viscosity (m), see sampled_curve
    double diameter = 0;  ///< m, at which velocity is reported; 0: not reported
};

/// A valve whose flow area follows its opening (Inputs::control, 0–1): thermostat, thermal
/// bypass, heater valve. Below 1e-12 m² the branch is closed. Loss = K·½ρ(flow/area)².
struct Valve {
    double open_area = 0;    ///< m²
    double closed_area = 0;  ///< m², the bleed
    double loss_coefficient = 1.8;
    bool reversed = false;  ///< area falls as the control rises
};

/// Opens forward only. Below the cracking pressure almost nothing passes: the spring's force is
/// taken up over the first `cracking_flow`. In reverse it leaks `reverse_leak`.
struct CheckValve {
    double loss_coefficient = 2;
    double diameter = 0;           ///< m
    double cracking_pressure = 0;  ///< Pa
    double cracking_flow = 1e-6;   ///< m³/s at which half the spring's pressure is used
    double reverse_leak = 1e-11;   ///< kg/(s Pa)
};

/// Energy given to the fluid, J/kg: a·ω² − b·ω·q − c·q|q|, the three-term curve that obeys the
/// affinity laws exactly. Inputs::control is the speed ω ≥ 0 (rad/s). See fit_pump.
struct CentrifugalPump {
    double shutoff = 0;    ///< a, m², ≥ 0
    double linear = 0;     ///< b, 1/m, ≥ 0
    double quadratic = 0;  ///< c, 1/m⁴, ≥ 0; b and c not both zero
};

/// A displacement pump with flow control, relief and leakage. Delivers
/// min(displacement·ω, controlled flow) − leakage·Δp/viscosity; above the relief pressure the
/// rest spills, with Δp rising by `override` of it as the spilled flow reaches `rated_flow`.
struct DisplacementPump {
    double displacement = 0;     ///< m³/rad
    double controlled_flow = 0;  ///< m³/s; 0: no flow control
    double relief_pressure = 0;  ///< Pa; 0: no relief valve
    double relief_override = 0.1;
    double rated_flow = 0;   ///< m³/s; of the override; 0: controlled flow or 100 rad/s
    double leakage = 1e-14;  ///< m³, > 0
};

using ElementBody = std::variant<Pipe, MinorLoss, MeasuredLoss, CurveLoss, Valve, CheckValve,
                                 CentrifugalPump, DisplacementPump>;

struct Element {
    std::string name;
    ElementBody body;
    double rise = 0;  ///< m, height gained along the branch's direction
};

}  // namespace lapheat::hydraulics
