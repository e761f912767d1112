// A table of the derived car, made key by key.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/number.hpp"

namespace lapheat::scenario {

class Item {
  public:
    explicit Item(FilePlace place) : place_(std::move(place)) {
        node_.place = node_.key_place = place_;
    }
    Item& text(std::string_view key, std::string value);
    Item& flag(std::string_view key, bool value);
    Item& whole(std::string_view key, std::int64_t value);
    Item& plain(std::string_view key, double value);  ///< of no doubt
    /// SI, with the spread of the relation of that name; throws std::logic_error without one.
    Item& quantity(std::string_view key, units::Quantity what, double value,
                   std::string_view relation);
    Item& number(std::string_view key, double value, std::string_view relation);
    Item& numbers(std::string_view key, const std::vector<double>& values,
                  std::string_view relation);
    /// The builder's own value, as it stands, with its place; false if there is none.
    bool own(std::string_view key, const DocumentNode* from, std::string_view there);
    Item& table(std::string_view key, Item item);
    Item& list(std::string_view key, std::vector<Item> items);
    Item& texts(std::string_view key, const std::vector<std::string>& values);
    DocumentNode& node() { return node_; }

  private:
    DocumentNode leaf(DocumentNode::Kind kind) const;
    Item& put(std::string_view key, DocumentNode value);
    DocumentNode doubted(std::string value, const std::string& spread, const Derivation& r) const;
    FilePlace place_;
    DocumentNode node_;
};

}  // namespace lapheat::scenario
