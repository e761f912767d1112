#include "words.hpp"

#include <array>
#include <cmath>
#include <cstdio>

namespace lapheat::study {

std::string say_number(double x) {
    if (std::isnan(x)) return "not known";
    if (std::isinf(x)) return x > 0 ? "unlimited" : "minus unlimited";
    const double size = std::abs(x);
    const int decimals = size >= 9.95 || size == 0 ? 0
                         : size >= 0.0995          ? 1
                         : size >= 0.00995         ? 2
                                                   : 3;
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%.*f", decimals, x);
    std::string out = text.data();
    // No "-0.0": what rounds to nothing has no sign.
    if (out.find_first_not_of("-0.") == std::string::npos) return "0";
    if (out.size() > 2 && out.ends_with(".0")) out.resize(out.size() - 2);
    if (out[0] == '-') out.replace(0, 1, "−");
    return out;
}

std::string unit_word(units::Quantity quantity, units::System system) {
    std::string unit = units::display_unit(quantity, system);
    for (const auto& [from, to] :
         {std::pair{"delta_", ""}, std::pair{"degC", "°C"}, std::pair{"degF", "°F"},
          std::pair{"m3", "m³"}, std::pair{"ft3", "ft³"}, std::pair{"m2", "m²"},
          std::pair{"inch2", "in²"}}) {
        const auto at = unit.find(from);
        if (at != std::string::npos) unit.replace(at, std::string(from).size(), to);
    }
    return unit;
}

std::string say(double x, units::Quantity quantity, units::System system) {
    const std::string unit = unit_word(quantity, system);
    const std::string number = say_number(units::to_display(x, quantity, system));
    return unit.empty() || !std::isfinite(x) ? number : number + " " + unit;
}

std::string say_length(double metres, units::System system) {
    const bool short_one = metres < (system == units::System::si ? 1.0 : 0.9144);
    if (short_one) return say(metres, units::Quantity::length, system);
    return system == units::System::si ? say_number(metres) + " m"
                                       : say_number(metres / 0.3048) + " ft";
}

std::string say_time(double seconds) {
    if (seconds < 90) return say_number(seconds) + " s";
    const auto minutes = static_cast<long>(std::lround(seconds / 60));
    if (minutes < 90) return std::to_string(minutes) + " min";
    return std::to_string(minutes / 60) + " h " + std::to_string(minutes % 60) + " min";
}

std::string percent(double share) { return say_number(std::round(100 * share)) + " %"; }

std::string sentence_case(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string plain_name(std::string name) {
    for (char& c : name)
        if (c == '_') c = ' ';
    return name;
}

}  // namespace lapheat::study
