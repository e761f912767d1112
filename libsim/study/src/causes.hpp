// Why one placement leaves a fluid less margin than another: the difference taken apart, each part
// with its sign, so that only what works the way the margins differ is given as a reason.
//
// At the moment of least margin a core gives off Q with its fluid arriving at T_in and what cools
// it at T_air, so with R = (T_in − T_air) / Q
//     T_in = T_air + Q R,   R = R_air + R_wall + R_fluid + x,   x = R − films and wall,
// where x is what both streams' warming takes (1/(2 C) of each while NTU is small, Kays & London,
// Compact Heat Exchangers, ch. 2), shared between them as 1/C. R_air and its x answer to the air's
// flow, R_fluid and its x to the fluid's. The parts of the difference of two such sums, each with
// the mean of the other factor, add up to the difference of the margins with a rest: what lies
// between T_in and the watched part, and limits that differ. Exact but for how x is shared; what is
// left out is that a loop far from rest feels only a part of it, which changes no sign.
#pragma once

#include <string>
#include <vector>

#include "lapheat/model/result.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::study {

enum class CauseKind {
    cooling_temperature,  ///< what cools the core arrives hotter or colder
    cooling_flow,         ///< more or less of it flows through the core
    fluid_flow,           ///< more or less of the fluid does
    core,                 ///< the core itself: its faces, fins and wall
    heat                  ///< more or less heat is there to be given off
};

/// One cause, in K of margin that the first has more than the second because of it; negative: it
/// works the other way.
struct Cause {
    CauseKind kind;
    double worth = 0;
};

/// All five causes in the enum's order; empty if one of the two has no core or one gives off
/// nothing then, so that there is nothing to take apart. `rest`, if given, becomes what of the
/// margins' difference they leave.
[[nodiscard]] std::vector<Cause> causes(const model::Verdict& better, const model::Verdict& worse,
                                        double* rest = nullptr);

/// ", because there …": the causes that explain why the second has less margin, the weightiest
/// first; what works against them is told as such. Empty if none does.
[[nodiscard]] std::string cause_words(const model::Verdict& better, const model::Verdict& worse,
                                      units::System system);

}  // namespace lapheat::study
