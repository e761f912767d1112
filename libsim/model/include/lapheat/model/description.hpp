// A car as the scenario describes it: named parts in SI units, before it is compiled.
//
// A loop is a graph of runs between nodes; a run is an ordered list of parts. Air paths hold
// stacks of cores and fans. Names tie them together: a part names the core it belongs to, a
// volume the streams of heat that enter it, a switch the part whose temperature it feels.
#pragma once

#include <string>
#include <vector>

#include "lapheat/airflow/fan.hpp"
#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/airflow/path.hpp"
#include "lapheat/airflow/place.hpp"
#include "lapheat/drive/vehicle.hpp"
#include "lapheat/exchangers/core.hpp"
#include "lapheat/fluids/liquid.hpp"
#include "lapheat/heat/engine.hpp"
#include "lapheat/heat/exhaust.hpp"
#include "lapheat/heat/fluid_life.hpp"
#include "lapheat/heat/steering.hpp"
#include "lapheat/heat/surroundings.hpp"
#include "lapheat/heat/transmission.hpp"
#include "lapheat/model/assumed_number.hpp"
#include "lapheat/model/faults.hpp"
#include "lapheat/model/limits.hpp"
#include "lapheat/model/loop_role.hpp"
#include "lapheat/model/parts.hpp"
#include "lapheat/solve/level.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::model {

struct Loop {
    std::string name;
    LoopRole role = LoopRole::other;
    fluids::Liquid fluid;
    std::vector<Run> runs;
    double cap_pressure = 0;      ///< Pa above ambient; 0: open to air
    double expansion_volume = 0;  ///< m³ of gas when cold; 0: none
    std::string cap_at;           ///< node under the cap or the open reservoir; empty: the first
    double return_limit = 0;      ///< Pa above ambient a return may stand under; 0: none given
    double warm_start = 0;        ///< K at which a warm car's loop starts; 0: where it settled
    double liquid_share = 1;  ///< of the liquid of a full loop; less: see FaultKind::coolant_low
    Limits limits;
    // On losses, each kind by the scatter of its own relation.
    Assumed bend_level = solve::level_of(solve::Relation::bend_loss);        ///< bends of lines
    Assumed fitting_level = solve::level_of(solve::Relation::fitting_loss);  ///< elbows, ends …
    /// Tees: Hooper's, which is used, is the least of three; the same tee has 0.1 to 0.2 there on
    /// its straight way, 0.4 to 0.5 by Crane and 0.9 in a table for building services, and 1.2 to
    /// 1.6 on its branch.
    Assumed tee_level{1, 0.8, 6, "three handbooks, one and a half to six times apart"};
    FilePlace place, cap_place = {}, cap_at_place = {};
};

/// A core by name. A combined core is entered once for each of its circuits, by a name of its own.
struct CoreEntry {
    std::string name;
    exchangers::Core core;
    FilePlace place;
    double rated_pressure = 0;  ///< Pa above ambient that its tanks and tubes bear; 0: not known
    std::string circuit_of;     ///< name of the combined core; empty: it has but one circuit
    [[nodiscard]] const std::string& whole() const {
        return circuit_of.empty() ? name : circuit_of;
    }
};

/// Name of the combined core that the core of that name is a circuit of; else `name`.
std::string whole_core(const std::vector<CoreEntry>& cores, const std::string& name);

/// Switches a fan on above one temperature and off below another.
struct FanSwitch {
    std::string loop, part;  ///< what it feels
    double on = 0, off = 0;  ///< K
    double full = 0;         ///< K at which the command has risen from `command` to 1; 0: steps
    double lag = 6;          ///< s, time constant of the sensor
    double command = 1;      ///< fan command while on, 0–1
    Assumed shift{0, -3, 3, "of a switch, +- 3 K; common practice, no source"};  ///< K, of all ends
};

struct FanEntry {
    std::string name;
    airflow::Fan fan;
    airflow::FanDrive drive;
    std::vector<FanSwitch> switches;     ///< none: runs while the ignition is on, see below
    bool after_run = false;              ///< may run with the engine off
    bool with_air_conditioning = false;  ///< runs with the compressor; without switches only then
    double wire_length = 4;              ///< m, one way, from the battery; for the wire's size only
    bool dead = false;                   ///< fault
    FilePlace place;
};

/// One rectangle on the face plane of an air path, upstream first in the list: a core, or heat
/// alone (a condenser).
struct StackItem {
    std::string core;              ///< empty: heat alone
    std::string heat;              ///< stream that heats the air here
    double width = 0, height = 0;  ///< m of the face
    double x = 0, y = 0;           ///< m, lower left corner on the face plane
    double pressure_loss = 0;      ///< Pa at `velocity`, of heat alone
    double velocity = 3;           ///< m/s face velocity
    double rise = 0;               ///< m the air climbs inside (leaning or lying cores)
    double gap_behind = 0.015;     ///< m to the next core, through which the air mixes; 0: sealed
};

/// Fans behind one shroud (or bare), and what they cover.
struct Shroud {
    std::vector<std::string> fans;
    double x = 0, y = 0, width = 0, height = 0;  ///< m on the face plane
    bool pusher = false;                         ///< ahead of the cores
    bool bare = false;       ///< no shroud: each fan draws through its own disc and a slot
    double distance = 0.02;  ///< m, of a bare fan from the core
    double gap_area = 0;     ///< m²
    double flap_area = 0;    ///< m² of flaps that open for ram
};

struct AirPath {
    std::string name;
    airflow::PlaceDefaults assumptions;  ///< of its place, with what the file overrides
    std::vector<airflow::Loss> inlet_losses, exit_losses;
    std::vector<StackItem> stack;
    std::vector<Shroud> shrouds;
    double exhaust_view_area = 0;  ///< m² of the face in sight of exhaust parts
    heat::ExhaustPart exhaust_part = heat::ExhaustPart::manifold;  ///< that warms it
    double exhaust_emissivity = 0.8;  ///< of the exhaust parts in sight, see airflow::Radiator
    int heat_shields = 0;
    double shield_emissivity = 0.1;  ///< see airflow::Radiator
    double shield_keeps = 0.5;       ///< share of the exhaust's warm film that a shield lets by
    double condenser_cover = 0;  ///< part of the face behind a condenser not in the stack, 0–1
    double brake_view_area = 0;  ///< m² of the face in sight of the front brake discs
    double brake_air_share = 0;  ///< 0–1, share of what the discs give to the air that enters here
    double leak_area = 0;        ///< m² of gaps round the cores
    double bay_rise = 0;         ///< m the air climbs from the cores to the exit
    bool into_bay = false;       ///< its air leaves through the engine bay
    FilePlace place;
};

/// A conductance between the fluids of two parts: oil through the block to the coolant, see
/// heat::oil_to_block.
struct HeatLink {
    std::string first_loop, first_part, second_loop, second_part;
    Assumed conductance;          ///< W/K at heat::block_speed
    double standing_share = 0.3;  ///< of it left with the engine off; assumption, 0.1 to 0.5
    double speed_exponent = 0.7;
    FilePlace place;
};

/// What feeds the fans, and what else it feeds.
struct Electrics {
    airflow::Alternator alternator;
    double other_loads = 30;  ///< A, ignition, pumps, blower, lamps; common practice, 15 to 50

    bool operator==(const Electrics&) const = default;
};

/// Everything a simulation needs but the cycle.
struct Car {
    std::string name;       ///< the car
    std::string placement;  ///< which placement this is
    std::string summary;    ///< one line for tables
    drive::Vehicle vehicle;
    heat::EngineModel engine;
    heat::Exhaust exhaust;  ///< without metal: of usual lengths for the engine
    heat::TransmissionModel transmission;
    heat::SteeringModel steering;
    std::vector<Loop> loops;
    std::vector<CoreEntry> cores;
    std::vector<FanEntry> fans;
    std::vector<AirPath> air;
    std::vector<HeatLink> links;
    heat::EngineBay bay;
    heat::Brakes brakes;
    heat::AirConditioning air_conditioning;
    heat::FluidLife fluid_life;
    Electrics electrics;
    bool forward_driver = false;   ///< a driver follows the cycle, see drive::forward
    double start_temperature = 0;  ///< K of all fluids at the start; 0: the ambient
    bool start_warm = false;       ///< has been driven: see the next, and Loop::warm_start
    /// On the road's rise over the air in the sun: level ground, old asphalt, little wind.
    Assumed road_rise_level{1, 0.7, 1.3, "age, wind, water; common practice, no source"};
    double settled_speed = 0;              ///< m/s of the cruise at which it had settled; 0: none
    std::vector<Fault> faults;             ///< what breaks, and when
    std::vector<AssumedText> assumptions;  ///< defaults and choices worth showing
    std::vector<AssumedNumber> assumed;    ///< every number that the files leave out
};

}  // namespace lapheat::model
