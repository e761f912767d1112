// Several answers in one breath: "5.7 L V8, 300 hp at 5200 rpm", "two 12 inch, 1250 cfm each",
// "26 x 17 x 2 inch".
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "new_answers.hpp"

namespace lapheat::app {

/// A key that an answer may be to; its path is that of the car's file, "engine.displacement".
struct Slot {
    std::string path;
    scenario::Key key;
};

/// What was said to one of them.
struct Said {
    std::string path;
    Answer answer;
};

/// What a phrase says, each slot once at most.
struct Reading {
    std::vector<Said> said;
    std::string wrong = {};  ///< why it is not understood, and what to write; else empty
};

/// Pieces in any order; words that say nothing ("engine", "each") are passed over, and what is left
/// is refused by name.
[[nodiscard]] Reading read_phrase(std::span<const Slot> slots, std::string_view said);

/// Width, height and depth, in this order, with x or "by" between them; one without a unit has that
/// of the next behind it, else that before it. Where none is written it is the one that all three
/// fit; of several the one that was written before.
[[nodiscard]] Reading read_face(std::span<const Slot> slots, std::string_view said,
                                std::string_view unit_before = {});

/// "inch" of "2 1/4 inch"; empty of a bare number.
[[nodiscard]] std::string unit_of(std::string_view text);

}  // namespace lapheat::app
