// Which gear was in, from what a log tells.
#pragma once

#include <string>
#include <vector>

#include "lapheat/drive/vehicle.hpp"
#include "lapheat/scenario/log.hpp"

namespace lapheat::study {

/// Sets the gear of the cycle's knots where it can be told: from the logged gear; else from engine
/// speed over road speed, where that is within 8 % of one gear's for three seconds and more. A
/// clutch that slips, a converter that does and a standing car leave the gear to the shift rule. A
/// log whose engine speed fits the gears for less than a third of the way is of another gearbox,
/// and is left alone. `notes` receives which of these it was.
void set_gears(drive::Cycle& cycle, const scenario::Log& log, const drive::Vehicle& vehicle,
               std::vector<std::string>& notes);

}  // namespace lapheat::study
