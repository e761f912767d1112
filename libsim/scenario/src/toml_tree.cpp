#include "toml_tree.hpp"

#include <fmt/core.h>

#include <toml++/toml.h>

#include <algorithm>
#include <cctype>
#include <regex>
#include <sstream>

#include "lapheat/units/text.hpp"

namespace lapheat::scenario {
namespace {

/// Stands for a value that could not be read; no person types it, for TOML forbids the character
/// in text unless it is escaped.
constexpr std::string_view broken_mark = "\x01";

FilePlace place_of(const toml::source_region& region, const std::string& file) {
    return {file, region.begin.line, region.begin.column};
}

DocumentNode convert(const toml::node& from, const std::string& file, const FilePlace& key_place);

void convert_table(const toml::table& table, const std::string& file, DocumentNode& out) {
    for (const auto& [key, value] : table) {
        const FilePlace at = place_of(key.source(), file);
        out.entries.emplace_back(std::string(key.str()), convert(value, file, at));
    }
    // TOML++ keeps keys by the alphabet; a person wrote them in an order that means something.
    std::stable_sort(out.entries.begin(), out.entries.end(),
                     [](const DocumentNode::Entry& a, const DocumentNode::Entry& b) {
                         const FilePlace& p = a.value.key_place;
                         const FilePlace& q = b.value.key_place;
                         return p.line != q.line ? p.line < q.line : p.column < q.column;
                     });
}

std::string written(const toml::node& date) {
    std::ostringstream out;
    date.visit([&](const auto& value) {
        if constexpr (toml::is_date<decltype(value)> || toml::is_time<decltype(value)> ||
                      toml::is_date_time<decltype(value)>) {
            out << value.get();
        }
    });
    return out.str();
}

DocumentNode convert(const toml::node& from, const std::string& file, const FilePlace& key_place) {
    DocumentNode out;
    out.place = place_of(from.source(), file);
    // A table made by a dotted key has no header of its own.
    if (out.place.line == 0) out.place = key_place;
    out.key_place = key_place.line > 0 ? key_place : out.place;
    switch (from.type()) {
        case toml::node_type::table:
            convert_table(*from.as_table(), file, out);
            break;
        case toml::node_type::array:
            out.kind = DocumentNode::Kind::array;
            for (const toml::node& item : *from.as_array()) {
                out.items.push_back(convert(item, file, {}));
            }
            break;
        case toml::node_type::string:
            out.text = from.as_string()->get();
            out.kind =
                out.text == broken_mark ? DocumentNode::Kind::broken : DocumentNode::Kind::text;
            break;
        case toml::node_type::integer:
            out.kind = DocumentNode::Kind::integer;
            out.integer = from.as_integer()->get();
            out.real = static_cast<double>(out.integer);
            break;
        case toml::node_type::floating_point:
            out.kind = DocumentNode::Kind::real;
            out.real = from.as_floating_point()->get();
            break;
        case toml::node_type::boolean:
            out.kind = DocumentNode::Kind::boolean;
            out.boolean = from.as_boolean()->get();
            break;
        default:
            out.kind = DocumentNode::Kind::date;
            out.text = written(from);
            break;
    }
    return out;
}

/// Bounds of the line with that number, without its end of line.
std::pair<std::size_t, std::size_t> line_bounds(std::string_view text, std::size_t number) {
    std::size_t begin = 0;
    for (std::size_t line = 1; line < number && begin < text.size(); ++line) {
        const std::size_t end = text.find('\n', begin);
        begin = end == std::string_view::npos ? text.size() : end + 1;
    }
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    return {begin, end};
}

std::string advice(const std::string& line) {
    static const std::regex bare_quantity(
        R"(^\s*([\w.\-]+)\s*=\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?\s*[A-Za-z%°/][^"'#]*?)\s*(#.*)?$)");
    static const std::regex bare_word(R"(^\s*([\w.\-]+)\s*=\s*([A-Za-z_][^"'#]*?)\s*(#.*)?$)");
    for (const char* mark : {"\u201c", "\u201d", "\u201e", "\u2018", "\u2019"})
        if (line.find(mark) != std::string::npos) return "write straight quotes: \"8 mm\"";
    std::smatch match;
    if (std::regex_match(line, match, bare_quantity) || std::regex_match(line, match, bare_word)) {
        return "text is written in quotes: " + match[1].str() + " = \"" + match[2].str() + "\"";
    }
    return {};
}

/// Replaces "key = what cannot be read" by a mark, so that the lines after it can be read too.
/// Only for a line that stands by itself; false if this one does not.
bool mend(std::string& text, std::size_t number) {
    static const std::regex entry(R"(^(\s*(?:[A-Za-z0-9_\-]+|"[^"\\]*")\s*=).*$)");
    const auto [begin, end] = line_bounds(text, number);
    const std::string line = text.substr(begin, end - begin);
    std::smatch match;
    const bool opens = line.find_first_of("[{") != std::string::npos ||
                       line.find("\"\"\"") != std::string::npos ||
                       line.find("'''") != std::string::npos;
    constexpr std::size_t longest = 1000;  // std::regex recurses once for each character
    if (opens || line.size() > longest || !std::regex_match(line, match, entry)) return false;
    const std::string replacement = match[1].str() + " \"\\u0001\"";
    if (line == replacement) return false;
    text.replace(begin, end - begin, replacement);
    return true;
}

/// TOML++'s words without what it was doing when it stumbled.
std::string reason_of(std::string_view description) {
    const std::size_t doing = description.starts_with("Error while") ? description.find(": ") : 0;
    if (doing != std::string_view::npos && doing > 0) description.remove_prefix(doing + 2);
    std::string out(description);
    if (out.size() > 1 && std::islower(static_cast<unsigned char>(out[1])) != 0) {
        out[0] = units::lower(out[0]);
    }
    return out;
}

}  // namespace

namespace {

constexpr std::size_t deepest = 32, largest = 32U << 20U;

/// Names joined by dots at the beginning of a line, in a key or a header; a quoted dot is none.
std::size_t depth_of(std::string_view line) {
    std::size_t names = 1;
    char quote = 0, last = '.';
    bool gap = false;
    for (const char c : line) {
        if (quote != 0) {
            quote = c == quote ? '\0' : quote;
            continue;
        }
        const bool blank = c == ' ' || c == '\t' || c == '[';
        if (c == '=' || c == ']' || c == '#') break;
        if (!blank && gap && last != '.' && c != '.') break;  // two words: no key
        gap = blank;
        if (blank) continue;
        if (c == '"' || c == '\'') quote = c;
        if (c == '.') ++names;
        last = c;
    }
    return names;
}

/// The parser goes down by recursion, as far as a file says: what no car needs is refused before.
bool too_much(std::string_view text, const std::string& file, Problems& problems) {
    if (text.size() > largest) {
        problems.cause({file, 1, 1},
                       fmt::format("the file is too large: {} MB", text.size() >> 20U),
                       "32 MB at most");
        return true;
    }
    std::size_t number = 1;
    for (std::size_t begin = 0; begin < text.size(); ++number) {
        const std::size_t end = std::min(text.find('\n', begin), text.size());
        if (depth_of(text.substr(begin, end - begin)) > deepest) {
            problems.cause({file, number, 1}, "tables nested too deep",
                           "32 names in one another at most");
            return true;
        }
        begin = end + 1;
    }
    return false;
}

DocumentNode unread(const std::string& file) {
    DocumentNode out;
    out.kind = DocumentNode::Kind::broken;
    out.place = {file, 1, 1};
    out.key_place = out.place;
    return out;
}

}  // namespace

DocumentNode toml_tree(std::string_view text, const std::string& file, Problems& problems) {
    if (too_much(text, file, problems)) return unread(file);
    std::string rest(text);
    constexpr int most_errors = 50;
    for (int i = 0; i < most_errors; ++i) {
        try {
            const toml::table table = toml::parse(std::string_view(rest));
            DocumentNode root = convert(table, file, {});
            root.place = {file, 1, 1};
            root.key_place = root.place;
            return root;
        } catch (const toml::parse_error& e) {
            const FilePlace place = place_of(e.source(), file);
            const auto [begin, end] = line_bounds(rest, place.line);
            std::string line = rest.substr(begin, end - begin);
            constexpr std::size_t longest = 1000;
            if (line.size() > longest) line.clear();
            problems.cause(place, "not TOML: " + reason_of(e.description()), advice(line));
            if (!mend(rest, place.line)) break;
        }
    }
    return unread(file);
}

bool is_toml_value(std::string_view text) {
    if (text.find('\n') != std::string_view::npos) return false;
    try {
        const toml::table table = toml::parse("value = " + std::string(text));
        return table.size() == 1;
    } catch (const toml::parse_error&) {
        return false;
    }
}

}  // namespace lapheat::scenario
