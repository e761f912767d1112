#include "new_answers.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <optional>

#include "lapheat/drive/tyre.hpp"
#include "lapheat/scenario/registry.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/spellings.hpp"
#include "lapheat/units/text.hpp"
#include "plain_words.hpp"

namespace lapheat::app {
namespace {

using scenario::Key;

bool among(std::string_view word, std::initializer_list<std::string_view> words) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

bool all_digits(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(),
                                        [](unsigned char c) { return std::isdigit(c) != 0; });
}

int number_of(std::string_view digits) {
    int n = -1;
    std::from_chars(digits.data(), digits.data() + digits.size(), n);
    return n;
}

/// Without articles.
std::vector<std::string> words_of_answer(std::string_view said) {
    std::vector<std::string> out = plain_words(said);
    std::erase_if(out, [](const std::string& word) { return among(word, {"a", "an", "the"}); });
    return out;
}

/// The same without what an article of trade is called besides, and each in the singular.
std::string plain_kind(std::string_view said) {
    std::string out;
    for (const std::string& each : words_of_answer(said)) {
        const std::string word = singular(each);
        if (!among(word, {"cooler", "core", "gearbox", "transmission", "type"}))
            out += (out.empty() ? "" : " ") + word;
    }
    return out;
}

std::string yes_or_no(std::string_view said) {
    const std::string word = units::lowered(said);
    return among(word, {"yes", "y", "with", "yep"})              ? "true"
           : among(word, {"no", "n", "none", "without", "nope"}) ? "false"
                                                                 : word;
}

/// A count among words that say nothing else: "two", "V8", "straight six", "4 speeds".
std::string count(std::string_view said) {
    constexpr std::string_view counts[] = {"one",   "two",   "three", "four", "five",   "six",
                                           "seven", "eight", "nine",  "ten",  "eleven", "twelve"};
    std::string found;
    for (const std::string& word : words_of_answer(said)) {
        if (among(word, {"straight", "inline", "flat", "cyl", "cylinder", "cylinders", "speed",
                         "speeds", "gear", "gears", "fan", "fans", "row", "rows", "v", "i", "l"}))
            continue;
        const std::string_view told = word == "single" ? std::string_view("one")
                                      : among(word, {"twin", "dual", "pair"})
                                          ? std::string_view("two")
                                          : std::string_view(word);
        const auto* spelt = std::find(std::begin(counts), std::end(counts), told);
        const bool engine = among(word.substr(0, 1), {"v", "i", "l"});
        const std::string digits = spelt != std::end(counts)
                                       ? std::to_string(spelt - std::begin(counts) + 1)
                                   : engine ? word.substr(1)
                                            : word;
        if (!found.empty() || !all_digits(digits)) return std::string(said);
        found = digits;
    }
    return found.empty() || said.find_first_of("-.,") == 0 ? std::string(said) : found;
}

/// The one number of four digits in it that can be a year of a car.
std::optional<int> year(std::string_view said) {
    std::optional<int> found;
    for (const std::string& word : words_of_answer(said)) {
        if (std::none_of(word.begin(), word.end(), [](unsigned char c) { return std::isdigit(c); }))
            continue;
        const int n = all_digits(word) ? number_of(word) : -1;
        if (found || n < 1900 || n > 2100) return std::nullopt;
        found = n;
    }
    return found;
}

/// Between the years to which the eras reach, the nearer of the two.
std::optional<Answer> era(std::string_view said) {
    const std::optional<int> n = year(said);
    if (!n) return std::nullopt;
    constexpr int classic_until = 1980, modern_since = 1995;  // as the key's own words say
    Answer out{2 * *n < classic_until + modern_since ? "classic" : "modern"};
    out.note = std::to_string(*n);
    if (*n > classic_until && *n < modern_since)
        out.note += ", between the two: the nearer; friction_level, wall_heat_level tell it finer";
    return out;
}

std::string choice(const Key& key, std::string_view said) {
    constexpr std::pair<std::string_view, std::string_view> trade[] = {
        {"auto", "automatic"},
        {"stick", "manual"},
        {"stick shift", "manual"},
        {"bar and plate", "bar_plate"},
        {"plate and bar", "bar_plate"},
        {"stacked plate", "louvred"},
        {"louvered", "louvred"},
        {"tube", "plate_fin"},
        {"round tube", "plate_fin"},
        {"tube and fin", "plate_fin"},
        {"tube through fin", "plate_fin"}};
    const std::string kind = plain_kind(said);
    for (const scenario::Word& word : scenario::words_of(key)) {
        if (kind == plain_kind(word.name) || kind == plain_kind(word.help))
            return std::string(word.name);
        for (const auto& [called, name] : trade)
            if (kind == called && word.name == name) return std::string(name);
    }
    return std::string(said);
}

bool bare_number(std::string_view text) {
    return !text.empty() && std::isdigit(static_cast<unsigned char>(text.front())) != 0 &&
           text.find_first_not_of("0123456789.,") == std::string_view::npos;
}

/// "105" of "105 degrees", which leaves open of which.
std::string_view without_degrees(const Key& key, std::string_view said) {
    if (key.quantity == units::Quantity::temperature)
        for (const std::string_view word : {"degrees", "degree", "deg", "\u00b0"})
            if (said.ends_with(word))
                return units::trimmed(said.substr(0, said.size() - word.size()));
    return said;
}

/// What an error of units says, with an example; one that tells what to write expects nothing else.
std::string what_to_write(const Error& e) {
    return e.expected().empty() ? e.what() : std::string(e.what()) + "; write " + e.expected();
}

/// Those of the trade's in which the bare number is what cars have.
std::vector<std::string> units_that_fit(const Key& key, std::string_view number) {
    std::vector<std::string> out;
    for (const std::string_view unit : trade_units(key.quantity))
        if (as_cars_have(key, std::string(number) + ' ' + std::string(unit)))
            out.emplace_back(unit);
    return out;
}

/// "125 kW at 6000 rev/min"; a bare number behind it counts turns in a minute.
Answer power_at_speed(std::string_view said) {
    const std::string low = units::lowered(said);
    std::size_t at = low.find(" at "), behind = at + 4;
    if (at == std::string::npos) at = low.find('@'), behind = at + 1;
    if (at == std::string::npos) return {std::string(said)};
    std::string speed(units::trimmed(said.substr(behind)));
    if (speed.find_first_not_of("0123456789,") == std::string::npos) speed += " rev/min";
    return {std::string(units::trimmed(said.substr(0, at))), {{"peak_power_speed", speed}}};
}

}  // namespace

std::span<const std::string_view> trade_units(units::Quantity quantity) {
    using units::Quantity;
    static constexpr std::string_view length[] = {"inch", "mm", "cm", "m"},
                                      volume[] = {"L", "cc", "cid"}, power[] = {"hp", "kW"},
                                      turns[] = {"rpm"}, mass[] = {"lb", "kg"},
                                      temperature[] = {"degC", "degF"}, air[] = {"cfm", "m3/h"},
                                      fins[] = {"fpi", "1/cm"};
    switch (quantity) {
        case Quantity::length:
            return length;
        case Quantity::volume:
            return volume;
        case Quantity::power:
            return power;
        case Quantity::angular_speed:
            return turns;
        case Quantity::mass:
            return mass;
        case Quantity::temperature:
            return temperature;
        case Quantity::air_flow:
            return air;
        case Quantity::per_length:
            return fins;
        default:
            return {};
    }
}

bool as_cars_have(const Key& key, const std::string& text) {
    try {
        const double value = units::parse_doubted(text, key.quantity).value;
        return key.range.holds(value) && key.usual_range.holds(value);
    } catch (const Error&) {
        return false;
    }
}

std::string unit_wanted(const Key& key, std::string_view answer) {
    const std::string_view said = without_degrees(key, answer);
    const auto known = trade_units(key.quantity);
    if (key.type != Key::Type::quantity || known.empty() || !bare_number(said)) return {};
    std::vector<std::string> fit = units_that_fit(key, said);
    if (fit.size() == 1) return {};
    if (fit.empty()) fit.assign(known.begin(), known.end());
    std::string which;
    for (const std::string& unit : fit) which += (which.empty() ? "" : " or ") + unit;
    return "in " + which + "? Write " + std::string(said) + ' ' + fit.front();
}

Answer understood(const Key& key, std::string_view said) {
    const std::string_view number = without_degrees(key, said);
    if (key.type == Key::Type::quantity && bare_number(number))
        if (const auto fit = units_that_fit(key, number); fit.size() == 1)
            return {std::string(number) + ' ' + fit[0], {}, {}, true};
    if (key.type == Key::Type::boolean) return {yes_or_no(said)};
    if (key.type == Key::Type::integer) return {count(said)};
    if (key.name == "peak_power") return power_at_speed(said);
    if (key.name == "era")
        if (auto of_year = era(said)) return *of_year;
    if (key.type == Key::Type::choice) return {choice(key, said)};
    return {std::string(said)};
}

std::string wrong(const Key& key, const std::string& text) {
    if (const std::string which = unit_wanted(key, text); !which.empty()) return which;
    try {
        if (key.type == Key::Type::quantity) {
            if (!key.range.holds(units::parse_doubted(text, key.quantity).value))
                return "not " + scenario::range_words(key);
        } else if (key.type == Key::Type::integer) {
            if (!all_digits(text) || !key.range.holds(number_of(text)))
                return "not " + scenario::described(key);
        } else if (key.type == Key::Type::boolean) {
            if (text != "true" && text != "false") return "not yes or no";
        } else if (key.type == Key::Type::choice) {
            for (const scenario::Word& word : scenario::words_of(key))
                if (word.name == text) return {};
            return "not " + scenario::described(key) + (key.name == "era" ? ", or a year" : "");
        }
    } catch (const Error& e) {
        return what_to_write(e);
    }
    try {
        if (key.name == "tyre") (void)drive::tyre_size(text);
        if (key.name == "line" && !units::dash_size(text))
            (void)units::parse(text, units::Quantity::length);
    } catch (const Error& e) {
        return what_to_write(e);
    }
    return text.find_first_of("\\\n") == std::string::npos ? "" : "no backslashes";
}

}  // namespace lapheat::app
