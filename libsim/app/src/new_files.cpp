// What `lapheat new` writes of a car that it asked about.
#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "examples.hpp"
#include "help_tables.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/registry.hpp"
#include "lapheat/units/spellings.hpp"
#include "new_car.hpp"

namespace lapheat::app {
namespace {

using scenario::DocumentNode;
using scenario::Key;

/// A cycle of the examples, and what it is in a line.
struct NewCycle {
    const char *name, *words;
};
constexpr NewCycle cycles[] = {
    {"highway_grade", "A hot day on the highway: level, a long grade, level again"},
    {"traffic", "Stop and go, then idling in gear"},
    {"lap_session", "Timed runs on a short cone course, with a wait before each"}};

/// As TOML writes text: 24" has a mark of its own, and a folder may be called anything.
std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        const bool steers = static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
        out += c == '"' || c == '\\' ? std::string("\\") + c : std::string(1, steers ? '?' : c);
    }
    return out + '"';
}

bool has_condenser(const NewCar& car) { return car.text("radiator.condenser") != "false"; }

std::string value_text(const DocumentNode& node) {
    return node.kind == DocumentNode::Kind::text ? in_quotes(node.text) : to_string(node);
}

/// The entries of a cycle's table; of a car without air conditioning without those of it.
std::string table_lines(const DocumentNode& table, const NewCar& car) {
    std::string out;
    for (const auto& [key, value] : table.entries) {
        if (key == "air_conditioning" && !has_condenser(car)) continue;
        out +=
            key + " = " +
            (key == "ambient" ? in_quotes(car.text("surroundings.ambient")) : value_text(value)) +
            '\n';
    }
    return out;
}

/// An example's cycle on the day that was asked for.
std::string cycle_text(const NewCycle& cycle, const NewCar& car) {
    const std::string path = fmt::format("cycles/{}.toml", cycle.name);
    for (const Example& example : examples()) {
        if (example.path != path) continue;
        const DocumentNode root = scenario::parse(std::string(example.text), path).root;
        const auto& segments = root.find("segments")->items;
        const bool cooled = has_condenser(car) &&
                            std::any_of(segments.begin(), segments.end(), [](const auto& segment) {
                                return segment.find("air_conditioning") != nullptr;
                            });
        std::string out =
            fmt::format("# {}{}.\nname = {}\n\n[surroundings]\n{}", cycle.words,
                        cooled ? ", the air conditioning on" : "", value_text(*root.find("name")),
                        table_lines(*root.find("surroundings"), car));
        for (const DocumentNode& segment : segments)
            out += "\n[[segments]]\n" + table_lines(segment, car);
        return out;
    }
    throw std::logic_error("an example's cycle is missing: " + path);
}

std::string placement_text(const scenario::Word& place, const NewCar& car) {
    const bool behind_condenser = place.name == "front" && has_condenser(car);
    return fmt::format(
        "# The cooler {}{}. Its lines, its air and,\n"
        "# where the place needs one, its fan are derived; `lapheat car` with this file lists\n"
        "# them. Every full key can be added here.\n"
        "extends = \"../car.toml\"\n\n[cooler]\nplace = {}\n",
        place.help, behind_condenser ? ", behind the condenser" : "", in_quotes(place.name));
}

/// An answer's line of the car's file; of what nobody said it says so.
std::string answer_line(const Item& item, const Answer& answer, bool said) {
    if (answer.text == unknown)
        return fmt::format("# {}: not known, {}\n", item.key, derived_words(item));
    const Key key = key_of(item);
    const bool bare = key.type == Key::Type::integer || key.type == Key::Type::boolean;
    return fmt::format(
        "{:<31} # {}{}\n",
        fmt::format("{} = {}", item.key, bare ? answer.text : in_quotes(answer.text)),
        answer.note.empty() ? item.words : answer.note, said ? "" : "; not said, what is usual");
}

/// "units = …" for reports in the system in which sizes, weights and temperatures were said; none
/// where nothing was.
std::string units_line(const NewCar& car) {
    int us = 0, si = 0;
    for (const Item& item : items()) {
        const std::string path = path_of(item);
        const units::Quantity of = key_of(item).quantity;
        // Power and air are said in hp and ft3/min everywhere.
        const bool tells = of == units::Quantity::length || of == units::Quantity::mass ||
                           of == units::Quantity::temperature;
        if (const auto said = car.said.find(path); tells && said != car.said.end() && said->second)
            ++(units::written_in(car.text(path), of) == units::System::us ? us : si);
    }
    if (us + si == 0) return {};
    return fmt::format("{:<31} # of reports; --units says otherwise\n",
                       us > si ? "units = \"us\"" : "units = \"si\"");
}

std::string car_text(const NewCar& car) {
    std::string
        out =
            "# A car by its short description: what is left out is derived, see `lapheat car` "
            "with\n"
            "# this file and `lapheat help short`. Any full key wins over what is derived.\n",
        list;
    for (const NewCycle& cycle : cycles)
        list += fmt::format("{}\"cycles/{}.toml\"", list.empty() ? "" : ", ", cycle.name);
    out += "cycles = [" + list + "]\n" + units_line(car);
    std::string_view table;
    for (const Item& item : items()) {
        if (std::string_view(item.table) == "surroundings") continue;  // the cycles' business
        if (table != item.table) {
            out += fmt::format("\n[{}]\n", item.table);
            if (std::string_view(item.table) == "cooler")
                out += fmt::format("{:<31} # a placement says where else\n", "place = \"front\"");
        }
        table = item.table;
        const std::string path = path_of(item);
        const auto said = car.said.find(path);
        out += answer_line(item, car.answers.at(path),
                           *item.table == '\0' || (said != car.said.end() && said->second));
    }
    return out;
}

}  // namespace

std::vector<NewFile> files_of(const NewCar& car) {
    std::vector<NewFile> out = {{"car.toml", car_text(car)}};
    const bool manual = car.text("gearbox.kind") == "manual";
    for (const scenario::Word& place : scenario::words_of(table_of_topic("cooler")->at("place")))
        if (!(manual && place.name == "tank"))
            out.push_back(
                {fmt::format("placements/{}.toml", place.name), placement_text(place, car)});
    for (const NewCycle& cycle : cycles)
        out.push_back({fmt::format("cycles/{}.toml", cycle.name), cycle_text(cycle, car)});
    return out;
}

}  // namespace lapheat::app
