// The parts of a liquid loop as a scenario describes them: what holds fluid, what moves it, what it
// costs pressure to pass. A run is an ordered list of parts between two nodes.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lapheat/heat/exhaust.hpp"
#include "lapheat/units/assumed.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::model {

/// Where a line or a tank lives: the air that touches it.
enum class Zone { outside, engine_bay, under_floor, inside };

/// A hose or a tube. Sheds or takes up heat over its length and delays what flows through it.
struct Line {
    double length = 0;                  ///< m
    double inner_diameter = 0;          ///< m
    double wall_thickness = 0.004;      ///< m
    double wall_conductivity = 0.3;     ///< W/(m K); rubber hose about 0.3, steel tube about 50
    double wall_heat_capacity = 1.8e6;  ///< J/(m³ K) of wall material
    double roughness = 5e-6;            ///< m
    double rise = 0;                    ///< m, height gained from the run's start to its end
    double bends = 0;                   ///< number of bends, each of `bend_angle`
    double bend_angle = 90;             ///< degrees
    double bend_radius_ratio = 3;       ///< bend radius over inner diameter
    double end_bore = 0;      ///< m, bore of the barbed or crimped ends; 0: as wide as the line
    double exhaust_view = 0;  ///< share of the outer face in sight of exhaust parts, 0–1
    heat::ExhaustPart exhaust_part = heat::ExhaustPart::manifold;  ///< that it sees
    int heat_shields = 0;          ///< sheets between the exhaust and the line
    double rated_pressure = 0;     ///< Pa above ambient that it bears; 0: not known
    double rated_temperature = 0;  ///< K that it bears; 0: not known
    bool hose = true;              ///< false: rigid tube
    Zone surroundings = Zone::engine_bay;
    int cells = 0;         ///< 0: chosen from the length
    double collapsed = 0;  ///< share of the bore's area that is lost, see FaultKind
};

/// A loss without volume: (K + K1/Re) times the dynamic pressure at a diameter.
struct Fitting {
    double loss_coefficient = 0;
    double laminar_coefficient = 0;  ///< K1, see hydraulics::MinorLoss
    double diameter = 0;             ///< m
    double count = 1;
    std::string what = "fitting";  ///< for the plumbing list: "elbow_90", "barb", "orifice"
    bool tee = false;  ///< its losses are another relation's than those of elbows and ends
};

/// A loss by one measured point: a filter, a rack's return passages. Part of it laminar.
struct Restriction {
    double flow = 0;           ///< m³/s
    double pressure_loss = 0;  ///< Pa at that flow
    double viscosity = 0;      ///< Pa s at which it was measured; 0: the loop's fluid, warm
    double density = 0;        ///< kg/m³ of the test; 0: the loop's fluid, warm
    double laminar_share = 0;  ///< share of the loss that goes with viscosity times flow, 0–1
    bool filter = false;
};

/// Fluid and metal at one temperature: a jacket, a sump, a reservoir, a converter. Streams of
/// heat named in `heat` enter here. With a wall capacity and conductance, they enter the wall.
struct Volume {
    double volume = 0;               ///< m³ of fluid
    double metal_heat_capacity = 0;  ///< J/K at the fluid's temperature
    double wall_heat_capacity = 0;   ///< J/K of a wall with its own temperature; 0: none
    double wall_conductance = 0;     ///< W/K wall to fluid at `wall_flow`
    double wall_flow = 0;            ///< kg/s at which wall_conductance holds (then ∝ flow^0.8)
    double static_conductance = 0;   ///< W/K wall to fluid with no flow
    double ambient_conductance = 0;  ///< W/K to the surroundings at rest
    double ambient_speed_gain = 0;   ///< (W/K)/sqrt(m/s) added with vehicle speed
    bool usual_case = false;  ///< of `gears` or `converter`: loses what heat::TransmissionModel
                              ///< says of its case, by its share, to the air below the floor
    double rise = 0;          ///< m, height gained from its inlet to its outlet
    Zone surroundings = Zone::engine_bay;
    std::vector<std::string> heat;  ///< names of streams, see heat_stream_names()
};

/// One side of a core. `core` names it; for two liquids `second_side` is the other stream.
struct CorePass {
    std::string core;
    bool second_side = false;
    double rise = 0;  ///< m, height gained from its inlet to its outlet
};

/// A point of a pump's data sheet.
struct PumpPoint {
    double flow = 0, pressure = 0;  ///< m³/s, Pa
};

/// What a pump needs at its inlet: net positive suction head at reference speed, see
/// hydraulics::SuctionNeed. All zero: a rule of thumb (compile says which).
struct SuctionHead {
    double still = 0, at_flow = 0;  ///< m at no flow and at `flow`
    double flow = 0;                ///< m³/s
    double bore = 0;                ///< m, of the pump's inlet; 0: velocity head not counted
};

/// A centrifugal pump turned by the engine or by a motor.
struct Pump {
    double reference_speed = 0;     ///< rad/s of the pump at which the curve holds
    double shutoff_head = 0;        ///< Pa at zero flow
    double free_flow = 0;           ///< m³/s at zero head
    std::vector<PumpPoint> points;  ///< instead of the two above: a curve
    double density = 1000;          ///< kg/m³ at which the curve was measured
    double speed_ratio = 1;         ///< pump speed over engine speed
    double electric_speed = 0;      ///< rad/s; above zero the pump has its own motor
    bool after_run = false;         ///< an electric one runs with the engine off too
    double efficiency = 0.5;        ///< hydraulic over shaft power
    Assumed head_level{1, 0.85, 1.15, "clearance and wear; common practice, no source"};
    SuctionHead suction;
};

/// A displacement pump with flow control and relief: the steering pump, an oil pump.
struct FlowSource {
    double displacement = 0;       ///< m³ per radian of the pump
    double speed_ratio = 1;        ///< pump over engine speed
    double maximum_flow = 0;       ///< m³/s, after flow control; 0: none
    double relief_pressure = 0;    ///< Pa at which the rest spills; 0: no relief
    double relief_override = 0.1;  ///< pressure rise over relief at full spill, share of relief
    double leakage = 1e-14;        ///< m³ (leakage = this · pressure / viscosity)
    SuctionHead suction;
};

/// What a transmission gives its cooler: the pump through the converter and an orifice, as
/// heat::cooler_flow has it. Flow falls with the circuit's pressure as an orifice lets it.
struct CoolerFeed {};

/// A valve worked by wax: opens the run it stands in; a reversed one closes it.
struct Thermostat {
    double opens = 361;             ///< K, start of opening
    double full = 374;              ///< K, fully open
    double hysteresis = 3;          ///< K between opening and closing line
    double lag = 8;                 ///< s, time constant of the wax
    double open_area = 0;           ///< m² of flow when fully open
    double closed_area = 0;         ///< m² of the bleed when closed
    double loss_coefficient = 1.8;  ///< on the flow area
    bool reversed = false;          ///< closes as it warms (a bypass disc); shares the wax of `of`
    std::string sensor;             ///< part whose fluid the wax feels; empty: the run's first part
    std::optional<double> stuck;    ///< fault: held at this opening, 0–1
    Assumed shift{0, -2, 2, "of a new one, +- 2 K; common practice, no source"};  ///< K, both ends
};

/// A valve worked by hand, cable or vacuum, at one opening: a heater valve.
struct Valve {
    double open_area = 0;           ///< m² of flow when open
    double loss_coefficient = 1.8;  ///< on the flow area
    double opening = 1;             ///< 0 (shut) to 1
};

/// A one-way valve. With a cracking pressure it relieves: a cooler bypass that opens on cold oil.
struct CheckValve {
    double loss_coefficient = 2;
    double diameter = 0;           ///< m
    double cracking_pressure = 0;  ///< Pa
    double cracking_flow = 1e-6;   ///< m³/s at which half the spring's pressure is used
};

using PartBody = std::variant<Line, Fitting, Restriction, Volume, CorePass, Pump, FlowSource,
                              CoolerFeed, Thermostat, Valve, CheckValve>;

struct Part {
    std::string name;  ///< unique within the loop
    PartBody body;
    FilePlace place;  ///< where the file says it, for errors
};

struct Run {
    std::string name;
    std::string from, to;  ///< nodes
    std::vector<Part> parts;
    bool closed = false;  ///< capped: no flow
    FilePlace place;      ///< of its list of parts
    FilePlace from_place = {}, to_place = {};
};

}  // namespace lapheat::model
