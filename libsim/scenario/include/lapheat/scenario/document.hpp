// TOML text as a tree of values that each know the place they were written at.
//
// A file may begin with `extends = "car.toml"` (a path relative to itself, or an array of such
// paths, merged in order). The file's own values are then laid over the extended file's:
//  - tables merge key by key; every other value, arrays of tables included, replaces;
//  - a table laid over an array whose items all have a `name` changes items by that name: what the
//    table holds is merged into the item, `false` leaves it out, and `after = "other"` adds a new
//    item behind another (or moves one there);
//  - where that changes a table's `kind`, keys that only the former kind knows say nothing; of keys
//    of which only one may be given, the one of the later file counts;
//  - a table with `replace = true` replaces the table of the same name whole;
//  - a named part set to `false` ("cores.steering_cooler = false") is left out.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/scenario/problems.hpp"

namespace lapheat::scenario {

struct Derivation;

/// A value of a document.
struct DocumentNode {
    enum class Kind { table, array, text, integer, real, boolean, date, broken };
    struct Entry;

    Kind kind = Kind::table;
    FilePlace place;            ///< of the value; of the [header] for a table
    FilePlace key_place;        ///< of its key; the same as `place` for items of arrays
    std::string text;           ///< kind text; for date: as written
    std::int64_t integer = 0;   ///< kind integer
    double real = 0.0;          ///< kind real; also filled for integer
    bool boolean = false;       ///< kind boolean
    int layer = 0;              ///< the greater, the later its file is laid over others; 0: derived
    bool kind_changed = false;  ///< of a table whose `kind` a file changed that lies over another
    const Derivation* relation = nullptr;  ///< that derived the value; of a file's own: none
    std::vector<DocumentNode> items;       ///< kind array
    std::vector<Entry> entries;            ///< kind table, in the order of the file

    /// The entry of that name, or nullptr.
    [[nodiscard]] const DocumentNode* find(std::string_view key) const noexcept;
    [[nodiscard]] DocumentNode* find(std::string_view key) noexcept;
};

/// A key of a table with its value.
struct DocumentNode::Entry {
    std::string key;
    DocumentNode value;
    Entry(std::string k, DocumentNode v) : key(std::move(k)), value(std::move(v)) {}
};

/// The value for messages and for records: "600 mm" in quotes, 12, true, "an array of 3", "a
/// table".
[[nodiscard]] std::string to_string(const DocumentNode& node);

/// True if a value of the tree could not be read.
[[nodiscard]] bool holds_broken(const DocumentNode& node);

/// A path as a person would write it: items of arrays by their names, where they have one, in
/// place of their numbers: `runs.cooler.parts[3].length` is `runs.cooler.parts."supply
/// hose".length`.
[[nodiscard]] std::string by_names(const DocumentNode& root, std::string_view path);

/// A document and every text it came from: the file itself first, then the extended files, then
/// one for each value set by with().
struct Document {
    DocumentNode root;
    std::vector<SourceFile> files;

    /// A copy with the value at `path` ("cores.radiator.width", "segments[2].radius"; items count
    /// from 1) set. `value` is TOML ("600 mm" with quotes, 12, [1, 2], true) or else plain text,
    /// so that `with("cores.radiator.width", "600 mm")` needs no inner quotes. A last key that is
    /// not there yet is added; whether it means anything is the Reader's to say.
    /// Throws Error for a path that is malformed, leads through a value that is no table, beyond
    /// an array, or through the near misspelling of a table that is there.
    [[nodiscard]] Document with(std::string_view path, std::string_view value) const;
};

/// Reads `path` and all it extends. Errors of syntax are added to `problems`; the key of a line
/// that cannot be read becomes a node of kind `broken`, which the Reader passes over silently, so
/// that the rest of the file can still be checked. A file that cannot be opened, and a circle of
/// `extends`, are problems at the `extends` that names it.
[[nodiscard]] Document load(const std::filesystem::path& path, Problems& problems);

/// As above, but throws Errors at the end if there was any.
[[nodiscard]] Document load(const std::filesystem::path& path);

/// A document from text; `name` stands for the file in messages, and `extends` is relative to it.
[[nodiscard]] Document parse(std::string text, const std::string& name, Problems& problems);
[[nodiscard]] Document parse(std::string text, const std::string& name = "text");

}  // namespace lapheat::scenario
