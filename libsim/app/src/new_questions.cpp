#include "new_questions.hpp"

#include <algorithm>
#include <iostream>

#include "console.hpp"
#include "examples.hpp"
#include "help_tables.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/number.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/text.hpp"
#include "new_answers.hpp"

namespace lapheat::app {
namespace {

using scenario::DocumentNode;
using scenario::Key;

/// A key of a table, what a person is asked, and the answer of who just presses enter.
struct Question {
    const char *table, *topic, *key, *asked, *otherwise;
    bool quoted = true;
    bool can_lack = false;  ///< a relation or a default gives it to who does not know
};
constexpr Question questions[] = {
    {"", "car", "car", "A name for the car", "my car"},
    {"engine", "engine", "displacement", "Displacement", "5.7 L"},
    {"engine", "engine", "cylinders", "Cylinders", "8", false},
    {"engine", "engine", "peak_power",
     "Peak power, with its speed if you know (... at 6000 rev/min)", "300 hp"},
    {"engine", "engine", "redline", "Redline", "?", true, true},
    {"engine", "engine", "era",
     "Year of its design, or modern (since about 1995) or classic (until 1980)", "modern", true,
     true},
    {"gearbox", "gearbox", "kind", "Gearbox, automatic or manual", "automatic"},
    {"gearbox", "gearbox", "gears", "Forward gears", "4", false},
    {"vehicle", "vehicle", "mass", "Mass with driver and fuel", "3300 lb"},
    {"vehicle", "vehicle", "wheelbase", "Wheelbase", "108 inch"},
    {"vehicle", "vehicle", "tyre", "Tyre size of the driven wheels", "225/60R15"},
    {"radiator", "radiator", "width", "Radiator: width of the finned face, without tanks",
     "26 inch"},
    {"radiator", "radiator", "height", "Radiator: height of the finned face", "17 inch"},
    {"radiator", "radiator", "depth", "Radiator: depth of the core", "2 inch"},
    {"radiator", "radiator", "rows", "Radiator: rows of tubes along the air", "?", false, true},
    {"radiator", "radiator", "fins", "Radiator: fins, such as 14 fpi", "?", true, true},
    {"radiator", "radiator", "condenser", "An air-conditioning condenser ahead of it (yes, no)",
     "yes", false},
    {"radiator_fans", "radiator-fans", "count", "How many radiator fans", "2", false},
    {"radiator_fans", "radiator-fans", "diameter", "Diameter of a fan", "12 inch"},
    {"radiator_fans", "radiator-fans", "flow", "Air of one fan as its seller claims",
     "1250 ft3/min", true, true},
    {"cooler", "cooler", "kind",
     "Cooler: bar and plate, stacked plate, or tube (through plate fins)", "bar and plate"},
    {"cooler", "cooler", "width", "Cooler: width of the finned face", "11 inch"},
    {"cooler", "cooler", "height", "Cooler: height of the finned face", "8 inch"},
    {"cooler", "cooler", "depth", "Cooler: depth", "1.5 inch"},
    {"cooler", "cooler", "line", "Cooler: size of its lines as sold", "-6"},
    {"surroundings", "surroundings", "ambient", "Air of the hot day that the cycles are driven on",
     "38 degC"}};

constexpr std::string_view unknown = "?";

const Key& key_of(const Question& q) { return table_of_topic(q.topic)->at(q.key); }
std::string path_of(const Question& q) {
    return (*q.table == '\0' ? "" : std::string(q.table) + ".") + q.key;
}

/// What was said so far that later answers must fit.
struct Said {
    double power_speed = 0;  ///< rad/s, 0: not said
};

/// Why the answer is none to the question; empty if it is.
std::string misfit(const Question& q, const Answer& answer, const Said& said) {
    const Key& key = key_of(q);
    if (answer.text == unknown)
        return q.can_lack ? "" : "nothing else tells this one: " + scenario::described(key);
    std::string why = wrong(key, answer.text);
    for (const auto& [beside, text] : answer.besides)
        if (why.empty()) why = wrong(table_of_topic(q.topic)->at(beside), text);
    if (why.empty() && key.name == "redline" &&
        units::parse_doubted(answer.text, key.quantity).value < said.power_speed)
        why = "below the speed of peak power";
    return why;
}

void keep(const Answer& answer, Said& said) {
    for (const auto& [key, text] : answer.besides)
        if (key == "peak_power_speed")
            said.power_speed = units::parse_doubted(text, units::Quantity::angular_speed).value;
}

/// The answer as TOML writes text: 24" has a mark of its own.
std::string in_quotes(const std::string& answer) {
    std::string out = "\"";
    for (const char c : answer) out.append(c == '"' ? "\\\"" : std::string(1, c));
    return out + '"';
}

Answer asked(const Question& q, const Said& said) {
    const Answer otherwise = understood(key_of(q), q.otherwise);
    const std::string usual = q.otherwise == unknown ? "enter if you do not know"
                              : q.can_lack ? std::string(q.otherwise) + "; ? if you do not know"
                                           : q.otherwise;
    for (;;) {
        print(std::string(q.asked) + " [" + usual + "]: ");
        std::string line;
        if (!std::getline(std::cin, line)) return otherwise;
        line = units::trimmed(line);
        if (line.empty()) return otherwise;
        Answer answer = understood(key_of(q), line);
        const std::string why = misfit(q, answer, said);
        if (why.empty() && !answer.note.empty())
            print("  taken as " + answer.text + ": " + answer.note + "\n");
        if (why.empty()) return answer;
        print("  " + why + "\n");
    }
}

/// What the answers' file says to the question; no text without.
Answer given(const DocumentNode& root, const Question& q, const Said& said,
             scenario::Problems& problems) {
    const DocumentNode* table = *q.table == '\0' ? &root : root.find(q.table);
    const DocumentNode* value = table == nullptr ? nullptr : table->find(q.key);
    if (value == nullptr) return {};
    Answer answer = understood(
        key_of(q), value->kind == DocumentNode::Kind::text ? value->text : to_string(*value));
    const std::string why = misfit(q, answer, said);
    if (why.empty()) return answer;
    problems.error(value->place, path_of(q), why);
    return {std::string(unknown)};
}

void refuse_strays(const DocumentNode& root, scenario::Problems& problems) {
    std::vector<std::string> known, tables;
    for (const Question& q : questions) {
        known.push_back(path_of(q));
        tables.emplace_back(q.table);
    }
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

/// An example's cycle on a day of that air; of a car without air conditioning, without its lines.
std::string cycle_text(std::string_view cycle, const std::string& ambient, bool condenser) {
    std::string out;
    while (!cycle.empty()) {
        const std::size_t end = std::min(cycle.find('\n'), cycle.size() - 1) + 1;
        const std::string_view line = cycle.substr(0, end);
        const bool of_it =
            line.starts_with("air_conditioning") || line.starts_with("# The air conditioning");
        if (line.starts_with("ambient = "))
            out += "ambient = " + in_quotes(ambient) + '\n';
        else if (condenser || !of_it)
            out += line;
        cycle.remove_prefix(end);
    }
    return out;
}

std::string placement_text(const scenario::Word& place, bool condenser) {
    // The one place whose words depend on what the car has.
    std::string words(place.help);
    const auto drop = [&](std::string_view part) {
        if (const std::size_t at = words.find(part); at != std::string::npos)
            words.erase(at, part.size());
    };
    drop(condenser ? " if there is one" : ", behind the condenser if there is one");
    return "# " + words +
           ". Its lines, its air and, where the place needs one, its fan are derived;\n"
           "# `lapheat car` with this file lists them. Every full key can be added here.\n"
           "extends = \"../car.toml\"\n\n[cooler]\nplace = \"" +
           std::string(place.name) + "\"\n";
}

/// What holds of a key that is not known: its default, or the relation that gives it.
std::string derived_words(const Key& key) {
    std::string words = scenario::default_words(key);
    for (const scenario::Derivation& relation : scenario::relations())
        if (words.empty() && relation.name == key.name) words = relation.words;
    return words;
}

/// The answer's lines of a car's file.
std::string answer_lines(const Question& q, const Answer& answer) {
    if (answer.text == unknown)
        return std::string("# ") + q.key + ": not known, " + derived_words(key_of(q)) + "\n";
    const auto with_comment = [](std::string line, const std::string& comment) {
        line.resize(std::max<std::size_t>(line.size() + 2, 32), ' ');
        return line + "# " + comment + "\n";
    };
    std::string out =
        with_comment(std::string(q.key) + " = " + (q.quoted ? in_quotes(answer.text) : answer.text),
                     answer.note.empty() ? q.asked : answer.note);
    for (const auto& [key, text] : answer.besides)
        out += with_comment(key + " = " + in_quotes(text), std::string("with ") + q.key);
    return out;
}

}  // namespace

std::vector<NewFile> questioned_car(const std::string& answers, bool ask) {
    scenario::Problems problems;
    DocumentNode root;
    if (!answers.empty()) {
        root = scenario::load(answers, problems).root;
        if (root.kind == DocumentNode::Kind::table) refuse_strays(root, problems);
    }
    std::string text =
        "# A car by its short description: what is left out is derived, see `lapheat car` with\n"
        "# this file and `lapheat help short`. Any full key wins over what is derived.\n"
        "cycles = [\"cycles/highway_grade.toml\", \"cycles/traffic.toml\", "
        "\"cycles/lap_session.toml\"]\n";
    std::string table, ambient;
    bool manual = false, condenser = true;
    Said said;
    for (const Question& q : questions) {
        Answer answer = given(root, q, said, problems);
        if (answer.text.empty()) answer = ask ? asked(q, said) : understood(key_of(q), q.otherwise);
        keep(answer, said);
        if (std::string_view(q.table) == "gearbox" && answer.text == "manual") manual = true;
        if (std::string_view(q.key) == "condenser") condenser = answer.text != "false";
        if (std::string_view(q.key) == "ambient") {
            ambient = answer.text;
            continue;
        }
        if (table != q.table) text += std::string("\n[") + q.table + "]\n";
        if (std::string_view(q.table) == "cooler" && table != q.table)
            text += "place = \"front\"                # a placement says where else\n";
        table = q.table;
        text += answer_lines(q, answer);
    }
    problems.throw_if_any();
    std::vector<NewFile> out = {{"car.toml", text}};
    const Key& place = table_of_topic("cooler")->at("place");
    for (const scenario::Word& word : scenario::words_of(place))
        if (!(manual && word.name == "tank"))
            out.push_back({"placements/" + std::string(word.name) + ".toml",
                           placement_text(word, condenser)});
    for (const Example& example : examples())
        for (const char* cycle : {"highway_grade", "traffic", "lap_session"})
            if (example.path == "cycles/" + std::string(cycle) + ".toml")
                out.push_back(
                    {std::string(example.path), cycle_text(example.text, ambient, condenser)});
    return out;
}

}  // namespace lapheat::app
