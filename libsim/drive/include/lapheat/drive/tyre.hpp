// A tyre by what stands on its wall.
#pragma once

#include <string_view>

namespace lapheat::drive {

/// "225/50R16": section width in mm, height of the section over its width in %, R for radial (D
/// diagonal, B bias-belted), rim diameter in inches. ISO 4000-1, clause 4 (from memory).
struct TyreSize {
    double width = 0;         ///< m, of the section
    double aspect = 0;        ///< section height over width
    double rim_diameter = 0;  ///< m
    bool radial = true;

    /// m, new and without load: rim and twice the section height.
    [[nodiscard]] double diameter() const { return rim_diameter + 2 * aspect * width; }
    /// m: distance of one turn over 2 pi, at 60 km/h under load. The turn is 3.05 (radial) or 2.99
    /// diameters: standards manual of the European tyre and rim makers (ETRTO), "theoretical
    /// rolling circumference" (from memory); spread between makes about 1.5 % (common practice, no
    /// source).
    [[nodiscard]] double rolling_radius() const;
};

/// Also with letters of use and load before and behind: "P225/50 ZR16 92W". A size without its
/// aspect ratio ("185R14") has 0.82 (common practice, no source). Throws Error (key "tyre") for
/// what is not one, or is out of range: width 105 to 455 mm, aspect 20 to 95 %, rim 10 to 26 inch.
TyreSize tyre_size(std::string_view text);

}  // namespace lapheat::drive
