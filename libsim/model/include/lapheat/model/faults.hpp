// Things that break, from the start or on the way through a cycle.
//
// A fault changes the description of the car, nothing else: with_faults() gives the car as it is
// at a time, and simulate() goes on with that car from the temperatures it has. What a fault does:
//
//   fan dead            the fan does not run; air still blows through it
//   thermostat stuck    every valve worked by the wax stands at the given opening
//   belt slip           pumps and fans on the belt lose that share of their speed
//   coolant low         liquid is missing. A reserve of 5 % stands above the tubes (common
//   practice,
//                       no source); the rest is air in the loop: less liquid to warm, part of the
//                       jacket dry, a pump that draws air (heat::gas_handling), and a gas space
//                       that holds less pressure as it warms
//   core blocked        that share of the face passes no air (exchangers::with_condition)
//   core fouled         a layer inside with that resistance
//   hose collapsed      that share of its bore's area is lost over its length, with the losses of
//                       narrowing, 0.5 (1 - s), and of widening, (1 - s)^2, s the area left
//                       (Idelchik, Handbook of Hydraulic Resistance, diagrams 4-1 and 4-9; sharp
//                       edges)
//   cap leaking         the cap opens at the given pressure
//   spark late          degrees of crank later than it should be, everywhere
//   lock-up lost        the converter never locks
#pragma once

#include <string>
#include <vector>

#include "lapheat/units/error.hpp"

namespace lapheat::model {

struct Car;

/// Part of a full loop's liquid that stands above the tubes and may be missing before air gets in
/// (common practice, no source).
inline constexpr double reserve_share = 0.05;

enum class FaultKind {
    fan_dead,
    thermostat_stuck,
    belt_slip,
    coolant_low,
    core_blocked,
    core_fouled,
    hose_collapsed,
    cap_leaking,
    spark_late,
    lockup_lost
};

struct Fault {
    FaultKind kind = FaultKind::fan_dead;
    std::string loop;  ///< of thermostat, pump, hose or cap; empty: the one of coolant
    std::string part;  ///< the fan, core, hose or thermostat; a thermostat: empty means all of the
                       ///< loop; a core: its name, or that of a combined core for all circuits
    double amount = 0;  ///< share 0–1 (opening, slip, missing, blocked, lost), Pa held, m² K/W, deg
    double begins = 0;  ///< s after the start of the cycle
    FilePlace place;
};

/// One line for reports, "belt slips, 30 % of the pump's speed is lost".
[[nodiscard]] std::string describe(const Fault& fault);

/// The car with all its faults built in that have begun at `time` (s), and none to come. Throws
/// Error at the fault's place for an unknown part or an amount out of range: shares 0 to 1 (blocked
/// at most 0.95, collapsed 0.98, missing 0.6), 0 to 5e5 Pa, 0 to 0.01 m² K/W, 0 to 40 degrees.
[[nodiscard]] Car with_faults(Car car, double time);

/// m³ of liquid in a loop when full: lines, volumes and cores.
[[nodiscard]] double liquid_volume(const Car& car, const std::string& loop);

}  // namespace lapheat::model
