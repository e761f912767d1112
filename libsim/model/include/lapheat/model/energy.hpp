// Where heat came from and went to over a run: the ledger, and the paths of each source.
#pragma once

#include <string>
#include <vector>

namespace lapheat::model {

/// One path of energy over the whole run. `joules` is positive as the direction says. The car is
/// all fluids, their metal, the exhaust's metal and the engine bay, with the air that goes through
/// them; air counts by its heat above ambient. What goes from one part to another within the car (a
/// core's heat to its air, a hose's to the bay) is shown and enters no sum.
struct LedgerEntry {
    enum class Direction { in, out, stored, within };
    std::string name;
    Direction direction = Direction::in;
    double joules = 0;
};

/// "in", "out", "stored" or "within".
constexpr const char* direction_name(LedgerEntry::Direction direction) noexcept {
    using Direction = LedgerEntry::Direction;
    return direction == Direction::in       ? "in"
           : direction == Direction::out    ? "out"
           : direction == Direction::stored ? "stored"
                                            : "within";
}

struct Ledger {
    std::vector<LedgerEntry> entries;
    double moved = 0;    ///< J, all heat and work that came in, plus what was given from store
    double closure = 0;  ///< |in − out − stored| / moved

    [[nodiscard]] double total(LedgerEntry::Direction direction) const noexcept {
        double sum = 0;
        for (const LedgerEntry& entry : entries)
            sum += entry.direction == direction ? entry.joules : 0;
        return sum;
    }
};

/// Where heat was made, or what it was made of: J of one path of a source over the run, e.g.
/// "steering", "relief dwell". From the drive alone: warm engine, before any cooling.
struct HeatSource {
    std::string source, path;
    double joules = 0;
};

}  // namespace lapheat::model
