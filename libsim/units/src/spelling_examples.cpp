// The list of spellings that help shows and tests hold.
#include "lapheat/units/spellings.hpp"

namespace lapheat::units {
namespace {

using Q = Quantity;

// clang-format off
constexpr Spelling examples[] = {
    {"5'", Q::length, "5 ft"},
    {"5' 3\"", Q::length, "63 inch"},
    {"3 ft 6 in", Q::length, "42 inch"},
    {"3ft 6 1/2in", Q::length, "42.5 inch"},
    {"1/2\"", Q::length, "0.5 inch"},
    {"1 1/4 in", Q::length, "1.25 inch"},
    {"1\u00bd\u2033", Q::length, "1.5 inch"},
    {"24''", Q::length, "24 inch"},
    {"32 MM", Q::length, "32 mm"},
    {"60 thou", Q::length, "0.06 inch"},
    {"450 sq. in.", Q::area, "450 inch2"},
    {"22 sq ft", Q::area, "22 ft2"},
    {"350 cid", Q::volume, "350 inch3"},
    {"350 cu. in.", Q::volume, "350 inch3"},
    {"1998 cc", Q::volume, "1998 cm3"},
    {"5.7 Liter", Q::volume, "5.7 L"},
    {"1 1/2 gal", Q::volume, "1.5 gal"},
    {"10 US qts", Q::volume, "10 qt"},
    {"8 fl. oz", Q::volume, "0.0625 gal"},
    {"3 imp gal", Q::volume, "13.63827 L"},
    {"3,300 lbs", Q::mass, "3300 lb"},
    {"12 lb 8 oz", Q::mass, "12.5 lb"},
    {"1450 Kg", Q::mass, "1450 kg"},
    {"400 lbs", Q::force, "400 lbf"},
    {"1 hr 20 mins", Q::time, "80 min"},
    {"65 MPH", Q::speed, "65 mph"},
    {"100 kmh", Q::speed, "100 km/h"},
    {"1.1 g", Q::acceleration, "10.787315 m/s2"},
    {"5,500 RPM", Q::angular_speed, "5500 rpm"},
    {"5500 1/min", Q::angular_speed, "5500 rpm"},
    {"1,050 cfm", Q::air_flow, "1050 ft3/min"},
    {"2800 CFM", Q::air_flow, "2800 ft3/min"},
    {"1500 m\u00b3/h", Q::air_flow, "1500 m3/h"},
    {"2.5 GPM", Q::volume_flow, "2.5 gal/min"},
    {"255 LPH", Q::volume_flow, "255 L/h"},
    {"16 PSI", Q::pressure, "16 psi"},
    {"16 lbs/sq in", Q::pressure, "16 psi"},
    {"110 KPA", Q::pressure, "110 kPa"},
    {"0.5 in. H2O", Q::pressure, "0.5 inH2O"},
    {"1.1 kg/cm2", Q::pressure, "1.1 kgf/cm2"},
    {"300 HP", Q::power, "300 hp"},
    {"285 bhp", Q::power, "285 hp"},
    {"204 PS", Q::power, "150041.745 W"},
    {"150 KW", Q::power, "150 kW"},
    {"40,000 BTU/hr", Q::power, "40000 Btu/h"},
    {"400 Nm", Q::torque, "400 N m"},
    {"330 ft-lbs", Q::torque, "330 lbf ft"},
    {"330 lb.ft.", Q::torque, "330 lbf ft"},
    {"120 in-lbs", Q::torque, "10 lbf ft"},
    {"212F", Q::temperature, "212 degF"},
    {"100 deg C", Q::temperature, "100 degC"},
    {"195\u00baF", Q::temperature, "195 degF"},
    {"10 F", Q::temperature_difference, "10 degF"},
    {"14 fpi", Q::per_length, "14 1/inch"},
    {"14 fins per inch", Q::per_length, "14 1/inch"},
    {"56 percent", Q::ratio, "56 %"},
    {"30 Amps", Q::electric_current, "30 A"},
    {"13.8 VDC", Q::voltage, "13.8 V"},
    {"9.6 cc/rev", Q::displacement, "9.6 cm3/rev"},
    {"0.4 W/mK", Q::conductivity, "0.4 W/(m K)"},
    // Refused.
    {"1,5 mm", Q::length, ""},
    {"AN-6", Q::length, ""},
    {"3 ft 14 in", Q::length, ""},
    {"5'6", Q::length, ""},
    {"3 M", Q::length, ""},
    {"1.5 tons", Q::mass, ""},
    {"16 lb", Q::pressure, ""},
    {"16 psig", Q::pressure, ""},
    {"260 whp", Q::power, ""},
    {"330 lb", Q::torque, ""},
    {"90\u00b0", Q::temperature, ""},
    {"14 in", Q::per_length, ""},
};
// clang-format on

}  // namespace

std::span<const Spelling> spellings() noexcept { return examples; }

}  // namespace lapheat::units
