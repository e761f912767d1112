// The generic oils, and liquids by name.
#include <algorithm>

#include "lapheat/fluids/liquids.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/error.hpp"
#include "lapheat/units/text.hpp"

namespace lapheat::fluids {
namespace {

constexpr double celsius = constants::zero_celsius;

OilSheet generic(const char* name, double at_40, double at_100, double density, double pour) {
    OilSheet s;
    s.name = name;
    s.viscosity_1 = {celsius + 40, at_40 * 1e-6};
    s.viscosity_2 = {celsius + 100, at_100 * 1e-6};
    s.density_1 = {celsius + 15, density};
    s.pour_point = celsius + pour;
    return s;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t substituted = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({row[j] + 1, row[j - 1] + 1, substituted});
        }
    }
    return row.back();
}

}  // namespace

// Mid-range of what such fluids are sold with; common practice, no source.
OilSheet transmission_fluid_sheet() {
    return generic("generic transmission fluid", 34, 7.2, 850, -45);
}

OilSheet steering_fluid_sheet() { return generic("generic steering fluid", 36, 7.3, 865, -42); }

OilSheet engine_oil_sheet() { return generic("generic engine oil", 62, 10.6, 855, -39); }

namespace {

constexpr const char* also_coolant[] = {"coolant", "antifreeze", "ethylene glycol", "eg"};
constexpr const char* also_propylene[] = {"propylene glycol", "pg"};
constexpr const char* also_transmission[] = {"atf", "transmission", "automatic transmission fluid",
                                             "transmission fluid", "gearbox oil"};
constexpr const char* also_steering[] = {"psf", "steering", "power steering fluid",
                                         "steering fluid", "power steering"};
constexpr const char* also_oil[] = {"oil", "motor oil", "engine oil"};

constexpr GenericLiquid liquids[] = {
    {"water", "pure water", water, nullptr, nullptr, {}},
    {"ethylene_glycol", "ethylene glycol in water", nullptr, ethylene_glycol, nullptr,
     also_coolant},
    {"propylene_glycol", "propylene glycol in water", nullptr, propylene_glycol, nullptr,
     also_propylene},
    {"transmission_fluid", "generic fluid of automatics", nullptr, nullptr,
     transmission_fluid_sheet, also_transmission},
    {"steering_fluid", "generic power steering fluid", nullptr, nullptr, steering_fluid_sheet,
     also_steering},
    {"engine_oil", "generic engine oil", nullptr, nullptr, engine_oil_sheet, also_oil}};

/// Lower case, '-' and '_' as spaces.
std::string folded(std::string_view name) {
    std::string out;
    for (const char c : name) out += c == '-' || c == '_' ? ' ' : units::lower(c);
    return out;
}

bool goes_by(const GenericLiquid& liquid, std::string_view name) {
    const std::string asked = folded(name);
    return name == liquid.name || asked == folded(liquid.name) ||
           std::find(liquid.also.begin(), liquid.also.end(), asked) != liquid.also.end();
}

}  // namespace

std::span<const GenericLiquid> generic_liquids() { return liquids; }

const std::vector<std::string>& names() {
    static const std::vector<std::string> all = [] {
        std::vector<std::string> out;
        for (const GenericLiquid& liquid : liquids) out.emplace_back(liquid.name);
        return out;
    }();
    return all;
}

Liquid by_name(std::string_view name, double volume_fraction) {
    for (const GenericLiquid& liquid : liquids) {
        if (!goes_by(liquid, name)) continue;
        if (liquid.pure != nullptr) return liquid.pure();
        return liquid.mix != nullptr ? liquid.mix(volume_fraction) : from_sheet(liquid.sheet());
    }
    // A slip is one edit for each three letters; what is farther off is another word.
    const auto slips = [&](const std::string& n) { return edit_distance(folded(name), folded(n)); };
    const auto nearest =
        std::min_element(names().begin(), names().end(),
                         [&](const auto& a, const auto& b) { return slips(a) < slips(b); });
    const bool near = 3 * slips(*nearest) <= nearest->size();
    std::string all;
    for (const std::string& n : names()) all += (all.empty() ? "" : ", ") + n;
    throw Error("there is no fluid '" + std::string(name) + "'" +
                    (near ? "; did you mean '" + *nearest + "'?" : ""),
                "one of " + all);
}

}  // namespace lapheat::fluids
