#include "lapheat/units/doubt.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "spelling.hpp"

namespace lapheat::units {
namespace {

using std::string;
using std::string_view;

constexpr string_view signs[] = {"+-", "+/-", "\u00b1"};

/// Where the sign begins, and its length; npos if there is none.
struct Sign {
    std::size_t at = string_view::npos, length = 0;
};

Sign sign_in(string_view text) noexcept {
    Sign first;
    for (const string_view sign : signs)
        if (const auto at = text.find(sign); at < first.at) first = {at, sign.size()};
    return first;
}

/// What follows the number that the text begins with; the whole text if it begins with none.
string_view after_number(string_view text) {
    const auto number = leading_number(text);
    return number ? trimmed(with_fraction(*number).rest) : text;
}

bool is_percent(string_view unit) { return spelled(unit, Quantity::ratio).has_value(); }

[[noreturn]] void refuse(string_view text, const char* why, Quantity quantity) {
    throw Error("'" + string(text) + "' " + why,
                string("\"") + example(quantity) + " +- 10 %\" or a doubt in the value's own unit");
}

}  // namespace

bool says_doubt(string_view text) noexcept { return sign_in(text).length > 0; }

Doubted parse_doubted(string_view written, Quantity quantity) {
    const string text = plain_characters(written);
    const Sign sign = sign_in(text);
    if (sign.length == 0) return {parse(text, quantity), 0};
    const string_view whole = text;
    const string_view value_text = trimmed(whole.substr(0, sign.at));
    const string_view doubt_text = trimmed(whole.substr(sign.at + sign.length));
    if (doubt_text.empty()) refuse(text, "does not say how far it may be off", quantity);
    if (says_doubt(doubt_text)) refuse(text, "has two doubts", quantity);
    const bool share = is_percent(after_number(doubt_text));
    const bool points =
        share && quantity == Quantity::ratio && is_percent(after_number(value_text));
    Doubted out;
    // "28 +- 1 mm": the unit belongs to both.
    out.value = !value_text.empty() && after_number(value_text).empty() && !share
                    ? parse(string(value_text) + " " + string(after_number(doubt_text)), quantity)
                    : parse(value_text, quantity);
    if (share && !points) {
        if (quantity == Quantity::temperature)
            refuse(text, "gives the doubt of a temperature in %", quantity);
        out.half = std::abs(out.value) * parse(doubt_text, Quantity::ratio);
    } else {
        const bool temperature = quantity == Quantity::temperature;
        out.half = parse(doubt_text, temperature ? Quantity::temperature_difference : quantity);
    }
    if (!(out.half >= 0)) refuse(text, "has a doubt below 0", quantity);
    return out;
}

}  // namespace lapheat::units
