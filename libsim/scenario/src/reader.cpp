#include "lapheat/scenario/reader.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

}  // namespace

Reader::Reader(const Document& document, Problems& problems, const Table* keys)
    : session_(std::make_shared<Session>(Session{problems, document, {}, {}, {}, {}, {}})),
      node_(document.root.kind == DocumentNode::Kind::table ? &document.root : nullptr) {
    if (node_ == nullptr) return;
    Asked& asked = session_->asked[node_];
    if (keys != nullptr) asked.tables.push_back(keys);
}

Reader::Reader(std::shared_ptr<Session> session, const DocumentNode* node, std::string path,
               std::string name)
    : session_(std::move(session)), node_(node), path_(std::move(path)), name_(std::move(name)) {}

double Reader::quantity(const Key& key) {
    const DocumentNode* node = Access::wanted(*this, key);
    if (node != nullptr)
        return Access::quantity(*this, *node, Access::path(*this, key.name), key).value_or(nan);
    return Access::fallback(*this, key);
}

double Reader::quantity(const Key& key, const Default& derived) {
    if (Access::value(*this, key) != nullptr) return quantity(key);
    const std::string path = Access::path(*this, key.name);
    if (const double* variant = Access::changed(*this, path)) return *variant;
    Access::assume(*this, key, derived.value, derived.why);
    const double value = units::parse(derived.value, key.quantity);
    Access::keep(*this, nullptr, path, key, value, 0, derived.why);
    return value;
}

double Reader::quantity(const Key& key, double derived, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return quantity(key);
    const std::string path = Access::path(*this, key.name);
    if (const double* variant = Access::changed(*this, path)) return *variant;
    Access::assume(*this, key, units::format(derived, key.quantity, units::System::si), why);
    Access::keep(*this, nullptr, path, key, derived, 0, std::string(why));
    return derived;
}

double Reader::number(const Key& key) {
    const DocumentNode* node = Access::wanted(*this, key);
    if (node != nullptr)
        return Access::number(*this, *node, Access::path(*this, key.name), key).value_or(nan);
    return Access::fallback(*this, key);
}

double Reader::number(const Key& key, double derived, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return number(key);
    const std::string path = Access::path(*this, key.name);
    if (const double* variant = Access::changed(*this, path)) return *variant;
    Access::assume(*this, key, as_text(derived), why);
    Access::keep(*this, nullptr, path, key, derived, 0, std::string(why));
    return derived;
}

std::int64_t Reader::integer(const Key& key) {
    const DocumentNode* node = Access::wanted(*this, key);
    const auto low = static_cast<std::int64_t>(key.range.low);
    if (node == nullptr) {
        const double otherwise = Access::fallback(*this, key);
        return std::isnan(otherwise) ? low : static_cast<std::int64_t>(otherwise);
    }
    const std::string at = Access::path(*this, key.name);
    if (const double* variant = Access::changed(*this, at)) {
        const double whole = std::round(*variant);
        if (key.range.holds(whole)) return static_cast<std::int64_t>(whole);
    } else if (node->kind == DocumentNode::Kind::integer && key.range.holds(node->real)) {
        Access::keep(*this, node, at, key, node->real, 0);
        return node->integer;
    }
    Access::wrong(*this, *node, at, described(key));
    return low;
}

double Reader::instead(const Key& key, const Key& written, double value) {
    const std::string path = Access::path(*this, key.name);
    if (const double* variant = Access::changed(*this, path)) {
        if (key.range.holds(*variant)) return *variant;
        Access::error(*this, place(), path, "found " + as_text(*variant), range_words(key));
    } else if (const auto* node = node_ == nullptr ? nullptr : node_->find(written.name)) {
        Access::keep(*this, node, path, key, value, 0);
    }
    return value;
}

bool Reader::boolean(const Key& key) {
    const DocumentNode* node = Access::wanted(*this, key);
    if (node == nullptr) return Access::fallback(*this, key) > 0;
    if (node->kind == DocumentNode::Kind::boolean) return node->boolean;
    Access::wrong(*this, *node, Access::path(*this, key.name), described(key));
    return false;
}

bool Reader::boolean(const Key& key, bool derived, std::string_view why) {
    if (Access::value(*this, key) != nullptr) return boolean(key);
    Access::assume(*this, key, derived ? "true" : "false", why);
    return derived;
}

std::string Reader::text(const Key& key) {
    const DocumentNode* node = Access::wanted(*this, key);
    if (node != nullptr)
        return Access::text(*this, *node, Access::path(*this, key.name)).value_or("");
    (void)Access::fallback(*this, key);
    const bool given = key.absent == Key::Absent::assumed || key.absent == Key::Absent::usual;
    return given ? std::string(key.fallback) : std::string();
}

std::optional<double> Reader::optional_quantity(const Key& key) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return quantity(key);
}

std::optional<std::string> Reader::optional_text(const Key& key) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return text(key);
}

int Reader::choose(const Key& key) {
    const std::span<const Word> known = words_of(key);
    std::vector<std::string> words;
    for (const Word& word : known) words.emplace_back(word.name);
    return known[word_index(key, words)].value;
}

std::size_t Reader::choose_kind(const Key& key) {
    const std::span<const Table* const> kinds = key.kinds();
    std::vector<std::string> words;
    for (const Table* kind : kinds) words.emplace_back(kind->name);
    const std::size_t index = word_index(key, words);
    if (node_ == nullptr) return index;
    std::vector<const Table*>& tables = session_->asked[node_].tables;
    if (!tables.empty()) tables.push_back(kinds[index]);
    return index;
}

std::size_t Reader::word_index(const Key& key, const std::vector<std::string>& words) {
    const auto index = [&](std::string_view word) {
        return static_cast<std::size_t>(std::find(words.begin(), words.end(), word) -
                                        words.begin());
    };
    const DocumentNode* node = Access::wanted(*this, key);
    if (node == nullptr && !key.fallback.empty()) {
        (void)Access::fallback(*this, key);
        return std::min(index(key.fallback), words.size() - 1);
    }
    if (node != nullptr && node->kind == DocumentNode::Kind::text &&
        index(node->text) < words.size())
        return index(node->text);
    if (node != nullptr) {
        const std::string near =
            node->kind == DocumentNode::Kind::text ? nearest(node->text, words) : std::string();
        Access::wrong(*this, *node, Access::path(*this, key.name), described(key),
                      near.empty() ? "" : "did you mean \"" + near + "\"?");
    }
    if (key.type == Key::Type::kind && node_ != nullptr) session_->asked[node_].doubtful = true;
    return 0;
}

void Reader::assume(const Key& key, const Default& derived) {
    Access::assume(*this, key, derived.value, derived.why);
}

std::string Reader::one_of(std::initializer_list<const Key*> keys) {
    std::vector<std::string> names;
    for (const Key* key : keys) names.emplace_back(key->name);
    // Of a file that lies over another: it means to say the same anew.
    int latest = 0;
    for (const Key* key : keys)
        if (has(*key)) latest = std::max(latest, node_->find(key->name)->layer);
    std::string found;
    for (const Key* key : keys) {
        Access::note(*this, *key);
        if (!has(*key) || node_->find(key->name)->layer < latest) continue;
        if (!found.empty()) {
            Access::error(*this, node_->find(key->name)->key_place, Access::path(*this, key->name),
                          "given beside '" + found + "'", "only one of " + listed(names));
            session_->asked[node_].doubtful = true;
            return {};
        }
        found = key->name;
    }
    if (found.empty() && node_ != nullptr && !session_->asked[node_].doubtful) {
        Access::error(*this, place(), path_, "one key is missing", listed(names));
        session_->asked[node_].doubtful = true;
    }
    return found;
}

std::string Reader::reference(const Key& key, const std::vector<std::string>& known) {
    const DocumentNode* node = Access::required(*this, key, described(key));
    if (node == nullptr) return {};
    return Access::reference(*this, *node, Access::path(*this, key.name), known);
}

std::string Reader::reference(const Key& key) { return reference(key, key.names()); }

std::optional<std::string> Reader::optional_reference(const Key& key,
                                                      const std::vector<std::string>& known) {
    if (Access::value(*this, key) == nullptr) return std::nullopt;
    return reference(key, known);
}

bool Reader::holds(std::string_view key) const {
    return node_ != nullptr && node_->find(key) != nullptr;
}

FilePlace Reader::place() const {
    if (node_ == nullptr) return session_->document.root.place;
    // A file that lies over another and changes the kind is the one to look at.
    const DocumentNode* kind = node_->kind_changed ? node_->find("kind") : nullptr;
    return kind != nullptr ? kind->place : node_->place;
}

FilePlace Reader::place(const Key& key) const {
    return has(key) ? node_->find(key.name)->place : place();
}

bool Reader::sound() const { return node_ != nullptr && !session_->asked[node_].flawed; }

void Reader::error(const Key& key, std::string_view expected, std::string_view hint) {
    Access::note(*this, key);
    if (has(key)) {
        Access::wrong(*this, *node_->find(key.name), Access::path(*this, key.name),
                      std::string(expected), std::string(hint));
    } else if (node_ != nullptr) {
        Access::error(*this, place(), Access::path(*this, key.name), "missing",
                      std::string(expected), std::string(hint));
    }
}

void Reader::warn(const Key& key, std::string_view expected, std::string_view hint) {
    if (node_ == nullptr) return;
    session_->problems.warning(place(key), Access::path(*this, key.name),
                               has(key) ? "found " + to_string(*node_->find(key.name)) : "",
                               std::string(expected), std::string(hint));
}

void Reader::ignore(const Key& key) { Access::note(*this, key); }

void Reader::report(const Error& error) {
    const bool here = !error.key().empty() && holds(error.key());
    Access::error(*this, here ? node_->find(error.key())->place : place(),
                  here ? Access::path(*this, error.key()) : path_, error.what(), error.expected());
}

void Reader::finish() {
    if (node_ != nullptr) Access::finish(*this, *node_, path_);
}

const std::vector<Assumption>& Reader::assumptions() const { return session_->assumptions; }

const std::vector<StatedDoubt>& Reader::doubts() const { return session_->doubts; }

const std::vector<Number>& Reader::numbers() const { return session_->numbers; }

double Reader::take_doubt(const Key& key) {
    const std::string path = Access::path(*this, key.name);
    double half = 0;
    std::erase_if(session_->doubts, [&](const StatedDoubt& d) {
        if (d.path != path) return false;
        half = d.half;
        return true;
    });
    return half;
}

std::vector<SourceFile> Reader::files() const {
    std::vector<SourceFile> out = session_->document.files;
    out.insert(out.end(), session_->tables.begin(), session_->tables.end());
    return out;
}

}  // namespace lapheat::scenario
