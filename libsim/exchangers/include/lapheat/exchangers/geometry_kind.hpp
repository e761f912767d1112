// The kinds of cores that dimensions make, as data: which dimensions each has, what a person is
// told of each, and what makes the core. Whoever reads a file or writes a form goes through
// geometry_kinds() and needs no word of any one kind; a kind is described beside its physics, in
// its own source. Defaults are those of the kind's struct (geometry.hpp). All in SI units.
#pragma once

#include <functional>
#include <span>
#include <string_view>
#include <vector>

#include "lapheat/exchangers/geometry.hpp"

namespace lapheat::exchangers {

/// One dimension of a kind.
struct Dimension {
    enum class What { length, count, per_length, angle, yes_no, choice };
    enum class Absent {
        refused,
        usual,    ///< the struct's default is taken
        assumed,  ///< the same, and it is worth a word to the reader
        open      ///< the core finds it itself, see `open`
    };
    struct Word {
        std::string_view name, help = {};
    };

    std::string_view name;  ///< as files spell it
    std::string_view help;
    What what = What::length;
    std::vector<Word> words = {};  ///< of a choice, whose value is the number of the word
    double usual = 0;              ///< the struct's default
    Absent absent = Absent::refused;
    std::string_view open = {};  ///< what holds when it is left out: "by tube_pitch"
    std::function<void(void* core, double value)> set = {};

    /// May be left out: the struct's default holds, silently or told as an assumption, or the core
    /// finds it itself.
    [[nodiscard]] Dimension or_usual() && { return absent = Absent::usual, std::move(*this); }
    [[nodiscard]] Dimension or_assumed() && { return absent = Absent::assumed, std::move(*this); }
    [[nodiscard]] Dimension or_else(std::string_view words_of_it) && {
        return absent = Absent::open, open = words_of_it, std::move(*this);
    }
};

/// Strip fins of a kind: how many, how thick, how long a strip; a name and "_fins" and so on.
struct StripDimension {
    std::string_view name;  ///< "turbulator"
    std::string_view help;
    std::string_view open;  ///< what holds when there is no word of them
    std::function<void(void* core, const StripFill&)> set = {};
};

/// What was said of one core.
struct GivenDimensions {
    std::vector<double> values;                    ///< in the kind's order; NaN: left out
    std::vector<std::optional<StripFill>> strips;  ///< likewise
    std::optional<ArrangementSpec> arrangement;
    std::vector<SurfacePoint> surface;
    Condition condition;
};

struct GeometryKind {
    std::string_view name, help;
    bool in_tank = false;  ///< cooled by a liquid, always
    bool has_arrangement = false, has_surface = false;
    std::vector<Dimension> dimensions;
    std::vector<StripDimension> strips;
    /// Throws Error with the name of the struct's member when the dimensions cannot be.
    std::function<Core(const GivenDimensions&)> make;
};

[[nodiscard]] std::span<const GeometryKind> geometry_kinds();

}  // namespace lapheat::exchangers
