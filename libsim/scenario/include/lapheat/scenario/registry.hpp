// What may be written in a file, stated once: each key of each table with its type, unit, range,
// default and a line of help. Readers, `lapheat help`, near-name hints, completion and the list of
// assumptions all come from here:
//
//     constexpr Key clutch_keys[] = {
//         key::quantity("launch_speed", Quantity::angular_speed, positive, "of the engine")
//             .otherwise("1720 rev/min", "engine at a full-throttle launch")};
//     constexpr Table clutch{"clutch", "[clutch]", "Between engine and gearbox.", clutch_keys};
//     ...
//     v.launch_speed = r.quantity(clutch["launch_speed"]);
//
// A name that is not in the table does not compile. A table of several kinds has a key of type
// `kind`, whose kinds are tables again; keys that several tables share are a table they are `with`.
#pragma once

#include <array>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/scenario/key.hpp"
#include "lapheat/scenario/make_key.hpp"

namespace lapheat::scenario {

/// The keys of one table, or of one kind of a table.
struct Table {
    std::string_view name;     ///< its topic in `lapheat help`; of a kind, the word that chooses it
    std::string_view heading;  ///< as a file writes it, "[cores.NAME]"
    std::string_view help;     ///< what it describes, a sentence or two
    std::span<const Key> keys = {};
    std::array<const Table*, 8> with = {};  ///< keys shared with other tables
    std::span<const Key> (*more)() = {};    ///< keys that another room lists

    /// Its own key of that name; a name it has not does not compile.
    consteval const Key& operator[](std::string_view key) const {
        for (const Key& k : keys)
            if (k.name == key) return k;
        throw "no key of that name";
    }
    /// The same for a name known later, shared keys included; throws std::logic_error.
    [[nodiscard]] const Key& at(std::string_view key) const;
    /// Every key: its own, those of other rooms, the shared ones. Without those of its kinds.
    [[nodiscard]] std::vector<const Key*> all() const;
    /// Is this very key one of them?
    [[nodiscard]] bool holds(const Key& key) const;
};

/// A kind of a table, and what makes it.
template <class Build>
struct KindOf {
    const Table* keys;
    Build build;
};

/// The tables of kinds, KindOf or a type of its own that has `keys`.
template <class Kinds>
std::vector<const Table*> tables_of(const Kinds& kinds) {
    std::vector<const Table*> out;
    for (const auto& kind : kinds) out.push_back(kind.keys);
    return out;
}
/// The same of a constant array, for key::kind().
template <const auto& array>
std::span<const Table* const> kinds_of() {
    static const std::vector<const Table*> tables = tables_of(array);
    return tables;
}
/// Kinds that several files list, as one list.
template <class Kind>
std::vector<Kind> all_of(std::initializer_list<std::span<const Kind>> lists) {
    std::vector<Kind> out;
    for (const auto list : lists) out.insert(out.end(), list.begin(), list.end());
    return out;
}

/// The whole of a car's or a placement's file, and of a cycle's.
[[nodiscard]] const Table& car_file();
[[nodiscard]] const Table& cycle_file();

/// Every table that a file can have, kinds among them, each once, in the order in which a reader
/// meets them. Tables without a heading of their own are kinds, and follow the table they belong
/// to.
[[nodiscard]] std::vector<const Table*> all_tables();

/// The words of a choice; none for other keys.
[[nodiscard]] std::span<const Word> words_of(const Key& key);
/// What a value of the key looks like: `a length such as "8 mm"`, `"rear", "front" or "both"`.
[[nodiscard]] std::string described(const Key& key);
/// What its range allows, in SI display units: "at most 90 degC"; empty if anything goes.
[[nodiscard]] std::string range_words(const Key& key, units::System system = units::System::si);
/// The default as a file would write it, "none", or empty for a key that must be there.
[[nodiscard]] std::string default_words(const Key& key, units::System system = units::System::si);

}  // namespace lapheat::scenario
