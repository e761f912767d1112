#include "new_questions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iostream>
#include <optional>

#include "console.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/registry.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/text.hpp"

namespace lapheat::app {
namespace {

/// A question to one key, or to several in one breath.
struct Question {
    const char *asked, *usual;
    enum class Form { words, face } form;
    std::array<const char*, 7> paths;
};
using Form = Question::Form;
constexpr Question questions[] = {
    {"Engine (as you know it: 5.7 L V8, 300 hp at 5200 rpm, 1998)",
     "5.7 L V8, 300 hp",
     Form::words,
     {"engine.displacement", "engine.cylinders", "engine.peak_power", "engine.peak_power_speed",
      "engine.redline", "engine.boosted", "engine.era"}},
    {"Gearbox", "4-speed automatic", Form::words, {"gearbox.gears", "gearbox.kind"}},
    {"Mass with driver and fuel", "3300 lb", Form::words, {"vehicle.mass"}},
    {"Wheelbase", "108 inch", Form::words, {"vehicle.wheelbase"}},
    {"Tyres", "225/60R15", Form::words, {"vehicle.tyre"}},
    {"Radiator's finned core, width x height x depth",
     "26 x 17 x 2 inch",
     Form::face,
     {"radiator.width", "radiator.height", "radiator.depth"}},
    {"Its fans, with the air each is sold for",
     "two 12 inch, 1250 cfm",
     Form::words,
     {"radiator_fans.count", "radiator_fans.diameter", "radiator_fans.flow"}},
    {"Air conditioning", "yes", Form::words, {"radiator.condenser"}},
    {"Cooler for transmission and steering, width x height x depth",
     "11 x 8 x 1.5 inch",
     Form::face,
     {"cooler.width", "cooler.height", "cooler.depth"}},
    {"Hottest air it must stand", "38 degC, 100 degF", Form::words, {"surroundings.ambient"}}};

/// What nobody is asked, by the word that a person says it with.
struct Further {
    const char *called, *path;
};
constexpr Further further[] = {{"redline", "engine.redline"},
                               {"year", "engine.era"},
                               {"rows", "radiator.rows"},
                               {"fins", "radiator.fins"},
                               {"cooler", "cooler.kind"},
                               {"lines", "cooler.line"},
                               {"name", "car"}};

std::vector<Slot> slots_of(const Question& q) {
    std::vector<Slot> out;
    for (const char* path : q.paths)
        if (path != nullptr) out.push_back(slot_of(path));
    return out;
}

std::vector<Slot> slots_of_table(const Item& item) {
    std::vector<Slot> out;
    for (const Item& other : items())
        if (std::string_view(other.table) == item.table) out.push_back(slot_of(path_of(other)));
    return out;
}

/// One key's answer: as it stands, or as a phrase that says it among others of `slots`.
Reading read_one(const Item& item, std::span<const Slot> slots, const std::string& said) {
    const scenario::Key key = key_of(item);
    const std::string path = path_of(item);
    if (said == unknown) {
        if (item.can_lack) return {{{path, {said}}}};
        return {{}, "nothing else tells this one: " + scenario::described(key)};
    }
    const Answer answer = understood(key, said);
    std::string why = wrong(key, answer.text);
    for (const auto& [beside, text] : answer.besides)
        for (const Slot& slot : slots_of_table(item))
            if (why.empty() && slot.key.name == beside) why = wrong(slot.key, text);
    if (why.empty()) return {{{path, answer}}};
    Reading phrase = read_phrase(slots, said);
    const bool tells = std::any_of(phrase.said.begin(), phrase.said.end(),
                                   [&](const Said& s) { return s.path == path; });
    return phrase.wrong.empty() && tells ? phrase : Reading{{}, why};
}

/// Why two answers do not go together; empty if they do.
std::string contradiction(const NewCar& car) {
    const std::string &power = car.text("engine.peak_power_speed"),
                      &redline = car.text("engine.redline");
    const auto speed = [](const std::string& text) {
        return units::parse_doubted(text, units::Quantity::angular_speed).value;
    };
    return power != unknown && redline != unknown && speed(redline) < speed(power)
               ? "the redline lies below the speed of peak power"
               : "";
}

/// What was said of some keys, kept in a car; why not, if it cannot be.
std::string kept(const Reading& reading, NewCar& car) {
    if (!reading.wrong.empty()) return reading.wrong;
    NewCar with = car;
    for (const Said& said : reading.said) with.keep(said.path, said.answer, true);
    const std::string why = contradiction(with);
    if (why.empty()) car = with;
    return why;
}

/// A line that was typed; an empty one at the end of all input.
std::string typed(const std::string& prompt) {
    print(prompt);
    std::string line;
    if (!std::getline(std::cin, line)) return {};
    return std::string(units::trimmed(line));
}

/// How it was understood, where that is not what was typed.
void tell_notes(const Reading& reading) {
    std::string out;
    for (const auto& [path, answer] : reading.said)
        if (answer.taken || !answer.note.empty())
            out += (out.empty() ? "  taken as " : ", ") + answer.text +
                   (answer.note.empty() ? "" : ": " + answer.note);
    if (!out.empty()) print(out + "\n");
}

/// Asks for one key until it is said; enter leaves what is usual.
void ask_one(const Item& item, NewCar& car) {
    for (;;) {
        const std::string line =
            typed(fmt::format("  {} [{}]: ", item.words,
                              item.can_lack ? "enter if you do not know" : item.otherwise));
        if (line.empty()) return;
        const Reading reading = read_one(item, {}, line);
        const std::string why = kept(reading, car);
        if (why.empty()) return tell_notes(reading);
        print("  " + why + "\n");
    }
}

/// What a phrase leaves open: what can be derived is, the rest is asked for.
void fill(const std::vector<Slot>& slots, const Reading& reading, NewCar& car) {
    for (const Slot& slot : slots) {
        const Item& item = item_at(slot.path);
        const std::string table = *item.table == '\0' ? "" : std::string(item.table) + ".";
        const bool told =
            std::any_of(reading.said.begin(), reading.said.end(), [&](const Said& said) {
                return said.path == slot.path ||
                       std::any_of(said.answer.besides.begin(), said.answer.besides.end(),
                                   [&](const auto& b) { return table + b.first == slot.path; });
            });
        if (told) continue;
        // Of an era or a turbo nothing said is what is usual; of a number that it is not known.
        if (item.can_lack && slot.key.type == scenario::Key::Type::quantity)
            car.keep(slot.path, {std::string(unknown)}, false);
        else if (item.can_lack)
            car.keep(slot.path, understood(slot.key, item.otherwise), false);
        else
            ask_one(item, car);
    }
}

/// In which the last face was said.
std::string face_unit(NewCar& car) {
    for (const char* path : {"cooler.depth", "radiator.depth"})
        if (car.said[path]) return unit_of(car.text(path));
    return {};
}

void ask(const Question& q, std::size_t number, NewCar& car) {
    const std::vector<Slot> slots = slots_of(q);
    for (;;) {
        const std::string line =
            typed(fmt::format("{}/{} {} [{}]: ", number, std::size(questions), q.asked, q.usual));
        if (line.empty()) return;
        if (line == unknown) {
            print("  Nothing else tells it; enter takes what stands in brackets.\n");
            continue;
        }
        const Reading reading = q.form == Form::face ? read_face(slots, line, face_unit(car))
                                : slots.size() == 1  ? read_one(item_at(slots[0].path), slots, line)
                                                     : read_phrase(slots, line);
        const std::string why = kept(reading, car);
        if (why.empty()) {
            tell_notes(reading);
            return fill(slots, reading, car);
        }
        print("  " + why + "\n");
    }
}

/// "redline 6000" of what nobody was asked.
std::string take_further(const std::string& said, NewCar& car) {
    for (const Further& f : further) {
        const std::string_view called = f.called;
        if (!units::lowered(said).starts_with(called) || said.size() <= called.size()) continue;
        const std::size_t at = said.find_first_not_of(" :=", called.size());
        if (at == called.size() || at == std::string::npos) continue;
        const Reading reading = read_one(item_at(f.path), {}, said.substr(at));
        const std::string why = kept(reading, car);
        if (why.empty()) tell_notes(reading);
        return why.empty() ? why : said + ": " + why;
    }
    return "'" + said + "' begins with none of these words";
}

/// Pieces between commas; a comma between digits belongs to its number.
std::vector<std::string> between_commas(const std::string& line) {
    std::vector<std::string> out(1);
    for (std::size_t i = 0; i < line.size(); ++i) {
        const bool in_number = i > 0 && i + 1 < line.size() &&
                               std::isdigit(static_cast<unsigned char>(line[i - 1])) != 0 &&
                               std::isdigit(static_cast<unsigned char>(line[i + 1])) != 0;
        if (line[i] == ',' && !in_number)
            out.emplace_back();
        else
            out.back() += line[i];
    }
    for (std::string& each : out) each = units::trimmed(each);
    std::erase(out, std::string());
    return out;
}

/// What is taken of who says nothing: "bar and plate", "modern, since about 1995".
std::string usual_words(const Item& item) {
    for (const scenario::Word& word : scenario::words_of(key_of(item)))
        if (word.name == item.otherwise) return fmt::format("{}, {}", item.otherwise, word.help);
    return item.otherwise;
}

/// The rest, each with what is taken for it.
void ask_further(NewCar& car) {
    print("The rest is usual or derived, and is drawn from its range:\n");
    for (const Further& f : further) {
        const Item& item = item_at(f.path);
        const std::string& text = car.text(f.path);
        print(fmt::format("  {:<8} {}\n", f.called,
                          text == unknown                       ? derived_words(item)
                          : car.said[f.path]                    ? text
                          : item.key == std::string_view("car") ? text
                                                                : usual_words(item)));
    }
    for (;;) {
        const std::string line =
            typed("Enter drives the car; or say what you know (redline 6000, rows 3): ");
        if (line.empty()) return;
        for (const std::string& said : between_commas(line))
            if (const std::string why = take_further(said, car); !why.empty())
                print("  " + why + "\n");
    }
}

}  // namespace

NewCar asked_car(const std::string& name) {
    print("Ten questions; enter takes what stands in brackets. Say units as you would: 26 inch.\n");
    const Unwatched asking;
    NewCar car = NewCar::usual();
    car.keep("car", {name}, false);
    std::size_t number = 0;
    for (const Question& q : questions) ask(q, ++number, car);
    ask_further(car);
    return car;
}

namespace {

using scenario::DocumentNode;

void refuse_strays(const DocumentNode& root, scenario::Problems& problems) {
    std::vector<std::string> known;
    for (const Item& item : items()) known.push_back(path_of(item));
    const auto check = [&](const std::string& path, const DocumentNode& node) {
        if (std::find(known.begin(), known.end(), path) == known.end())
            problems.error(node.key_place, path, "no answer that is asked for", {},
                           scenario::suggest(path, known));
    };
    for (const auto& [key, value] : root.entries) {
        if (value.kind != DocumentNode::Kind::table) {
            check(key, value);
            continue;
        }
        for (const auto& [inner, leaf] : value.entries) check(key + "." + inner, leaf);
    }
}

const DocumentNode* value_of(const DocumentNode& root, const Item& item) {
    const DocumentNode* table = *item.table == '\0' ? &root : root.find(item.table);
    return table == nullptr ? nullptr : table->find(item.key);
}

}  // namespace

NewCar answered_car(const std::string& file) {
    scenario::Problems problems;
    const DocumentNode root = scenario::load(file, problems).root;
    NewCar car = NewCar::usual();
    if (root.kind == DocumentNode::Kind::table) refuse_strays(root, problems);
    for (const Item& item : items()) {
        const DocumentNode* value = value_of(root, item);
        if (value == nullptr) continue;
        const std::string said =
            value->kind == DocumentNode::Kind::text ? value->text : to_string(*value);
        const std::string why = kept(read_one(item, slots_of_table(item), said), car);
        if (!why.empty()) problems.error(value->place, path_of(item), why);
    }
    problems.throw_if_any();
    return car;
}

}  // namespace lapheat::app
