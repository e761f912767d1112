// One key of a table: its name, type, unit, range, default, and a line of help. Made by
// make_key.hpp, kept in the tables of registry.hpp.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "lapheat/scenario/columns.hpp"
#include "lapheat/scenario/range.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::scenario {

using units::Quantity;

struct Table;

/// A word that a key may be, with what it stands for.
struct Word {
    std::string_view name;
    int value = 0;  ///< of the enumeration that Reader::choice() gives back
    std::string_view help;

    template <class E>
    constexpr Word(std::string_view n, E v, std::string_view h = {})
        : name(n), value(static_cast<int>(v)), help(h) {}
};

struct Key {
    enum class Type {
        quantity,
        number,
        integer,
        boolean,
        text,
        choice,
        kind,
        reference,
        quantities,
        numbers,
        texts,
        references,
        columns,
        table,   ///< [name]
        named,   ///< [name.ANY], any number of tables
        tables,  ///< [[name]]
    };
    /// What happens when the key is not there.
    enum class Absent {
        refused,  ///< an error
        assumed,  ///< the default is taken and stands among the result's assumptions
        usual,    ///< the default is taken
        none      ///< nothing; `fallback` says in words what holds then
    };

    std::string_view name;
    Type type = Type::text;
    std::string_view help;                          ///< what the key is, a line of words
    Quantity quantity = Quantity::ratio;            ///< of quantity and quantities
    Range range = any_value;                        ///< SI; of integers as well
    std::span<const Word> words = {};               ///< of a choice
    std::span<const Word> (*more_words)() = {};     ///< of a choice that another room lists
    std::vector<std::string> (*names)() = {};       ///< of a reference to something that is ours
    std::span<const Table* const> (*kinds)() = {};  ///< of a kind
    std::span<const Column> columns = {};
    std::size_t least_rows = 2;
    const Table* within = nullptr;  ///< of table, named and tables
    Absent absent = Absent::refused;
    std::string_view fallback = {};  ///< the default as a file would write it; else `value`
    double value = 0;                ///< SI
    double (*computed)() = {};       ///< in place of `value`
    std::string_view why = {};       ///< of the default
    bool untold = false;             ///< of one that may be left out: see nothing()
    std::string_view when = {};      ///< if the key means something only then: "with `table`"
    Range usual_range = any_value;   ///< SI; a value outside is questioned

    /// The default, recorded among the assumptions when it is used.
    [[nodiscard]] constexpr Key otherwise(std::string_view text,
                                          std::string_view reason = {}) const {
        Key k = *this;
        k.absent = Absent::assumed, k.fallback = text, k.why = reason;
        return k;
    }
    template <class T>
    requires std::is_arithmetic_v<T>
    [[nodiscard]] constexpr Key otherwise(T x, std::string_view reason = {}) const {
        Key k = *this;
        k.absent = Absent::assumed, k.value = static_cast<double>(x), k.why = reason;
        return k;
    }
    [[nodiscard]] constexpr Key otherwise(double (*x)(), std::string_view reason = {}) const {
        Key k = *this;
        k.absent = Absent::assumed, k.computed = x, k.why = reason;
        return k;
    }
    /// The default where it is no assumption worth listing.
    [[nodiscard]] constexpr Key usual(std::string_view text) const {
        Key k = *this;
        k.absent = Absent::usual, k.fallback = text;
        return k;
    }
    template <class T>
    requires std::is_arithmetic_v<T>
    [[nodiscard]] constexpr Key usual(T x) const {
        Key k = *this;
        k.absent = Absent::usual, k.value = static_cast<double>(x);
        return k;
    }
    [[nodiscard]] constexpr Key usual(double (*x)()) const {
        Key k = *this;
        k.absent = Absent::usual, k.computed = x;
        return k;
    }
    /// May be left out; `otherwise_so` says what holds then ("open to air", "by bore"), which
    /// stands among the assumptions.
    [[nodiscard]] constexpr Key optional(std::string_view otherwise_so = "none") const {
        Key k = *this;
        k.absent = Absent::none, k.fallback = otherwise_so;
        return k;
    }
    /// May be left out, and then there is nothing to tell: it has no effect, or another key that is
    /// listed says it.
    [[nodiscard]] constexpr Key nothing(std::string_view otherwise_so = "none") const {
        Key k = optional(otherwise_so);
        k.untold = true;
        return k;
    }
    /// What cars have (SI); a file's value outside is questioned once, not refused.
    [[nodiscard]] constexpr Key usually(double low, double high) const {
        Key k = *this;
        k.usual_range = between(low, high);
        return k;
    }
    /// Means something only then: only("with `table`").
    [[nodiscard]] constexpr Key only(std::string_view condition) const {
        Key k = *this;
        k.when = condition;
        return k;
    }
};

}  // namespace lapheat::scenario
