#include "lapheat/results/words.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <string_view>

namespace lapheat::results {
namespace {

/// "-0.0" is "0.0".
std::string unsigned_nothing(std::string text) {
    const bool nothing = text.find_first_of("123456789") == std::string::npos;
    if (nothing && text.starts_with('-')) text.erase(0, 1);
    return text;
}

}  // namespace

std::string fixed(double x, int decimals) {
    if (!std::isfinite(x)) return x != x ? "nan" : x > 0 ? "inf" : "-inf";
    return unsigned_nothing(fmt::format("{:.{}f}", x, decimals));
}

std::string signed_fixed(double x, int decimals) { return fmt::format("{:+.{}f}", x, decimals); }

std::string in_units(double si, units::Quantity quantity, units::System system, int decimals) {
    return fixed(units::to_display(si, quantity, system), decimals);
}

std::string clock(double seconds) {
    if (!std::isfinite(seconds)) return "-";
    const long whole = std::lround(std::max(seconds, 0.0));
    return whole >= 3600 ? fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
                         : fmt::format("{}:{:02}", whole / 60, whole % 60);
}

std::string say_number(double x) {
    if (std::isnan(x)) return "not known";
    if (std::isinf(x)) return x > 0 ? "unlimited" : "minus unlimited";
    const double size = std::abs(x);
    const int decimals = size >= 9.95 || size == 0 ? 0
                         : size >= 0.0995          ? 1
                         : size >= 0.00995         ? 2
                                                   : 3;
    std::string out = fixed(x, decimals);
    if (out.find_first_not_of("0.") == std::string::npos) return "0";
    if (out.size() > 2 && out.ends_with(".0")) out.resize(out.size() - 2);
    if (out[0] == '-') out.replace(0, 1, "−");
    return out;
}

std::string say(double x, units::Quantity quantity, units::System system) {
    const std::string unit = unit_word(quantity, system);
    const std::string number = say_number(units::to_display(x, quantity, system));
    return unit.empty() || !std::isfinite(x) ? number : number + " " + unit;
}

std::string figure(double x, units::Quantity quantity, units::System system, int digits) {
    constexpr double small = 0.02;  // m², below which a square foot is no measure
    const bool little = quantity == units::Quantity::area && std::abs(x) < small;
    std::string number;
    if (little) {
        number =
            fmt::format("{:.{}g}", system == units::System::us ? x / 0.00064516 : x * 1e4, digits);
    } else {
        const std::string text = units::format(x, quantity, system, digits);
        number = text.substr(0, text.find(' '));
        if (number.find('.') != std::string::npos && number.find('e') == std::string::npos) {
            number.erase(number.find_last_not_of('0') + 1);
            if (number.back() == '.') number.pop_back();
        }
    }
    const std::string unit = !little                       ? unit_word(quantity, system)
                             : system == units::System::us ? "in²"
                                                           : "cm²";
    return unit.empty() ? number : number + ' ' + unit;
}

double far_unit(units::System system) noexcept {
    return system == units::System::us ? 0.3048 : 1.0;
}

std::string say_length(double metres, units::System system) {
    const bool si = system == units::System::si;
    if (metres < (si ? 1.0 : 0.9144)) return say(metres, units::Quantity::length, system);
    return say_number(metres / far_unit(system)) + (si ? " m" : " ft");
}

std::string say_time(double seconds) {
    if (seconds < 90) return say_number(seconds) + " s";
    const auto minutes = static_cast<long>(std::lround(seconds / 60));
    if (minutes < 90) return fmt::format("{} min", minutes);
    return fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

std::string percent(double share) { return say_number(std::round(100 * share)) + " %"; }

std::string unit_word(units::Quantity quantity, units::System system) {
    std::string unit = units::display_unit(quantity, system);
    using Pair = std::pair<std::string_view, std::string_view>;
    for (const auto& [from, to] : {Pair{"ft3/min", "cfm"}, Pair{"delta_", ""}, Pair{"degC", "°C"},
                                   Pair{"degF", "°F"}, Pair{"inch2", "in²"}, Pair{"m3", "m³"},
                                   Pair{"ft3", "ft³"}, Pair{"m2", "m²"}, Pair{"ft2", "ft²"}}) {
        const auto at = unit.find(from);
        if (at != std::string::npos) unit.replace(at, from.size(), to);
    }
    return unit;
}

std::string with_unit(const std::string& words, units::Quantity quantity, units::System system) {
    return words + ", " + unit_word(quantity, system);
}

std::string sentence_case(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string plain_name(std::string name) {
    std::replace(name.begin(), name.end(), '_', ' ');
    return name;
}

std::string key_over(std::string_view key) {
    std::string out;
    bool quoted = false;
    for (const char c : key) {
        quoted = quoted != (c == '"');
        if (quoted || (c != '[' && c != ']'))
            out += c;
        else if (c == '[')
            out += '.';
    }
    return out;
}

std::string listed(const std::vector<std::string>& parts) {
    std::string out;
    for (std::size_t i = 0; i < parts.size(); ++i)
        out += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
    return out;
}

}  // namespace lapheat::results
