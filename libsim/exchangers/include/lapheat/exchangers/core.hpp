// A core: two streams, a wall, an arrangement. The one interface of all heat exchangers here,
// whether made from dimensions, from a seller's rating or from measurements.
//
// `first` is the liquid to be cooled (coolant, oil); `second` is what takes the heat: air, or the
// coolant of a liquid-to-liquid core. Heat counts positive from first to second and changes sign
// with the temperatures. A Core is a value; its tables are shared and immutable, so copies are
// cheap and threads may use one together.
#pragma once

#include <string>
#include <vector>

#include "lapheat/exchangers/arrangement.hpp"
#include "lapheat/exchangers/effectiveness_table.hpp"
#include "lapheat/exchangers/side.hpp"
#include "lapheat/fluids/liquid.hpp"
#include "lapheat/units/assumed.hpp"

namespace lapheat::exchangers {

/// Range a core was rated, measured or published for; outside it operate() sets a flag.
struct Envelope {
    double first_flow_minimum = 0, first_flow_maximum = 1e9;    ///< kg/s
    double second_flow_minimum = 0, second_flow_maximum = 1e9;  ///< kg/s
    double temperature_maximum = 1e9;                           ///< K, of the first inlet
};

/// Dirt and damage. See with_condition().
struct Condition {
    double first_fouling = 0;   ///< m² K/W on the first side's surface
    double second_fouling = 0;  ///< m² K/W on the second side's surface
    double blocked = 0;         ///< share of the face that passes no air, 0 to 0.95
    double bent = 0;            ///< share of the face with bent fins, 0 to 1
};

/// What is in doubt of a core, as factors on what it computes; see at_levels(). Makers from
/// dimensions open films and loss by the scatter of their relations, makers from a statement the
/// conductance by the statement's uncertainty.
struct CoreLevels {
    Assumed conductance = exact_level;  ///< films and wall together
    Assumed first_film = exact_level, second_film = exact_level;
    Assumed second_loss = exact_level;  ///< pressure drop
};

struct Core {
    std::string name;
    ArrangementSpec arrangement;
    Side first, second;
    double wall_resistance = 0;    ///< K/W
    double width = 0, height = 0;  ///< m, face
    double depth = 0;              ///< m, in the direction of the air
    double face_area = 0;          ///< m²; 0 for liquid-to-liquid
    double open_fraction = 0.8;    ///< second side's free-flow area / face area (sigma)
    double heat_capacity = 0;      ///< J/K, dry metal
    double first_volume = 0;       ///< m³ of liquid inside
    double second_volume = 0;      ///< m³, liquid-to-liquid only
    Envelope envelope;
    Condition condition;                   ///< what with_condition() has applied
    CoreLevels levels;                     ///< not applied yet
    double uncertainty = 0.15;             ///< of the heat, fraction, about two standard deviations
    std::vector<std::string> assumptions;  ///< sentences for the report: sources, defaults, guesses
    EffectivenessTable table;  ///< only for arrangements too slow to compute; by make_core()
};

/// One stream at work. Properties at the stream's mean temperature in the core (inlet is a fair
/// start); wall_viscosity switches the property-ratio correction on.
struct StreamInput {
    double mass_flow = 0;          ///< kg/s, any sign; the heat uses its size
    double inlet_temperature = 0;  ///< K
    fluids::Properties properties;
    double wall_viscosity = 0;  ///< Pa s at the wall temperature; 0: no correction
};

enum CoreFlag : unsigned {
    core_first_range = 1u,   ///< first side outside its correlation (see SideFlag)
    core_second_range = 2u,  ///< second side outside its correlation
    core_envelope = 4u,      ///< outside the rated or measured flows or temperature
    core_no_flow = 8u,       ///< one stream stands still: no steady heat
    core_empty = 16u,        ///< a side without a table (default-made core)
    core_not_finite = 32u,   ///< an input was not a number, or density or viscosity not positive
};

/// What each flag that is set says, in the order above.
[[nodiscard]] std::vector<Code> core_codes(unsigned flags);
/// A sentence for each flag that is set; empty for 0.
[[nodiscard]] std::string describe_core_flags(unsigned flags);

struct CoreOperation {
    double heat = 0;  ///< W, first to second
    double effectiveness = 0;
    double ntu = 0;
    double capacity_ratio = 0;     ///< C_min / C_max
    double ua = 0;                 ///< W/K
    double resistance_first = 0;   ///< K/W, fouling included
    double resistance_wall = 0;    ///< K/W
    double resistance_second = 0;  ///< K/W, fouling included
    double first_outlet = 0;       ///< K
    double second_outlet = 0;      ///< K
    double wall_temperature = 0;   ///< K, mean wall by the resistances and mean stream temperatures
    double first_pressure_drop = 0;   ///< Pa, sign of the flow
    double second_pressure_drop = 0;  ///< Pa, sign of the flow
    unsigned flags = 0;
};

/// The hot call: everything at once, no allocation. ≤ 250 ns (validation/bench).
[[nodiscard]] CoreOperation operate(const Core& core, const StreamInput& first,
                                    const StreamInput& second) noexcept;

/// Pa at a mass flow (kg/s, any sign), density (kg/m³) and viscosity (Pa s).
[[nodiscard]] inline double first_pressure_drop(const Core& core, double mass_flow, double density,
                                                double viscosity,
                                                double wall_viscosity = 0) noexcept {
    return pressure_drop(core.first, mass_flow, density, viscosity, wall_viscosity);
}
[[nodiscard]] inline double second_pressure_drop(const Core& core, double mass_flow, double density,
                                                 double viscosity) noexcept {
    return pressure_drop(core.second, mass_flow, density, viscosity);
}

/// Checks a filled-in core and completes it: face area from width and height when zero, the table
/// of a slow arrangement. Every maker ends with it. Throws Error.
[[nodiscard]] Core make_core(Core core);

/// The core with dirt and damage. Blocked face: that share of both surfaces and of the air's
/// free-flow area is lost (the liquid still flows past it), at the same total air flow the open
/// part sees more speed. Bent fins close half of what they cover (assumption, no source).
/// Conditions add to what is already applied. Throws Error outside the ranges of Condition.
[[nodiscard]] Core with_condition(Core core, const Condition& condition);

/// Its levels, to be read or varied in place.
[[nodiscard]] std::vector<NamedAssumption> assumptions(Core& core);
/// The core with its levels' values applied; they are 1 then.
[[nodiscard]] Core at_levels(Core core);

/// The range of a conductance whose heat is stated to a fraction: the conductance that would give
/// (1 ± uncertainty) of the heat at an effectiveness of one half, the other stream's temperature
/// held (NTU = -ln(1 - effectiveness)). At most 0.95 of the uncertainty counts.
[[nodiscard]] Assumed conductance_level(double uncertainty);

/// The share of the face (0 < fraction <= 1) and of the tubes behind it given to one circuit: a
/// combined transmission and steering cooler is two of these side by side. Height is divided.
[[nodiscard]] Core face_fraction(Core core, double fraction);

}  // namespace lapheat::exchangers
