#include "new_questions.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <iostream>

#include "console.hpp"
#include "examples.hpp"
#include "help_tables.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/text.hpp"

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
    {"engine", "engine", "peak_power", "Peak power", "300 hp"},
    {"engine", "engine", "era", "Designed since about 1995 (modern) or until 1980 (classic)",
     "modern", true, true},
    {"gearbox", "gearbox", "kind", "Gearbox, automatic or manual", "automatic"},
    {"gearbox", "gearbox", "gears", "Forward gears", "4", false},
    {"vehicle", "vehicle", "mass", "Mass with driver and fuel", "3300 lb"},
    {"vehicle", "vehicle", "wheelbase", "Wheelbase", "108 inch"},
    {"vehicle", "vehicle", "tyre", "Tyre size of the driven wheels", "225/60R15"},
    {"radiator", "radiator", "width", "Radiator: width of the finned face, without tanks",
     "26 inch"},
    {"radiator", "radiator", "height", "Radiator: height of the finned face", "17 inch"},
    {"radiator", "radiator", "depth", "Radiator: depth of the core", "2 inch"},
    {"radiator", "radiator", "condenser", "An air-conditioning condenser ahead of it (true, false)",
     "true", false},
    {"radiator_fans", "radiator-fans", "count", "How many radiator fans", "2", false},
    {"radiator_fans", "radiator-fans", "diameter", "Diameter of a fan", "12 inch"},
    {"radiator_fans", "radiator-fans", "flow", "Air of one fan as its seller claims",
     "1250 ft3/min", true, true},
    {"cooler", "cooler", "kind",
     "Cooler: bar_plate, louvred (stacked plates) or plate_fin (a tube)", "bar_plate"},
    {"cooler", "cooler", "width", "Cooler: width of the finned face", "11 inch"},
    {"cooler", "cooler", "height", "Cooler: height of the finned face", "8 inch"},
    {"cooler", "cooler", "depth", "Cooler: depth", "1.5 inch"},
    {"cooler", "cooler", "line", "Cooler: size of its lines as sold", "-6"}};

constexpr std::string_view unknown = "?";

/// Why the answer is none of the key; empty if it is.
std::string wrong(const Question& q, const std::string& answer) {
    const Key& key = table_of_topic(q.topic)->at(q.key);
    if (answer == unknown)
        return q.can_lack ? "" : "nothing else tells this one: " + scenario::described(key);
    try {
        if (key.type == Key::Type::quantity) {
            if (!key.range.holds(units::parse_doubted(answer, key.quantity).value))
                return "not " + scenario::range_words(key);
        } else if (key.type == Key::Type::integer) {
            double n = 0;
            const auto [end, error] =
                std::from_chars(answer.data(), answer.data() + answer.size(), n);
            if (error != std::errc{} || end != answer.data() + answer.size() ||
                !key.range.holds(n) || n != static_cast<int>(n))
                return "not " + scenario::described(key);
        } else if (key.type == Key::Type::boolean) {
            if (answer != "true" && answer != "false") return "not true or false";
        } else if (key.type == Key::Type::choice) {
            for (const scenario::Word& word : scenario::words_of(key))
                if (word.name == answer) return {};
            return "not " + scenario::described(key);
        }
    } catch (const Error& e) {
        return std::string(e.what()) +
               (e.expected().empty() ? "" : "; write " + std::string(e.expected()));
    }
    return answer.find_first_of("\\\n") == std::string::npos ? "" : "no backslashes";
}

/// The answer as TOML writes text: 24" has a mark of its own.
std::string in_quotes(const std::string& answer) {
    std::string out = "\"";
    for (const char c : answer) out.append(c == '"' ? "\\\"" : std::string(1, c));
    return out + '"';
}

std::string asked(const Question& q) {
    for (;;) {
        print(std::string(q.asked) + " [" + q.otherwise +
              (q.can_lack ? "; ? if you do not know" : "") + "]: ");
        std::string answer;
        if (!std::getline(std::cin, answer)) return q.otherwise;
        answer = units::trimmed(answer);
        if (answer.empty()) return q.otherwise;
        const std::string why = wrong(q, answer);
        if (why.empty()) return answer;
        print("  " + why + "\n");
    }
}

/// What the answers' file says to the question, as text; empty without.
std::string given(const DocumentNode& root, const Question& q, scenario::Problems& problems) {
    const DocumentNode* table = *q.table == '\0' ? &root : root.find(q.table);
    const DocumentNode* value = table == nullptr ? nullptr : table->find(q.key);
    if (value == nullptr) return {};
    const std::string answer =
        value->kind == DocumentNode::Kind::text ? value->text : to_string(*value);
    if (const std::string why = wrong(q, answer); !why.empty())
        problems.error(value->place, (*q.table == '\0' ? "" : std::string(q.table) + ".") + q.key,
                       why);
    return answer;
}

void refuse_strays(const DocumentNode& root, scenario::Problems& problems) {
    std::vector<std::string> known, tables;
    for (const Question& q : questions) {
        known.push_back((*q.table == '\0' ? "" : std::string(q.table) + ".") + q.key);
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

/// The cycle of a car that has none: its lines that ask for it left out.
std::string without_air_conditioning(std::string_view cycle) {
    std::string out;
    while (!cycle.empty()) {
        const std::size_t end = std::min(cycle.find('\n'), cycle.size() - 1) + 1;
        const std::string_view line = cycle.substr(0, end);
        if (!line.starts_with("air_conditioning")) out += line;
        cycle.remove_prefix(end);
    }
    return out;
}

std::string placement_text(const std::string& place, const std::string& words) {
    return "# " + words +
           ". Its lines, its air and, where the place needs one, its fan are derived;\n"
           "# `lapheat car` with this file lists them. Every full key can be added here.\n"
           "extends = \"../car.toml\"\n\n[cooler]\nplace = \"" +
           place + "\"\n";
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
    std::string table;
    bool manual = false, condenser = true;
    for (const Question& q : questions) {
        std::string answer = given(root, q, problems);
        if (answer.empty()) answer = ask ? asked(q) : q.otherwise;
        if (answer == "manual") manual = true;
        if (std::string_view(q.key) == "condenser") condenser = answer != "false";
        if (table != q.table) text += std::string("\n[") + q.table + "]\n";
        if (std::string_view(q.table) == "cooler" && table != q.table)
            text += "place = \"front\"                # a placement says where else\n";
        table = q.table;
        if (answer == unknown) {
            text += std::string("# ") + q.key + ": not known, " +
                    scenario::default_words(table_of_topic(q.topic)->at(q.key)) + "\n";
            continue;
        }
        std::string line = std::string(q.key) + " = " + (q.quoted ? in_quotes(answer) : answer);
        line.resize(std::max<std::size_t>(line.size() + 2, 32), ' ');
        text += line + "# " + q.asked + "\n";
    }
    problems.throw_if_any();
    std::vector<NewFile> out = {{"car.toml", text}};
    const Key& place = table_of_topic("cooler")->at("place");
    for (const scenario::Word& word : scenario::words_of(place))
        if (!(manual && word.name == "tank"))
            out.push_back({"placements/" + std::string(word.name) + ".toml",
                           placement_text(std::string(word.name), std::string(word.help))});
    for (const Example& example : examples())
        for (const char* cycle : {"highway_grade", "traffic", "lap_session"})
            if (example.path == "cycles/" + std::string(cycle) + ".toml")
                out.push_back({std::string(example.path),
                               condenser ? std::string(example.text)
                                         : without_air_conditioning(example.text)});
    return out;
}

}  // namespace lapheat::app
