#include "lapheat/scenario/handle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <set>

#include "lapheat/units/text.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

using Names = std::vector<std::string>;

/// As it is asked for: in lower case, underscores as spaces.
std::string asked_as(std::string_view text) {
    std::string out = units::lowered(text);
    std::replace(out.begin(), out.end(), '_', ' ');
    return out;
}

std::string text_at(const DocumentNode& table, std::string_view key) {
    const DocumentNode* node = table.find(key);
    return node != nullptr && node->kind == DocumentNode::Kind::text ? node->text : std::string();
}

/// The tables within one: [cores.radiator] ..., those left out with `false` not.
std::vector<const DocumentNode::Entry*> tables_in(const DocumentNode* table) {
    std::vector<const DocumentNode::Entry*> out;
    if (table != nullptr)
        for (const DocumentNode::Entry& e : table->entries)
            if (e.value.kind == DocumentNode::Kind::table) out.push_back(&e);
    return out;
}

const std::vector<DocumentNode>& items_of(const DocumentNode& table, std::string_view key) {
    static const std::vector<DocumentNode> none;
    const DocumentNode* node = table.find(key);
    return node != nullptr ? node->items : none;
}

void add_once(Names& list, const std::string& name) {
    if (std::find(list.begin(), list.end(), name) == list.end()) list.push_back(name);
}

/// A part of a run with its path.
struct PlacedPart {
    std::string loop, role, path, name, kind, core;
    bool coolant = false;      ///< of a loop in the role of coolant
    bool cooler_line = false;  ///< between a core and what is no line
};

/// What of a car carries a builder's words.
class Plan {
  public:
    explicit Plan(const Scenario& s) : root_(s.tree->document.root), cores_(s.car.cores) {
        for (const auto* loop : tables_in(root_.find("loops")))
            for (const auto* run : tables_in(loop->value.find("runs"))) add_run(*loop, *run);
        for (const PlacedPart& p : parts)
            if (!p.core.empty() && !p.coolant) add_once(coolers, model::whole_core(cores_, p.core));
        for (const PlacedPart& p : parts)
            if (!p.core.empty() && p.coolant &&
                std::find(coolers.begin(), coolers.end(), model::whole_core(cores_, p.core)) ==
                    coolers.end())
                add_once(radiators, model::whole_core(cores_, p.core));
    }

    [[nodiscard]] Names cores() const { return names_in("cores"); }
    [[nodiscard]] Names fans() const { return names_in("fans"); }
    /// Fans of the air paths in which one of `cores` stands, and none of `without`.
    [[nodiscard]] Names fans_of(const Names& cores, const Names& without) const {
        Names out;
        for (const auto* path : tables_in(root_.find("air"))) {
            bool has = false, other = false;
            for (const DocumentNode& item : items_of(path->value, "stack")) {
                const std::string core = model::whole_core(cores_, text_at(item, "core"));
                has = has || std::find(cores.begin(), cores.end(), core) != cores.end();
                other = other || std::find(without.begin(), without.end(), core) != without.end();
            }
            if (!has || other) continue;
            for (const DocumentNode& shroud : items_of(path->value, "shrouds"))
                for (const DocumentNode& fan : items_of(shroud, "fans"))
                    if (fan.kind == DocumentNode::Kind::text) add_once(out, fan.text);
        }
        return out;
    }
    [[nodiscard]] std::size_t switches_of(const std::string& fan) const {
        for (const auto* table : tables_in(root_.find("fans")))
            if (table->key == fan) return items_of(table->value, "switches").size();
        return 0;
    }

    std::vector<PlacedPart> parts;
    Names coolers, radiators;

  private:
    void add_run(const DocumentNode::Entry& loop, const DocumentNode::Entry& run) {
        const std::string role = text_at(loop.value, "role");
        const std::size_t first = parts.size();
        std::size_t n = 0;
        for (const DocumentNode& item : items_of(run.value, "parts")) {
            PlacedPart& p = parts.emplace_back();
            p.loop = loop.key;
            p.role = role.empty() ? loop.key : role;
            p.coolant = model::role_named(p.role) == model::LoopRole::coolant;
            p.path = fmt::format("loops.{}.runs.{}.parts[{}]", loop.key, run.key, ++n);
            p.name = text_at(item, "name");
            p.kind = text_at(item, "kind");
            if (p.kind == "core") p.core = text_at(item, "core");
        }
        const auto carries = [](const PlacedPart& p) {
            const Names kinds{"hose", "tube", "fitting", "barb", "adapter", "orifice", "filter"};
            return std::find(kinds.begin(), kinds.end(), p.kind) != kinds.end();
        };
        for (std::size_t i = first; i < parts.size(); ++i) {
            if (parts[i].core.empty()) continue;
            for (std::size_t k = i; k-- > first && carries(parts[k]);) parts[k].cooler_line = true;
            for (std::size_t k = i + 1; k < parts.size() && carries(parts[k]); ++k)
                parts[k].cooler_line = true;
        }
    }
    [[nodiscard]] Names names_in(std::string_view table) const {
        Names out;
        for (const auto* entry : tables_in(root_.find(table))) out.push_back(entry->key);
        return out;
    }
    const DocumentNode& root_;
    const std::vector<model::CoreEntry>& cores_;
};

struct Phrase {
    const char* name;
    const char* part;  ///< that it is of
    Names keys;        ///< of that part's table, the first that is there
    const char* help;
};

const std::vector<Phrase>& phrases() {
    static const std::vector<Phrase> all = {
        {"width", "core", {"width", "run_length", "length"}, "of a core's face"},
        {"height", "core", {"height"}, "of a core's face; passages follow"},
        {"depth", "core", {"depth"}, "of a core, along the air"},
        {"fins", "core", {"fins", "air_fins"}, "of a core, to a length"},
        {"fan flow", "fan", {"free_flow"}, "free flow of each fan"},
        {"fan pressure", "fan", {"shut_off_pressure"}, "that each fan reaches without flow"},
        {"fan current", "fan", {"current"}, "of each fan"},
        {"line bore", "line", {"inner_diameter"}, "of the hoses and tubes to and from a core"},
        {"line length", "line", {"length"}, "of each of them"},
        {"bore", "part", {"inner_diameter", "bore"}, "of a part by its name"},
        {"length", "part", {"length"}, "of a part by its name"},
        {"thermostat", "thermostat", {"opens"}, "opening temperature; fully open follows"},
        {"switch temperature", "switch", {"on"}, "at which fans go on; off follows"},
        {"cap", "cap", {"cap_pressure"}, "pressure of the coolant's cap"}};
    return all;
}

std::string ended(std::string_view asked, std::string_view word) {
    std::string rest(asked.substr(0, asked.size() - word.size()));
    while (!rest.empty() && rest.back() == ' ') rest.pop_back();
    return rest;
}

/// The fans that "", "cooler" or "radiator" means, or one by its name.
Names fans_meant(const Plan& plan, const std::string& whose) {
    const Names own = plan.fans_of(plan.coolers, plan.radiators);
    const Names front = plan.fans_of(plan.radiators, {});
    if (whose == "radiator") return front;
    if (whose == "cooler" || whose == "core") return own;
    if (whose.empty()) return own.empty() ? front : own;
    Names named;
    for (const std::string& fan : plan.fans())
        if (asked_as(fan) == whose) named.push_back(fan);
    return named;
}

Names cores_meant(const Plan& plan, const std::string& whose) {
    if (whose == "radiator" && !plan.radiators.empty()) return plan.radiators;
    if (whose.empty() || whose == "core" || whose == "cooler") return plan.coolers;
    Names named;
    for (const std::string& core : plan.cores())
        if (asked_as(core) == whose) named.push_back(core);
    return named;
}

Names lines_meant(const Plan& plan, const std::string& whose) {
    Names out;
    for (const PlacedPart& p : plan.parts)
        if (p.cooler_line && (p.kind == "hose" || p.kind == "tube") &&
            (whose.empty() || whose == "cooler" || whose == "core"
                 ? !p.coolant
                 : asked_as(p.loop) == whose || asked_as(p.role) == whose ||
                       (whose == "radiator" && p.coolant)))
            out.push_back(p.path);
    return out;
}

/// The tables that hold what a builder's part means.
Names tables_meant(const Plan& plan, const std::string& part, const std::string& whose) {
    Names out;
    if (part == "core")
        for (const std::string& core : cores_meant(plan, whose)) out.push_back("cores." + core);
    if (part == "fan")
        for (const std::string& fan : fans_meant(plan, whose)) out.push_back("fans." + fan);
    if (part == "line") out = lines_meant(plan, whose);
    if (part == "switch")
        for (const std::string& fan : fans_meant(plan, whose))
            for (std::size_t n = 1; n <= plan.switches_of(fan); ++n)
                out.push_back(fmt::format("fans.{}.switches[{}]", fan, n));
    for (const PlacedPart& p : plan.parts) {
        if (part == "thermostat" && p.kind == "thermostat" &&
            (whose.empty() || asked_as(p.loop) == whose || asked_as(p.name) == whose))
            out.push_back(p.path);
        if (part == "part" && !p.name.empty() && asked_as(p.name) == whose) out.push_back(p.path);
        if (part == "cap" && (p.coolant || asked_as(p.loop) == whose))
            add_once(out, "loops." + p.loop);
    }
    return out;
}

/// Adds a number, and what keeps its distance or its share of it.
void add(Handle& out, const Scenario& s, const Number& n) {
    if (out.numbers.empty()) {
        out.quantity = n.quantity;
        out.value = n.value;
        out.range = n.range;
        out.whole = n.whole;
    } else {
        out.alike = out.alike && std::abs(n.value - out.value) <= 1e-9 * std::abs(out.value);
        if (n.range.low > out.range.low)
            out.range.low = n.range.low, out.range.low_allowed = n.range.low_allowed;
        if (n.range.high < out.range.high)
            out.range.high = n.range.high, out.range.high_allowed = n.range.high_allowed;
    }
    out.numbers.push_back({n.path, 0, 1});
    const std::size_t point = n.path.rfind('.');
    const std::string table = n.path.substr(0, point + 1), key = n.path.substr(point + 1);
    const auto follows = [&](const char* other, bool in_share) {
        const Number* f = number_at(s, table + other);
        if (f == nullptr || n.value == 0) return;
        if (in_share)
            out.numbers.push_back({f->path, 0, f->value / n.value});
        else
            out.numbers.push_back({f->path, f->value - n.value, 1});
    };
    if (key == "on") follows("off", false), follows("full", false);
    if (key == "opens") follows("full", false);
    if (key == "height") follows("passages", true);  // plates and fins keep their pitch
}

std::string listed_words() {
    Names out;
    for (const Phrase& w : phrases()) out.push_back(fmt::format("\"{}\"", w.name));
    return fmt::format("{}", fmt::join(out, ", "));
}

[[noreturn]] void refuse(const Scenario& s, std::string_view asked) {
    Names near;
    for (const Phrase& w : phrases()) near.emplace_back(w.name);
    for (const Number& n : s.numbers) near.push_back(n.path);
    const std::string meant = nearest(asked, near);
    throw Error(
        fmt::format("'{}' is nothing that can be varied in this car{}", asked,
                    meant.empty() ? "" : fmt::format(" (did you mean '{}'?)", meant)),
        fmt::format("{}, or the path of a number as `lapheat car` lists them", listed_words()), {},
        std::string(asked));
}

}  // namespace

const Number* number_at(const Scenario& s, std::string_view path) {
    const auto at = std::find_if(s.numbers.begin(), s.numbers.end(),
                                 [&](const Number& n) { return n.path == path; });
    return at == s.numbers.end() ? nullptr : &*at;
}

std::vector<std::pair<std::string, double>> Handle::at(double x) const {
    std::vector<std::pair<std::string, double>> out;
    for (const Follows& f : numbers) out.emplace_back(f.path, f.plus + f.times * x);
    return out;
}

Handle handle_within(const Scenario& s, const std::string& table, const std::string& key) {
    const std::string path = table.empty() ? key : table + "." + key;
    const Number* n = number_at(s, path);
    if (n == nullptr) refuse(s, path);
    Handle out;
    out.name = out.words = path;
    add(out, s, *n);
    if (key == "inner_diameter") out.sold = Handle::Sold::hose;
    return out;
}

Handle handle(const Scenario& s, std::string_view asked) {
    if (number_at(s, asked) != nullptr) return handle_within(s, {}, std::string(asked));
    const Plan plan(s);
    const std::string said = asked_as(asked);
    const Phrase* no_part = nullptr;
    for (const Phrase& word : phrases()) {
        if (!said.ends_with(word.name)) continue;
        const std::string whose = ended(said, word.name);
        Handle out;
        out.name = std::string(asked);
        Names where;
        for (const std::string& table : tables_meant(plan, word.part, whose))
            for (const std::string& key : word.keys)
                if (const Number* n = number_at(s, table + "." + key)) {
                    add(out, s, *n);
                    where.push_back(n->path);
                    break;
                }
        no_part = &word;
        if (out.numbers.empty()) continue;
        out.words = fmt::format("{} ({})", out.name, fmt::join(where, ", "));
        if (word.keys.front() == "inner_diameter") out.sold = Handle::Sold::hose;
        if (word.keys.front() == "opens") out.sold = Handle::Sold::thermostat;
        return out;
    }
    if (no_part != nullptr)
        throw Error(fmt::format("this car has no '{}'", asked),
                    fmt::format("{} ({}) of a part that it has, or the path of a number",
                                no_part->name, no_part->help),
                    {}, std::string(asked));
    refuse(s, asked);
}

std::vector<std::string> tables_of_part(const Scenario& s, std::string_view part) {
    const Plan plan(s);
    const std::string said = asked_as(part);
    for (const char* kind : {"fan", "line", "switch", "thermostat", "cap"})
        if (said.ends_with(kind)) {
            Names out = tables_meant(plan, kind, ended(said, kind));
            if (!out.empty()) return out;
        }
    Names out = tables_meant(plan, "core", said);
    if (out.empty()) out = tables_meant(plan, "part", said);
    if (out.empty() && number_at(s, part) == nullptr) {
        for (const Number& n : s.numbers)
            if (n.path.starts_with(std::string(part) + ".")) return {std::string(part)};
        throw Error(fmt::format("this car has no part '{}' to choose", part),
                    "\"cooler\", \"radiator\", \"fan\", \"line\", \"switch\", \"thermostat\", "
                    "\"cap\", the name of a core, fan or part, or a table such as cores.cooler",
                    {}, std::string(part));
    }
    return out;
}

}  // namespace lapheat::scenario
