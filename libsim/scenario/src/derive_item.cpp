#include "derive_item.hpp"

#include <algorithm>
#include <stdexcept>

#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

/// What goes with a derived part and nobody doubts, or no draw moves: so it is no number of the
/// builder's either.
constexpr Derivation as_built{"as built", "as cars of that kind are built", "nothing"};

const Derivation& relation_named(std::string_view name) {
    for (const Derivation& r : relations())
        if (r.name == name) return r;
    throw std::logic_error("no relation '" + std::string(name) + "'");
}

}  // namespace

DocumentNode Item::leaf(DocumentNode::Kind kind) const {
    DocumentNode out;
    out.kind = kind;
    out.place = out.key_place = place_;
    return out;
}

Item& Item::put(std::string_view key, DocumentNode value) {
    node_.entries.emplace_back(std::string(key), std::move(value));
    return *this;
}

Item& Item::text(std::string_view key, std::string value) {
    DocumentNode node = leaf(DocumentNode::Kind::text);
    node.text = std::move(value);
    node.relation = &as_built;
    return put(key, std::move(node));
}

Item& Item::flag(std::string_view key, bool value) {
    DocumentNode node = leaf(DocumentNode::Kind::boolean);
    node.boolean = value;
    return put(key, std::move(node));
}

Item& Item::whole(std::string_view key, std::int64_t value) {
    DocumentNode node = leaf(DocumentNode::Kind::integer);
    node.integer = value;
    node.real = static_cast<double>(value);
    node.relation = &as_built;
    return put(key, std::move(node));
}

Item& Item::plain(std::string_view key, double value) {
    DocumentNode node = leaf(DocumentNode::Kind::real);
    node.real = value;
    node.relation = &as_built;
    return put(key, std::move(node));
}

DocumentNode Item::doubted(std::string value, const std::string& spread,
                           const Derivation& r) const {
    DocumentNode node = leaf(DocumentNode::Kind::text);
    node.text = std::move(value) + " +- " + spread;
    node.relation = &r;
    return node;
}

Item& Item::quantity(std::string_view key, units::Quantity what, double value,
                     std::string_view relation) {
    const Derivation& r = relation_named(relation);
    if (what == units::Quantity::ratio) return number(key, value, relation);
    const std::string spread = what == units::Quantity::temperature
                                   ? as_text(r.spread) + " K"
                                   : as_text(100 * r.spread) + " %";
    return put(key, doubted(units::format(value, what, units::System::si), spread, r));
}

Item& Item::number(std::string_view key, double value, std::string_view relation) {
    return numbers(key, {value}, relation);
}

Item& Item::numbers(std::string_view key, const std::vector<double>& values,
                    std::string_view relation) {
    const Derivation& r = relation_named(relation);
    DocumentNode list = leaf(DocumentNode::Kind::array);
    for (const double value : values)
        list.items.push_back(
            doubted(units::format(value, units::Quantity::ratio, units::System::si),
                    as_text(100 * r.spread) + " %", r));
    return values.size() == 1 ? put(key, std::move(list.items.front())) : put(key, std::move(list));
}

bool Item::own(std::string_view key, const DocumentNode* from, std::string_view there) {
    const DocumentNode* value = from == nullptr ? nullptr : from->find(there);
    if (value == nullptr) return false;
    put(key, *value);
    return true;
}

Item& Item::table(std::string_view key, Item item) { return put(key, std::move(item.node_)); }

Item& Item::list(std::string_view key, std::vector<Item> items) {
    DocumentNode node = leaf(DocumentNode::Kind::array);
    for (Item& item : items) node.items.push_back(std::move(item.node_));
    return put(key, std::move(node));
}

Item& Item::texts(std::string_view key, const std::vector<std::string>& values) {
    DocumentNode node = leaf(DocumentNode::Kind::array);
    for (const std::string& value : values) {
        DocumentNode one = leaf(DocumentNode::Kind::text);
        one.text = value;
        node.items.push_back(std::move(one));
    }
    return put(key, std::move(node));
}

}  // namespace lapheat::scenario
