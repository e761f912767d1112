// Numbers as people write them.
#include <fmt/core.h>

#include <cctype>
#include <charconv>
#include <cmath>
#include <utility>

#include "lapheat/units/constants.hpp"
#include "lapheat/units/spellings.hpp"
#include "spelling.hpp"

namespace lapheat::units {
namespace {

using std::string;
using std::string_view;

bool digit(char c) noexcept { return c >= '0' && c <= '9'; }

std::size_t digits(string_view text) noexcept {
    std::size_t n = 0;
    while (n < text.size() && digit(text[n])) ++n;
    return n;
}

/// Length of "1,050" or "12,345,678" at the beginning of the text; 0 if commas stand otherwise.
std::size_t grouped(string_view text) noexcept {
    std::size_t end = digits(text);
    if (end < 1 || end > 3 || text.front() == '0') return 0;
    while (end < text.size() && text[end] == ',') {
        if (digits(text.substr(end + 1)) != 3) return 0;
        end += 4;
    }
    return end;
}

[[noreturn]] void refuse_comma(string_view text) {
    throw Error("'" + string(trimmed(text)) + "' has a comma in its number",
                "a point before decimals (1.5), commas only between thousands (1,050)");
}

/// A whole number above 0.
std::optional<unsigned> whole(string_view& text) noexcept {
    unsigned n = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), n);
    if (error != std::errc{} || n == 0) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return n;
}

}  // namespace

string plain_characters(string_view text) {
    static constexpr std::pair<string_view, string_view> alike[] = {
        {"\u00a0", " "},    {"\u2009", " "},      {"\u202f", " "},      {"\u2212", "-"},
        {"\u2013", "-"},    {"\u2010", "-"},      {"\u2011", "-"},      {"\u2032", "'"},
        {"\u2019", "'"},    {"\u2018", "'"},      {"\u2033", "\""},     {"\u201d", "\""},
        {"\u201c", "\""},   {"\u00ba", "\u00b0"}, {"\u02da", "\u00b0"}, {"\u2103", "degC"},
        {"\u2109", "degF"}, {"\u00bc", " 1/4"},   {"\u00bd", " 1/2"},   {"\u00be", " 3/4"},
        {"\u215b", " 1/8"}, {"\u215c", " 3/8"},   {"\u215d", " 5/8"},   {"\u215e", " 7/8"}};
    string out;
    for (std::size_t at = 0; at < text.size();) {
        std::size_t taken = 0;
        if (static_cast<unsigned char>(text[at]) >= 0x80U)
            for (const auto& [from, to] : alike)
                if (text.substr(at).starts_with(from)) {
                    out += to;
                    taken = from.size();
                    break;
                }
        if (taken == 0) out += text[at];
        at += taken == 0 ? 1 : taken;
    }
    return string(trimmed(out));
}

std::optional<NumberText> leading_number(string_view text) {
    const string_view shown = text;
    double sign = 1;
    if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
        sign = text.front() == '-' ? -1 : 1;
        text.remove_prefix(1);
    }
    if (text.empty() || !(digit(text.front()) || text.front() == '.')) return std::nullopt;
    const std::size_t first = digits(text);
    string number;
    if (first < text.size() && text[first] == ',') {
        const std::size_t end = grouped(text);
        if (end == 0) refuse_comma(shown);
        for (const char c : text.substr(0, end))
            if (c != ',') number += c;
        const string_view after = text.substr(end);
        const std::size_t decimals = after.starts_with('.') ? 1 + digits(after.substr(1)) : 0;
        number += after.substr(0, decimals);
        text.remove_prefix(end + decimals);
    }
    const string_view from = number.empty() ? text : string_view(number);
    double value = 0;
    const auto [end, error] = std::from_chars(from.data(), from.data() + from.size(), value);
    if (error == std::errc::invalid_argument) return std::nullopt;
    if (error == std::errc::result_out_of_range)
        throw Error("'" + string(shown) + "' is too large or too small a number");
    if (number.empty()) text.remove_prefix(static_cast<std::size_t>(end - from.data()));
    if (text.starts_with(',')) refuse_comma(shown);
    return NumberText{sign * value, text};
}

NumberText with_fraction(NumberText number) noexcept {
    string_view ahead = number.rest;
    double top = number.value, plus = 0;
    if (top != std::floor(top) || top < 0 || ahead.empty()) return number;
    if (ahead.front() == ' ' || ahead.front() == '-') {
        ahead.remove_prefix(1);
        plus = number.value;
        const auto n = whole(ahead);
        if (!n) return number;
        top = *n;
    }
    if (!ahead.starts_with('/')) return number;
    ahead.remove_prefix(1);
    const auto bottom = whole(ahead);
    const auto ends = [](char c) {
        return c == ' ' || c == '"' || c == '\'' ||
               std::isalpha(static_cast<unsigned char>(c)) != 0;
    };
    if (!bottom || top >= *bottom || ahead.empty() || !ends(ahead.front())) return number;
    return {plus + top / *bottom, ahead};
}

std::optional<int> dash_size(string_view text) noexcept {
    text = trimmed(text);
    bool marked = false;  // by a dash, a maker's sign or the name of the thread
    const auto skip = [&](string_view word, bool marks) {
        if (text.size() < word.size()) return;
        for (std::size_t i = 0; i < word.size(); ++i)
            if (std::toupper(static_cast<unsigned char>(text[i])) != word[i]) return;
        text.remove_prefix(word.size());
        marked = marked || marks;
    };
    skip("AN", true);
    skip("JIC", true);
    skip(" ", false);
    skip("DASH ", true);
    skip("-", true);
    skip("#", true);
    const std::size_t count = digits(text);
    if (count < 1 || count > 2) return std::nullopt;
    int size = 0;
    for (const char c : text.substr(0, count)) size = 10 * size + (c - '0');
    text.remove_prefix(count);
    skip(" ", false);
    skip("AN", true);
    skip("JIC", true);
    if (!text.empty() || !marked || size < 1 || size > 64) return std::nullopt;
    return size;
}

namespace {

/// Sixteenths of an inch of the hose that is sold for that bore (m); 0: none is.
int dash_of(double inner_diameter) {
    constexpr double sixteenth = constants::inch / 16;
    const int dash = static_cast<int>(std::lround(inner_diameter / sixteenth));
    const bool sold = dash >= 1 && dash <= 64 &&
                      std::abs(dash * sixteenth - inner_diameter) <= 0.04 * inner_diameter;
    return sold ? dash : 0;
}

}  // namespace

string bore_as_sold(double inner_diameter, System system) {
    if (system == System::si) return fmt::format("{:.3g} mm", inner_diameter * 1000);
    const int dash = dash_of(inner_diameter);
    if (dash == 0) return fmt::format("{:.3g} inch", inner_diameter / constants::inch);
    string out;
    int top = dash % 16, bottom = 16;
    while (top > 0 && top % 2 == 0) top /= 2, bottom /= 2;
    if (dash >= 16) out = fmt::format("{}{}", dash / 16, top > 0 ? " " : "");
    if (top > 0) out += fmt::format("{}/{}", top, bottom);
    return out + " inch";
}

string size_as_sold(double inner_diameter, System system) {
    const int dash = dash_of(inner_diameter);
    const string bore = bore_as_sold(inner_diameter, system);
    return dash > 0 ? bore + fmt::format(" (-{})", dash) : bore;
}

}  // namespace lapheat::units
