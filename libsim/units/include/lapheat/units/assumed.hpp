// A number that nobody measured on this car: its value, its plausible range, and where both come
// from. What is left open stays visible, and can be varied: would the answer change?
#pragma once

namespace lapheat {

/// In the unit of the quantity it stands for; low <= value <= high. Equal ends: not open.
struct Assumed {
    double value = 0, low = 0, high = 0;
    const char* source = "assumption";  ///< "assumption" where from nowhere else
    /// The ends are two standard deviations from the middle (of a level: of its logarithm), as of
    /// a relation's scatter and of what a file states by "+-": 95 of 100 cases, not the whole
    /// range.
    bool two_deviations = false;
    bool given = false;  ///< a file states it

    bool operator==(const Assumed&) const = default;
};

/// A factor that is 1 and not open.
inline constexpr Assumed exact_level{1, 1, 1};

/// One such number by its name, for draws and lists.
struct NamedAssumption {
    /// What sort of number it is, hence its unit and what it may be.
    enum class Meaning {
        share,
        pressure_coefficient,
        speed,      ///< m/s
        level,      ///< times
        difference  ///< K
    };
    const char* name = "";
    Assumed* number = nullptr;
    Meaning meaning = Meaning::share;
};

}  // namespace lapheat
