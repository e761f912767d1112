// The table behind a Liquid: cubics on a uniform grid of temperatures, one cell next to the other.
#pragma once

#include <array>
#include <vector>

namespace lapheat::fluids {

/// A cubic's coefficients, constant term first, in s = 0…1 across a cell.
using Cubic = std::array<double, 4>;

[[nodiscard]] inline double cubic(const Cubic& c, double s) noexcept {
    return c[0] + s * (c[1] + s * (c[2] + s * c[3]));
}

/// One step of the grid; 2 cache lines for the properties the inner loop asks for.
struct alignas(64) Cell {
    Cubic density, specific_heat, conductivity, viscosity;
};

/// A function of one variable on a uniform grid; beyond its ends, the value at the end.
struct Curve {
    double start = 0, step = 1;
    std::vector<Cubic> cells;

    [[nodiscard]] double operator()(double x) const noexcept {
        const double r = (x - start) / step;
        const double last = static_cast<double>(cells.size());
        const double q = r > 0 ? (r < last ? r : last) : 0.0;
        std::size_t i = static_cast<std::size_t>(q);
        i = i < cells.size() ? i : cells.size() - 1;
        return cubic(cells[i], q - static_cast<double>(i));
    }
};

struct PropertyTable {
    double start = 0;     ///< K, first node
    double per_step = 1;  ///< 1/K, inverse of the grid step
    double last = 0;      ///< number of cells
    std::vector<Cell> cells;
    std::vector<double> enthalpy;  ///< J/kg at the nodes
    Curve log_vapour_pressure;     ///< ln(Pa) against K; no cells: does not boil
    Curve boiling;                 ///< K against ln(Pa)
    double freezing = 0;           ///< K
    double minimum = 0;            ///< K, in range of every property's source
    double maximum = 0;            ///< K

    /// Cells from the start, clamped; not-a-number goes to the start.
    [[nodiscard]] double position(double kelvin) const noexcept {
        const double r = (kelvin - start) * per_step;
        return r > 0 ? (r < last ? r : last) : 0.0;
    }
    [[nodiscard]] std::size_t index(double kelvin) const noexcept {
        const auto i = static_cast<std::size_t>(position(kelvin));
        return i < cells.size() ? i : cells.size() - 1;
    }
    [[nodiscard]] const Cell& cell(double kelvin) const noexcept { return cells[index(kelvin)]; }
    [[nodiscard]] double offset(double kelvin) const noexcept {
        return position(kelvin) - static_cast<double>(index(kelvin));
    }
};

}  // namespace lapheat::fluids
