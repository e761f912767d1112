// Liquids of a car: properties as functions of temperature, quick enough for the inner loop.
//
// A Liquid is a handle to an immutable table made once from a published correlation; copies share
// it and threads may read it together. The table is a piecewise cubic on a uniform grid (Hermite,
// continuous slope), so that a property costs a few nanoseconds; its interpolation error is below
// 1e-4 of the value (tested), far below the correlations' own. Pressure is neglected except for
// boiling: liquids are taken a little above their vapour pressure.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <vector>

#include "lapheat/fluids/table.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::fluids {

/// All properties at one temperature.
struct Properties {
    double density = 0;        ///< kg/m³
    double specific_heat = 0;  ///< J/(kg K), isobaric
    double conductivity = 0;   ///< W/(m K)
    double viscosity = 0;      ///< Pa s, dynamic

    [[nodiscard]] double prandtl() const noexcept {
        return viscosity * specific_heat / conductivity;
    }
    [[nodiscard]] double kinematic_viscosity() const noexcept {
        return viscosity / density;
    }  ///< m²/s
};

/// Where a property comes from and how far it can be trusted.
struct PropertyInfo {
    std::string source;      ///< author, title, table or equation
    double minimum = 0;      ///< K, range of the source
    double maximum = 0;      ///< K
    double uncertainty = 0;  ///< fraction of the value, about two standard deviations
    std::string note;        ///< e.g. what is extrapolated
};

struct Info {
    std::string name;  ///< for people, e.g. "ethylene glycol 50 % by volume"
    PropertyInfo density, specific_heat, conductivity, viscosity, boiling, freezing;
    double glycol_fraction = 0;  ///< by volume; 0 for others
};

/// Flags of a property evaluation; combine with |. Zero: all is well.
enum Flag : unsigned {
    flag_below_range = 1u,   ///< colder than the sources of one of the properties
    flag_above_range = 2u,   ///< hotter
    flag_frozen = 4u,        ///< below the freezing (or pour) point
    flag_not_a_number = 8u,  ///< the temperature was not a number
};

/// What each flag that is set says, in the order above.
[[nodiscard]] std::vector<Code> flag_codes(unsigned flags);
/// A sentence for each flag that is set, for reports; empty for zero.
[[nodiscard]] std::string describe_flags(unsigned flags);

/// An immutable liquid. Default constructed, it is water.
class Liquid {
  public:
    Liquid();

    /// All properties at `kelvin`. Outside the table (-60 to 220 °C) the value at its edge;
    /// outside the source's range the correlation's smooth continuation. Never throws, never NaN;
    /// ask flags().
    [[nodiscard]] Properties at(double kelvin) const noexcept {
        const Cell& c = data_->cell(kelvin);
        const double s = data_->offset(kelvin);
        return {cubic(c.density, s), cubic(c.specific_heat, s), cubic(c.conductivity, s),
                cubic(c.viscosity, s)};
    }
    [[nodiscard]] double density(double kelvin) const noexcept {
        return cubic(data_->cell(kelvin).density, data_->offset(kelvin));
    }
    [[nodiscard]] double specific_heat(double kelvin) const noexcept {
        return cubic(data_->cell(kelvin).specific_heat, data_->offset(kelvin));
    }
    [[nodiscard]] double conductivity(double kelvin) const noexcept {
        return cubic(data_->cell(kelvin).conductivity, data_->offset(kelvin));
    }
    [[nodiscard]] double viscosity(double kelvin) const noexcept {
        return cubic(data_->cell(kelvin).viscosity, data_->offset(kelvin));
    }

    /// J/kg, the exact integral of specific_heat() from 273.15 K; linear beyond the table.
    [[nodiscard]] double specific_enthalpy(double kelvin) const noexcept;

    /// K at which the liquid boils under `absolute_pressure` (Pa, 1e3 to 2e6, clamped).
    /// Infinity for oils, which break down before they boil.
    [[nodiscard]] double boiling_temperature(double absolute_pressure) const noexcept;

    /// Pa, total vapour pressure; zero for oils.
    [[nodiscard]] double vapour_pressure(double kelvin) const noexcept;

    /// K; first ice, or the pour point of an oil.
    [[nodiscard]] double freezing_temperature() const noexcept { return data_->freezing; }

    [[nodiscard]] double minimum_temperature() const noexcept { return data_->minimum; }  ///< K
    [[nodiscard]] double maximum_temperature() const noexcept { return data_->maximum; }  ///< K
    [[nodiscard]] bool in_range(double kelvin) const noexcept {
        return kelvin >= data_->minimum && kelvin <= data_->maximum;
    }
    /// Flags at `kelvin`, see Flag.
    [[nodiscard]] unsigned flags(double kelvin) const noexcept;

    [[nodiscard]] const Info& info() const noexcept { return *info_; }
    [[nodiscard]] const std::string& name() const noexcept { return info_->name; }

    /// Used by the builders.
    Liquid(std::shared_ptr<const PropertyTable> data, std::shared_ptr<const Info> info)
        : data_(std::move(data)), info_(std::move(info)) {}

  private:
    std::shared_ptr<const PropertyTable> data_;
    std::shared_ptr<const Info> info_;
};

}  // namespace lapheat::fluids
