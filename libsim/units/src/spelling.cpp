// Units as people write them, by what they measure.
#include <cctype>
#include <initializer_list>
#include <utility>

#include "lapheat/units/spellings.hpp"
#include "spelling.hpp"

namespace lapheat::units {
namespace {

using std::string;
using std::string_view;
using Q = Quantity;

/// `written`, folded: several with "|" between them.
struct WrittenUnit {
    Q quantity;
    string_view written;
    string_view known;  ///< as UDUNITS reads it
};

// A spelling stands here only if nobody means anything else by it where that quantity is asked for.
// clang-format off
constexpr WrittenUnit written_units[] = {
    {Q::length, "\"|''|in|ins|inch|inches", "inch"},
    {Q::length, "'|ft|foot|feet", "ft"},
    {Q::length, "mm|millimeter|millimetre|millimeters|millimetres", "mm"},
    {Q::length, "cm|centimeter|centimetre|centimeters|centimetres", "cm"},
    {Q::length, "km", "km"},
    {Q::length, "thou|mils", "mil"},
    {Q::area, "sq in|sqin|square in|square inch|square inches|in2|inch2", "inch2"},
    {Q::area, "sq ft|sqft|square ft|square foot|square feet|ft2", "ft2"},
    {Q::area, "sq cm|sqcm|square cm|cm2", "cm2"},
    {Q::area, "sq mm|sqmm|square mm|mm2", "mm2"},
    {Q::area, "sq m|sqm|square m|square meters|square metres", "m2"},
    {Q::volume, "gal|gals|gallon|gallons|us gal|us gals|us gallon|us gallons|usg", "gal"},
    {Q::volume, "imp gal|imperial gallon|imperial gallons|uk gal|uk gallon|uk gallons", "imp_gal"},
    {Q::volume, "qt|qts|quart|quarts|us qt|us qts|us quart|us quarts", "qt"},
    {Q::volume, "pt|pts|pint|pints|us pt|us pint|us pints", "pint"},
    {Q::volume, "oz|ozs|fl oz|floz|fluid oz|fluid ounce|fluid ounces|ounce|ounces", "fluid_ounce"},
    {Q::volume, "cc|ccs|ccm|cm3|cu cm|cubic cm|cubic centimeters|cubic centimetres", "cm3"},
    {Q::volume, "cid|ci|in3|cu in|cuin|cubic in|cubic inch|cubic inches", "inch3"},
    {Q::volume, "ft3|cu ft|cuft|cubic ft|cubic foot|cubic feet", "ft3"},
    {Q::volume, "l|ltr|ltrs|liter|litre|liters|litres", "L"},
    {Q::mass, "lb|lbs|lbm|pound|pounds|#", "lb"},
    {Q::mass, "oz|ozs|ounce|ounces", "avoirdupois_ounce"},
    {Q::mass, "kg|kgs|kilo|kilos|kilogram|kilograms", "kg"},
    {Q::mass, "gm|gms|gram|grams", "g"},
    {Q::mass, "tonne|tonnes", "t"},
    {Q::force, "lb|lbs|lbf|pound|pounds|pounds force", "lbf"},
    {Q::force, "kgf|kp", "kgf"},
    {Q::force, "n|newton|newtons", "N"},
    {Q::time, "sec|secs|second|seconds", "s"},
    {Q::time, "min|mins|minute|minutes", "min"},
    {Q::time, "h|hr|hrs|hour|hours", "h"},
    {Q::speed, "mph|mi/h|mi/hr|miles/hour|miles/h|miles/hr", "mph"},
    {Q::speed, "kph|kmh|kmph|km/h|km/hr", "km/h"},
    {Q::speed, "fps|ft/s|ft/sec|feet/second", "ft/s"},
    {Q::speed, "fpm|ft/min|feet/minute", "ft/min"},
    {Q::acceleration, "g|gs|gee|gees", "9.80665 m/s2"},
    {Q::angle, "deg|degs|degree|degrees|\u00b0", "deg"},
    {Q::angular_speed, "rpm|rpms|r/min|rev/min|revs/min|turns/min|1/min|min 1|min1|u/min", "rpm"},
    {Q::angular_speed, "rps|rev/s|revs/s", "rev/s"},
    {Q::volume_flow, "cfm|ft3/min|cu ft/min|cuft/min|cubic feet/min|cubic feet/minute", "ft3/min"},
    {Q::volume_flow, "cfh|cu ft/h", "ft3/h"},
    {Q::volume_flow, "gpm|gal/min|gals/min|gallons/min|gallons/minute|us gpm", "gal/min"},
    {Q::volume_flow, "gph|gal/h|gal/hr|gallons/h|gallons/hour", "gal/h"},
    {Q::volume_flow, "lpm|l/min|liters/min|litres/min|liters/minute|litres/minute", "L/min"},
    {Q::volume_flow, "lph|l/h|l/hr", "L/h"},
    {Q::volume_flow, "l/s|l/sec|lps", "L/s"},
    {Q::volume_flow, "cmh|m3/h|m3/hr|cbm/h", "m3/h"},
    {Q::mass_flow, "kg/s|kg/sec", "kg/s"},
    {Q::mass_flow, "lb/min|lbs/min|pounds/min|pounds/minute", "lb/min"},
    {Q::mass_flow, "lb/h|lbs/h|lb/hr|lbs/hr|pph", "lb/h"},
    {Q::pressure, "psi|lb/in2|lbs/in2|lbf/in2|lb/sq in|lbs/sq in|lbs/square inch|pounds/square inch", "psi"},
    {Q::pressure, "kpa|kilopascal|kilopascals", "kPa"},
    {Q::pressure, "bar|bars", "bar"},
    {Q::pressure, "millibar|millibars", "mbar"},
    {Q::pressure, "kg/cm2|kgf/cm2|kp/cm2", "kgf/cm2"},
    {Q::pressure, "inhg|in hg|inches hg|inch hg|inches of mercury|\" hg|\"hg", "inHg"},
    {Q::pressure, "mmhg|mm hg", "mmHg"},
    {Q::pressure, "inh2o|in h2o|in wc|inwc|in wg|inwg|iwc|iwg|inches of water|inches h2o|\" h2o|\"h2o|\" wc|\" wg", "inH2O"},
    {Q::pressure, "mmh2o|mm h2o|mm wc|mmwc|mm wg|mmwg", "mmH2O"},
    {Q::power, "hp|bhp|horsepower|brake horsepower", "hp"},
    {Q::power, "ps|cv|ch|pk|metric hp|hp(m)", "metric_hp"},
    {Q::power, "kw|kilowatt|kilowatts", "kW"},
    {Q::power, "btu/h|btu/hr|btu/hour|btuh|btus/h|btus/hr", "Btu/h"},
    {Q::power, "btu/min|btu/minute", "Btu/min"},
    {Q::energy, "btu|btus", "Btu"},
    {Q::energy, "kwh", "kWh"},
    {Q::torque, "lb ft|lbs ft|ft lb|ft lbs|lbft|ftlb|ftlbs|lbf ft|ft lbf|foot pound|foot pounds|"
                "pound foot|pound feet|pounds feet|foot lb|foot lbs", "lbf ft"},
    {Q::torque, "lb in|lbs in|in lb|in lbs|inlb|inlbs|lbf in|in lbf|inch pound|inch pounds|"
                "pound inch|pound inches|inch lbs", "lbf inch"},
    {Q::torque, "nm|n m|newton meters|newton metres|newton meter|newton metre", "N m"},
    {Q::torque, "kgm|kg m|mkg|kgf m|kgfm|mkp|kpm", "kgf m"},
    {Q::temperature, "f|deg f|degf|degs f|degree f|degrees f|\u00b0f|f\u00b0|fahrenheit|deg fahrenheit|degrees fahrenheit", "degF"},
    {Q::temperature, "c|deg c|degc|degs c|degree c|degrees c|\u00b0c|c\u00b0|celsius|centigrade|deg celsius|degrees celsius", "degC"},
    {Q::temperature, "kelvin|kelvins|deg k|\u00b0k", "K"},
    {Q::per_length, "fpi|fins/in|fins/inch|1/in|1/inch|/in|/inch", "1/inch"},
    {Q::per_length, "fins/cm|1/cm|/cm", "1/cm"},
    {Q::per_length, "fins/dm|1/dm|/dm", "1/dm"},
    {Q::ratio, "%|percent|per cent|pct", "%"},
    {Q::displacement, "cc/rev|ccm/rev|cm3/rev|cc/turn|cm3/turn", "cm3/rev"},
    {Q::displacement, "cu in/rev|cuin/rev|in3/rev|cid/rev|ci/rev", "inch3/rev"},
    {Q::conductivity, "w/mk|w/m k|w/(mk)", "W/(m K)"},
    {Q::heat_transfer_coefficient, "w/m2k|w/m2 k|w/(m2k)", "W/(m2 K)"},
    {Q::specific_heat, "kj/kgk|kj/kg k|kj/kg/k|kj/(kgk)", "kJ/(kg K)"},
    {Q::specific_heat, "j/kgk|j/kg k|j/kg/k|j/(kgk)", "J/(kg K)"},
    {Q::specific_heat, "btu/lb f|btu/lb/f|btu/(lb f)", "Btu/(lb degF)"},
    {Q::electric_current, "a|amp|amps|ampere|amperes", "A"},
    {Q::electric_charge, "ah|amp hour|amp hours", "Ah"},
    {Q::voltage, "v|volt|volts|vdc|v dc", "V"},
    {Q::resistance, "ohm|ohms", "ohm"},
};

/// Refused, even where UDUNITS knows it.
constexpr WrittenUnit uncertain_units[] = {
    {Q::mass, "ton|tons", "write lb, or t for 1000 kg"},
    {Q::pressure, "psig|psia", "write psi, the key says gauge or absolute"},
    {Q::pressure, "lb|lbs|pound|pounds|#", "write psi"},
    {Q::power, "whp|rwhp|wheel hp", "write hp at the crankshaft: what a roller says is what the wheels get"},
    {Q::power, "ton|tons", "write Btu/h or kW"},
    {Q::torque, "lb|lbs|pounds|lb/ft|lbs/ft|ft/lb|ft/lbs", "write lb-ft"},
    {Q::force, "kg|kgs|g", "write kgf or N"},
    {Q::temperature, "deg|degree|degrees|\u00b0", "write degC or degF"},
    {Q::temperature_difference, "deg|degree|degrees|\u00b0", "write K or degF"},
    {Q::length, "m", "write m, mm or miles"},
    {Q::time, "m|'|\"", "write s, min or h"},
    {Q::volume, "c|cup|cups", "write L, qt or gal"},
    {Q::per_length, "in|inch|inches|\"|cm|mm", "write 1/inch, or fpi for fins"},
};
// clang-format on

/// Lower case; points, carets and underscores left out; hyphens, stars, dots between factors and
/// runs of spaces one space; no space around a slash, "per" a slash; squares and cubes as digits.
string folded(string_view unit) {
    static constexpr std::pair<string_view, string_view> parts[] = {
        {"\u00b2", "2"}, {"\u00b3", "3"}, {"\u00b7", " "}, {"\u22c5", " "}};
    string flat;
    for (std::size_t at = 0; at < unit.size();) {
        std::size_t taken = 0;
        for (const auto& [from, to] : parts)
            if (unit.substr(at).starts_with(from)) flat += to, taken = from.size();
        if (taken == 0) {
            const char c = unit[at];
            if (c == '-' || c == '*' || c == '_' || c == '\t')
                flat += ' ';
            else if (c != '.' && c != '^')
                flat += lower(c);
            taken = 1;
        }
        at += taken;
    }
    for (std::size_t at = 0; (at = (' ' + flat + ' ').find(" per ", at)) != string::npos;)
        flat.replace(at == 0 ? 0 : at - 1, at == 0 ? 4 : 5, "/");
    string out;
    for (const char c : flat) {
        const bool joins = c == '/' || (c == ' ' && (out.empty() || out.back() == ' '));
        if (c == '/')
            while (!out.empty() && out.back() == ' ') out.pop_back();
        if (c == ' ' && (joins || out.back() == '/')) continue;
        out += c;
    }
    while (!out.empty() && out.back() == ' ') out.pop_back();
    return out;
}

bool among(string_view words, string_view word) noexcept {
    while (!words.empty()) {
        const std::size_t end = words.find('|');
        if (words.substr(0, end) == word) return true;
        if (end == string_view::npos) break;
        words.remove_prefix(end + 1);
    }
    return false;
}

template <std::size_t N>
const WrittenUnit* row_of(const WrittenUnit (&all)[N], string_view unit, Quantity quantity) {
    for (const WrittenUnit& row : all)
        if (row.quantity == quantity && among(row.written, unit)) return &row;
    return nullptr;
}

/// A difference is written as the temperature is; no offset goes with it (see to_si()).
Quantity written_as(Quantity quantity) noexcept {
    return quantity == Q::temperature_difference ? Q::temperature : kind_of(quantity);
}

}  // namespace

std::optional<string> spelled(string_view unit, Quantity quantity) {
    const WrittenUnit* row = row_of(written_units, folded(unit), written_as(quantity));
    if (row == nullptr) return std::nullopt;
    return string(row->known);
}

std::optional<Quantity> spelled_quantity(string_view unit) {
    const string text = folded(unit);
    for (const WrittenUnit& row : written_units)
        if (among(row.written, text)) return row.quantity;
    return std::nullopt;
}

System written_in(string_view text, Quantity quantity) {
    static constexpr string_view us[] = {"inch",
                                         "ft",
                                         "mil",
                                         "inch2",
                                         "ft2",
                                         "gal",
                                         "qt",
                                         "pint",
                                         "fluid_ounce",
                                         "inch3",
                                         "ft3",
                                         "lb",
                                         "avoirdupois_ounce",
                                         "lbf",
                                         "mph",
                                         "ft/s",
                                         "ft/min",
                                         "ft3/min",
                                         "ft3/h",
                                         "gal/min",
                                         "gal/h",
                                         "lb/min",
                                         "lb/h",
                                         "psi",
                                         "inHg",
                                         "inH2O",
                                         "hp",
                                         "Btu/h",
                                         "Btu/min",
                                         "Btu",
                                         "lbf ft",
                                         "lbf inch",
                                         "degF",
                                         "1/inch",
                                         "inch3/rev",
                                         "Btu/(lb degF)"};
    const string plain = plain_characters(text);
    try {
        const auto number = leading_number(plain);
        if (!number) return System::si;
        const string_view unit = trimmed(with_fraction(*number).rest);
        auto known = spelled(unit, quantity);
        // Of parts, "3 ft 6 in", the first tells.
        if (!known)
            known = spelled(trimmed(unit.substr(0, unit.find_first_of("0123456789"))), quantity);
        for (const string_view one : us)
            if (known == one) return System::us;
    } catch (const Error&) {
        return System::si;
    }
    return System::si;
}

string uncertain(string_view unit, Quantity quantity) {
    if (kind_of(quantity) == Q::length && unit == "m") return {};  // but not "M"
    for (const string_view million : {"Mm", "Ms", "Mg", "MK", "MA", "Mbar", "MBAR", "ML", "Ml"})
        if (unit.starts_with(million)) return "M is a million, m a thousandth: write the one meant";
    const WrittenUnit* row = row_of(uncertain_units, folded(unit), kind_of(quantity));
    return row == nullptr ? string() : string(row->known);
}

}  // namespace lapheat::units
