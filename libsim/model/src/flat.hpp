// The compiled car: flat arrays that the right-hand side reads, made once by compile().
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/hydraulics/pumps.hpp"
#include "lapheat/hydraulics/solver.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/model/model.hpp"
#include "layout.hpp"
#include "ledger.hpp"

namespace lapheat::model {

inline constexpr int none = -1;

inline std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// Specific enthalpy h = c0 T + c1 T²/2 of a liquid: cp as a straight line in T, least squares
/// over 0…130 °C. One law for storage and for transport makes the ledger close to rounding.
struct Caloric {
    double c0 = 0, c1 = 0;
    [[nodiscard]] double enthalpy(double t) const noexcept { return t * (c0 + 0.5 * c1 * t); }
    [[nodiscard]] double specific_heat(double t) const noexcept { return c0 + c1 * t; }
    [[nodiscard]] double temperature(double h) const noexcept {
        return 2 * h / (c0 + std::sqrt(c0 * c0 + 2 * c1 * h));
    }
};

/// Fluid and the metal at its temperature. Energy U = a T + b T²/2; the state is U over `scale`.
struct Cell {
    double a = 0, b = 0, scale = 1;
    int loop = 0, run = 0;
    int part = 0;      ///< index in Run::parts
    std::string name;  ///< path for people, "radiator" or "supply 2/4"

    [[nodiscard]] double state(double t) const noexcept { return t * (a + 0.5 * b * t) / scale; }
    [[nodiscard]] double temperature(double u) const noexcept {
        const double e = u * scale;
        return 2 * e / (a + std::sqrt(a * a + 2 * b * e));
    }
};

/// Heat to the air around, W/K at rest plus a gain with the square root of vehicle speed.
struct SurfaceLoss {
    int cell = 0;
    Zone surroundings = Zone::engine_bay;
    double at_rest = 0, speed_gain = 0;  ///< W/K, W/K per sqrt(m/s)
    LedgerId ledger;
};

/// The outer face of a line (m²) in sight of the exhaust.
struct Irradiated {
    int cell = 0;
    double area = 0, view = 0;
    int shields = 0;
    heat::ExhaustPart part = heat::ExhaustPart::manifold;
};

/// A wall with a temperature of its own behind a cell.
struct Wall {
    int cell = 0, run = 0, state = 0;
    double capacity = 0;  ///< J/K
    double conductance = 0, flow = 1, at_rest = 0;
};

struct HeatInto {
    Stream stream = Stream::engine_coolant;
    int cell = none, wall = none;  ///< one of the two
    LedgerId ledger;
    double share = 1;
};

struct FlatRun {
    int loop = 0, branch = 0;
    int first_cell = 0, cells = 0;
    int from = 0, to = 0;  ///< global node numbers
};

/// A pump that has an inlet to starve: its element and branch within the loop, the cell that takes
/// its shaft work (efficiency 0: that heat is counted elsewhere), its ledger entry.
struct FlatPump {
    std::string name;
    int element = none, branch = none, cell = none;
    LedgerId ledger;
    int number = 0;           ///< among all pumps of the model
    bool loses_head = false;  ///< a centrifugal one, when it cavitates or draws vapour
    double efficiency = 0;
    hydraulics::SuctionNeed need;  ///< speed 0: `at_flow` at every speed
    double bore = 0;               ///< m of the inlet; 0: velocity head not counted
};

struct FlatLoop {
    std::string name;
    fluids::Liquid fluid;
    Caloric caloric;
    std::shared_ptr<const hydraulics::Network> network;
    int first_run = 0, runs = 0;
    int first_cell = 0, cells = 0;
    int first_node = 0, nodes = 0;
    std::vector<int> element_cell;  ///< global cell that gives each element's temperature
    std::vector<int> element_part;  ///< of each element, the number of its part in its run
    struct Control {
        int element = 0;
        enum class Kind { engine_speed, fixed_speed, fixed, valve, feed_pressure, feed_orifice };
        Kind kind = Kind::engine_speed;
        double value = 0;       ///< speed ratio, rad/s, opening, full flow m³/s
        int thermostat = none;  ///< that works a valve
    };
    std::vector<Control> controls;
    std::vector<FlatPump> pumps;
    Limits limits;
    std::vector<int> watched;  ///< global cells of which the hottest counts; one or more
    double cap_pressure = 0, expansion_volume = 0, return_limit = 0;
    LedgerId vapour;      ///< heat that leaves with vapour; none of a liquid that does not boil
    double liquid = 0;    ///< kg when full
    double missing = 0;   ///< part of it that was never there, see FaultKind::coolant_low
    int cap_node = 0;     ///< of the loop, under the cap or the open reservoir
    int cooling_run = 0;  ///< global run that the report's flow and line loss speak of

    /// The cell of the highest temperature.
    [[nodiscard]] int hottest(const std::vector<double>& kelvin) const {
        int best = first_cell;
        for (int c = first_cell + 1; c < first_cell + cells; ++c)
            if (kelvin[at(c)] > kelvin[at(best)]) best = c;
        return best;
    }
};

/// A core of two liquids, or the liquid side of one in air.
struct FlatCore {
    std::string name;
    exchangers::Core core;
    int first_run = none, first_cell = none;    ///< the liquid that is cooled
    int second_run = none, second_cell = none;  ///< the other liquid, if any
    int path = none;                            ///< air path, if any
    std::vector<int> passages;                  ///< global passages of a core in air
    LedgerId ledger;
};

struct FlatPassage {
    int path = 0, local = 0;
    int core = none;                         ///< global core; none for heat alone
    exchangers::Core slice;                  ///< the share of the core this column crosses
    double fraction = 1;                     ///< share of the core's tubes and face
    std::optional<Stream> heat;              ///< heat alone
    int upstream = none, downstream = none;  ///< global passages
    int state = 0;                           ///< temperature of the air that leaves it, lagged
};

struct FlatSwitch {
    int cell = 0, state = 0, fan = 0;
    double on = 0, off = 0, full = 0, lag = 0, command = 0;
    std::string name;
};

struct FlatFan {
    std::string name;
    int path = none, local = none;
    int state = 0;
    airflow::FanDrive drive;
    bool switched = false, after_run = false, dead = false, with_air_conditioning = false;
    bool ramped = false;  ///< its command moves with a sensor between switching
};

struct FlatThermostat {
    std::string name;
    int cell = 0, state = 0;  ///< the wax temperature
    double opens = 0, full = 0, hysteresis = 0, lag = 0;
    bool stuck = false;
    double stuck_at = 0;
};

struct FlatPath {
    std::string name;
    airflow::Path path;
    airflow::PlaceParameters parameters;
    int first_passage = 0, passages = 0;
    std::vector<int> fans;   ///< global, in the path's order
    std::vector<int> cores;  ///< global, of those with a liquid
    int state = 0;           ///< temperature of the air that enters, lagged
    bool into_bay = false;
    double brake_view_area = 0, brake_air_share = 0;
    heat::ExhaustPart exhaust_part = heat::ExhaustPart::manifold;  ///< in sight, and in its air
    LedgerId air_in;   ///< heat above ambient of the air that enters
    LedgerId air_out;  ///< of the air that leaves, unless it goes to the engine bay
};

struct FlatLink {
    int first_cell = 0, second_cell = 0;
    heat::BlockConductance block;
};

struct Model {
    Car car;
    /// The same car as later faults leave it: from when on (s), ascending, and compiled. Every part
    /// keeps its number.
    std::vector<std::pair<double, std::shared_ptr<const Model>>> later;
    std::vector<Cell> cells;
    std::vector<Wall> walls;
    std::vector<FlatLoop> loops;
    std::vector<FlatRun> runs;
    std::vector<SurfaceLoss> losses;
    std::vector<Irradiated> radiations;
    std::vector<HeatInto> heats;
    std::vector<FlatCore> cores;
    std::vector<FlatPassage> passages;
    std::vector<FlatPath> paths;
    std::vector<FlatFan> fans;
    std::vector<FlatSwitch> switches;
    std::vector<FlatThermostat> thermostats;
    std::vector<FlatLink> links;
    int nodes = 0, pump_count = 0;
    int coolant_cell = none, oil_cell = none, gearbox_cell = none;  ///< what heats depend on

    Layout layout;               ///< of the state vector
    LedgerPaths ledger;          ///< the states of StateKind::ledger
    LedgerId radiation, brakes;  ///< from the exhaust, within; from the brakes
    LedgerId engine_surface, bay_out, sheet_out;
    LedgerId exhaust_gas, reaction, tail_gas, exhaust_below;
    LedgerId condenser;
    heat::Exhaust exhaust;
    PerStream<LedgerId> stream_ledger;  ///< none of a stream that warms no liquid
    std::vector<Diagnostic> warnings;
};

}  // namespace lapheat::model
