// The list to take to the shop: every hose with its cut length, what goes on its ends, and what
// else the liquid runs through.
#pragma once

#include <string>
#include <vector>

#include "lapheat/model/description.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

struct PlumbingItem {
    std::string what;   ///< "hose", "tube", "clamp", "hose end", "elbow_90", "filter", "cap"
    std::string loop;   ///< fluid, or empty in a total
    std::string part;   ///< for which part
    std::string size;   ///< "9.53 mm (3/8 inch, -6)"; "" where none is known
    double length = 0;  ///< m to cut; 0 for what is counted
    int count = 1;
    double pressure = 0;     ///< Pa above ambient that it must bear; 0: none asked of it
    double temperature = 0;  ///< K that it must bear; 0: none asked of it
    std::string standard;    ///< kind of hose sold for that (common practice); empty: no hose
    std::string note;        ///< bends, ratings, what to watch for
};

/// All loops in the order of the car. Hoses are cut `allowance` longer than they lie, for trimming.
/// Clamps: two for each hose, none on pressure lines, which get crimped ends. A hose that meets a
/// core, pump or tank of an oil loop needs an end fitting there; coolant parts have necks. Notes
/// are in the units of `system`, caps always in bar and psi, as they are sold.
///
/// Class. Pressure: the pump's relief for its pressure line, the cap's for coolant, the cooler
/// circuit's when blocked for transmission lines, what the return's seals bear (else 10 bar) for
/// other oil lines; a rating the file gives, if higher. Temperature: the fluid's limit; oil lines
/// 150 °C at least, as their hose is sold. Standards (from memory, common practice): SAE J20
/// coolant, J1532 transmission cooler, J188 steering pressure, J189 steering return.
[[nodiscard]] std::vector<PlumbingItem> plumbing(const model::Car& car, double allowance = 0.05,
                                                 units::System system = units::System::si);

/// The same items summed over what, size and class, in the order first met: lengths and counts to
/// buy. Nothing of one class is ever added to another's.
[[nodiscard]] std::vector<PlumbingItem> plumbing_totals(const std::vector<PlumbingItem>& items);

}  // namespace lapheat::study
