#include "log_fields.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "lapheat/units/text.hpp"

namespace lapheat::scenario {
namespace {

using units::lower;

bool digit(char c) { return c >= '0' && c <= '9'; }

bool same_word(std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, [](char x, char y) { return lower(x) == lower(y); });
}

/// Digits in groups of three behind the first comma, "1,050" or "12,345,678.5".
bool grouped(std::string_view s) {
    std::size_t run = 0, groups = 0;
    for (const char c : s) {
        if (digit(c)) {
            ++run;
        } else if (c == ',') {
            if (groups == 0 ? run == 0 || run > 3 : run != 3) return false;
            ++groups, run = 0;
        } else {
            break;
        }
    }
    return groups > 0 && run == 3;
}

/// Reads a whole number of one to `most` digits at the front, and takes it off.
std::optional<int> take_digits(std::string_view& s, std::size_t most) {
    std::size_t n = 0;
    while (n < s.size() && n < most && digit(s[n])) ++n;
    if (n == 0) return {};
    int value = 0;
    for (std::size_t i = 0; i < n; ++i) value = 10 * value + (s[i] - '0');
    s.remove_prefix(n);
    return value;
}

bool take(std::string_view& s, std::string_view any) {
    if (s.empty() || any.find(s.front()) == std::string_view::npos) return false;
    s.remove_prefix(1);
    return true;
}

/// "19:17:19.418", "03:02.5", "7:05:09 PM"; anything behind it makes it no clock.
std::optional<double> clock(std::string_view s) {
    const auto first = take_digits(s, 4);
    if (!first || !take(s, ":")) return {};
    const auto second = take_digits(s, 2);
    if (!second || *second > 59) return {};
    double seconds = 0;
    bool three = false;
    if (take(s, ":")) {
        const auto third = take_digits(s, 2);
        if (!third || *third > 60) return {};
        three = true;
        seconds = 3600.0 * *first + 60.0 * *second + *third;
    } else {
        seconds = 60.0 * *first + *second;
    }
    if (take(s, ".,:")) {
        double tenth = 0.1;
        if (s.empty() || !digit(s.front())) return {};
        while (!s.empty() && digit(s.front())) {
            seconds += tenth * (s.front() - '0');
            tenth *= 0.1;
            s.remove_prefix(1);
        }
    }
    s = unquoted(s);
    if (three && s.size() == 2 && lower(s[1]) == 'm' && *first <= 12) {
        if (lower(s[0]) == 'p' && *first < 12) seconds += 12 * 3600.0;
        if (lower(s[0]) == 'a' && *first == 12) seconds -= 12 * 3600.0;
        s = {};
    }
    // A zone, "Z" or "+01:00", moves all stamps alike.
    if (!s.empty() && (s == "Z" || s.front() == '+' || (s.front() == '-' && s.size() > 2))) s = {};
    if (!s.empty()) return {};
    return seconds;
}

/// Days since 1970-01-01 of the Gregorian calendar.
double days(int y, int m, int d) {
    y -= m <= 2 ? 1 : 0;
    const int era = (y >= 0 ? y : y - 399) / 400;
    const int of_era = y - era * 400;
    const int of_year = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + d - 1;
    const int day = of_era * 365 + of_era / 4 - of_era / 100 + of_year;
    return era * 146097.0 + day - 719468.0;
}

/// "2020-01-31T12:00:00.5", "31.01.2020 12:00:00", "1/31/2020 12:00 PM".
std::optional<double> dated(std::string_view s) {
    const bool year_first =
        s.size() > 4 && digit(s[0]) && digit(s[1]) && digit(s[2]) && digit(s[3]);
    const auto a = take_digits(s, year_first ? 4 : 2);
    if (!a || !take(s, "-./")) return {};
    const auto b = take_digits(s, 2);
    if (!b || !take(s, "-./")) return {};
    const auto c = take_digits(s, year_first ? 2 : 4);
    if (!c || !take(s, "T ,")) return {};
    int y = year_first ? *a : *c, m = *b, d = year_first ? *c : *a;
    if (m > 12) std::swap(m, d);
    if (y < 100) y += 2000;
    if (m < 1 || m > 12 || d < 1 || d > 31) return {};
    const auto time = clock(unquoted(s));
    if (!time) return {};
    return 86400.0 * days(y, m, d) + *time;
}

}  // namespace

std::string_view unquoted(std::string_view text) {
    constexpr std::string_view blank = " \t\r\n\"'";
    const std::size_t begin = text.find_first_not_of(blank);
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(blank) - begin + 1);
}

bool is_nothing(std::string_view field) {
    const std::string_view s = unquoted(field);
    if (s.empty()) return true;
    constexpr std::array<std::string_view, 13> words{"-",      "--",      "---",  "nan", "n/a",
                                                     "na",     "null",    "none", "?",   "no data",
                                                     "nodata", "invalid", "err"};
    return std::ranges::any_of(words, [s](std::string_view w) { return same_word(s, w); });
}

std::optional<LogNumber> log_number(std::string_view field, bool decimal_comma) {
    std::string_view s = unquoted(field);
    if (s.empty()) return {};
    if (s.front() == '+') s.remove_prefix(1);
    if (s.empty() ||
        (!digit(s.front()) && s.front() != '-' && s.front() != '.' && s.front() != ',')) {
        if (same_word(s, "on") || same_word(s, "true") || same_word(s, "yes"))
            return LogNumber{1, {}};
        if (same_word(s, "off") || same_word(s, "false") || same_word(s, "no"))
            return LogNumber{0, {}};
        return {};
    }
    std::array<char, 64> plain{};
    std::size_t n = 0, used = 0;
    const bool groups = !decimal_comma && grouped(s);
    for (; used < s.size() && n < plain.size(); ++used) {
        const char c = s[used];
        if (decimal_comma && c == ',') {
            plain[n++] = '.';
        } else if (groups && c == ',') {
            continue;
        } else if (digit(c) || c == '.' || c == '-' || c == '+' || c == 'e' || c == 'E') {
            plain[n++] = c;
        } else {
            break;
        }
    }
    LogNumber out;
    const auto [end, error] = std::from_chars(plain.data(), plain.data() + n, out.value);
    if (error != std::errc{}) return {};
    // What from_chars left, "e" of a unit perhaps, belongs to the unit.
    used -= static_cast<std::size_t>(plain.data() + n - end);
    out.unit = unquoted(s.substr(used));
    if (!out.unit.empty() &&
        (digit(out.unit.front()) || out.unit.front() == '.' || out.unit.front() == ':' ||
         out.unit.front() == ',' || out.unit.front() == '-' || out.unit.size() > 12))
        return {};
    return out;
}

std::optional<LogStamp> log_stamp(std::string_view field, bool decimal_comma) {
    const std::string_view s = unquoted(field);
    if (s.empty() || !digit(s.front())) {
        if (s.empty() || s.front() != '-') return {};
    }
    if (const auto at = dated(s)) return LogStamp{LogStamp::Kind::date, *at};
    if (const auto at = clock(s)) return LogStamp{LogStamp::Kind::clock, *at};
    const auto number = log_number(s, decimal_comma);
    if (!number) return {};
    double scale = 1;
    if (same_word(number->unit, "ms"))
        scale = 1e-3;
    else if (!number->unit.empty() && !same_word(number->unit, "s") &&
             !same_word(number->unit, "sec"))
        return {};
    return LogStamp{LogStamp::Kind::number, scale * number->value};
}

namespace {

struct UnitSpelling {
    std::string_view written, unit;
};
constexpr UnitSpelling spellings[] = {{"°c", "degC"},
                                      {"℃", "degC"},
                                      {"c", "degC"},
                                      {"degc", "degC"},
                                      {"deg.c", "degC"},
                                      {"celsius", "degC"},
                                      {"гр", "degC"},
                                      {"°f", "degF"},
                                      {"℉", "degF"},
                                      {"f", "degF"},
                                      {"degf", "degF"},
                                      {"deg.f", "degF"},
                                      {"fahrenheit", "degF"},
                                      {"k", "K"},
                                      {"km/h", "km/h"},
                                      {"kmh", "km/h"},
                                      {"kph", "km/h"},
                                      {"kmph", "km/h"},
                                      {"км/ч", "km/h"},
                                      {"mph", "mph"},
                                      {"mi/h", "mph"},
                                      {"m/s", "m/s"},
                                      {"rpm", "rev/min"},
                                      {"1/min", "rev/min"},
                                      {"u/min", "rev/min"},
                                      {"tr/min", "rev/min"},
                                      {"min-1", "rev/min"},
                                      {"/min", "rev/min"},
                                      {"r/min", "rev/min"},
                                      {"об/мин", "rev/min"},
                                      {"g/s", "g/s"},
                                      {"gm/s", "g/s"},
                                      {"gs", "g/s"},
                                      {"kg/h", "kg/h"},
                                      {"lb/min", "lb/min"},
                                      {"l/h", "L/h"},
                                      {"l/hr", "L/h"},
                                      {"gph", "gal/h"},
                                      {"gal/hr", "gal/h"},
                                      {"%", "%"},
                                      {"pct", "%"},
                                      {"percent", "%"},
                                      {"kpa", "kPa"},
                                      {"кпа", "kPa"},
                                      {"bar", "bar"},
                                      {"mbar", "mbar"},
                                      {"hpa", "hPa"},
                                      {"psi", "psi"},
                                      {"inhg", "inHg"},
                                      {"m", "m"},
                                      {"м", "m"},
                                      {"ft", "ft"},
                                      {"v", "V"},
                                      {"volt", "V"},
                                      {"volts", "V"},
                                      {"в", "V"},
                                      {"s", "s"},
                                      {"sec", "s"},
                                      {"seconds", "s"},
                                      {"ms", "ms"},
                                      {"msec", "ms"},
                                      {"us", "us"},
                                      {"min", "min"},
                                      {"°", "degree"},
                                      {"deg", "degree"}};

}  // namespace

std::string log_unit(std::string_view text) {
    std::string s{unquoted(text)};
    // The degree sign of Latin-1 read as UTF-8 and written again stands as "Â°".
    for (const std::string_view bad : {"Â°", "Ã‚Â°", "º", "˚"})
        for (std::size_t at = 0; (at = s.find(bad)) != std::string::npos;)
            s.replace(at, bad.size(), "°");
    std::erase_if(s, [](char c) { return c == ' ' || c == '\t'; });
    const std::string small = units::lowered(s);
    for (const UnitSpelling& one : spellings)
        if (small == one.written) return std::string{one.unit};
    return s;
}

}  // namespace lapheat::scenario
