#include "help_tables.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <vector>

#include "lapheat/results/table.hpp"
#include "lapheat/units/restate.hpp"

namespace lapheat::app {
namespace {

using scenario::Key;
using scenario::Table;
using Type = Key::Type;

constexpr std::size_t most_indent = 24;

/// `name` and, beside it, paragraphs, each wrapped.
std::string entry(const std::string& name, const std::vector<std::string>& paragraphs,
                  std::size_t indent, std::size_t width) {
    std::string out = "  " + name;
    std::size_t at = results::display_width(out);
    for (const std::string& paragraph : paragraphs)
        for (const std::string& line : results::wrapped(paragraph, width - indent)) {
            // A long name has its first line to itself.
            if (at + 1 > indent && at > 0) out += '\n', at = 0;
            out += std::string(indent - at, ' ') + line + '\n';
            at = 0;
        }
    return at > 0 ? out + '\n' : out;
}

std::string type_words(const Key& key, units::System system) {
    std::string out = scenario::described(key);
    if (key.type == Type::columns) return "a table of numbers, in the file or as CSV";
    if (key.type == Type::kind) return "one of the kinds below";
    if (key.type == Type::named) return "tables [" + std::string(key.name) + ".NAME]";
    if (key.type == Type::reference && key.names != nullptr) return "one of the names below";
    if (key.type == Type::references && key.names != nullptr) return "an array of the names below";
    const std::string range = scenario::range_words(key, system);
    const bool ranged = key.type == Type::quantity || key.type == Type::quantities ||
                        key.type == Type::number || key.type == Type::numbers;
    if (ranged && range != "a number") out += ", " + range;
    return out;
}

std::string absent_words(const Key& key, units::System system) {
    const std::string value = scenario::default_words(key, system);
    switch (key.absent) {
        case Key::Absent::refused:
            return "Required.";
        case Key::Absent::none:
            return "Left out: " + value + ".";
        case Key::Absent::usual:
        case Key::Absent::assumed:
            return "Left out: " + (value.empty() ? "empty" : value) +
                   (key.why.empty() ? "" : " (" + std::string(key.why) + ")") + ".";
    }
    return {};
}

/// The words a choice may be, the columns of a table, the names of ours: what takes a line more.
std::vector<std::string> details(const Key& key, units::System system) {
    std::vector<std::string> out;
    for (const scenario::Word& word : scenario::words_of(key))
        if (!word.help.empty())
            out.push_back("\"" + std::string(word.name) + "\": " + std::string(word.help));
    if (key.type == Type::columns) {
        std::string columns;
        for (const scenario::Column& column : key.columns) {
            const std::string unit = units::display_unit(column.quantity, system);
            columns += (columns.empty() ? "columns: " : ", ") + std::string(column.name) +
                       (unit.empty() ? "" : " [" + unit + "]") + (column.required ? "" : "*") +
                       (column.help.empty() ? "" : " (" + std::string(column.help) + ")");
        }
        out.push_back(columns + (columns.find('*') == std::string::npos
                                     ? ""
                                     : "; those with * may be left out"));
    }
    if (key.names != nullptr) out.push_back(fmt::format("names: {}", fmt::join(key.names(), ", ")));
    if (key.within != nullptr)
        out.push_back("see `lapheat help " + std::string(key.within->name) + "`");
    return out;
}

std::vector<std::string> paragraphs(const Key& key, units::System system) {
    std::vector<std::string> out;
    if (!key.help.empty()) out.emplace_back(key.help);
    std::string rule = type_words(key, system) + ". " + absent_words(key, system);
    if (!key.when.empty()) rule += " Belongs " + std::string(key.when) + ".";
    rule.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(rule.front())));
    out.push_back(rule);
    for (std::string& detail : details(key, system)) out.push_back(std::move(detail));
    for (std::string& text : out) text = units::restated(text, system);
    return out;
}

/// The table whose kind this is; nullptr if it is none.
const Table* owner_of(const Table& kind) {
    for (const Table* table : scenario::all_tables())
        for (const Key* key : table->all())
            if (key->kinds != nullptr) {
                const auto kinds = key->kinds();
                if (std::find(kinds.begin(), kinds.end(), &kind) != kinds.end()) return table;
            }
    return nullptr;
}

}  // namespace

const Table* table_of_topic(std::string_view topic) {
    for (const Table* table : scenario::all_tables())
        if (table->name == topic) return table;
    return nullptr;
}

std::string table_text(const Table& table, std::size_t width, units::System system) {
    if (width == 0) width = 100;
    const Table* owner = owner_of(table);
    std::string out = owner == nullptr ? std::string(table.heading)
                                       : std::string(owner->heading) + "  kind = \"" +
                                             std::string(table.name) + "\"";
    out += "\n\n";
    for (const std::string& line : results::wrapped(units::restated(table.help, system), width))
        out += line + '\n';
    if (owner != nullptr)
        out += "Beside these keys, those of `lapheat help " + std::string(owner->name) + "`.\n";
    out += '\n';
    std::size_t indent = 0;
    for (const Key* key : table.all()) indent = std::max(indent, key->name.size());
    indent = std::min(indent + 4, most_indent);
    for (const Key* key : table.all())
        out += entry(std::string(key->name), paragraphs(*key, system), indent, width);
    if (table.all().empty()) out += "  No keys of its own.\n";
    for (const Key* key : table.all()) {
        if (key->kinds == nullptr) continue;
        out += "\nKinds; `lapheat help KIND` has the keys of each\n\n";
        for (const Table* kind : key->kinds())
            out += entry(std::string(kind->name), {units::restated(kind->help, system)},
                         most_indent, width);
    }
    return out;
}

}  // namespace lapheat::app
