#include "lapheat/units/restate.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>

#include "lapheat/units/constants.hpp"
#include "spelling.hpp"

namespace lapheat::units {
namespace {

using std::string;
using std::string_view;
using Q = Quantity;

/// A unit of one system and what the other writes for it: other = this · factor + offset.
struct UnitPair {
    System system;
    string_view unit, other;
    double factor, offset = 0;
};

using namespace constants;

constexpr double lbf = pound_force, hp = horsepower;
constexpr auto si = System::si, us = System::us;

// clang-format off
constexpr UnitPair pairs[] = {
    {si, "K", "°F", 1.8}, {si, "kelvin", "°F", 1.8},
    {si, "degC", "°F", 1.8, 32}, {si, "°C", "°F", 1.8, 32},
    {si, "mm", "inch", 1e-3 / inch}, {si, "cm", "inch", 1e-2 / inch}, {si, "m", "ft", 1 / foot},
    {si, "metres", "ft", 1 / foot}, {si, "metre", "ft", 1 / foot}, {si, "km", "miles", 1e3 / mile},
    {si, "mm2", "in²", 1e-6 / (inch * inch)}, {si, "cm2", "in²", 1e-4 / (inch * inch)},
    {si, "m2", "ft²", 1 / (foot * foot)}, {si, "m²", "ft²", 1 / (foot * foot)},
    {si, "m^2", "ft²", 1 / (foot * foot)},
    {si, "cm3", "in³", 1e-6 / (inch * inch * inch)}, {si, "m3", "ft³", 1 / (foot * foot * foot)},
    {si, "L", "gal", 1e-3 / gallon}, {si, "litre", "gal", 1e-3 / gallon},
    {si, "litres", "gal", 1e-3 / gallon},
    {si, "L/min", "gal/min", 1e-3 / gallon}, {si, "m3/h", "cfm", 1 / (60 * foot * foot * foot)},
    {si, "m3/s", "cfm", 60 / (foot * foot * foot)},
    {si, "m/s", "ft/s", 1 / foot}, {si, "m/s2", "ft/s²", 1 / foot}, {si, "km/h", "mph", 1e3 / mile},
    {si, "kg/s", "lb/min", 60 / pound}, {si, "kg", "lb", 1 / pound},
    {si, "kg/m3", "lb/ft³", foot * foot * foot / pound}, {si, "kg m2", "lb ft²", 1 / (pound * foot * foot)},
    {si, "N m", "lb-ft", 1 / (lbf * foot)}, {si, "N", "lbf", 1 / lbf},
    {si, "kPa", "psi", 1e3 / psi}, {si, "bar", "psi", 1e5 / psi}, {si, "MPa", "psi", 1e6 / psi},
    {si, "Pa", "inH2O", 1 / inch_of_water},
    {si, "W", "Btu/h", 3600 / btu}, {si, "kW", "hp", 1e3 / hp}, {si, "kJ", "Btu", 1e3 / btu},
    {si, "MJ", "Btu", 1e6 / btu},
    {si, "kJ/K", "Btu/°F", 1e3 / (btu * 1.8)}, {si, "W/K", "Btu/(h °F)", 3600 / (btu * 1.8)},
    {si, "W/(m K)", "Btu/(h ft °F)", 3600 * foot / (btu * 1.8)},
    {si, "W/(m2 K)", "Btu/(h ft² °F)", 3600 * foot * foot / (btu * 1.8)},
    {si, "W/m2", "Btu/(h ft²)", 3600 * foot * foot / btu},
    {si, "cm3/rev", "in³/rev", 1e-6 / (inch * inch * inch)},
    {si, "g/kWh", "lb/(hp h)", hp / (1e6 * pound)},
    {si, "1/cm", "1/inch", inch * 100}, {us, "1/inch", "1/cm", 0.01 / inch},
    {us, "inch", "mm", inch * 1e3}, {us, "in²", "cm²", inch * inch * 1e4}, {us, "ft", "m", foot},
    {us, "foot", "m", foot}, {us, "ft²", "m²", foot * foot}, {us, "psi", "kPa", psi * 1e-3},
    {us, "gal/min", "L/min", gallon * 1e3}, {us, "gal", "L", gallon * 1e3},
    {us, "cfm", "m³/h", 60 * foot * foot * foot}, {us, "ft3/min", "m³/h", 60 * foot * foot * foot},
    {us, "degF", "°C", 1 / 1.8, -32 / 1.8}, {us, "°F", "°C", 1 / 1.8, -32 / 1.8},
    {us, "hp", "kW", hp * 1e-3}, {us, "lb", "kg", pound}, {us, "mph", "km/h", mile * 1e-3},
    {us, "lb-ft", "N m", lbf * foot}, {us, "miles", "km", mile * 1e-3}};
// clang-format on

bool part_of_word(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '/' || c == '(' || c == '^' ||
           static_cast<unsigned char>(c) >= 0x80U;
}

/// The longest unit of the other system that the text begins with, as a whole word.
const UnitPair* unit_at(string_view text, System from) {
    const UnitPair* best = nullptr;
    for (const UnitPair& p : pairs)
        if (p.system == from && text.starts_with(p.unit) &&
            (text.size() == p.unit.size() || !part_of_word(text[p.unit.size()])) &&
            (best == nullptr || p.unit.size() > best->unit.size()))
            best = &p;
    return best;
}

/// Before a number: it belongs to a word, a fraction, a date.
bool joins(char c) { return c != '(' && part_of_word(c); }

struct Written {
    std::size_t begin = 0, end = 0;
    double value = 0;
};

/// The number at `at`, as people write one; nothing inside of words, versions and dates.
std::optional<Written> number_at(string_view text, std::size_t at) {
    const auto digit = [&](std::size_t i) {
        return i < text.size() && std::isdigit(static_cast<unsigned char>(text[i])) != 0;
    };
    Written w{at, at, 0};
    if (text[at] == '-' && digit(at + 1)) ++w.end;
    if (!digit(w.end)) return std::nullopt;
    if (at > 0 && (joins(text[at - 1]) || text[at - 1] == '.' || text[at - 1] == '-'))
        return std::nullopt;
    while (digit(w.end)) ++w.end;
    if (w.end < text.size() && text[w.end] == '.' && digit(w.end + 1))
        for (++w.end; digit(w.end);) ++w.end;
    std::from_chars(text.data() + at, text.data() + w.end, w.value);
    // "3/8 inch", "1 1/4 inch".
    const NumberText fraction = with_fraction({w.value, text.substr(w.end)});
    if (fraction.rest.size() < text.size() - w.end) {
        w.value = fraction.value;
        w.end = text.size() - fraction.rest.size();
    }
    return w;
}

/// To the digits that stood there, two at least; a temperature to the degree or the tenth.
string rewritten(string_view written, double value, const UnitPair& pair) {
    const double shown = value * pair.factor + pair.offset;
    const auto point = written.find('.');
    if (written.find('/') != string_view::npos) return fmt::format("{:.2g}", shown);
    if (pair.offset != 0) return fmt::format("{:.{}f}", shown, point == string_view::npos ? 0 : 1);
    int digits = 0;
    bool leading = true;
    for (const char c : written) {
        if (std::isdigit(static_cast<unsigned char>(c)) == 0) continue;
        leading = leading && c == '0';
        digits += leading ? 0 : 1;
    }
    // Trailing zeros of a whole number are no claim of precision.
    if (point == string_view::npos)
        for (auto i = written.size(); i > 1 && written[i - 1] == '0' && digits > 1; --i) --digits;
    digits = std::clamp(digits, 2, 6);
    if (shown == 0) return "0";
    const int first = static_cast<int>(std::floor(std::log10(std::abs(shown))));
    const double scale = std::pow(10.0, digits - 1 - first);
    return fmt::format("{:.{}f}", std::round(shown * scale) / scale,
                       std::max(0, digits - 1 - first));
}

}  // namespace

string restated(string_view note, System system) {
    const System from = system == System::us ? System::si : System::us;
    string out;
    for (std::size_t at = 0; at < note.size();) {
        const auto first = number_at(note, at);
        if (!first) {
            out += note[at++];
            continue;
        }
        // "80 to 95 degC", "1.5 and 1.75 inch", "135 or 150 degC", "5 x 7 mm".
        std::optional<Written> second;
        string_view between;
        for (const string_view word : {" to ", " and ", " or ", " x ", "-"})
            if (note.substr(first->end).starts_with(word) && first->end + word.size() < note.size())
                if (const auto next = number_at(note, first->end + word.size());
                    next && word != "-") {
                    second = next;
                    between = word;
                }
        const Written& last = second ? *second : *first;
        const std::size_t gap = last.end < note.size() && note[last.end] == ' ' ? 1 : 0;
        const UnitPair* pair = unit_at(note.substr(last.end + gap), from);
        if (pair == nullptr) {
            out += note.substr(at, first->end - at);
            at = first->end;
            continue;
        }
        const auto say = [&](const Written& w) {
            return rewritten(note.substr(w.begin, w.end - w.begin), w.value, *pair);
        };
        out += say(*first);
        if (second) out.append(between).append(say(*second));
        out.append(" ").append(pair->other);
        at = last.end + gap + pair->unit.size();
    }
    return out;
}

}  // namespace lapheat::units
