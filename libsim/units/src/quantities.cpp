// The table of quantities: names, SI units, display units, examples.
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>

#include "lapheat/units/constants.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::units {
namespace {

struct Display {
    const char* unit;
    double factor;  // display value = SI value · factor + offset
    double offset = 0;
};

struct QuantityRow {
    Quantity quantity;
    const char* name;
    const char* si;
    Display metric, us;
    const char* example;
};

using namespace constants;

constexpr double rev = 6.283185307179586;

// clang-format off
constexpr std::array<QuantityRow, 47> quantity_rows = {{
    {Quantity::ratio, "ratio", "1", {"", 1}, {"", 1}, "30 %"},
    {Quantity::temperature, "temperature", "K", {"degC", 1, -zero_celsius}, {"degF", 1.8, -459.67}, "90 degC"},
    {Quantity::temperature_difference, "temperature difference", "K", {"K", 1}, {"delta_degF", 1.8}, "10 K"},
    {Quantity::length, "length", "m", {"mm", 1e3}, {"inch", 1 / inch}, "8 mm"},
    {Quantity::area, "area", "m2", {"m2", 1}, {"ft2", 1 / (foot * foot)}, "2.1 m2"},
    {Quantity::volume, "volume", "m3", {"L", 1e3}, {"gal", 1 / gallon}, "6.5 L"},
    {Quantity::mass, "mass", "kg", {"kg", 1}, {"lb", 1 / pound}, "1450 kg"},
    {Quantity::time, "time", "s", {"s", 1}, {"s", 1}, "20 min"},
    {Quantity::speed, "speed", "m s-1", {"km/h", 3.6}, {"mph", 3600 / mile}, "90 km/h"},
    {Quantity::acceleration, "acceleration", "m s-2", {"m/s2", 1}, {"ft/s2", 1 / foot}, "9.8 m/s2"},
    {Quantity::angle, "angle", "rad", {"deg", 360 / rev}, {"deg", 360 / rev}, "12 deg"},
    {Quantity::angular_speed, "angular speed", "rad s-1", {"rpm", 60 / rev}, {"rpm", 60 / rev}, "3000 rpm"},
    {Quantity::volume_flow, "volume flow", "m3 s-1", {"L/min", 6e4}, {"gal/min", 60 / gallon}, "2.5 gal/min"},
    {Quantity::mass_flow, "mass flow", "kg s-1", {"kg/s", 1}, {"lb/min", 60 / pound}, "0.8 kg/s"},
    {Quantity::force, "force", "N", {"N", 1}, {"lbf", 1 / pound_force}, "400 N"},
    {Quantity::pressure, "pressure", "Pa", {"kPa", 1e-3}, {"psi", 1 / psi}, "16 psi"},
    {Quantity::power, "power", "W", {"kW", 1e-3}, {"hp", 1 / horsepower}, "300 hp"},
    {Quantity::energy, "energy", "J", {"kJ", 1e-3}, {"Btu", 1 / btu}, "1.5 MJ"},
    {Quantity::torque, "torque", "N m", {"N m", 1}, {"lbf ft", 1 / (pound_force * foot)}, "400 N m"},
    {Quantity::density, "density", "kg m-3", {"kg/m3", 1}, {"lb/ft3", foot* foot* foot / pound}, "860 kg/m3"},
    {Quantity::specific_heat, "specific heat", "J kg-1 K-1", {"kJ/(kg K)", 1e-3}, {"Btu/(lb degF)", pound / (btu * 1.8)}, "3.5 kJ/(kg K)"},
    {Quantity::specific_energy, "specific energy", "J kg-1", {"kJ/kg", 1e-3}, {"Btu/lb", pound / btu}, "43 MJ/kg"},
    {Quantity::conductivity, "thermal conductivity", "W m-1 K-1", {"W/(m K)", 1}, {"Btu/(h ft degF)", 3600 * foot / (btu * 1.8)}, "0.4 W/(m K)"},
    {Quantity::dynamic_viscosity, "dynamic viscosity", "Pa s", {"mPa s", 1e3}, {"cP", 1e3}, "0.7 mPa s"},
    {Quantity::kinematic_viscosity, "kinematic viscosity", "m2 s-1", {"mm2/s", 1e6}, {"cSt", 1e6}, "34 mm2/s"},
    {Quantity::thermal_conductance, "thermal conductance", "W K-1", {"W/K", 1}, {"Btu/(h degF)", 3600 / (btu * 1.8)}, "250 W/K"},
    {Quantity::thermal_resistance, "thermal resistance", "K W-1", {"K/W", 1}, {"h degF/Btu", btu * 1.8 / 3600}, "0.004 K/W"},
    {Quantity::fouling_resistance, "fouling resistance", "m2 K W-1", {"m2 K/W", 1}, {"h ft2 degF/Btu", btu * 1.8 / (3600 * foot * foot)}, "0.0001 m2 K/W"},
    {Quantity::heat_transfer_coefficient, "heat transfer coefficient", "W m-2 K-1", {"W/(m2 K)", 1}, {"Btu/(h ft2 degF)", 3600 * foot * foot / (btu * 1.8)}, "60 W/(m2 K)"},
    {Quantity::heat_capacity, "heat capacity", "J K-1", {"kJ/K", 1e-3}, {"Btu/degF", 1 / (btu * 1.8)}, "25 kJ/K"},
    {Quantity::volumetric_heat_capacity, "volumetric heat capacity", "J m-3 K-1", {"MJ/(m3 K)", 1e-6}, {"Btu/(ft3 degF)", foot* foot* foot / (btu * 1.8)}, "1.8 MJ/(m3 K)"},
    {Quantity::heat_flux, "heat flux", "W m-2", {"W/m2", 1}, {"Btu/(h ft2)", 3600 * foot * foot / btu}, "900 W/m2"},
    {Quantity::per_length, "number per length", "m-1", {"1/cm", 0.01}, {"1/inch", inch}, "14 1/inch"},
    {Quantity::displacement, "displacement per turn", "m3 rad-1", {"cm3/rev", 1e6 * rev}, {"in3/rev", rev / (inch * inch * inch)}, "9.6 cm3/rev"},
    {Quantity::volume_per_energy, "volume per energy", "m3 J-1", {"L/kWh", 3.6e9}, {"gal/(hp h)", 3600 * horsepower / gallon}, "0.36 L/kWh"},
    {Quantity::mass_per_energy, "mass per energy", "kg J-1", {"g/kWh", 3.6e9}, {"lb/(hp h)", 3600 * horsepower / pound}, "270 g/kWh"},
    {Quantity::per_temperature, "number per temperature", "K-1", {"1/K", 1}, {"1/degF", 1 / 1.8}, "0.0004 1/K"},
    {Quantity::frequency, "frequency", "s-1", {"Hz", 1}, {"Hz", 1}, "1 Hz"},
    {Quantity::electric_current, "electric current", "A", {"A", 1}, {"A", 1}, "25 A"},
    {Quantity::electric_charge, "electric charge", "A s", {"Ah", 1.0 / 3600}, {"Ah", 1.0 / 3600}, "60 Ah"},
    {Quantity::voltage, "voltage", "V", {"V", 1}, {"V", 1}, "13.8 V"},
    {Quantity::resistance, "electric resistance", "ohm", {"ohm", 1}, {"ohm", 1}, "0.05 ohm"},
    {Quantity::heat_flow, "heat flow", "W", {"kW", 1e-3}, {"Btu/h", 3600 / btu}, "12 kW"},
    {Quantity::air_flow, "air flow", "m3 s-1", {"m3/h", 3600}, {"ft3/min", 60 / (foot * foot * foot)}, "1050 ft3/min"},
    {Quantity::air_pressure, "air pressure", "Pa", {"Pa", 1}, {"inH2O", 1 / inch_of_water}, "150 Pa"},
    {Quantity::flow_speed, "flow speed", "m s-1", {"m/s", 1}, {"ft/s", 1 / foot}, "3 m/s"},
    {Quantity::distance, "distance", "m", {"m", 1}, {"ft", 1 / foot}, "3.2 m"},
}};
// clang-format on

const QuantityRow& row(Quantity quantity) noexcept {
    return quantity_rows[static_cast<std::size_t>(quantity)];
}

constexpr bool quantities_in_order() {
    for (std::size_t i = 0; i < quantity_rows.size(); ++i)
        if (static_cast<std::size_t>(quantity_rows[i].quantity) != i) return false;
    return static_cast<std::size_t>(Quantity::distance) + 1 == quantity_rows.size();
}
static_assert(quantities_in_order(), "the table of quantities follows the enumeration");

const Display& display(Quantity quantity, System system) noexcept {
    return system == System::us ? row(quantity).us : row(quantity).metric;
}

}  // namespace

const char* si_unit(Quantity quantity) noexcept { return row(quantity).si; }

const char* display_unit(Quantity quantity, System system) noexcept {
    return display(quantity, system).unit;
}

double to_display(double si, Quantity quantity, System system) noexcept {
    const Display& d = display(quantity, system);
    return si * d.factor + d.offset;
}

const char* name(Quantity quantity) noexcept { return row(quantity).name; }

const char* example(Quantity quantity) noexcept { return row(quantity).example; }

Quantity kind_of(Quantity quantity) noexcept {
    switch (quantity) {
        case Quantity::heat_flow:
            return Quantity::power;
        case Quantity::air_flow:
            return Quantity::volume_flow;
        case Quantity::air_pressure:
            return Quantity::pressure;
        case Quantity::flow_speed:
            return Quantity::speed;
        case Quantity::distance:
            return Quantity::length;
        default:
            return quantity;
    }
}

const std::vector<Quantity>& all_quantities() {
    static const std::vector<Quantity> all = [] {
        std::vector<Quantity> v;
        for (int i = 0; i <= static_cast<int>(Quantity::distance); ++i)
            v.push_back(static_cast<Quantity>(i));
        return v;
    }();
    return all;
}

std::string format(double si, Quantity quantity, System system, int digits) {
    const double value = to_display(si, quantity, system);
    std::string text;
    if (!std::isfinite(value)) {
        text = std::isnan(value) ? "nan" : (value > 0 ? "inf" : "-inf");
    } else {
        digits = digits < 1 ? 1 : (digits > 17 ? 17 : digits);
        // Round first: 999.96 at 4 digits has its first digit in the thousands.
        std::array<char, 64> buffer{};
        auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value,
                                 std::chars_format::scientific, digits - 1)
                       .ptr;
        *end = '\0';
        double rounded = 0;
        std::from_chars(buffer.data(), end, rounded);
        const double magnitude = std::abs(rounded);
        if (magnitude == 0 || (magnitude >= 1e-4 && magnitude < 1e7)) {
            const int first =
                magnitude == 0 ? 0 : static_cast<int>(std::floor(std::log10(magnitude)));
            const int decimals = magnitude == 0 ? 0 : std::max(0, digits - 1 - first);
            end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), rounded,
                                std::chars_format::fixed, decimals)
                      .ptr;
        }
        text.assign(buffer.data(), end);
    }
    const char* unit = display_unit(quantity, system);
    if (*unit != '\0') text.append(" ").append(unit);
    return text;
}

}  // namespace lapheat::units
