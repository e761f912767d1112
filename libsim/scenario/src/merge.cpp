#include "merge.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <unordered_map>

namespace lapheat::scenario {
namespace {

/// Takes the marks `replace = true` out of a tree that lies over nothing.
void settle(DocumentNode& node) {
    if (node.kind != DocumentNode::Kind::table) return;
    std::erase_if(node.entries, [](const DocumentNode::Entry& e) { return e.key == "replace"; });
    for (auto& [key, value] : node.entries) settle(value);
}

bool replaces(const DocumentNode& node) {
    const DocumentNode* mark = node.find("replace");
    return mark != nullptr && mark->kind == DocumentNode::Kind::boolean && mark->boolean;
}

std::string name_of(const DocumentNode& item) {
    const DocumentNode* name = item.kind == DocumentNode::Kind::table ? item.find("name") : nullptr;
    return name != nullptr && name->kind == DocumentNode::Kind::text ? name->text : std::string();
}

bool all_named(const DocumentNode& array) {
    return !array.items.empty() &&
           std::all_of(array.items.begin(), array.items.end(),
                       [](const DocumentNode& item) { return !name_of(item).empty(); });
}

bool all_tables(const DocumentNode& array) {
    return !array.items.empty() &&
           std::all_of(array.items.begin(), array.items.end(), [](const DocumentNode& item) {
               return item.kind == DocumentNode::Kind::table;
           });
}

/// Items without names go by their number, from 1: what differs of one that is there.
void lay_by_number(DocumentNode& array, const std::string& number, DocumentNode& value,
                   Problems& problems) {
    if (value.kind == DocumentNode::Kind::broken) return;
    std::size_t index = 0;
    const char* end = number.data() + number.size();
    const auto [read_to, failed] = std::from_chars(number.data(), end, index);
    if (failed != std::errc{} || read_to != end || index == 0 || index > array.items.size())
        problems.error(
            value.key_place, number, "there is no item " + number,
            fmt::format("a number from 1 to {}, or the whole list anew", array.items.size()));
    else if (value.kind != DocumentNode::Kind::table)
        problems.error(value.place, number, "found " + to_string(value), "a table of what differs");
    else
        merge(array.items[index - 1], std::move(value), problems);
}

/// Items of an array by name: each entry of `over` changes, removes or adds one.
class Items {
  public:
    Items(DocumentNode& array, Problems& problems) : items_(array.items), problems_(problems) {}

    void lay(const std::string& name, DocumentNode&& value) {
        if (value.kind == DocumentNode::Kind::broken) return;
        const std::size_t here = index_of(name);
        const bool there = here < items_.size();
        if (value.kind == DocumentNode::Kind::boolean && !value.boolean && there) {
            items_.erase(items_.begin() + static_cast<std::ptrdiff_t>(here));
        } else if (value.kind != DocumentNode::Kind::table) {
            problems_.error(value.place, name, "found " + to_string(value),
                            there ? "a table of what differs, or false to leave it out"
                                  : "a table with `after`, which adds it",
                            there ? std::string() : suggest(name, names()));
        } else if (const std::size_t at = place_for(name, value, here); at != nowhere) {
            DocumentNode item;
            if (there) {
                item = std::move(items_[here]);
                items_.erase(items_.begin() + static_cast<std::ptrdiff_t>(here));
            } else {
                item.place = item.key_place = value.place;
                DocumentNode text;
                text.kind = DocumentNode::Kind::text;
                text.place = text.key_place = value.key_place;
                text.text = name;
                item.entries.emplace_back("name", std::move(text));
            }
            const std::size_t to = there && at > here ? at - 1 : at;
            merge(item, std::move(value), problems_);
            items_.insert(items_.begin() + static_cast<std::ptrdiff_t>(to), std::move(item));
        }
    }

  private:
    static constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

    std::vector<std::string> names() const {
        std::vector<std::string> out;
        for (const DocumentNode& item : items_) out.push_back(name_of(item));
        return out;
    }

    std::size_t index_of(const std::string& name) const {
        const auto found =
            std::find_if(items_.begin(), items_.end(),
                         [&](const DocumentNode& item) { return name_of(item) == name; });
        return static_cast<std::size_t>(found - items_.begin());
    }

    /// Where the item goes: behind the one that `after` names, else where it is.
    std::size_t place_for(const std::string& name, DocumentNode& value, std::size_t here) {
        const auto after =
            std::find_if(value.entries.begin(), value.entries.end(),
                         [](const DocumentNode::Entry& e) { return e.key == "after"; });
        if (after == value.entries.end()) {
            if (here < items_.size()) return here;
            problems_.error(value.key_place, name, "there is no item \"" + name + "\"",
                            "the name of one that is there, or `after`, which adds it",
                            suggest(name, names()));
            return nowhere;
        }
        const DocumentNode where = std::move(after->value);
        value.entries.erase(after);
        const std::size_t found =
            where.kind == DocumentNode::Kind::text ? index_of(where.text) : items_.size();
        if (found < items_.size() && found != here) return found + 1;
        problems_.error(where.place, name + ".after", "found " + to_string(where),
                        "the name of the item it follows",
                        suggest(where.kind == DocumentNode::Kind::text ? where.text : "", names()));
        return nowhere;
    }

    std::vector<DocumentNode>& items_;
    Problems& problems_;
};

}  // namespace

void merge(DocumentNode& base, DocumentNode&& over, Problems& problems) {
    if (base.kind == DocumentNode::Kind::array && over.kind == DocumentNode::Kind::table &&
        all_named(base)) {
        Items items(base, problems);
        for (auto& [name, value] : over.entries) items.lay(name, std::move(value));
        return;
    }
    if (base.kind == DocumentNode::Kind::array && over.kind == DocumentNode::Kind::table &&
        all_tables(base)) {
        for (auto& [number, value] : over.entries) lay_by_number(base, number, value, problems);
        return;
    }
    if (base.kind != DocumentNode::Kind::table || over.kind != DocumentNode::Kind::table ||
        replaces(over)) {
        settle(over);
        base = std::move(over);
        return;
    }
    std::unordered_map<std::string, std::size_t> below;  // keys of `over` differ from one another
    for (std::size_t i = 0; i < base.entries.size(); ++i) below.emplace(base.entries[i].key, i);
    for (auto& [key, value] : over.entries) {
        if (key == "replace") continue;
        if (const auto found = below.find(key); found != below.end()) {
            DocumentNode& there = base.entries[found->second].value;
            if (key == "kind" && there.text != value.text) base.kind_changed = true;
            merge(there, std::move(value), problems);
        } else {
            settle(value);
            base.entries.emplace_back(key, std::move(value));
        }
    }
}

}  // namespace lapheat::scenario
