// Text with a unit to SI, through UDUNITS-2.
#include <udunits2.h>

#include <cctype>
#include <cmath>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <utility>

#include "lapheat/units/spellings.hpp"
#include "spelling.hpp"

namespace lapheat::units {
namespace {

using std::string;
using std::string_view;

/// SI value = value · factor + offset.
struct Scale {
    double factor = 1, offset = 0;
};

struct FreeUnit {
    void operator()(ut_unit* unit) const { ut_free(unit); }
};
using Unit = std::unique_ptr<ut_unit, FreeUnit>;

string with_article(const string& text) {
    const bool vowel = string_view("aeiou").find(text[0]) != string_view::npos;
    return (vowel ? "an " : "a ") + text;
}

/// UDUNITS is not thread-safe, so one mutex guards the database and what has been parsed.
class Database {
  public:
    Database() {
        ut_set_error_message_handler(ut_ignore);
        system_ = ut_read_xml(nullptr);
        if (system_ == nullptr)
            throw Error("the UDUNITS-2 unit database cannot be read",
                        "its XML files, in Debian's package libudunits2-data");
        add_trade_names();
        for (const Quantity quantity : all_quantities()) si_.push_back(read(si_unit(quantity)));
    }
    ~Database() {
        si_.clear();
        ut_free_system(system_);
    }
    Database(const Database&) = delete;
    Database& operator=(const Database&) = delete;

    /// Empty when the unit is unknown or measures something else.
    std::optional<Scale> scale(const string& unit, Quantity quantity) {
        const std::lock_guard lock(mutex_);
        const auto key = std::make_pair(unit, quantity);
        if (const auto found = scales_.find(key); found != scales_.end()) return found->second;
        std::optional<Scale> result;
        Unit parsed = read(unit);
        if (!parsed || !measures(parsed.get(), quantity))
            if (const auto known = spelled(unit, quantity)) parsed = read(*known);
        if (parsed && measures(parsed.get(), quantity)) {
            cv_converter* converter = ut_get_converter(parsed.get(), si_of(quantity));
            const double zero = cv_convert_double(converter, 0.0);
            const double one = cv_convert_double(converter, 1.0);
            cv_free(converter);
            result = Scale{one - zero, quantity == Quantity::temperature ? zero : 0.0};
        }
        // A limit, so that a program fed with garbage does not grow.
        if (scales_.size() < 4096) scales_.emplace(key, result);
        return result;
    }

    string describe(const string& unit) {
        const std::lock_guard lock(mutex_);
        const Unit parsed = read(unit);
        if (parsed)
            for (const Quantity quantity : all_quantities())
                if (measures(parsed.get(), quantity))
                    return quantity == Quantity::energy ? "an energy or a torque"
                                                        : with_article(name(quantity));
        if (const auto other = spelled_quantity(unit)) return with_article(name(*other));
        if (!parsed) return {};
        const string base = base_units(parsed.get());
        return high_powers(base) ? string() : "something in " + base;
    }

  private:
    [[nodiscard]] Unit read(const string& text) const {
        return Unit(ut_parse(system_, text.c_str(), UT_UTF8));
    }
    [[nodiscard]] ut_unit* si_of(Quantity quantity) const {
        return si_[static_cast<std::size_t>(quantity)].get();
    }

    /// Letters that happen to be units, "litre V8", give powers that nothing is measured in.
    static bool high_powers(const string& base) {
        constexpr int highest = 4;  // of the second of a conductance, as of any quantity here
        for (std::size_t at = 0; (at = base.find_first_of("0123456789", at)) != string::npos;) {
            const std::size_t end = std::min(base.find_first_not_of("0123456789", at), base.size());
            if (end - at > 1 || base[at] - '0' > highest) return true;
            at = end;
        }
        return false;
    }

    static string base_units(const ut_unit* unit) {
        char buffer[256];
        const int n = ut_format(unit, buffer, sizeof buffer, UT_ASCII | UT_DEFINITION);
        if (n < 0) return "unknown units";
        string text(buffer, static_cast<std::size_t>(n));
        if (const auto space = text.find(' '); space != string::npos) text.erase(0, space + 1);
        return text;
    }

    /// UDUNITS takes the radian for a number, so that 50 Hz would pass for 50 rad/s, and converts
    /// between a unit and its reciprocal.
    [[nodiscard]] bool measures(const ut_unit* unit, Quantity quantity) const {
        if (ut_are_convertible(unit, si_of(quantity)) == 0) return false;
        cv_converter* converter = ut_get_converter(const_cast<ut_unit*>(unit), si_of(quantity));
        const double zero = cv_convert_double(converter, 0.0);
        cv_free(converter);
        if (!std::isfinite(zero)) return false;
        const auto turns = [](const string& text) { return text.find("rad") != string::npos; };
        return turns(base_units(unit)) == turns(si_unit(quantity));
    }

    /// Names that car builders write and UDUNITS lacks, reads as something else (gal, mph) or
    /// rounds (hp, gallon). Definitions: NIST SP 811, appendix B.
    void add_trade_names() {
        static constexpr std::pair<const char*, const char*> names[] = {
            {"gal", "3.785411784e-3 m3"},
            {"gallon", "3.785411784e-3 m3"},
            {"gallons", "3.785411784e-3 m3"},
            {"imp_gal", "4.54609e-3 m3"},
            {"qt", "0.946352946e-3 m3"},
            {"quart", "0.946352946e-3 m3"},
            {"quarts", "0.946352946e-3 m3"},
            {"oz", "2.95735295625e-5 m3"},
            {"fluid_ounce", "2.95735295625e-5 m3"},
            {"avoirdupois_ounce", "0.028349523125 kg"},
            {"gpm", "3.785411784e-3 m3/min"},
            {"lpm", "1e-3 m3/min"},
            {"cfm", "ft3/min"},
            {"mph", "0.44704 m/s"},
            {"kph", "km/h"},
            {"rev", "revolution"},
            {"deg", "arc_degree"},
            {"hp", "745.69987158227022 W"},
            {"horsepower", "745.69987158227022 W"},
            {"metric_hp", "735.49875 W"},
            {"cP", "1e-3 Pa s"},
            {"Wh", "3600 J"},
            {"Ah", "3600 A s"},
            {"inH2O", "249.08891 Pa"},
            {"mmH2O", "9.80665 Pa"},
            {"delta_degC", "K"},
            {"delta_degF", "0.55555555555555556 K"},
            {"degC", "K @ 273.15"},
            {"degF", "0.55555555555555556 K @ 459.67"}};
        for (const auto& [text, definition] : names) {
            const Unit unit = read(definition);
            ut_unmap_name_to_unit(system_, text, UT_UTF8);
            ut_unmap_symbol_to_unit(system_, text, UT_UTF8);
            ut_map_symbol_to_unit(text, UT_UTF8, unit.get());
        }
        // Feet and inches to whoever builds a car; angles to UDUNITS.
        for (const char* mark : {"'", "\"", "\u2032", "\u2033"})
            ut_unmap_symbol_to_unit(system_, mark, UT_UTF8);
    }

    std::mutex mutex_;
    ut_system* system_ = nullptr;
    std::vector<Unit> si_;
    std::map<std::pair<string, Quantity>, std::optional<Scale>> scales_;
};

Database& database() {
    static Database instance;
    return instance;
}

string expectation(Quantity quantity) {
    return with_article(name(quantity)) + " such as \"" + example(quantity) + '"';
}

/// UDUNITS would read "3 1/2 inch" as 3 times half an inch and "8 mm @ 3" with an origin. Here a
/// digit may only be an exponent, or the 1 of "1/inch".
bool is_plain_unit(string_view unit) {
    if (unit.substr(0, 2) == "1/") unit.remove_prefix(2);
    char previous = ' ';
    for (const char c : unit) {
        const bool digit = std::isdigit(static_cast<unsigned char>(c)) != 0;
        if (digit && (previous == ' ' || previous == '/' || previous == '(' || previous == '*' ||
                      previous == '.'))
            return false;
        if (c == '@' || c == ':' || c == ',' || c == ';') return false;
        previous = c;
    }
    return !unit.empty();
}

double convert(double value, string_view unit_text, Quantity quantity, string_view shown) {
    string unit(trimmed(unit_text));
    if (unit.empty()) {
        if (quantity == Quantity::ratio) return value;
        throw Error("'" + string(shown) + "' has no unit", expectation(quantity));
    }
    if (const string write = uncertain(unit, quantity); !write.empty())
        throw Error("'" + string(shown) + "' is not certain here; " + write);
    if (unit[0] == '/') unit = string("1").append(unit);
    if (!is_plain_unit(unit))
        throw Error("'" + string(shown) + "' is not one number and one unit",
                    expectation(quantity));
    const auto scale = database().scale(unit, quantity);
    if (!scale) {
        const string what = database().describe(unit);
        if (what.empty())
            throw Error("'" + unit + "' is not a known unit in '" + string(shown) + "'",
                        expectation(quantity));
        throw Error("'" + string(shown) + "' is " + what, expectation(quantity));
    }
    const double si = value * scale->factor + scale->offset;
    if (!std::isfinite(si))
        throw Error("'" + string(shown) + "' is not a finite number", expectation(quantity));
    if (quantity == Quantity::temperature && si < 0)
        throw Error("'" + string(shown) + "' is below absolute zero", expectation(quantity));
    return si;
}

/// Units in the words of one part of "3 ft 6 in": letters, marks and points.
bool is_word(string_view unit) {
    for (const char c : unit)
        if (std::isalpha(static_cast<unsigned char>(c)) == 0 && c != '"' && c != '\'' && c != '.')
            return false;
    return !unit.empty();
}

/// "3 ft 6 1/2 in", "5'-3\"", "1 h 20 min": whole numbers of ever smaller units, the last with
/// decimals or a fraction, none as large as one of the unit before. Nothing if the text is one
/// number and one unit.
std::optional<double> in_parts(NumberText part, Quantity quantity, string_view shown) {
    double sum = 0, before = 0;
    for (int count = 0;; ++count) {
        const std::size_t next = part.rest.find_first_of("0123456789");
        string_view unit = trimmed(part.rest.substr(0, next));
        if (next != string_view::npos && (unit.ends_with('-') || unit.ends_with(',')))
            unit = trimmed(unit.substr(0, unit.size() - 1));
        if (count == 0 && (next == string_view::npos || !is_word(unit))) return std::nullopt;
        const bool last = next == string_view::npos;
        const double one = is_word(unit) ? convert(1, unit, quantity, shown) : before;
        const bool fits = count == 0 || (one < before && part.value * one < before);
        if (!fits || part.value < 0 || (!last && part.value != std::floor(part.value)))
            throw Error("'" + string(shown) + "' is not one number and one unit",
                        expectation(quantity) + ", or parts such as \"" +
                            (kind_of(quantity) == Quantity::length ? "3 ft 6 in"
                             : quantity == Quantity::time          ? "1 h 20 min"
                                                                   : "2 lb 4 oz") +
                            '"');
        sum += part.value * one;
        if (last) return sum;
        before = one;
        part = *leading_number(part.rest.substr(next));
        if (kind_of(quantity) == Quantity::length) part = with_fraction(part);
    }
}

double parse_plain(string_view shown, Quantity quantity) {
    const Quantity kind = kind_of(quantity);
    if (kind == Quantity::length && dash_size(shown))
        throw Error("'" + string(shown) + "' is a size as sold, not a length",
                    expectation(quantity) + "; a size goes with the keys `size` and `line`");
    std::optional<NumberText> number = leading_number(shown);
    if (!number)
        throw Error(shown.empty() ? string("the text is empty")
                                  : "'" + string(shown) + "' does not start with a number",
                    expectation(quantity));
    if (kind == Quantity::length || quantity == Quantity::volume) number = with_fraction(*number);
    if (kind == Quantity::length || quantity == Quantity::time || quantity == Quantity::mass)
        if (const auto sum = in_parts(*number, quantity, shown)) return *sum;
    return convert(number->value, number->rest, quantity, shown);
}

}  // namespace

double parse(string_view text, Quantity quantity) {
    const string shown = plain_characters(text);
    try {
        return parse_plain(shown, quantity);
    } catch (const Error& e) {
        if (!e.expected().empty()) throw;
        throw Error(e.what(), expectation(quantity));
    }
}

double to_si(double value, string_view unit, Quantity quantity) {
    return convert(value, unit, quantity, trimmed(unit));
}

string describe(string_view unit) { return database().describe(string(trimmed(unit))); }

}  // namespace lapheat::units
