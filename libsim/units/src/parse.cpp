// Text with a unit to SI, through UDUNITS-2.
#include <udunits2.h>

#include <cctype>
#include <charconv>
#include <cmath>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <utility>

#include "lapheat/units/units.hpp"

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
        if (const Unit parsed = read(unit); parsed && measures(parsed.get(), quantity)) {
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
        if (!parsed) return {};
        for (const Quantity quantity : all_quantities()) {
            if (!measures(parsed.get(), quantity)) continue;
            if (quantity == Quantity::energy) return "an energy or a torque";
            const string text = name(quantity);
            const bool vowel = string_view("aeiou").find(text[0]) != string_view::npos;
            return (vowel ? "an " : "a ") + text;
        }
        return "something in " + base_units(parsed.get());
    }

  private:
    [[nodiscard]] Unit read(const string& text) const {
        return Unit(ut_parse(system_, text.c_str(), UT_UTF8));
    }
    [[nodiscard]] ut_unit* si_of(Quantity quantity) const {
        return si_[static_cast<std::size_t>(quantity)].get();
    }

    static string base_units(const ut_unit* unit) {
        char buffer[256];
        const int n = ut_format(unit, buffer, sizeof buffer, UT_ASCII | UT_DEFINITION);
        if (n < 0) return "unknown units";
        string text(buffer, static_cast<std::size_t>(n));
        if (const auto space = text.find(' '); space != string::npos) text.erase(0, space + 1);
        return text;
    }

    /// UDUNITS takes the radian for a number, so that 50 Hz would pass for 50 rad/s.
    [[nodiscard]] bool measures(const ut_unit* unit, Quantity quantity) const {
        if (ut_are_convertible(unit, si_of(quantity)) == 0) return false;
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
            {"qt", "0.946352946e-3 m3"},
            {"gpm", "3.785411784e-3 m3/min"},
            {"lpm", "1e-3 m3/min"},
            {"cfm", "ft3/min"},
            {"mph", "0.44704 m/s"},
            {"kph", "km/h"},
            {"rev", "revolution"},
            {"deg", "arc_degree"},
            {"hp", "745.69987158227022 W"},
            {"horsepower", "745.69987158227022 W"},
            {"cP", "1e-3 Pa s"},
            {"Wh", "3600 J"},
            {"Ah", "3600 A s"},
            {"inH2O", "249.08891 Pa"},
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

string_view trimmed(string_view text) {
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front())) != 0)
        text.remove_prefix(1);
    while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back())) != 0)
        text.remove_suffix(1);
    return text;
}

string expectation(Quantity quantity) {
    const string text = name(quantity);
    const bool vowel = string_view("aeiou").find(text[0]) != string_view::npos;
    return (vowel ? "an " : "a ") + text + " such as \"" + example(quantity) + '"';
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

/// "lb ft" is a pound mass times a foot to UDUNITS; as a torque, everyone means pound-force.
string with_pound_force(const string& unit) {
    for (const char* text :
         {"lb ft", "lb-ft", "lbft", "ft lb", "ft-lb", "lb.ft", "ft.lb", "ft-lbf"})
        if (unit == text) return "lbf ft";
    for (const char* text : {"lb in", "lb-in", "in lb", "in-lb"})
        if (unit == text) return "lbf in";
    return unit;
}

string hint(string_view unit) {
    if (unit == "F" || unit == "f") return "; write degF for Fahrenheit";
    if (unit == "C" || unit == "c") return "; write degC for Celsius";
    if (unit == "psig" || unit == "psia") return "; write psi, the key says gauge or absolute";
    return {};
}

double convert(double value, string_view unit_text, Quantity quantity, string_view shown) {
    string unit(trimmed(unit_text));
    if (unit.empty()) {
        if (quantity == Quantity::ratio) return value;
        throw Error("'" + string(shown) + "' has no unit", expectation(quantity));
    }
    if (quantity == Quantity::torque) unit = with_pound_force(unit);
    if (unit[0] == '/') unit = string("1").append(unit);
    if (!is_plain_unit(unit))
        throw Error("'" + string(shown) + "' is not one number and one unit",
                    expectation(quantity));
    const auto scale = database().scale(unit, quantity);
    if (!scale) {
        const string what = database().describe(unit);
        if (what.empty())
            throw Error(
                "'" + unit + "' is not a known unit in '" + string(shown) + "'" + hint(unit),
                expectation(quantity));
        throw Error("'" + string(shown) + "' is " + what + hint(unit), expectation(quantity));
    }
    const double si = value * scale->factor + scale->offset;
    if (!std::isfinite(si))
        throw Error("'" + string(shown) + "' is not a finite number", expectation(quantity));
    if (quantity == Quantity::temperature && si < 0)
        throw Error("'" + string(shown) + "' is below absolute zero", expectation(quantity));
    return si;
}

/// Lengths as sold: "5/16 inch", "1 1/2 inch", "1-1/4 inch". `value` is what stood before `rest`,
/// which gives up what belongs to the fraction. Anything else is left to be refused.
double with_fraction(double value, string_view& rest) {
    const auto whole = [](string_view& text, double& out) {
        unsigned n = 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), n);
        if (error != std::errc{} || n == 0) return false;
        text.remove_prefix(static_cast<std::size_t>(end - text.data()));
        out = n;
        return true;
    };
    if (value != std::floor(value) || value < 0 || rest.empty()) return value;
    string_view ahead = rest;
    double top = value, bottom = 0, plus = 0;
    if (ahead.front() == ' ' || ahead.front() == '-') {
        ahead.remove_prefix(1);
        plus = value;
        if (!whole(ahead, top)) return value;
    }
    if (ahead.empty() || ahead.front() != '/') return value;
    ahead.remove_prefix(1);
    if (!whole(ahead, bottom) || top >= bottom || ahead.empty() || ahead.front() != ' ')
        return value;
    rest = ahead;
    return plus + top / bottom;
}

}  // namespace

double parse(string_view text, Quantity quantity) {
    const string_view shown = trimmed(text);
    string_view rest = shown;
    if (!rest.empty() && rest.front() == '+') rest.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    if (error == std::errc::invalid_argument || !std::isfinite(value))
        throw Error(shown.empty() ? string("the text is empty")
                                  : "'" + string(shown) + "' does not start with a number",
                    expectation(quantity));
    if (error == std::errc::result_out_of_range)
        throw Error("'" + string(shown) + "' is too large or too small a number",
                    expectation(quantity));
    rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
    if (quantity == Quantity::length) value = with_fraction(value, rest);
    return convert(value, rest, quantity, shown);
}

double to_si(double value, string_view unit, Quantity quantity) {
    return convert(value, unit, quantity, trimmed(unit));
}

string describe(string_view unit) { return database().describe(string(trimmed(unit))); }

}  // namespace lapheat::units
