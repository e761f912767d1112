#include "new_car.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "help_tables.hpp"
#include "lapheat/scenario/number.hpp"
#include "lapheat/scenario/registry.hpp"

namespace lapheat::app {
namespace {

constexpr Item all_items[] = {
    {"", "car", "car", "name", "my car"},
    {"engine", "engine", "displacement", "displacement", "5.7 L"},
    {"engine", "engine", "cylinders", "cylinders", "8"},
    {"engine", "engine", "peak_power", "peak power", "300 hp"},
    {"engine", "engine", "peak_power_speed", "speed of peak power", "?", true},
    {"engine", "engine", "redline", "redline", "?", true},
    {"engine", "engine", "boosted", "turbo or supercharger", "no", true},
    {"engine", "engine", "era", "year or era of its design", "modern", true},
    {"gearbox", "gearbox", "kind", "gearbox, automatic or manual", "automatic"},
    {"gearbox", "gearbox", "gears", "forward gears", "4"},
    {"vehicle", "vehicle", "mass", "mass with driver and fuel", "3300 lb"},
    {"vehicle", "vehicle", "wheelbase", "wheelbase", "108 inch"},
    {"vehicle", "vehicle", "tyre", "tyre of the driven wheels", "225/60R15"},
    {"radiator", "radiator", "width", "radiator's finned face", "26 inch"},
    {"radiator", "radiator", "height", "radiator's finned face", "17 inch"},
    {"radiator", "radiator", "depth", "radiator's depth", "2 inch"},
    {"radiator", "radiator", "rows", "radiator's rows of tubes along the air", "?", true},
    {"radiator", "radiator", "fins", "radiator's fins", "?", true},
    {"radiator", "radiator", "condenser", "air conditioning", "yes"},
    {"radiator_fans", "radiator-fans", "count", "radiator fans", "2"},
    {"radiator_fans", "radiator-fans", "diameter", "a fan's diameter", "12 inch"},
    {"radiator_fans", "radiator-fans", "flow", "a fan's air as its seller claims", "1250 ft3/min",
     true},
    {"cooler", "cooler", "kind", "how the cooler is made", "bar and plate"},
    {"cooler", "cooler", "width", "cooler's finned face", "11 inch"},
    {"cooler", "cooler", "height", "cooler's finned face", "8 inch"},
    {"cooler", "cooler", "depth", "cooler's depth", "1.5 inch"},
    {"cooler", "cooler", "line", "size of its lines as sold", "-6"},
    {"surroundings", "surroundings", "ambient", "air of the hot day", "38 degC"}};

}  // namespace

std::span<const Item> items() { return all_items; }

std::string path_of(const Item& item) {
    return (*item.table == '\0' ? "" : std::string(item.table) + ".") + item.key;
}

const Item& item_at(std::string_view path) {
    for (const Item& item : all_items)
        if (path_of(item) == path) return item;
    throw std::logic_error("new asks for no " + std::string(path));
}

scenario::Key key_of(const Item& item) {
    const scenario::Key& key = table_of_topic(item.topic)->at(item.key);
    // Of a hot day, not of all that cars are driven in: 10 to 55 degC.
    return key.name == "ambient" ? key.usually(283, 328) : key;
}

Slot slot_of(std::string_view path) { return {std::string(path), key_of(item_at(path))}; }

std::string derived_words(const Item& item) {
    const scenario::Key key = key_of(item);
    std::string words = scenario::default_words(key);
    if (words == "none") words.clear();
    for (const scenario::Derivation& relation : scenario::relations()) {
        std::string name(key.name);
        std::replace(name.begin(), name.end(), '_', ' ');
        const bool flow = std::string_view(item.table) == "radiator_fans" && name == "flow";
        if (relation.name != name && !(flow && relation.name == "fan flow")) continue;
        if (words.empty()) words = relation.words;
        return fmt::format("{}, give or take {:.2g} %", words, 100 * relation.spread);
    }
    return words;
}

const std::string& NewCar::text(const std::string& path) const { return answers.at(path).text; }

void NewCar::keep(const std::string& path, const Answer& answer, bool is_said) {
    Answer own = answer;
    const std::string table = path.substr(0, path.find('.') + 1);
    for (const auto& [key, value] : own.besides)
        if (!said[table + key] || is_said) {
            answers[table + key] = {value};
            said[table + key] = is_said;
        }
    own.besides.clear();
    answers[path] = own;
    said[path] = is_said;
}

NewCar NewCar::usual() {
    NewCar out;
    for (const Item& item : all_items)
        out.keep(path_of(item), understood(key_of(item), item.otherwise), false);
    return out;
}

}  // namespace lapheat::app
