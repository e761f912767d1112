// Fitting a core to measured points by weighted least squares over its resistances.
//
// The idea is Wilson's (1915), in the form of Shah & Sekulić, Fundamentals of Heat Exchanger
// Design, section 12.3, and Rose, Exp. Thermal Fluid Sci. 28 (2004) 77: when one side's flow
// varies its resistance varies and the rest stays, so points at different flows tell the
// resistances apart. Here each side keeps the law of its surface (from dimensions, or assumed) and
// the fit finds its level, and the power of flow where asked. Levenberg-Marquardt on the logarithms
// of the levels; residuals are heat, each divided by its own standard error.
#pragma once

#include <string>
#include <vector>

#include "lapheat/exchangers/rate.hpp"

namespace lapheat::exchangers {

struct FitPoint {
    Duty duty;
    double heat = 0;         ///< W, first to second
    double heat_error = 0;   ///< W, one standard deviation; 0: 3 % of the heat
    double first_drop = 0;   ///< Pa; 0: not measured
    double second_drop = 0;  ///< Pa; 0: not measured
};

struct FitOptions {
    bool first_level = true;    ///< conductance of the liquid side
    bool second_level = true;   ///< conductance of the air side
    bool wall = false;          ///< wall (with fouling) resistance
    bool first_power = false;   ///< power of flow of the liquid side, added to the surface's own
    bool second_power = false;  ///< power of flow of the air side
    double confidence = 0.95;   ///< of the intervals
};

struct FitParameter {
    std::string name;  ///< e.g. "air-side conductance"
    std::string unit;  ///< "W/K", "K/W" or "-"
    double value = 0;  ///< at the first point's flows (conductances); power: added exponent
    double lower = 0, upper = 0;  ///< confidence interval; 0 and infinity when the data do not say
    double relative_error = 0;    ///< standard error of its logarithm (of the power itself)
    bool determined = false;      ///< the data fix it: standard error below 0.35
};

struct FitResult {
    Core core;  ///< with the fitted levels
    std::vector<FitParameter> parameters;
    std::vector<double> correlation;  ///< of the parameters, [i][j]
    std::vector<double> residual;     ///< (model - measured) / measured heat, per point
    double rms = 0;                   ///< of the residuals
    double worst = 0;                 ///< largest |residual|
    double chi_squared = 0;           ///< of the points, weighted
    int degrees_of_freedom = 0;
    double condition = 0;    ///< of the scaled Jacobian; infinite when singular
    bool separable = false;  ///< false: one common factor was fitted, split as before
    double first_drop_rms = 0, second_drop_rms = 0;  ///< relative, of fitted drops
    std::vector<std::string> findings;  ///< what the data can and cannot tell, in sentences
};

/// Fits `start` (a geometry core, or a rated one as first guess) to the points. When the points
/// cannot separate the parameters, one factor on all resistances is fitted instead, `separable` is
/// false and the findings say why. Intervals count the scatter of the points when it exceeds their
/// stated errors. Throws Error with fewer points than one, points without heat or beyond the
/// second law, or no convergence.
[[nodiscard]] FitResult fit_core(const Core& start, const Medium& first, const Medium& second,
                                 const std::vector<FitPoint>& points,
                                 const FitOptions& options = {});

/// What a fit found, in sentences for a report: the misfits, every parameter with its interval,
/// then the findings.
[[nodiscard]] std::vector<std::string> describe_fit(const FitResult& result,
                                                    double confidence = 0.95);

/// The core that a fit leaves, for use: describe_fit() joins its assumptions, its envelope becomes
/// half the least to twice the largest flow of the points, and its uncertainty the largest of the
/// worst misfit, the interval of the total conductance and 3 % (the error of heat measured with
/// care; common practice, no source). Throws as fit_core().
[[nodiscard]] Core fitted_core(const Core& start, const Medium& first, const Medium& second,
                               const std::vector<FitPoint>& points, const FitOptions& options = {});

}  // namespace lapheat::exchangers
