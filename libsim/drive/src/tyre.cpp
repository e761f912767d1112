#include <lapheat/drive/tyre.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>
#include <regex>
#include <string>

namespace lapheat::drive {

double TyreSize::rolling_radius() const {
    return (radial ? 3.05 : 2.99) * diameter() / (2 * std::numbers::pi);
}

TyreSize tyre_size(std::string_view given) {
    static const std::regex form(
        R"(\s*(?:P|LT)?\s*(\d{3})(?:\s*/\s*(\d{2}))?\s*[A-Z]?\s*([RDB-])\s*(\d{2}(?:\.5)?)(?:\s.*)?)",
        std::regex::icase);
    const std::string text(given);
    std::smatch part;
    const auto wrong = [&] {
        return Error("\"" + text + "\" is not a tyre size",
                     "width in mm / height in % R rim in inches, as on its wall: \"225/50R16\"", {},
                     "tyre");
    };
    if (!std::regex_match(text, part, form)) throw wrong();
    TyreSize size;
    size.width = 1e-3 * std::stod(part[1]);
    size.aspect = part[2].matched ? 1e-2 * std::stod(part[2]) : 0.82;
    size.rim_diameter = 25.4e-3 * std::stod(part[4]);
    size.radial = part[3] == "R" || part[3] == "r";
    const bool in_range = size.width >= 0.105 && size.width <= 0.455 && size.aspect >= 0.2 &&
                          size.aspect <= 0.95 && size.rim_diameter >= 9.9 * 25.4e-3 &&
                          size.rim_diameter <= 26.1 * 25.4e-3;
    if (!in_range) throw wrong();
    return size;
}

}  // namespace lapheat::drive
