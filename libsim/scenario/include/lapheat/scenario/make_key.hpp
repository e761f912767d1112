// Keys by their type: key::quantity("bore", Quantity::length, positive, "of the hose"). What is not
// there follows by the members of Key: .otherwise("19 mm", "as most have it").
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/scenario/key.hpp"

namespace lapheat::scenario {

namespace key {

using T = Key::Type;
using Name = std::string_view;

constexpr Key quantity(Name name, Quantity what, Range range = any_value, Name help = {}) {
    return {.name = name, .type = T::quantity, .help = help, .quantity = what, .range = range};
}
constexpr Key quantities(Name name, Quantity what, Range range = any_value, Name help = {}) {
    return {.name = name, .type = T::quantities, .help = help, .quantity = what, .range = range};
}
constexpr Key number(Name name, Range range = any_value, Name help = {}) {
    return {.name = name, .type = T::number, .help = help, .range = range};
}
constexpr Key numbers(Name name, Range range = any_value, Name help = {}) {
    return {.name = name, .type = T::numbers, .help = help, .range = range};
}
constexpr Key integer(Name name, std::int64_t low, std::int64_t high, Name help = {}) {
    return {.name = name,
            .type = T::integer,
            .help = help,
            .range = between(static_cast<double>(low), static_cast<double>(high))};
}
constexpr Key boolean(Name name, Name help = {}) {
    return {.name = name, .type = T::boolean, .help = help};
}
constexpr Key text(Name name, Name help = {}) { return {.name = name, .help = help}; }
constexpr Key texts(Name name, Name help = {}) {
    return {.name = name, .type = T::texts, .help = help};
}
constexpr Key choice(Name name, std::span<const Word> words, Name help = {}) {
    return {.name = name, .type = T::choice, .help = help, .words = words};
}
constexpr Key choice(Name name, std::span<const Word> (*words)(), Name help = {}) {
    return {.name = name, .type = T::choice, .help = help, .more_words = words};
}
constexpr Key kind(Name name, std::span<const Table* const> (*kinds)(), Name help = {}) {
    return {.name = name, .type = T::kind, .help = help, .kinds = kinds};
}
constexpr Key reference(Name name, Name help = {}, std::vector<std::string> (*names)() = {}) {
    return {.name = name, .type = T::reference, .help = help, .names = names};
}
constexpr Key references(Name name, Name help = {}, std::vector<std::string> (*names)() = {}) {
    return {.name = name, .type = T::references, .help = help, .names = names};
}
constexpr Key columns(Name name, std::span<const Column> asked, Name help = {},
                      std::size_t least_rows = 2) {
    return {
        .name = name, .type = T::columns, .help = help, .columns = asked, .least_rows = least_rows};
}
constexpr Key table(Name name, const Table* within, Name help = {}) {
    return {.name = name, .type = T::table, .help = help, .within = within};
}
constexpr Key named(Name name, const Table* within, Name help = {}) {
    return {.name = name,
            .type = T::named,
            .help = help,
            .within = within,
            .absent = Key::Absent::none};
}
constexpr Key tables(Name name, const Table* within, Name help = {}) {
    return {.name = name,
            .type = T::tables,
            .help = help,
            .within = within,
            .absent = Key::Absent::none};
}

}  // namespace key
}  // namespace lapheat::scenario
