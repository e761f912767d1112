// How a source of a core says what its kind's dimensions are: each by its struct's member.
#pragma once

#include <array>
#include <cmath>
#include <string_view>
#include <utility>
#include <vector>

#include "geometry_detail.hpp"
#include "lapheat/exchangers/geometry_kind.hpp"

namespace lapheat::exchangers::detail {

template <class C, class T>
Dimension dimension(Dimension::What what, std::string_view name, T C::*member,
                    std::string_view help) {
    Dimension d{.name = name, .help = help, .what = what};
    d.usual = static_cast<double>(C{}.*member);
    d.set = [member](void* core, double value) {
        static_cast<C*>(core)->*member = static_cast<T>(value);
    };
    return d;
}
template <class C>
Dimension length(std::string_view name, double C::*member, std::string_view help) {
    return dimension(Dimension::What::length, name, member, help);
}
template <class C>
Dimension count(std::string_view name, int C::*member, std::string_view help) {
    return dimension(Dimension::What::count, name, member, help);
}
template <class C>
Dimension per_length(std::string_view name, double C::*member, std::string_view help) {
    return dimension(Dimension::What::per_length, name, member, help);
}
template <class C>
Dimension angle(std::string_view name, double C::*member, std::string_view help) {
    return dimension(Dimension::What::angle, name, member, help);
}
template <class C>
Dimension yes_no(std::string_view name, bool C::*member, std::string_view help) {
    return dimension(Dimension::What::yes_no, name, member, help);
}
/// An enumeration, with its words in its order.
template <class C, class E>
Dimension choice(std::string_view name, E C::*member, std::vector<Dimension::Word> words,
                 std::string_view help) {
    Dimension d = dimension(Dimension::What::choice, name, member, help);
    d.words = std::move(words);
    return d;
}

struct Metal {
    std::string_view name;
    Material material;
};
inline constexpr std::array metals{Metal{"aluminium", aluminium}, Metal{"copper", copper},
                                   Metal{"brass", brass}, Metal{"steel", steel}};

template <class C>
Dimension metal(std::string_view name, Material C::*member, std::string_view help) {
    Dimension d{.name = name, .help = help, .what = Dimension::What::choice};
    const C fresh{};
    for (std::size_t i = 0; i < metals.size(); ++i) {
        d.words.push_back({metals[i].name});
        if (metals[i].material.density == (fresh.*member).density) d.usual = static_cast<double>(i);
    }
    d.set = [member](void* core, double value) {
        static_cast<C*>(core)->*member = metals.at(static_cast<std::size_t>(value)).material;
    };
    return d;
}

/// Which way the liquid of a radiator goes.
template <class C>
Dimension tubes_run(TubeDirection C::*member) {
    return choice("tubes_run", member, {{"horizontal"}, {"vertical"}}, "which way the liquid goes");
}

template <class C, class Fill>
StripDimension strip(std::string_view name, Fill C::*member, std::string_view help,
                     std::string_view open) {
    return {name, help, open,
            [member](void* core, const StripFill& fill) { static_cast<C*>(core)->*member = fill; }};
}

/// A kind by its struct C, which has a `condition`, and an overload of build() for it.
template <class C>
GeometryKind kind_of(std::string_view name, std::string_view help,
                     std::vector<Dimension> dimensions, std::vector<StripDimension> strips = {}) {
    GeometryKind kind;
    kind.name = name;
    kind.help = help;
    kind.has_arrangement = requires(C c) { c.arrangement; };
    kind.has_surface = requires(C c) { c.surface; };
    kind.make = [dimensions, strips](const GivenDimensions& given) {
        C c;
        for (std::size_t i = 0; i < dimensions.size(); ++i)
            if (!std::isnan(given.values.at(i))) dimensions[i].set(&c, given.values[i]);
        for (std::size_t i = 0; i < strips.size(); ++i)
            if (given.strips.at(i)) strips[i].set(&c, *given.strips[i]);
        if constexpr (requires { c.arrangement; }) c.arrangement = given.arrangement;
        if constexpr (requires { c.surface; }) c.surface = given.surface;
        c.condition = given.condition;
        return finish(build(c), c.condition);
    };
    kind.dimensions = std::move(dimensions);
    kind.strips = std::move(strips);
    return kind;
}

}  // namespace lapheat::exchangers::detail
