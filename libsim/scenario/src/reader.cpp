#include "lapheat/scenario/reader.hpp"

#include <algorithm>
#include <limits>

#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

std::string as_text(double x) {
    DocumentNode node;
    node.kind = DocumentNode::Kind::real;
    node.real = x;
    return to_string(node);
}

std::string listed(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        out += (i == 0 ? "\"" : i + 1 == words.size() ? " or \"" : ", \"") + words[i] + "\"";
    }
    return out;
}

}  // namespace

Reader::Reader(const Document& document, Problems& problems)
    : session_(std::make_shared<Session>(Session{problems, document, {}, {}, {}, {}})),
      node_(document.root.kind == DocumentNode::Kind::table ? &document.root : nullptr) {
    if (node_ != nullptr) session_->asked[node_];
}

Reader::Reader(std::shared_ptr<Session> session, const DocumentNode* node, std::string path,
               std::string name)
    : session_(std::move(session)), node_(node), path_(std::move(path)), name_(std::move(name)) {}

double Reader::quantity(std::string_view key, Quantity what, Range range) {
    const DocumentNode* node = Access::required(*this, key, quantity_expected(what));
    if (node == nullptr) return nan;
    return Access::quantity(*this, *node, Access::path(*this, key), what, range).value_or(nan);
}

double Reader::quantity(std::string_view key, Quantity what, Range range, const Default& fallback) {
    const DocumentNode* node = Access::value(*this, key);
    if (node != nullptr) {
        return Access::quantity(*this, *node, Access::path(*this, key), what, range).value_or(nan);
    }
    Access::assume(*this, key, fallback.value, fallback.why);
    return units::parse(fallback.value, what);
}

double Reader::number(std::string_view key, Range range) {
    const DocumentNode* node = Access::required(*this, key, "a number");
    if (node == nullptr) return nan;
    return Access::number(*this, *node, Access::path(*this, key), range).value_or(nan);
}

double Reader::number(std::string_view key, Range range, double fallback, std::string_view why) {
    const DocumentNode* node = Access::value(*this, key);
    if (node != nullptr) {
        return Access::number(*this, *node, Access::path(*this, key), range).value_or(nan);
    }
    Access::assume(*this, key, as_text(fallback), why);
    return fallback;
}

std::int64_t Reader::integer(std::string_view key, std::int64_t low, std::int64_t high) {
    const std::string expected =
        "a whole number from " + std::to_string(low) + " to " + std::to_string(high);
    const DocumentNode* node = Access::required(*this, key, expected);
    if (node == nullptr) return low;
    if (node->kind == DocumentNode::Kind::integer && node->integer >= low &&
        node->integer <= high) {
        return node->integer;
    }
    Access::wrong(*this, *node, Access::path(*this, key), expected);
    return low;
}

std::int64_t Reader::integer(std::string_view key, std::int64_t low, std::int64_t high,
                             std::int64_t fallback, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return integer(key, low, high);
    Access::assume(*this, key, std::to_string(fallback), why);
    return fallback;
}

bool Reader::boolean(std::string_view key) {
    const DocumentNode* node = Access::required(*this, key, "true or false");
    if (node == nullptr) return false;
    if (node->kind == DocumentNode::Kind::boolean) return node->boolean;
    Access::wrong(*this, *node, Access::path(*this, key), "true or false");
    return false;
}

bool Reader::boolean(std::string_view key, bool fallback, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return boolean(key);
    Access::assume(*this, key, fallback ? "true" : "false", why);
    return fallback;
}

std::string Reader::text(std::string_view key) {
    const DocumentNode* node = Access::required(*this, key, "text in quotes");
    if (node == nullptr) return {};
    return Access::text(*this, *node, Access::path(*this, key)).value_or("");
}

std::string Reader::text(std::string_view key, std::string_view fallback, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return text(key);
    Access::assume(*this, key, std::string(fallback), why);
    return std::string(fallback);
}

std::optional<double> Reader::optional_quantity(std::string_view key, Quantity what, Range range) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return quantity(key, what, range);
}

std::optional<double> Reader::optional_number(std::string_view key, Range range) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return number(key, range);
}

std::optional<std::string> Reader::optional_text(std::string_view key) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return text(key);
}

std::size_t Reader::choose(std::string_view key, const std::vector<std::string>& words,
                           std::string_view fallback, std::string_view why, bool decides) {
    const auto index = [&](std::string_view word) {
        return static_cast<std::size_t>(std::find(words.begin(), words.end(), word) -
                                        words.begin());
    };
    const DocumentNode* node =
        fallback.empty() ? Access::required(*this, key, listed(words)) : Access::value(*this, key);
    if (node == nullptr && !fallback.empty()) {
        Access::assume(*this, key, std::string(fallback), why);
        return std::min(index(fallback), words.size() - 1);
    }
    if (node != nullptr && node->kind == DocumentNode::Kind::text &&
        index(node->text) < words.size()) {
        return index(node->text);
    }
    if (node != nullptr) {
        const std::string near =
            node->kind == DocumentNode::Kind::text ? nearest(node->text, words) : std::string();
        Access::wrong(*this, *node, Access::path(*this, key), listed(words),
                      near.empty() ? "" : "did you mean \"" + near + "\"?");
    }
    if (decides && node_ != nullptr) session_->asked[node_].doubtful = true;
    return 0;
}

std::string Reader::one_of(const std::vector<std::string>& keys) {
    std::string found;
    for (const std::string& key : keys) {
        Access::note(*this, key);
        if (!has(key)) continue;
        if (!found.empty()) {
            Access::error(*this, node_->find(key)->key_place, Access::path(*this, key),
                          "given beside '" + found + "'", "only one of " + listed(keys));
            session_->asked[node_].doubtful = true;
            return {};
        }
        found = key;
    }
    if (found.empty() && node_ != nullptr && !session_->asked[node_].doubtful) {
        Access::error(*this, place(), path_, "one key is missing", listed(keys));
        session_->asked[node_].doubtful = true;
    }
    return found;
}

std::string Reader::reference(std::string_view key, const std::vector<std::string>& known) {
    const DocumentNode* node = Access::required(*this, key, "the name of a part in quotes");
    if (node == nullptr) return {};
    return Access::reference(*this, *node, Access::path(*this, key), known);
}

std::optional<std::string> Reader::optional_reference(std::string_view key,
                                                      const std::vector<std::string>& known) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return reference(key, known);
}

bool Reader::has(std::string_view key) const {
    return node_ != nullptr && node_->find(key) != nullptr;
}

FilePlace Reader::place() const {
    return node_ == nullptr ? session_->document.root.place : node_->place;
}

FilePlace Reader::place(std::string_view key) const {
    return has(key) ? node_->find(key)->place : place();
}

std::vector<std::string> Reader::keys() const {
    std::vector<std::string> out;
    if (node_ != nullptr) {
        for (const auto& [key, value] : node_->entries) out.push_back(key);
    }
    return out;
}

bool Reader::sound() const { return node_ != nullptr && !session_->asked[node_].flawed; }

void Reader::error(std::string_view key, std::string_view expected, std::string_view hint) {
    Access::note(*this, key);
    if (has(key)) {
        Access::wrong(*this, *node_->find(key), Access::path(*this, key), std::string(expected),
                      std::string(hint));
    } else if (node_ != nullptr) {
        Access::error(*this, place(), key.empty() ? path_ : Access::path(*this, key),
                      key.empty() ? "" : "missing", std::string(expected), std::string(hint));
    }
}

void Reader::warn(std::string_view key, std::string_view expected, std::string_view hint) {
    if (node_ == nullptr) return;
    session_->problems.warning(place(key), key.empty() ? path_ : Access::path(*this, key),
                               has(key) ? "found " + to_string(*node_->find(key)) : "",
                               std::string(expected), std::string(hint));
}

void Reader::ignore(std::string_view key) { Access::note(*this, key); }

void Reader::report(const Error& error) {
    const bool here = !error.key().empty() && has(error.key());
    Access::error(*this, here ? place(error.key()) : place(),
                  here ? Access::path(*this, error.key()) : path_, error.what(), error.expected());
}

void Reader::finish() {
    if (node_ != nullptr) Access::finish(*this, *node_, path_);
}

const std::vector<Assumption>& Reader::assumptions() const { return session_->assumptions; }

std::vector<SourceFile> Reader::files() const {
    std::vector<SourceFile> out = session_->document.files;
    out.insert(out.end(), session_->tables.begin(), session_->tables.end());
    return out;
}

}  // namespace lapheat::scenario
