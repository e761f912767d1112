// The steps that reading is made of: finding a key, noting that it was asked for, reporting.
#include <algorithm>
#include <cmath>
#include <limits>

#include "columns_build.hpp"
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

}  // namespace

std::string quantity_expected(Quantity what) {
    const std::string name = units::name(what);
    const bool vowel = std::string_view("aeiou").find(name.front()) != std::string_view::npos;
    return (vowel ? "an " : "a ") + name + " such as \"" + units::example(what) + "\"";
}

const DocumentNode* Access::value(Reader& r, std::string_view key) {
    note(r, key);
    if (r.node_ == nullptr) return nullptr;
    const DocumentNode* node = r.node_->find(key);
    if (node != nullptr && node->kind == DocumentNode::Kind::broken) r.session_->flaw(r.node_);
    return node != nullptr && node->kind == DocumentNode::Kind::broken ? nullptr : node;
}

const DocumentNode* Access::required(Reader& r, std::string_view key, const std::string& expected) {
    const DocumentNode* node = value(r, key);
    if (node != nullptr || r.node_ == nullptr || r.node_->find(key) != nullptr) return node;
    if (r.session_->asked[r.node_].doubtful) return nullptr;
    Problem problem;
    problem.place = r.place();
    problem.key = path(r, key);
    problem.found = "missing";
    problem.expected = expected;
    r.session_->flaw(r.node_);
    r.session_->problems.add(problem);
    r.session_->asked[r.node_].missing.emplace_back(key, std::move(problem));
    return nullptr;
}

void Access::note(const Reader& r, std::string_view key) {
    if (r.node_ == nullptr) return;
    auto& keys = r.session_->asked[r.node_].keys;
    if (std::find(keys.begin(), keys.end(), key) == keys.end()) keys.emplace_back(key);
}

void Access::assume(Reader& r, std::string_view key, std::string value, std::string_view why) {
    if (r.node_ == nullptr || r.node_->find(key) != nullptr) return;
    r.session_->assumptions.push_back(
        {r.place(), path(r, key), std::move(value), std::string(why)});
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

Reader Access::within(Reader& r, const DocumentNode* node, std::string path, std::string name) {
    if (node != nullptr) r.session_->asked[node].parent = r.node_;
    return {r.session_, node, std::move(path), std::move(name)};
}

std::optional<double> Access::quantity(Reader& r, const DocumentNode& node, const std::string& key,
                                       Quantity what, const Range& range) {
    double value = std::numeric_limits<double>::quiet_NaN();
    const bool is_number =
        node.kind == DocumentNode::Kind::integer || node.kind == DocumentNode::Kind::real;
    if (node.kind == DocumentNode::Kind::broken) return std::nullopt;
    if (is_number && what == Quantity::ratio) {
        value = node.real;
    } else if (node.kind == DocumentNode::Kind::text) {
        try {
            value = units::parse(node.text, what);
        } catch (const Error& e) {
            error(r, node.place, key, e.what(), e.expected());
            return std::nullopt;
        }
    } else {
        wrong(r, node, key, quantity_expected(what),
              is_number ? "a quantity is text with its unit" : "");
        return std::nullopt;
    }
    if (!std::isfinite(value) || !range.holds(value)) {
        wrong(r, node, key, words(range, what));
        return std::nullopt;
    }
    return value;
}

std::optional<double> Access::number(Reader& r, const DocumentNode& node, const std::string& key,
                                     const Range& range) {
    if (node.kind == DocumentNode::Kind::broken) return std::nullopt;
    if (node.kind != DocumentNode::Kind::integer && node.kind != DocumentNode::Kind::real) {
        wrong(r, node, key, "a number",
              node.kind == DocumentNode::Kind::text ? "write it without quotes" : "");
        return std::nullopt;
    }
    if (!std::isfinite(node.real) || !range.holds(node.real)) {
        wrong(r, node, key, words(range, Quantity::ratio));
        return std::nullopt;
    }
    return node.real;
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

void Access::finish(Reader& r, const DocumentNode& node, const std::string& path) {
    const auto found = r.session_->asked.find(&node);
    if (found == r.session_->asked.end() || found->second.doubtful) return;
    const Reader::Asked& table = found->second;  // stays where it is when the map grows
    const std::vector<std::string>& asked = table.keys;
    std::vector<std::string> absent;
    for (const std::string& key : asked) {
        if (node.find(key) == nullptr) absent.push_back(key);
    }
    for (const auto& [key, value] : node.entries) {
        const std::string full = joined(path, key);
        if (std::find(asked.begin(), asked.end(), key) == asked.end()) {
            const std::string near = nearest(key, absent);
            // A slip in a required key is one problem, not two.
            for (const auto& [name, problem] : table.missing) {
                if (name == near) r.session_->problems.withdraw(problem);
            }
            error(r, value.key_place, full, "unknown key", {},
                  near.empty() ? suggest(key, asked) : suggest(key, absent));
        } else if (value.kind == DocumentNode::Kind::table) {
            finish(r, value, full);
        } else if (value.kind == DocumentNode::Kind::array) {
            for (std::size_t i = 0; i < value.items.size(); ++i) {
                std::string item = full;
                item.append("[").append(std::to_string(i + 1)).append("]");
                finish(r, value.items[i], item);
            }
        }
    }
}

}  // namespace lapheat::scenario
