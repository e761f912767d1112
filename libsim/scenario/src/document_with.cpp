// Setting one value of a document by its path.
#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <variant>

#include "lapheat/scenario/document.hpp"
#include "toml_tree.hpp"

namespace lapheat::scenario {
namespace {

/// A key of a table, or the number of an item, from 1.
using Step = std::variant<std::string, std::size_t>;

[[noreturn]] void refuse(std::string_view path, const std::string& what,
                         const std::string& expected = {}) {
    throw Error("'" + std::string(path) + "': " + what, expected, {}, std::string(path));
}

[[noreturn]] void refuse_form(std::string_view path) {
    refuse(path, "not the path of a key",
           "keys joined by points, such as cores.radiator.width or "
           "segments[2].radius");
}

bool bare(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '-';
}

/// Reads a bare or quoted key that begins at `at`, and moves `at` behind it.
std::string key_at(std::string_view path, std::size_t& at) {
    const std::size_t begin = at;
    if (at < path.size() && (path[at] == '"' || path[at] == '\'')) {
        const std::size_t end = path.find(path[at], at + 1);
        if (end == std::string_view::npos) refuse_form(path);
        at = end + 1;
        return std::string(path.substr(begin + 1, end - begin - 1));
    }
    while (at < path.size() && bare(path[at])) ++at;
    if (at == begin) refuse_form(path);
    return std::string(path.substr(begin, at - begin));
}

std::vector<Step> steps_of(std::string_view path) {
    std::vector<Step> steps;
    std::size_t at = 0;
    do {
        if (!steps.empty()) ++at;  // the point
        steps.emplace_back(key_at(path, at));
        while (at < path.size() && path[at] == '[') {
            const std::size_t end = path.find(']', at);
            std::size_t index = 0;
            if (end == std::string_view::npos) refuse_form(path);
            const auto read = std::from_chars(path.data() + at + 1, path.data() + end, index);
            if (read.ec != std::errc{} || read.ptr != path.data() + end || index == 0) {
                refuse_form(path);
            }
            steps.emplace_back(index);
            at = end + 1;
        }
    } while (at < path.size() && path[at] == '.');
    if (at != path.size()) refuse_form(path);
    return steps;
}

std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (code < 0x20U || code == 0x7FU) {
            out += fmt::format("\\u{:04X}", code);
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
}

/// The value as a node whose place is in the line "path = value".
DocumentNode value_of(std::string_view path, const std::string& value, const std::string& file) {
    std::string line(characters(path), ' ');
    line.front() = 'v';
    line.append(" = ").append(value);
    Problems problems;
    DocumentNode tree = toml_tree(line, file, problems);
    if (problems.errors() > 0 || tree.entries.empty())
        refuse(path, "the value is not text (UTF-8)");
    return std::move(tree.entries.front().value);
}

DocumentNode& item_at(DocumentNode& node, std::size_t index, std::string_view path) {
    if (node.kind != DocumentNode::Kind::array)
        refuse(path, fmt::format("[{}] of {}", index, to_string(node)), "an array");
    if (index > node.items.size()) {
        refuse(path, fmt::format("item {} of {}", index, to_string(node)));
    }
    return node.items[index - 1];
}

/// Of a list the item of that name, parts."upper hose", or of that number, as a file that lies over
/// another calls it; nullptr if there is none, or no list.
DocumentNode* item_called(DocumentNode& node, const std::string& key) {
    if (node.kind != DocumentNode::Kind::array) return nullptr;
    for (DocumentNode& item : node.items)
        if (const DocumentNode* name = item.find("name");
            name != nullptr && name->kind == DocumentNode::Kind::text && name->text == key)
            return &item;
    std::size_t index = 0;
    const auto read = std::from_chars(key.data(), key.data() + key.size(), index);
    const bool number = read.ec == std::errc{} && read.ptr == key.data() + key.size();
    return number && index >= 1 && index <= node.items.size() ? &node.items[index - 1] : nullptr;
}

DocumentNode& entry_of(DocumentNode& node, const std::string& key, bool last, std::string_view path,
                       const DocumentNode& value) {
    if (DocumentNode* item = item_called(node, key)) return *item;
    if (node.kind != DocumentNode::Kind::table) {
        refuse(path, "'" + key + "' is looked for in " + to_string(node),
               node.kind == DocumentNode::Kind::array ? "the name or the number of one of them"
                                                      : "a table");
    }
    if (DocumentNode* there = node.find(key)) return *there;
    if (!last) {
        std::vector<std::string> parts;
        for (const auto& [name, part] : node.entries) {
            if (part.kind == DocumentNode::Kind::table || part.kind == DocumentNode::Kind::array) {
                parts.push_back(name);
            }
        }
        const std::string near = nearest(key, parts);
        if (!near.empty()) {
            refuse(path, "there is no '" + key + "'; did you mean '" + near + "'?");
        }
    }
    DocumentNode made;
    made.place = value.place;
    made.key_place = value.key_place;
    node.entries.emplace_back(key, std::move(made));
    return node.entries.back().value;
}

}  // namespace

Document Document::with(std::string_view path, std::string_view value) const {
    const std::vector<Step> steps = steps_of(path);
    const std::string toml = is_toml_value(value) ? std::string(value) : quoted(value);
    const std::string file = "set " + std::string(path);
    DocumentNode set = value_of(path, toml, file);

    Document out = *this;
    DocumentNode* node = &out.root;
    for (std::size_t i = 0; i < steps.size(); ++i) {
        const bool last = i + 1 == steps.size();
        node = std::holds_alternative<std::size_t>(steps[i])
                   ? &item_at(*node, std::get<std::size_t>(steps[i]), path)
                   : &entry_of(*node, std::get<std::string>(steps[i]), last, path, set);
    }
    *node = std::move(set);

    const std::string text = std::string(path) + " = " + toml + "\n";
    const auto before = std::find_if(out.files.begin(), out.files.end(),
                                     [&](const SourceFile& f) { return f.path == file; });
    if (before != out.files.end()) {
        before->text = text;
    } else {
        out.files.push_back({file, text});
    }
    return out;
}

}  // namespace lapheat::scenario
