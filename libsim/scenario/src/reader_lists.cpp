// Arrays, tables of numbers and tables within a table.
#include <fmt/core.h>

#include <algorithm>

#include "columns_build.hpp"
#include "files.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {
namespace {

std::string numbered(const std::string& path, std::size_t index) {
    return fmt::format("{}[{}]", path, index + 1);
}

/// The items of an array; a single value is an array of one.
std::vector<const DocumentNode*> items_of(const DocumentNode& node) {
    std::vector<const DocumentNode*> out;
    if (node.kind != DocumentNode::Kind::array) return {&node};
    for (const DocumentNode& item : node.items) out.push_back(&item);
    return out;
}

/// Applies `read` to each item and keeps what it returns; empty if any item was refused.
template <class T, class Read>
std::vector<T> each(const DocumentNode& node, const std::string& path, Read&& read) {
    std::vector<T> out;
    bool good = true;
    const std::vector<const DocumentNode*> items = items_of(node);
    for (std::size_t i = 0; i < items.size(); ++i) {
        const std::string key = node.kind == DocumentNode::Kind::array ? numbered(path, i) : path;
        std::optional<T> value = read(*items[i], key);
        good = good && value.has_value();
        if (value) out.push_back(std::move(*value));
    }
    return good ? out : std::vector<T>{};
}

bool is_scalar(const DocumentNode& node) {
    return node.kind == DocumentNode::Kind::text || node.kind == DocumentNode::Kind::integer ||
           node.kind == DocumentNode::Kind::real;
}

TextCell cell_of(const DocumentNode& node) {
    return {node.place, node.kind == DocumentNode::Kind::text ? node.text : to_string(node), false};
}

/// "flow [L/min]" rather than "20 L/min".
bool is_heading(const DocumentNode& node) {
    return node.kind == DocumentNode::Kind::text && !node.text.empty() &&
           std::string_view("+-.0123456789").find(node.text.front()) == std::string_view::npos;
}

/// Rows of cells out of an array of arrays or a table of arrays; false if it is neither.
bool rows_of(const DocumentNode& node, std::vector<std::vector<TextCell>>& rows,
             const DocumentNode*& culprit) {
    culprit = &node;
    if (node.kind == DocumentNode::Kind::array) {
        for (const DocumentNode& row : node.items) {
            culprit = &row;
            if (row.kind != DocumentNode::Kind::array || row.items.empty()) return false;
            rows.emplace_back();
            for (const DocumentNode& item : row.items) {
                culprit = &item;
                if (!is_scalar(item)) return false;
                rows.back().push_back(cell_of(item));
            }
        }
        return true;
    }
    if (node.kind != DocumentNode::Kind::table) return false;
    for (const auto& [name, column] : node.entries) {
        culprit = &column;
        if (column.kind != DocumentNode::Kind::array) return false;
        if (rows.empty()) rows.resize(column.items.size());
        if (rows.size() != column.items.size()) return false;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            culprit = &column.items[i];
            if (!is_scalar(column.items[i])) return false;
            rows[i].push_back(cell_of(column.items[i]));
        }
    }
    return true;
}

}  // namespace

std::vector<double> Reader::quantities(const Key& key) {
    const DocumentNode* node = Access::required(*this, key, described(key));
    if (node == nullptr) return {};
    return each<double>(*node, Access::path(*this, key.name),
                        [&](const DocumentNode& item, const std::string& path) {
                            return Access::quantity(*this, item, path, key);
                        });
}

std::vector<double> Reader::numbers(const Key& key) {
    const DocumentNode* node = Access::required(*this, key, described(key));
    if (node == nullptr) return {};
    return each<double>(*node, Access::path(*this, key.name),
                        [&](const DocumentNode& item, const std::string& path) {
                            return Access::number(*this, item, path, key);
                        });
}

std::vector<std::string> Reader::texts(const Key& key) {
    const DocumentNode* node = Access::required(*this, key, described(key));
    if (node == nullptr) return {};
    return each<std::string>(*node, Access::path(*this, key.name),
                             [&](const DocumentNode& item, const std::string& path) {
                                 return Access::text(*this, item, path);
                             });
}

std::vector<std::string> Reader::references(const Key& key, const std::vector<std::string>& known) {
    const DocumentNode* node = Access::required(*this, key, described(key));
    if (node == nullptr) return {};
    return each<std::string>(
        *node, Access::path(*this, key.name),
        [&](const DocumentNode& item, const std::string& path) -> std::optional<std::string> {
            std::string name = Access::reference(*this, item, path, known);
            if (name.empty()) return std::nullopt;
            return name;
        });
}

std::vector<std::string> Reader::references(const Key& key) { return references(key, key.names()); }

Columns Reader::columns(const Key& key) {
    return columns(key, {key.columns.begin(), key.columns.end()});
}

Columns Reader::columns(const Key& key, const std::vector<Column>& asked) {
    const std::size_t min_rows = key.least_rows;
    const DocumentNode* node = Access::required(*this, key, "a table of " + header_example(asked));
    if (node == nullptr) return empty_columns(asked);
    const std::string path = Access::path(*this, key.name);
    const std::size_t before = session_->problems.errors();
    Columns out = empty_columns(asked);
    if (node->kind == DocumentNode::Kind::text) {
        const auto file =
            (std::filesystem::path(node->place.file).parent_path() / node->text).lexically_normal();
        SourceFile source{file.string(), {}};
        const std::string reason = read_file(file, source.text, session_->problems);
        if (!reason.empty()) {
            Access::error(*this, node->place, path, "cannot read '" + source.path + "': " + reason,
                          {});
            return out;
        }
        out = parse_csv(source.text, source.path, asked, session_->problems, min_rows);
        session_->tables.push_back(std::move(source));
    } else {
        std::vector<std::vector<TextCell>> rows;
        const DocumentNode* culprit = node;
        if (!rows_of(*node, rows, culprit)) {
            Access::wrong(*this, *culprit, path,
                          "rows of equal length of " + header_example(asked));
            return out;
        }
        ColumnsBuild build(asked, path, node->place, session_->problems);
        bool good = true;
        std::size_t first = 0;
        if (node->kind == DocumentNode::Kind::table) {
            // The table's keys are column names, checked as such; finish() leaves them alone.
            session_->asked[node].doubtful = true;
            std::vector<TextCell> headings;
            bool with_units = false;
            for (const auto& [name, column] : node->entries) {
                headings.push_back({column.key_place, name, false});
            }
            for (const auto& row : node->entries) {
                with_units =
                    with_units || (!row.value.items.empty() &&
                                   row.value.items.front().kind == DocumentNode::Kind::text);
            }
            good = with_units ? build.names(headings) : build.headings(headings);
        } else if (!node->items.empty() && is_heading(node->items.front().items.front())) {
            good = build.headings(rows.front());
            first = 1;
        } else {
            build.headings_as_asked();
        }
        for (std::size_t i = first; good && i < rows.size(); ++i) build.row(rows[i]);
        out = build.finish(min_rows);
    }
    if (session_->problems.errors() > before) session_->flaw(node_);
    return out;
}

Reader Reader::table(const Key& key) {
    const std::string path = Access::path(*this, key.name);
    if (key.absent == Key::Absent::none && node_ != nullptr && node_->find(key.name) == nullptr) {
        Access::note(*this, key);
        // An empty table at the place of this one; it lives as long as the session.
        auto& empty = session_->empty.emplace_back(std::make_unique<DocumentNode>());
        empty->place = place();
        empty->key_place = place();
        return Access::within(*this, empty.get(), path, std::string(key.name), key.within);
    }
    const DocumentNode* node = Access::required(*this, key, "a table [" + path + "]");
    if (node != nullptr && node->kind != DocumentNode::Kind::table) {
        Access::wrong(*this, *node, path, "a table [" + path + "]");
        node = nullptr;
    }
    return Access::within(*this, node, path, std::string(key.name), key.within);
}

std::vector<Reader> Reader::tables(const Key& key) {
    const DocumentNode* node = Access::value(*this, key);
    std::vector<Reader> out;
    if (node == nullptr) return out;
    const std::string path = Access::path(*this, key.name);
    if (node->kind != DocumentNode::Kind::array) {
        Access::wrong(*this, *node, path, "tables [[" + path + "]]");
        return out;
    }
    for (std::size_t i = 0; i < node->items.size(); ++i) {
        const DocumentNode& item = node->items[i];
        if (item.kind == DocumentNode::Kind::table) {
            out.push_back(
                Access::within(*this, &item, numbered(path, i), std::string(key.name), key.within));
        } else {
            Access::wrong(*this, item, numbered(path, i), "a table [[" + path + "]]");
        }
    }
    return out;
}

std::vector<Reader> Reader::named(const Key& key) {
    const DocumentNode* node = Access::value(*this, key);
    std::vector<Reader> out;
    if (node == nullptr) return out;
    const std::string path = Access::path(*this, key.name);
    if (node->kind != DocumentNode::Kind::table) {
        Access::wrong(*this, *node, path, "a table [" + path + "]");
        return out;
    }
    Reader group = Access::within(*this, node, path, std::string(key.name), nullptr);
    for (const auto& [name, item] : node->entries) {
        Access::note(group, key::table(name, key.within));
        const bool left_out = item.kind == DocumentNode::Kind::boolean && !item.boolean;
        if (left_out || item.kind == DocumentNode::Kind::broken) continue;
        const std::string inner = Access::path(group, name);
        if (item.kind == DocumentNode::Kind::table) {
            out.push_back(Access::within(group, &item, inner, name, key.within));
        } else {
            Access::wrong(group, item, inner, "a table [" + inner + "], or false to leave it out");
        }
    }
    return out;
}

}  // namespace lapheat::scenario
