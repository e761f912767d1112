// What the registry says of itself: for readers' messages and for `lapheat help`.
#include "lapheat/scenario/registry.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <stdexcept>

#include "columns_build.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {

using Type = Key::Type;

const Key& Table::at(std::string_view key) const {
    for (const Key* k : all())
        if (k->name == key) return *k;
    throw std::logic_error("no key '" + std::string(key) + "' in the table '" + std::string(name) +
                           "'");
}

std::vector<const Key*> Table::all() const {
    std::vector<const Key*> out;
    for (const Key& k : keys) out.push_back(&k);
    if (more != nullptr)
        for (const Key& k : more()) out.push_back(&k);
    for (const Table* shared : with)
        if (shared != nullptr)
            for (const Key* k : shared->all()) out.push_back(k);
    return out;
}

bool Table::holds(const Key& key) const {
    const auto in = [&](std::span<const Key> some) {
        // Over unrelated addresses only std::less has an order.
        const std::less<> before;
        return !some.empty() && !before(&key, some.data()) &&
               before(&key, some.data() + some.size());
    };
    return in(keys) || (more != nullptr && in(more())) ||
           std::any_of(with.begin(), with.end(),
                       [&](const Table* t) { return t != nullptr && t->holds(key); });
}

namespace {

void collect(const Table* table, std::vector<const Table*>& out) {
    if (std::find(out.begin(), out.end(), table) != out.end()) return;
    out.push_back(table);
    for (const Key* key : table->all())
        if (key->kinds != nullptr)
            for (const Table* kind : key->kinds()) collect(kind, out);
    for (const Key* key : table->all())
        if (key->within != nullptr) collect(key->within, out);
}

}  // namespace

std::vector<const Table*> all_tables() {
    std::vector<const Table*> out;
    collect(&car_file(), out);
    collect(&cycle_file(), out);
    return out;
}

std::string quantity_expected(Quantity what) {
    const std::string name = units::name(what);
    const bool vowel = std::string_view("aeiou").find(name.front()) != std::string_view::npos;
    return (vowel ? "an " : "a ") + name + " such as \"" + units::example(what) + "\"";
}

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

std::span<const Word> words_of(const Key& key) {
    return key.more_words != nullptr ? key.more_words() : key.words;
}

double default_value(const Key& key) {
    if (key.absent != Key::Absent::assumed && key.absent != Key::Absent::usual)
        return std::numeric_limits<double>::quiet_NaN();
    const bool written = !key.fallback.empty() && key.type == Type::quantity;
    if (written) return units::parse(key.fallback, key.quantity);
    return key.computed != nullptr ? key.computed() : key.value;
}

std::string described(const Key& key) {
    std::vector<std::string> words;
    switch (key.type) {
        case Type::quantity:
            return quantity_expected(key.quantity);
        case Type::quantities:
            return "an array of " + quantity_expected(key.quantity);
        case Type::number:
            return "a number";
        case Type::numbers:
            return "an array of numbers";
        case Type::integer:
            return fmt::format("a whole number from {} to {}",
                               static_cast<std::int64_t>(key.range.low),
                               static_cast<std::int64_t>(key.range.high));
        case Type::boolean:
            return "true or false";
        case Type::text:
            return "text in quotes";
        case Type::texts:
            return "an array of text in quotes";
        case Type::choice:
            for (const Word& word : words_of(key)) words.emplace_back(word.name);
            return listed(words);
        case Type::kind:
            for (const Table* kind : key.kinds()) words.emplace_back(kind->name);
            return listed(words);
        case Type::reference:
            return "the name of a part in quotes";
        case Type::references:
            return "an array of names in quotes";
        case Type::columns:
            return "a table of " + header_example({key.columns.begin(), key.columns.end()});
        case Type::table:
        case Type::named:
            return "a table [" + std::string(key.name) + "]";
        case Type::tables:
            return "tables [[" + std::string(key.name) + "]]";
    }
    throw std::logic_error("a key without a type");
}

std::string range_words(const Key& key, units::System system) {
    return words(key.range, key.quantity, system);
}

std::string default_words(const Key& key, units::System system) {
    if (key.absent == Key::Absent::refused) return {};
    const bool written = key.type == Type::quantity && key.absent != Key::Absent::none;
    if (!key.fallback.empty() && !(written && system == units::System::us))
        return std::string(key.fallback);
    if (key.absent == Key::Absent::none) return "none";
    if (key.type == Type::text) return {};
    const double value = default_value(key);
    if (key.type == Type::boolean) return value > 0 ? "true" : "false";
    if (key.type == Type::integer) return fmt::format("{}", static_cast<std::int64_t>(value));
    if (key.type == Type::quantity) return units::format(value, key.quantity, system);
    return as_text(value);
}

}  // namespace lapheat::scenario
