// The parts of a fit: its parameters, the pressure drops, the sentences.
#pragma once

#include "lapheat/exchangers/fit.hpp"

namespace lapheat::exchangers {

/// One parameter: the logarithm of a level, or a power added to a side's own.
struct FitTerm {
    enum Kind { total, first_level, second_level, wall, first_power, second_power } kind = total;
    double reference = 1;  ///< Reynolds number at which a power changes nothing
};

/// Changes the core by x.
void apply(Core& core, const FitTerm& term, double x);

/// Fits level and, with three points over a range of 1.5, the power of both pressure drops.
void fit_drops(FitResult& result, const Medium& first, const Medium& second,
               const std::vector<FitPoint>& points);

/// Writes the findings.
void explain(FitResult& result, bool second_is_air, const std::vector<FitPoint>& points);

/// Half the least to twice the largest flow of the points.
Envelope envelope_of(const std::vector<FitPoint>& points);

}  // namespace lapheat::exchangers
