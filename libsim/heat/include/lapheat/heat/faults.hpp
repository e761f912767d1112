// Things that break, as plain parameters. Everything at its default is a healthy car.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace lapheat::heat {

struct Faults {
    std::vector<std::string> dead_fans;      ///< names of fans that do not run
    std::optional<double> thermostat_stuck;  ///< opening, 0 closed to 1 open
    double belt_slip = 0;                    ///< part of speed the coolant pump loses, 0 to 1
    double coolant_missing = 0;              ///< part of the coolant lost, 0 to 1: air in the loop
    double core_blocked = 0;                 ///< part of every core's face that is blocked, 0 to 1
    std::vector<std::string> blocked_cores;  ///< only these cores; empty: all
    double hose_collapsed = 0;               ///< part of the suction hose's area lost, 0 to 1
    std::optional<double> cap_pressure;      ///< Pa that a leaking cap still holds
    double spark_retard = 0;                 ///< degrees later than it should be
    double fouling = 0;                      ///< m^2 K/W on the liquid side of every core
    bool converter_never_locks = false;
};

/// Throws Error, with the name of the quantity as key, for a part outside 0 to 1 and the like.
void validate(const Faults& faults);

/// Flow factor of a centrifugal pump that draws air: 1 down to a void fraction of 3 %, then
/// straight to 0 at 15 % (common practice, no source; gas locking of radial pumps is usually seen
/// at 5 to 15 % of gas by volume, Gulich, Centrifugal Pumps, chapter 13, from memory).
double gas_handling(double void_fraction);

/// Void fraction in the loop when this part of its coolant is missing and an expansion volume (as
/// part of the coolant) has been used up first.
double void_fraction(double coolant_missing, double expansion_share);

/// One line for each fault that is set, for reports.
std::vector<std::string> describe(const Faults& faults);

}  // namespace lapheat::heat
