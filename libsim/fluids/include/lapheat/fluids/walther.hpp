// The viscosity of oils against temperature.
#pragma once

namespace lapheat::fluids {

/// The straight line of ASTM D341: log log Z = A - B log T, with T in kelvin and
/// Z = v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v²), v in mm²/s; 0.21 to 2e7 mm²/s.
struct WaltherLine {
    double a = 0, b = 0;

    /// m²/s, kinematic, at `kelvin`. Inverse of Z by D341's eq. for v, within 1 % below 0.3 mm²/s
    /// and much closer above.
    [[nodiscard]] double operator()(double kelvin) const;
};

/// The line through two points (K, m²/s). Throws Error when the temperatures coincide, a viscosity
/// is outside 0.21 to 2e7 mm²/s, or it does not fall with temperature.
[[nodiscard]] WaltherLine walther_line(double kelvin_1, double viscosity_1, double kelvin_2,
                                       double viscosity_2);

}  // namespace lapheat::fluids
