// The liquids a car builder needs, by builder function, from a data sheet, or by name.
//
// Every builder makes a table (tens of microseconds to a few milliseconds): build once, copy
// freely.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/fluids/liquid.hpp"

namespace lapheat::fluids {

/// Water a little above its saturation pressure: IAPWS R7-97 (regions 1 and 4), R12-08, R15-11.
/// 0 to 180 °C.
[[nodiscard]] Liquid water();

/// Mixes with water, 0 to 0.60 by volume, -35 to 130 °C (from the freezing point up): ASHRAE
/// Handbook Fundamentals (2001), Physical Properties of Secondary Coolants, tables of inhibited
/// glycols. Boiling by Raoult's law with the water of IAPWS R7-97 and the glycol's own vapour,
/// about ±1.5 K. Throws Error for a fraction outside 0…0.60.
[[nodiscard]] Liquid ethylene_glycol(double volume_fraction);
[[nodiscard]] Liquid propylene_glycol(double volume_fraction);

/// A value at a temperature, as a data sheet states it.
struct SheetPoint {
    double kelvin = 0;
    double value = 0;
};

/// An oil's data sheet. Two viscosities and one density are enough: cp and k are then Cragoe's
/// lines for petroleum oils and the density falls by 0.00065 kg/(L K).
struct OilSheet {
    std::string name;
    SheetPoint viscosity_1;  ///< m²/s, kinematic, 0.2 to 2e7 mm²/s; usually at 40 °C
    SheetPoint viscosity_2;  ///< at a different temperature; usually 100 °C
    SheetPoint density_1;    ///< kg/m³
    std::optional<SheetPoint> density_2;
    std::vector<SheetPoint> specific_heat;  ///< J/(kg K); none, one (constant) or two (a line)
    std::vector<SheetPoint> conductivity;   ///< W/(m K); likewise
    double pour_point = 233.15;             ///< K
    double maximum_temperature = 448.15;    ///< K, end of the range without a flag
};

/// A coolant's data sheet: points of each property, two to many, interpolated (viscosity in its
/// logarithm against inverse temperature) and continued smoothly past the last point.
struct CoolantSheet {
    std::string name;
    std::vector<SheetPoint> density;        ///< kg/m³
    std::vector<SheetPoint> specific_heat;  ///< J/(kg K)
    std::vector<SheetPoint> conductivity;   ///< W/(m K)
    std::vector<SheetPoint> viscosity;      ///< Pa s, dynamic
    double freezing = 0;                    ///< K
    SheetPoint boiling;                     ///< kelvin at value = absolute pressure in Pa
};

/// Liquids from data sheets. Throw Error that names the point that cannot be right: temperatures
/// that coincide, viscosity that rises with temperature, values no liquid has.
[[nodiscard]] Liquid from_sheet(const OilSheet& sheet);
[[nodiscard]] Liquid from_sheet(const CoolantSheet& sheet);

/// The sheets of the generic oils, to start an override from (common practice, no source): 34/7.2,
/// 36/7.3 and 62/10.6 mm²/s at 40/100 °C.
[[nodiscard]] OilSheet transmission_fluid_sheet();
[[nodiscard]] OilSheet steering_fluid_sheet();
[[nodiscard]] OilSheet engine_oil_sheet();

/// A liquid that goes by a name; made in one of three ways, the other two are null.
struct GenericLiquid {
    const char* name;
    const char* help;                   ///< a line for a person
    Liquid (*pure)();                   ///< as it is
    Liquid (*mix)(double fraction);     ///< with water, by volume fraction
    OilSheet (*sheet)();                ///< an oil, to start an override from
    std::span<const char* const> also;  ///< what people call it, in lower case: "atf"
};

/// All of them. Adding one here is enough for files, the command and its help.
[[nodiscard]] std::span<const GenericLiquid> generic_liquids();

/// One of generic_liquids() by its name, or by what people call it ("ATF", "antifreeze"); a mix at
/// `volume_fraction`. Throws Error with the nearest name for an
/// unknown one.
[[nodiscard]] Liquid by_name(std::string_view name, double volume_fraction = 0.5);

/// The names by_name() knows.
[[nodiscard]] const std::vector<std::string>& names();

}  // namespace lapheat::fluids
