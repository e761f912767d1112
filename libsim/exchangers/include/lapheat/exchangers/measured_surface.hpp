// Surfaces given as measured points of Re, j and f, as laboratories and makers publish them, and
// the built-in ones for flat tubes through continuous fins.
//
// Re is on the hydraulic diameter 4 Ac L / A with the mass velocity in the smallest free area, j is
// Colburn's, f Fanning's without entrance and exit: the definitions of Kays & London. Between
// points a monotone cubic through the logarithms; beyond them a power law with the slope at the
// end, kept between the physical bounds -1 and 0.
#pragma once

#include <vector>

#include "lapheat/exchangers/surface.hpp"

namespace lapheat::exchangers {

struct SurfacePoint {
    double reynolds = 0, j = 0, f = 0;
};

class MeasuredSurface {
  public:
    /// Four points or more, Re strictly rising, everything above zero; otherwise Error with the key
    /// `surface`.
    explicit MeasuredSurface(const std::vector<SurfacePoint>& points);

    [[nodiscard]] JF operator()(double reynolds) const;
    [[nodiscard]] double least() const;  ///< Reynolds number of the first point
    [[nodiscard]] double most() const;   ///< and of the last

  private:
    [[nodiscard]] double at(const std::vector<double>& curve, double log_re) const;
    std::vector<double> log_re_, log_j_, log_f_;
};

enum class ContinuousFin { plain, ruffled };

/// Flat tubes through continuous fins: Kays & London, Compact Heat Exchangers, 3rd ed. (1984),
/// chapter 10, tables of the surfaces 9.68-0.87 (plain, tubes in line), 9.68-0.87-R (ruffled, in
/// line) and 11.32-0.737-SR (ruffled, staggered), read in a public workbook (doi
/// 10.1115/1.4065922). Re 400 to 10 000; tubes of 2.5 to 3 mm, 9.7 to 11.3 fins an inch. A plain
/// fin on staggered tubes has no table here: the one in line is returned.
[[nodiscard]] const std::vector<SurfacePoint>& flat_tube_surface(ContinuousFin fin, bool staggered);

}  // namespace lapheat::exchangers
