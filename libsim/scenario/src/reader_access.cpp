// The steps that reading is made of: finding a key, noting that it was asked for, reporting.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "columns_build.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/spellings.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

bool bare(std::string_view key) {
    return !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               c == '_' || c == '-';
    });
}

/// The path of a key within the table at `path`; a key that is not bare in quotes, as in TOML.
std::string joined(const std::string& path, std::string_view key) {
    const std::string own = bare(key) ? std::string(key) : "\"" + std::string(key) + "\"";
    return path.empty() ? own : path + "." + own;
}

/// Where a file that lies over another gave a table another kind; nullptr if none did.
const DocumentNode* changed_kind(const DocumentNode& table) {
    return table.kind_changed ? table.find("kind") : nullptr;
}

/// "56 %", "56 percent": a number with a unit, and the unit is none of measure.
bool is_share(const std::string& text) {
    try {
        (void)units::parse(text, Quantity::ratio);
        return text.find_first_not_of("+-.,0123456789eE ") != std::string::npos;
    } catch (const Error&) {
        return false;
    }
}

/// A key that is read twice states its doubt once.
void note_doubt(std::vector<StatedDoubt>& doubts, StatedDoubt stated) {
    if (std::none_of(doubts.begin(), doubts.end(),
                     [&](const StatedDoubt& d) { return d.path == stated.path; }))
        doubts.push_back(std::move(stated));
}

}  // namespace

const DocumentNode* Access::value(Reader& r, const Key& key) {
    note(r, key);
    if (r.node_ == nullptr) return nullptr;
    const DocumentNode* node = r.node_->find(key.name);
    if (node != nullptr && node->kind == DocumentNode::Kind::broken) r.session_->flaw(r.node_);
    return node != nullptr && node->kind == DocumentNode::Kind::broken ? nullptr : node;
}

const DocumentNode* Access::required(Reader& r, const Key& key, const std::string& expected) {
    const DocumentNode* node = value(r, key);
    if (node != nullptr || r.node_ == nullptr || r.node_->find(key.name) != nullptr) return node;
    if (r.session_->asked[r.node_].doubtful) return nullptr;
    Problem problem;
    problem.place = r.place();
    problem.key = path(r, key.name);
    problem.found = "missing";
    problem.expected = expected;
    r.session_->flaw(r.node_);
    r.session_->problems.add(problem);
    r.session_->asked[r.node_].missing.emplace_back(key.name, std::move(problem));
    return nullptr;
}

const DocumentNode* Access::wanted(Reader& r, const Key& key) {
    const bool has_default = key.absent == Key::Absent::assumed || key.absent == Key::Absent::usual;
    return has_default ? value(r, key) : required(r, key, described(key));
}

double Access::fallback(Reader& r, const Key& key) {
    const bool is_number = key.type == Key::Type::quantity || key.type == Key::Type::number ||
                           key.type == Key::Type::integer;
    if (is_number) {
        if (const double* variant = changed(r, path(r, key.name))) return *variant;
        if (const Tree* known = r.session_->known)
            if (const auto at = known->defaults.find(&key); at != known->defaults.end())
                return at->second;
    }
    if (key.absent == Key::Absent::assumed) assume(r, key, default_words(key), key.why);
    if (key.absent == Key::Absent::usual && !is_number) tell(r, key, default_words(key));
    const double value = default_value(key);
    if (is_number && r.session_->record != nullptr && r.node_ != nullptr) {
        r.session_->record->defaults[&key] = value;
        keep(r, nullptr, path(r, key.name), key, value, 0, std::string(key.why));
    }
    return value;
}

void Access::note(const Reader& r, const Key& key) {
    if (r.node_ == nullptr) return;
    Reader::Asked& asked = r.session_->asked[r.node_];
    if (!asked.tables.empty() && std::none_of(asked.tables.begin(), asked.tables.end(),
                                              [&](const Table* t) { return t->holds(key); }))
        throw std::logic_error("the key '" + std::string(key.name) + "' is not registered for '" +
                               std::string(asked.tables.front()->name) + "'");
    if (std::find(asked.keys.begin(), asked.keys.end(), key.name) == asked.keys.end())
        asked.keys.emplace_back(key.name);
    if (key.absent == Key::Absent::none && !key.untold && key.type != Key::Type::named &&
        key.type != Key::Type::tables)
        tell(r, key, std::string(key.fallback));
}

void Access::tell(const Reader& r, const Key& key, std::string words) {
    if (r.session_->record == nullptr || r.node_ == nullptr || words.empty() || words == "\"\"" ||
        r.node_->find(key.name) != nullptr)
        return;
    r.session_->left_out.push_back({r.place(), path(r, key.name), std::move(words), {}});
}

void Access::assume(Reader& r, const Key& key, std::string value, std::string_view why) {
    if (r.node_ == nullptr || r.node_->find(key.name) != nullptr) return;
    r.session_->assumptions.push_back(
        {r.place(), path(r, key.name), std::move(value), std::string(why)});
}

void Access::error(Reader& r, const FilePlace& place, std::string key, std::string found,
                   std::string expected, std::string hint) {
    r.session_->flaw(r.node_);
    r.session_->problems.error(place, std::move(key), std::move(found), std::move(expected),
                               std::move(hint));
}

void Access::wrong(Reader& r, const DocumentNode& node, std::string_view key,
                   const std::string& expected, const std::string& hint) {
    error(r, node.place, std::string(key), "found " + to_string(node), expected, hint);
}

std::string Access::path(const Reader& r, std::string_view key) { return joined(r.path_, key); }

Reader Access::within(Reader& r, const DocumentNode* node, std::string path, std::string name,
                      const Table* keys) {
    if (node != nullptr) {
        Reader::Asked& asked = r.session_->asked[node];
        asked.parent = r.node_;
        if (keys != nullptr && asked.tables.empty()) asked.tables.push_back(keys);
    }
    return {r.session_, node, std::move(path), std::move(name)};
}

const double* Access::changed(const Reader& r, const std::string& path) {
    if (r.session_->changed == nullptr) return nullptr;
    const auto at = r.session_->changed->find(path);
    return at == r.session_->changed->end() ? nullptr : &at->second;
}

void Access::keep(Reader& r, const DocumentNode* node, const std::string& path, const Key& key,
                  double value, double half, std::string why) {
    Reader::Session& s = *r.session_;
    if (s.record == nullptr) return;
    if (node != nullptr) s.record->values[node] = value;
    if (!s.record->paths.insert(path).second) return;
    const bool whole = key.type == Key::Type::integer;
    const bool plain = whole || key.type == Key::Type::number || key.type == Key::Type::numbers;
    const Quantity what = plain ? Quantity::ratio : key.quantity;
    const Derivation* relation = node == nullptr ? nullptr : node->relation;
    const DocumentNode* part = r.node_ == nullptr ? nullptr : r.node_->find("name");
    s.numbers.push_back({path, what, value, half, key.range, key.usual_range,
                         node == nullptr       ? Origin::assumed
                         : relation != nullptr ? Origin::derived
                                               : Origin::yours,
                         relation, std::move(why), node == nullptr ? r.place() : node->place, whole,
                         part != nullptr ? part->text : std::string{}});
    if (node != nullptr && relation == nullptr && !key.usual_range.holds(value))
        s.problems.warning(
            node->place, path, "found " + to_string(*node) + ", far from any car's", {},
            "usual is " + words(key.usual_range, what, units::written_in(node->text, what)) +
                "; check the unit");
}

std::optional<double> Access::quantity(Reader& r, const DocumentNode& node, const std::string& path,
                                       const Key& key) {
    const Quantity what = key.quantity;
    double value = std::numeric_limits<double>::quiet_NaN(), half = 0;
    const bool is_number =
        node.kind == DocumentNode::Kind::integer || node.kind == DocumentNode::Kind::real;
    if (node.kind == DocumentNode::Kind::broken) return std::nullopt;
    if (const double* variant = changed(r, path)) {
        value = *variant;
    } else if (r.session_->known != nullptr && r.session_->known->values.count(&node) > 0) {
        return r.session_->known->values.at(&node);
    } else if (is_number && what == Quantity::ratio) {
        value = node.real;
    } else if (node.kind == DocumentNode::Kind::text) {
        try {
            const units::Doubted read = units::parse_doubted(node.text, what);
            value = read.value;
            half = read.half;
            if (read.half > 0)
                note_doubt(r.session_->doubts,
                           {node.place, path, what, value, read.half, key.range});
        } catch (const Error& e) {
            error(r, node.place, path, e.what(), e.expected());
            return std::nullopt;
        }
    } else {
        wrong(r, node, path, quantity_expected(what),
              is_number ? "a quantity is text with its unit" : "");
        return std::nullopt;
    }
    if (!std::isfinite(value) || !key.range.holds(value)) {
        wrong(r, node, path, words(key.range, what, units::written_in(node.text, what)));
        return std::nullopt;
    }
    keep(r, &node, path, key, value, half);
    return value;
}

std::optional<double> Access::number(Reader& r, const DocumentNode& node, const std::string& path,
                                     const Key& key) {
    if (node.kind == DocumentNode::Kind::broken) return std::nullopt;
    // A bare number has no way to carry its doubt, or "56 %", but as text.
    if (node.kind == DocumentNode::Kind::text &&
        (units::says_doubt(node.text) || is_share(node.text))) {
        Key ratio = key;
        ratio.quantity = Quantity::ratio;
        return quantity(r, node, path, ratio);
    }
    if (node.kind != DocumentNode::Kind::integer && node.kind != DocumentNode::Kind::real) {
        wrong(r, node, path, "a number",
              node.kind == DocumentNode::Kind::text ? "write it without quotes" : "");
        return std::nullopt;
    }
    const double* variant = changed(r, path);
    const double value = variant != nullptr ? *variant : node.real;
    if (!std::isfinite(value) || !key.range.holds(value)) {
        wrong(r, node, path, words(key.range, Quantity::ratio, units::System::si));
        return std::nullopt;
    }
    keep(r, &node, path, key, value, 0);
    return value;
}

std::optional<std::string> Access::text(Reader& r, const DocumentNode& node,
                                        const std::string& key) {
    if (node.kind == DocumentNode::Kind::text) return node.text;
    if (node.kind != DocumentNode::Kind::broken) wrong(r, node, key, "text in quotes");
    return std::nullopt;
}

std::string Access::reference(Reader& r, const DocumentNode& node, const std::string& key,
                              const std::vector<std::string>& known) {
    const std::optional<std::string> name = text(r, node, key);
    if (!name) return {};
    if (std::find(known.begin(), known.end(), *name) != known.end()) return *name;
    error(r, node.place, key, "there is no \"" + *name + "\"", {}, suggest(*name, known));
    return {};
}

namespace {

/// What may stand in a table, and what of that does not: for words on a key that may not.
struct KnownKeys {
    std::vector<std::string> known, absent;
    std::string topic;  ///< of help

    KnownKeys(const std::vector<std::string>& asked, const std::vector<const Table*>& tables,
              const DocumentNode& node)
        : known(asked), topic(tables.empty() ? "" : tables.back()->name) {
        for (const Table* t : tables)
            for (const Key* key : t->all())
                if (std::find(known.begin(), known.end(), key->name) == known.end())
                    known.emplace_back(key->name);
        for (const std::string& key : known)
            if (node.find(key) == nullptr) absent.push_back(key);
    }
};

}  // namespace

void Access::finish(Reader& r, const DocumentNode& node, const std::string& path) {
    const auto found = r.session_->asked.find(&node);
    if (found == r.session_->asked.end() || found->second.doubtful) return;
    const Reader::Asked& table = found->second;  // stays where it is when the map grows
    std::vector<const DocumentNode::Entry*> strays;
    for (const DocumentNode::Entry& entry : node.entries) {
        const auto& [key, value] = entry;
        const std::string full = joined(path, key);
        if (std::find(table.keys.begin(), table.keys.end(), key) == table.keys.end()) {
            strays.push_back(&entry);
        } else if (value.kind == DocumentNode::Kind::table) {
            finish(r, value, full);
        } else if (value.kind == DocumentNode::Kind::array) {
            for (std::size_t i = 0; i < value.items.size(); ++i) {
                std::string item = full;
                item.append("[").append(fmt::format("{}", i + 1)).append("]");
                finish(r, value.items[i], item);
            }
        }
    }
    if (!strays.empty()) tell_strays(r, node, strays, path);
}

void Access::tell_strays(Reader& r, const DocumentNode& node,
                         const std::vector<const DocumentNode::Entry*>& strays,
                         const std::string& path) {
    constexpr std::size_t most = 100;  // whoever has more has another file in his hands
    const Reader::Asked& table = r.session_->asked.at(&node);
    const DocumentNode* kind = changed_kind(node);
    const KnownKeys keys(table.keys, table.tables, node);
    std::size_t told = 0;
    for (const DocumentNode::Entry* entry : strays) {
        const auto& [name, value] = *entry;
        // Of the kind that it was in the file below.
        if (kind != nullptr && value.layer < kind->layer) continue;
        if (told++ == most) {
            error(r, value.key_place, joined(path, name), "unknown key", {},
                  "as are others after it");
            return;
        }
        const Key* unused = nullptr;
        for (const Table* t : table.tables)
            for (const Key* key : t->all())
                if (unused == nullptr && key->name == name) unused = key;
        if (unused != nullptr) {
            // Known, but of no use beside the others that are here.
            error(r, value.key_place, joined(path, name), "not used here", {},
                  unused->when.empty() ? std::string() : "it belongs " + std::string(unused->when));
            continue;
        }
        std::string near = nearest(name, keys.absent);
        // A slip in a required key is one problem, not two.
        for (const auto& [key, problem] : table.missing)
            if (key == near) r.session_->problems.withdraw(problem);
        if (near.empty()) near = nearest(name, keys.known);
        std::string hint = near.empty() ? "" : "did you mean '" + near + "'?";
        constexpr std::size_t short_list = 12;
        if (!near.empty() && keys.known.size() > short_list && !keys.topic.empty()) {
            hint += " `lapheat help " + keys.topic + "` lists all";
        } else {
            std::string all;
            for (const std::string& key : keys.known) all += (all.empty() ? "known: " : ", ") + key;
            if (!all.empty()) hint += (hint.empty() ? "" : " ") + all;
        }
        error(r, value.key_place, joined(path, name), "unknown key", {}, hint);
    }
}

}  // namespace lapheat::scenario
